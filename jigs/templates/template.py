"""A template: workup and room in, drawing out."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from importlib import import_module
from typing import Any

from jigs.drawing.items import Drawing
from jigs.drawing.room import Room
from jigs.faults import InputFaults, Note, Place, Says
from jigs.templates import words
from jigs.templates.catalogue import NAMES
from jigs.templates.options import Options
from jigs.workup.workup import Workup


class Lacks(Exception):
    """The instrument, or its file, lacks what the template rests on. ``place``: the key to fill in, where there is one.

    ``of_kind``: instruments of this kind never have it, so nobody misses the template.
    """

    def __init__(self, says: Says, place: Place | None = None, of_kind: bool = False) -> None:
        super().__init__(says.code)
        self.says, self.of_kind = says, of_kind
        self.place = Place() if place is None else place

    def refusal(self, source: str, template: str) -> InputFaults:
        """What to raise where the template was ordered by name."""
        blamed = self.place if self.place != Place() else Place(key=template)
        return self.says.refusal(replace(blamed, source=source))

    def note(self, template: str) -> Note:
        """What to say where it was one of many."""
        return words.left_out(template, self.says).note()


@dataclass(frozen=True)
class Piece:
    """A template's drawing, what the title block calls it, and the figures that go with it.

    Most are drawn in the room they were given, its top left corner at the origin. A ``long`` one is drawn in its own frame,
    y from the nut, and may outgrow a sheet: it is laid on as many as it takes. ``notes``: what the user should know of it.
    ``scale`` as ISO 5455 writes it, "none" where nothing is drawn to scale. ``datum_fret``: the fret that a printed part
    butts against, where it says how sure its place is.
    """

    drawing: Drawing
    document: str
    facts: str
    long: bool = False
    notes: tuple[Note, ...] = ()
    scale: str = "1:1"
    datum_fret: int | None = None


@dataclass(frozen=True)
class Template:
    """A template by its name on the command line, which is its module's name too, with underscores for hyphens."""

    name: str

    @property
    def _module(self) -> Any:
        return import_module(f"jigs.templates.{self.name.replace('-', '_')}")

    def draw(self, workup: Workup, room: Room, options: Options) -> Piece:
        """Draw it in a room.

        Raises `DoesNotFit`; `Lacks`; and `InputFaults` for options that the instrument cannot follow.
        """
        piece: Piece = self._module.draw(workup, room, options)
        return piece

    def part(self, workup: Workup, options: Options) -> Piece:
        """The part alone, for templates of `CUT_FROM_STOCK`. Raises as `draw` does, but for room."""
        piece: Piece = self._module.part(workup, options)
        return piece


def templates() -> dict[str, Template]:
    """All templates by name."""
    return {name: Template(name) for name in NAMES}


def chosen(names: Iterable[str]) -> list[Template]:
    """Templates by name. Raises `InputFaults` for an unknown one."""
    known = templates()
    for name in names:
        if name not in known:
            raise words.unknown_template(name, list(known)).refusal(Place(key="template"))
    return [known[name] for name in dict.fromkeys(names)]
