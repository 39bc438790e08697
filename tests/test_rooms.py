"""The rooms of the house: one ordered list, imports downwards only, and what may never be imported."""

import ast
import re
import sys
from collections import defaultdict
from pathlib import Path

import pytest
from samples import run
from sources import MODULES, ROOT, tree

FLOORS = (
    ("geometry", "jigs.drawing", "jigs.faults"),
    ("jigs.input", "jigs.system", "jigs.sheets", "jigs.guide", "jigs.wording"),
    ("jigs.instrument", "jigs.cutting", "jigs.export"),
    ("jigs.workup", "jigs.survey", "jigs.printers"),
    ("jigs.templates", "jigs.readings"),
    ("jigs.press",),
    ("jigs.rack", "jigs.demo"),
    ("jigs.page",),
    ("jigs.cli",),
    ("jigs.__main__",),
)
"""From the ground up. A room imports lower floors only, never its neighbour. DEVELOPERS.md has the same list."""

FORBIDDEN = {
    "geometry": ("jigs",),
    "jigs.survey": ("jigs.instrument",),
    "jigs.printers": ("jigs.instrument",),
    "jigs.templates": ("jigs.sheets", "jigs.export"),
    "jigs.readings": ("jigs.templates",),
}
"""What a room must not import although it is below, or is ``jigs`` itself, which holds the version."""

MOST_ROOMS, MOST_FLOORS, MOST_TO_PDF = 25, 10, 7
BEFORE_THE_WORKUP = {"geometry", "jigs.faults", "jigs.input", "jigs.instrument", "jigs.wording"}
"""What a workup is made of. It still answers questions when a drawing asks them."""

FLOOR = {room: number for number, rooms in enumerate(FLOORS, 1) for room in rooms}


def room_of(module):
    return next((room for room in FLOOR if module == room or module.startswith(f"{room}.")), module)


def name_of(path):
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


NAMES = {name_of(path): path for path in MODULES}


def imports(module):
    """What a module imports of ours, wherever in it: late ones, those for types, and those by name as a text."""
    for node in ast.walk(module):
        named = []
        if isinstance(node, ast.Import):
            named = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert not node.level, f"line {node.lineno}: write the import from the top, as from jigs.faults"
            named = [whole if (whole := f"{node.module}.{a.name}") in NAMES else node.module for a in node.names]
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            named = [name for name in [node.value.rstrip(".")] if name in NAMES and "." in name]
        yield from (name for name in named if re.match(r"(jigs|geometry)\b", name))


ARROWS = {name: sorted(set(imports(tree(path))) - {name}) for name, path in NAMES.items()}


def faults_of(name, others):
    """What is wrong with the imports of a module."""
    room = room_of(name)
    for other in others:
        lower = room_of(other)
        if lower != room and (FLOOR.get(lower, 0) >= FLOOR[room] or lower in FORBIDDEN.get(room, ())):
            yield f"{name} imports {other}"


def test_every_module_is_in_a_room_and_every_room_has_modules():
    assert {room_of(name) for name in NAMES} - {"jigs"} == FLOOR.keys()
    assert {room for rooms in FORBIDDEN.values() for room in rooms} <= {*FLOOR, "jigs"}
    assert len(FLOOR) <= MOST_ROOMS
    assert len(FLOORS) <= MOST_FLOORS


def test_every_folder_of_the_house_has_a_folder_of_tests():
    folders = [room.replace(".", "/") for room in FLOOR if (ROOT / room.replace(".", "/")).is_dir()]
    assert [folder for folder in folders if not any((ROOT / "tests" / folder).rglob("test_*.py"))] == []


def test_imports_run_down():
    assert [fault for name, others in ARROWS.items() if name != "jigs" for fault in faults_of(name, others)] == []


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("jigs.workup.workup", "from jigs.press import press"),
        ("jigs.workup.workup", "def late():\n    import jigs.templates.fork"),
        ("jigs.workup.workup", "if TYPE_CHECKING:\n    from jigs.survey.file import SurveyedBoard"),
        ("jigs.drawing.items", 'import_module(f"jigs.templates.{name}")'),
        ("jigs.templates.fork", "from jigs.sheets.paper import PAPERS"),
        ("jigs.readings.run", "from jigs.templates import catalogue"),
        ("geometry.frets", "from jigs import __version__"),
    ],
)
def test_an_import_that_runs_up_is_seen(name, line):
    assert list(faults_of(name, imports(ast.parse(line))))


def test_no_module_imports_itself_by_way_of_others():
    done = set()

    def visit(name, way):
        assert name not in way, " → ".join([*way[way.index(name) :], name])
        if name not in done:
            for other in ARROWS[name]:
                visit(other, [*way, name])
            done.add(name)

    for name in sorted(ARROWS):
        visit(name, [])


def test_no_init_imports_anything():
    assert [name for name, path in NAMES.items() if path.name == "__init__.py" and ARROWS[name]] == []


def rooms_at_work(template, out):
    """Rooms of which a function runs between a workup and the bytes of its PDF, as they are seen while it is drawn."""
    rooms, files, inside = defaultdict(int), {str(path): name for name, path in NAMES.items()}, []

    def see(frame, event, _):
        module = files.get(frame.f_code.co_filename)
        begins = module == "jigs.press.press" and frame.f_code.co_name == "prepare"
        if begins and event == "return":
            inside.clear()
        elif event == "call" and module:
            inside.extend([module] if begins else [])
            if inside and frame.f_code.co_name != "<module>":
                rooms[room_of(module)] += 1

    sys.setprofile(see)
    try:
        status, _, wrong = run("draw", "banjo", template, "--format", "pdf", "--out", out)
    finally:
        sys.setprofile(None)
    assert status == 0, wrong
    return set(rooms)


@pytest.mark.parametrize("template", ["fork", "gauge", "fretboard"])
def test_from_workup_to_pdf_it_is_a_short_way(template, tmp_path):
    """A developer who follows a drawing passes these rooms. Corrections for a printer are one more, where there are any."""
    passed = rooms_at_work(template, tmp_path) - BEFORE_THE_WORKUP
    assert {"jigs.workup", "jigs.templates", "jigs.drawing", "jigs.sheets", "jigs.press", "jigs.export"} <= passed
    assert len(passed) <= MOST_TO_PDF, sorted(passed)


def test_a_rack_notices_a_change_in_any_room(monkeypatch):
    """A rack that hashed only a part of the program would take old drawings for fresh ones."""
    from jigs.rack import state

    read, really = set(), Path.read_bytes
    monkeypatch.setattr(Path, "read_bytes", lambda path: read.add(path.resolve()) or really(path))
    state.program.__wrapped__()
    missed = {name_of(path) for path in MODULES if path.resolve() not in read}
    assert missed == set()
