"""Every template and every option of a drawing, declared once.

The command line's options and help, the rack's options, the page's fields and the note on an option without effect all come
from here. `jigs draw --help` loads this module, so it imports nothing heavy.
"""

from enum import StrEnum
from typing import Literal, NamedTuple


class TemplateEntry(NamedTuple):
    """A template: its name on the command line, a title for lists and a description for help.

    ``from_stock``: a part to cut, whose SVG and DXF hold the part alone. ``for_cutters``: it has a DXF. ``in_kit``: its
    parts belong to the kit of an instrument. ``kit_flag``: an option that it has there, if the instrument allows it.
    """

    name: str
    title: str
    description: str
    from_stock: bool = False
    for_cutters: bool = False
    in_kit: bool = False
    kit_flag: str = ""


TEMPLATES = (
    TemplateEntry(
        "fork",
        "paper jig to place the bridge",
        "Paper jig: lies against a fret and shows the bridge's place.",
    ),
    TemplateEntry(
        "fretboard",
        "slots, dots and strings",
        "Fret slots, dots and strings at true size.",
        for_cutters=True,
    ),
    TemplateEntry("spacing", "rules for nut and bridge", "String spacing rules for nut and bridge."),
    TemplateEntry("crown", "where each string bears on the bridge", "Where each string bears on top of the bridge."),
    TemplateEntry(
        "setup-card", "steps and figures for setting up by ear or tuner", "Steps for setting up by ear or tuner."
    ),
    TemplateEntry(
        "gauge",
        "the fork to cut from stock",
        "The fork as a part to cut from stock.",
        from_stock=True,
        for_cutters=True,
        in_kit=True,
        kit_flag="wedges",
    ),
    TemplateEntry(
        "head",
        "from a banjo's tension hoop, to cut from stock",
        "Banjo: a part to cut for the head, against the tension hoop.",
        from_stock=True,
        for_cutters=True,
    ),
    TemplateEntry(
        "top",
        "on an arched top, to cut from stock",
        "Mandolin and archtop: a part to cut that lies on the arched top.",
        from_stock=True,
        for_cutters=True,
    ),
    TemplateEntry(
        "measure",
        "aids that measure heights, scale, wrap turns, steps and slant",
        "Aids to measure what the file asks, to glue on card or to cut.",
        from_stock=True,
        for_cutters=True,
        in_kit=True,
    ),
    TemplateEntry(
        "blank",
        "pattern for a new bridge",
        "Pattern for a new bridge: outlines, slots, steps and heights.",
        from_stock=True,
        for_cutters=True,
        in_kit=True,
    ),
    TemplateEntry(
        "witness",
        "tags that mark where the bridge stands",
        "Two tags against the bridge, so that a moved bridge goes back.",
        from_stock=True,
        for_cutters=True,
        in_kit=True,
    ),
)
"""All templates, in the order of every list."""

NAMES = tuple(entry.name for entry in TEMPLATES)

IN_WORDS = {entry.name: entry.title for entry in TEMPLATES}
"""What each template is, by its name."""

CUT_FROM_STOCK = frozenset(entry.name for entry in TEMPLATES if entry.from_stock)
"""Templates that are a part to cut: their SVG and DXF hold the part alone, for a cutter."""

FOR_CUTTERS = frozenset(entry.name for entry in TEMPLATES if entry.for_cutters)
"""Templates that have a DXF. The fretboard's holds the whole board, however long."""

KIT = tuple(entry.name for entry in TEMPLATES if entry.in_kit)
"""Templates whose parts make up the kit of an instrument."""

KIT_FLAGS = {entry.name: entry.kit_flag for entry in TEMPLATES if entry.kit_flag}
"""The option that a template has in a kit."""

KIT_SHEET = "600x300"
"""The sheet of stock for a kit, if none is given: a size that thin ply and acrylic are sold in."""


class RimSide(StrEnum):
    """The side of a banjo's rim that the head template nests against."""

    NUT = "nut"
    TAIL = "tail"


class DrawOption(NamedTuple):
    """An option of a drawing, by its name on the command line without hyphens.

    ``help`` says what it sets, for the command line; ``label`` and ``hint`` do so beside its field on the page.
    ``templates``: those that use it. ``default``: what counts if it is not given. ``metavar`` is click's word for a value.
    ``unit`` follows ``help``; it is empty if ``help`` says it.
    """

    name: str
    kind: Literal["length", "flag", "fret", "choice"]
    help: str
    templates: tuple[str, ...]
    label: str
    hint: str = ""
    metavar: str | None = None
    unit: str = ""
    default: str = ""
    choices: tuple[str, ...] = ()

    @property
    def full_help(self) -> str:
        """The templates that use it, what it sets, and its unit.

        >>> next(option.full_help for option in OPTIONS if option.name == "stock")
        'Gauge: thickness of the stock, 0.3 to 3 mm.'
        """
        users = ", ".join(self.templates).capitalize()
        unit = f", in {self.unit}" if self.unit else ""
        return f"{users}: {self.help}{unit}."


COMPUTED = "computed"
"""The option that ignores a place that was found by ear."""


def _of_cutter(
    name: str, words: str, default: str, label: str, hint: str, *templates: str, unit: str = "mm"
) -> DrawOption:
    """A length that the user's settings for a cutter may hold too."""
    return DrawOption(
        name,
        "length",
        words,
        templates or ("gauge", "head", "top", "measure"),
        label,
        hint,
        metavar="LENGTH",
        unit=unit,
        default=f"your settings, or {default} mm",
    )


_WITH_A_LINE = tuple(name for name in NAMES if name not in ("spacing", "measure"))
"""Templates that draw the bridge line."""

OPTIONS = (
    DrawOption(
        "datum-fret",
        "fret",
        "fret that the jig lies against",
        ("fork", "setup-card", "gauge", "top", "witness"),
        "Fret that the jig lies against",
        "empty: the drawing chooses",
        metavar="FRET",
        default="fork: lowest from the octave up that fits the paper; gauge, top, witness: last",
    ),
    DrawOption(
        "datum-over",
        "flag",
        "lay its edge over the middle of that fret, not against its bridge side",
        ("fork", "setup-card"),
        "Lay the edge over the middle of that fret",
        "not against its bridge side",
    ),
    DrawOption(
        "datum-end",
        "flag",
        "lay it against the end of the board, not against a fret",
        ("top",),
        "Lay it against the end of the board",
        "not against a fret",
    ),
    DrawOption(
        "rim",
        "choice",
        "side of the tension hoop that it nests against, nut or tail",
        ("head",),
        "Side of the tension hoop to nest against",
        metavar="SIDE",
        default="the nearer side",
        choices=tuple(map(str, RimSide)),
    ),
    DrawOption(
        "wedges",
        "flag",
        "with two wedges that set either end to a cent",
        ("gauge",),
        "Set it with wedges",
        "two more parts, with a scale of cents",
    ),
    _of_cutter(
        "kerf",
        "width that the cutter removes",
        "0",
        "Kerf",
        "width that the cutter removes",
        *(entry.name for entry in TEMPLATES if entry.from_stock),
    ),
    _of_cutter(
        "clearance",
        "how much wider its notch is than the fret's crown",
        "0.1",
        "Clearance of the notch",
        "how much wider than the fret's crown",
        "gauge",
    ),
    _of_cutter(
        "corner",
        "radius of the corners",
        "1",
        "Radius of the corners",
        "",
        "gauge",
        "head",
        "top",
        "measure",
        "witness",
    ),
    _of_cutter(
        "web",
        "least width of stock left beside an opening",
        "3",
        "Web",
        "least width of stock left beside an opening",
    ),
    _of_cutter(
        "stock", "thickness of the stock, 0.3 to 3 mm", "0.5", "Thickness of the stock", "0.3 to 3 mm", "gauge", unit=""
    ),
    DrawOption(
        "to-bridge",
        "flag",
        "draw the strings as far as the bridge line",
        ("fretboard",),
        "Draw the strings as far as the bridge line",
    ),
    DrawOption(
        "untiled",
        "flag",
        "one long sheet of its own size, if the paper would cut it in pieces",
        ("fork", "fretboard", "gauge", "head", "top"),
        "One long sheet",
        "of its own size, if the paper would cut it in pieces",
    ),
    DrawOption(
        COMPUTED,
        "flag",
        "use the computed line, although a place was found by ear",
        _WITH_A_LINE,
        "Draw the computed line",
        "although a place was found by ear",
    ),
    DrawOption(
        "sure",
        "flag",
        "draw a bridge line that slants by more than 11°",
        _WITH_A_LINE,
        "The slant is right",
        "draw it although it is more than 11°",
    ),
)
"""Options that only some templates use, in the order of every list."""

IDLE_WITHOUT = {option.name: option.templates for option in OPTIONS}
"""The templates that use each option; it has no effect on others."""

LENGTHS = tuple(option.name for option in OPTIONS if option.kind == "length")
"""The lengths of a cutter that may also be given for one drawing."""
