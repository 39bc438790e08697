"""The rooms of the house: one ordered list, imports downwards only, and what may never be imported."""

import ast
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).parent.parent

FLOORS = (
    ("geometry", "jigs.drawing", "jigs.faults"),
    ("jigs.input", "jigs.system", "jigs.sheets", "jigs.wording"),
    ("jigs.instrument", "jigs.cutting", "jigs.export"),
    ("jigs.workup", "jigs.survey", "jigs.printers"),
    ("jigs.templates", "jigs.readings"),
    ("jigs.press",),
    ("jigs.rack", "jigs.demo"),
    ("jigs.page",),
    ("jigs.cli",),
    ("jigs.__main__",),
)
"""From the ground up. A room imports lower floors only, never its neighbour."""

FORBIDDEN = {
    ("jigs.templates", "jigs.sheets"),
    ("jigs.templates", "jigs.export"),
    ("jigs.readings", "jigs.templates"),
    ("jigs.survey", "jigs.instrument"),
    ("jigs.printers", "jigs.instrument"),
    ("jigs.export", "jigs.instrument"),
}
"""Imports that would run down, and are not allowed all the same."""

MOST_ROOMS, MOST_FLOORS, MOST_TO_PDF = 25, 10, 7
FLOOR = {room: number for number, rooms in enumerate(FLOORS, 1) for room in rooms}


def room_of(module):
    return next((room for room in FLOOR if module == room or module.startswith(f"{room}.")), None)


def modules():
    for path in sorted([*ROOT.glob("jigs/**/*.py"), *ROOT.glob("geometry/*.py")]):
        parts = path.relative_to(ROOT).with_suffix("").parts
        yield ".".join(parts[:-1] if parts[-1] == "__init__" else parts), path


NAMES = {name for name, _ in modules()}


def imports(path):
    """Modules of ours that a file imports, wherever in it, late and for types too."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name.split(".")[0] in ("jigs", "geometry"))
        elif isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] in ("jigs", "geometry"):
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                yield whole if whole in NAMES else node.module


def between_rooms():
    """Every import from one room to another: importing module, imported module, both rooms."""
    for name, path in modules():
        for other in imports(path):
            if room_of(name) != room_of(other):
                yield name, other, room_of(name), room_of(other)


def test_every_module_stands_in_a_room():
    assert [name for name in NAMES if room_of(name) is None and name != "jigs"] == []
    assert len(FLOOR) <= MOST_ROOMS
    assert len(FLOORS) <= MOST_FLOORS


def test_imports_run_down():
    up = [
        f"{name} imports {other}"
        for name, other, room, lower in between_rooms()
        if lower is not None and FLOOR[lower] >= FLOOR[room]
    ]
    assert up == []


def test_forbidden_imports_are_not_made():
    assert [f"{name} imports {other}" for name, other, *rooms in between_rooms() if tuple(rooms) in FORBIDDEN] == []


def test_no_module_imports_itself_by_way_of_others():
    arrows = {name: set(imports(path)) - {name} for name, path in modules()}
    done = set()

    def visit(name, way):
        assert name not in way, " → ".join([*way[way.index(name) :], name])
        if name not in done:
            for other in sorted(arrows.get(name, ())):
                visit(other, [*way, name])
            done.add(name)

    for name in sorted(arrows):
        visit(name, [])


def test_from_workup_to_pdf_it_is_a_short_way():
    """Rooms that a developer walks through from the numbers to the PDF's bytes, the longest way down from press."""
    arrows = defaultdict(set)
    for _, _, room, lower in between_rooms():
        arrows[room].add(lower)

    def reaches(room, goal):
        return room == goal or any(reaches(lower, goal) for lower in arrows[room])

    walked = {room for room in FLOOR if reaches("jigs.press", room) and reaches(room, "jigs.workup")}
    walked |= {room for room in ("jigs.sheets", "jigs.export") if reaches("jigs.press", room)}
    assert "jigs.press" in walked
    assert len(walked) <= MOST_TO_PDF


def test_no_init_imports_anything():
    opened = [path for path in ROOT.glob("jigs/**/__init__.py") if list(imports(path))]
    assert opened == []
