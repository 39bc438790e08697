"""A template: workup and room in, drawing out."""

from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import Any

from jigs.drawing.items import Drawing
from jigs.drawing.room import Room
from jigs.faults import Note, Says, nearest, old_refuse, spoken
from jigs.templates.catalogue import NAMES
from jigs.templates.options import Options
from jigs.workup.workup import Workup


class Lacks(Exception):
    """The instrument, or its file, lacks what the template needs; ``says`` what, and what to do.

    ``of_kind``: instruments of this kind never have it, so nobody misses the template.
    """

    def __init__(self, says: Says | str, of_kind: bool = False) -> None:
        super().__init__(
            says if isinstance(says, str) else "; ".join(spoken(words) for words in (says.what, says.remedy))
        )
        self.says = says
        self.of_kind = of_kind


@dataclass(frozen=True)
class Piece:
    """A template's drawing, what the title block calls it, and the figures that go with it.

    Most are drawn in the room they were given, its top left corner at the origin. A ``long`` one is drawn in its own frame,
    y from the nut, and may outgrow a sheet: it is laid on as many as it takes. ``notes``: what the user should know of it.
    ``scale`` as ISO 5455 writes it, "none" where nothing is drawn to scale. ``datum_fret``: the fret that a printed part
    registers on, where it says how sure its place is.
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


def chosen(names: Sequence[str], source: str = "draw") -> list[Template]:
    """Templates by name. Raises `InputFaults` for an unknown one; ``source`` is where it was named."""
    known = templates()
    for name in names:
        if name not in known:
            raise old_refuse(source, f'there is no template "{name}"; {nearest(name, known)}')
    return [known[name] for name in dict.fromkeys(names)]
