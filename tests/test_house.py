"""The rules of the house that a reader relies on: short modules, short functions, every number in one place."""

import ast
from collections import defaultdict
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
MODULES = sorted([*ROOT.glob("jigs/**/*.py"), *ROOT.glob("geometry/*.py")])
LONGEST_MODULE, LONGEST_FUNCTION = 400, 60

SAID_BY_STANDARDS_OF_PROGRAMS = {
    "app.py": {403, 404, 405, 413, 415},  # HTTP statuses, RFC 9110, named beside their words
    "processes.py": {503},
    "dxf.py": set(range(256)),  # colours of a DXF by their index
}
TWICE_BY_CHANCE = {120, 128, 130, 150, 1024, 0o666}
"""Sizes on paper, a file's usual permissions, a port and a KiB: two that are equal are not one number."""


def digits(value):
    """How many digits it takes to write a number, noughts at its ends left out."""
    return len(repr(value).split("e")[0].replace(".", "").replace("-", "").strip("0"))


def numbers(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Constant) and type(node.value) in (int, float) and digits(node.value) >= 3:
            yield node.value, node.lineno


def test_a_newcomer_finds_every_module_on_the_map():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = "\n".join(line for line in text.splitlines() if line.startswith("| `"))
    folders = ("templates", "parts", "export")  # they are on it as folders
    named = [
        path for path in MODULES if path.parent.name not in folders and path.name not in ("__init__.py", "arrays.py")
    ]
    assert [str(path.relative_to(ROOT)) for path in named if f"{path.name}`" not in table] == []


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_module_is_read_in_one_go(path):
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= LONGEST_MODULE
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            assert node.end_lineno - node.lineno < LONGEST_FUNCTION, node.name


def test_a_number_that_is_changed_in_one_place_is_changed_everywhere():
    places = defaultdict(set)
    for path in MODULES:
        for value, line in numbers(path):
            if value not in TWICE_BY_CHANCE | SAID_BY_STANDARDS_OF_PROGRAMS.get(path.name, set()):
                places[float(value)].add(f"{path.relative_to(ROOT)}:{line}")
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
def test_every_constant_says_what_it_is_and_where_it_is_from(path):
    body = ast.parse(path.read_text(encoding="utf-8")).body
    for n, node in enumerate(body):
        if not isinstance(node, ast.Assign) or not isinstance(node.targets[0], ast.Name):
            continue
        name = node.targets[0].id
        measured = any(
            isinstance(part, ast.Constant) and isinstance(part.value, float) for part in ast.walk(node.value)
        )
        if name.isupper() and measured and not name.startswith("_"):
            following = next((one for one in body[n + 1 :] if not isinstance(one, ast.Assign)), None)
            said = isinstance(following, ast.Expr) and isinstance(following.value, ast.Constant)
            assert said, f"{name} does not say what it is"
