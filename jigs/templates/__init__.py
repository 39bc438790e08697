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


@dataclass(frozen=True)
class Piece:
    """A template's drawing in its room, what the title block calls it, and the figures that go with it."""

    drawing: Drawing
    document: str
    facts: str


@dataclass(frozen=True)
class Template:
    """A template's name on the command line, and the function that draws it."""

    name: str
    draw: Callable[[Workup, Room, Options], Piece]


def templates() -> dict[str, Template]:
    """All templates by name."""
    from jigs.templates import fork

    return {"fork": Template("fork", fork.draw)}
