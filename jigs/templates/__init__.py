"""One module for each template: Workup and room to drawing. A template knows no paper and no file format."""

from collections.abc import Callable
from dataclasses import dataclass

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


@dataclass(frozen=True)
class Template:
    """A template's name on the command line, and the function that draws it."""

    name: str
    draw: Callable[[Workup, Room, Options], Piece]


def templates() -> dict[str, Template]:
    """All templates by name."""
    from jigs.templates import crown, fork, fretboard, spacing

    modules = {"fork": fork.draw, "fretboard": fretboard.draw, "spacing": spacing.draw, "crown": crown.draw}
    return {name: Template(name, draw) for name, draw in modules.items()}
