"""One module for each template: Workup and room to drawing. A template knows no paper and no file format."""

from dataclasses import dataclass, field
from enum import StrEnum
from importlib import import_module
from typing import Any

from jigs.cutter import Cutter
from jigs.drawing import Drawing, Room
from jigs.workup import Workup


class DoesNotFit(Exception):
    """The room is too small; the message says what would not go on it."""


class Lacks(Exception):
    """The instrument, or its file, lacks what the template rests on; the message says what, and what would do.

    ``of_kind``: instruments of this kind never have it, so nobody misses the template.
    """

    def __init__(self, what: str, of_kind: bool = False) -> None:
        super().__init__(what)
        self.of_kind = of_kind


class RimSide(StrEnum):
    """The side of a banjo's rim that the head template nests against."""

    NUT = "nut"
    TAIL = "tail"


@dataclass(frozen=True)
class Options:
    """What the user may choose for a drawing. ``datum_fret`` and ``rim_side`` None: the template chooses.

    ``datum_end``: the template for a top registers on the end of the board. ``print_share``: standard deviation of the
    print's scale, as a share, where the printer was measured; the instrument's file says it otherwise.
    """

    datum_fret: int | None = None
    datum_over_fret: bool = False
    datum_end: bool = False
    rim_side: RimSide | None = None
    to_bridge: bool = False
    cutter: Cutter = field(default_factory=Cutter)
    print_share: float | None = None


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
    notes: tuple[str, ...] = ()
    scale: str = "1:1"
    datum_fret: int | None = None


IN_WORDS = {
    "fork": "paper, finds the bridge's place from a fret",
    "fretboard": "slots, dots and strings",
    "spacing": "rules for nut and bridge",
    "crown": "the top of the bridge",
    "setup-card": "one page for setting up by ear or tuner",
    "gauge": "the fork to cut from stock",
    "head": "from a banjo's rim",
    "top": "on an arched top",
}
"""What each template is, by its name."""

NAMES = tuple(IN_WORDS)
CUT_FROM_STOCK = frozenset(("gauge", "head", "top"))
"""Templates that are a part to cut: their SVG and DXF hold the part alone, for a cutter."""

FOR_CUTTERS = CUT_FROM_STOCK | {"fretboard"}
"""Templates that have a DXF. The fretboard's holds the whole board, however long."""


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
