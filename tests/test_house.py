"""What a reader of the source relies on: short modules, short functions, few parameters, each number in one place."""

import ast
import re
from collections import defaultdict

import pytest
from sources import MODULES, ROOT, functions, relative, tree
from test_rooms import FLOORS, FORBIDDEN

LONGEST_MODULE, LONGEST_FUNCTION, MOST_PARAMETERS = 400, 60, 7

FROM_STANDARDS_OF_PROGRAMS = {
    "app.py": {403, 404, 405, 413, 415},  # HTTP statuses, RFC 9110, named beside their words
    "processes.py": {503},
    "sound_formats.py": set(range(0x1000)),  # formats of WAV by their number, named beside their words
    "dxf.py": set(range(256)),  # colours of a DXF by their index
}
TWICE_BY_CHANCE = {120, 128, 130, 150, 1024, 0o666}
"""Sizes on paper, a file's permissions, a port and a KiB: two that are equal are not one number."""


def digits(value):
    """How many digits it takes to write a number, without the noughts at its ends."""
    return len(repr(value).split("e")[0].replace(".", "").replace("-", "").strip("0"))


def numbers(path):
    """Numbers of three digits or more, each with its line."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Constant) and type(node.value) in (int, float) and digits(node.value) >= 3:
            yield node.value, node.lineno


def rooms_on_the_map():
    """The table of DEVELOPERS.md: (floor, room, what it must not import)."""
    for line in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").splitlines():
        if row := re.fullmatch(r"\| (\d+) \| `([^`]+)` \|[^|]+\|([^|]*)\|", line):
            room = row[2].removesuffix("/").removesuffix(".py").replace("/", ".")
            forbidden = tuple(name.rstrip("/").replace("/", ".") for name in re.findall("`([^`]+)`", row[3]))
            yield int(row[1]), room, forbidden


def test_the_map_shows_every_room_on_its_floor_and_what_it_must_not_import():
    rooms = [(n, room, FORBIDDEN.get(room, ())) for n, floor in enumerate(FLOORS, 1) for room in floor]
    shown = list(rooms_on_the_map())
    assert shown == sorted(shown, key=lambda row: -row[0]), "the highest floor comes first"
    assert sorted(shown) == sorted(rooms)


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_a_module_is_short_enough_to_read_at_once(path):
    assert path.read_text(encoding="utf-8").count("\n") <= LONGEST_MODULE
    for function in functions(tree(path)):
        assert function.end_lineno - function.lineno < LONGEST_FUNCTION, function.name


def parameters(function):
    """Those that a caller gives in order; named ones say at the call what they are."""
    given = [each.arg for each in (*function.args.posonlyargs, *function.args.args)]
    return [name for name in given if name not in ("self", "cls")]


@pytest.mark.parametrize("path", [path for path in MODULES if path.is_relative_to(ROOT / "jigs")], ids=relative)
def test_a_function_takes_few_parameters(path):
    """A formula of ``geometry`` takes what the physics has."""
    long = {each.name: names for each in functions(tree(path)) if len(names := parameters(each)) > MOST_PARAMETERS}
    assert long == {}


def test_a_number_that_is_changed_in_one_place_is_changed_everywhere():
    places = defaultdict(set)
    for path in MODULES:
        for value, line in numbers(path):
            if value not in TWICE_BY_CHANCE | FROM_STANDARDS_OF_PROGRAMS.get(path.name, set()):
                places[float(value)].add(f"{relative(path)}:{line}")
    assert {value: found for value, found in places.items() if len(found) > 1} == {}


@pytest.mark.parametrize(
    "path",
    [
        path
        for path in MODULES
        if path.parent.name == "geometry" or path.name in ("usual.py", "paper.py", "lettering.py")
    ],
    ids=lambda path: path.name,
)
def test_every_measured_constant_has_a_docstring(path):
    body = tree(path).body
    for n, node in enumerate(body):
        if not isinstance(node, ast.Assign) or not isinstance(node.targets[0], ast.Name):
            continue
        name = node.targets[0].id
        measured = any(
            isinstance(part, ast.Constant) and isinstance(part.value, float) for part in ast.walk(node.value)
        )
        if name.isupper() and measured and not name.startswith("_"):
            following = next((each for each in body[n + 1 :] if not isinstance(each, ast.Assign)), None)
            explained = isinstance(following, ast.Expr) and isinstance(following.value, ast.Constant)
            assert explained, f"{name} has no docstring: what it is, and its source"
