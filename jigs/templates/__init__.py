"""One module for each template: Workup and room to drawing. A template knows no paper and no file format."""

from dataclasses import dataclass
from importlib import import_module

from jigs.drawing import Drawing, Room
from jigs.workup import Workup


class DoesNotFit(Exception):
    """The room is too small; the message says what would not go on it."""


@dataclass(frozen=True)
class Options:
    """What the user may choose for a drawing. ``datum_fret`` None: the template chooses."""

    datum_fret: int | None = None
    datum_over_fret: bool = False
    to_bridge: bool = False


@dataclass(frozen=True)
class Piece:
    """A template's drawing, what the title block calls it, and the figures that go with it.

    Most are drawn in the room they were given, its top left corner at the origin. A ``long`` one is drawn in its own frame,
    y from the nut, and may outgrow a sheet: it is laid on as many as it takes.
    """

    drawing: Drawing
    document: str
    facts: str
    long: bool = False


NAMES = ("fork", "fretboard", "spacing", "crown")


@dataclass(frozen=True)
class Template:
    """A template by its name on the command line, which is its module's name too."""

    name: str

    def draw(self, workup: Workup, room: Room, options: Options) -> Piece:
        """Draw it. Raises `DoesNotFit`, and `InputFaults` for options that the instrument cannot follow."""
        piece: Piece = import_module(f"jigs.templates.{self.name}").draw(workup, room, options)
        return piece


def templates() -> dict[str, Template]:
    """All templates by name."""
    return {name: Template(name) for name in NAMES}
