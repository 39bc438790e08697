"""A template: workup and room in, drawing out."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from importlib import import_module
from typing import Any

from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Drawing
from jigs.drawing.room import Room
from jigs.faults import InputFaults, Key, Note, Place, Says, spoken
from jigs.templates import words
from jigs.templates.catalogue import NAMES
from jigs.templates.options import Options
from jigs.workup.workup import Workup

FROM_A_FRET = ("gauge", "top")
"""Parts to cut that place the bridge from a fret."""


class Lacks(Exception):
    """The instrument, or its file, lacks what the template needs; ``says`` what, and what to do.

    ``of_kind``: instruments of this kind never have it, so nobody misses the template.
    """

    def __init__(self, says: Says, of_kind: bool = False) -> None:
        super().__init__("; ".join(spoken(words) for words in (says.what, says.remedy)))
        self.says, self.of_kind = says, of_kind

    @property
    def missing(self) -> Key | None:
        """The key of the instrument file that is to be filled in: the first that the remedy names, if it names one."""
        return next((part for part in self.says.remedy if isinstance(part, Key)), None)

    def refusal(self, source: str) -> InputFaults:
        """The fault at the missing key, "its value" in its words; or at the choice of this template if no key helps."""
        key = self.missing
        if key is None:
            return self.says.refusal(Place(source, option="template"))
        remedy = tuple("its value" if part == key else part for part in self.says.remedy)
        return self.says._replace(remedy=remedy).refusal(Place(source, key.table, key.key))


@dataclass(frozen=True)
class Piece:
    """A template's drawing, what the title block calls it, the figures that go with it, and its words.

    Most are drawn in the room they were given, its top left corner at the origin. A ``long`` one is drawn in its own frame,
    y from the nut, and may be longer than a sheet: it is laid on as many as it takes. ``more``: drawings for sheets of
    their own, each in the same room. ``joined``: a long drawing for the sheets after these. ``said``: the words, which find
    their place when it is laid on its sheets. ``notes``: what the user should know of it. ``scale`` as ISO 5455 writes it,
    empty where nothing is drawn to scale; ``more_scale``: that of ``more``, if it is another. ``datum_fret``: the fret that
    a printed part lies against, where it says how sure its place is. ``counts_from``: what a long one is measured from, if
    that is not the nut.
    """

    drawing: Drawing
    document: str
    facts: str
    said: Instructions = field(default_factory=Instructions)
    more: tuple[Drawing, ...] = ()
    joined: Drawing | None = None
    long: bool = False
    notes: tuple[Note, ...] = ()
    scale: str = "1:1"
    more_scale: str | None = None
    datum_fret: int | None = None
    counts_from: str = ""


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

    def datum_fret(self, workup: Workup, options: Options) -> int | None:
        """The fret from which a part to cut places the bridge; None if it places none, or from elsewhere.

        Raises as `part` does.
        """
        if self.name not in FROM_A_FRET:
            return None
        fret: int | None = self._module.datum_fret(workup, options)
        return fret

    def part(self, workup: Workup, options: Options) -> Piece:
        """The part alone, for templates of `FOR_CUTTERS`. Raises as `draw` does, except `DoesNotFit` for the room."""
        piece: Piece = self._module.part(workup, options)
        return piece


def templates() -> dict[str, Template]:
    """All templates by name."""
    return {name: Template(name) for name in NAMES}


def chosen(names: Sequence[str], named_in: str = "template") -> tuple[str, ...]:
    """Names of templates, each once. Raises `InputFaults` for unknown ones; ``named_in``: the option that names them."""
    unknown = [name for name in names if name not in NAMES]
    if unknown:
        raise InputFaults([words.unknown_template(name, NAMES).at(Place(option=named_in)) for name in unknown])
    return tuple(dict.fromkeys(names))
