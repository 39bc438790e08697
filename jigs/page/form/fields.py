"""Every field of the form: the key it fills in, and what it is called by people who build and play instruments."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, get_args

from geometry.bridge import BridgeFit
from geometry.compensation import Objective
from geometry.spacing import Spaced
from geometry.surface import ArchShape
from geometry.tolerance import Spread
from jigs.input.tables import Section
from jigs.instrument import keys
from jigs.templates.options import RimSide

Kind = Literal["text", "length", "number", "whole", "list", "choice", "check"]

_OF_A_STRING = re.compile(r"strings\.\d{1,2}\.(\w+)", re.ASCII)


@dataclass(frozen=True)
class Field:
    """One field. ``blank`` is what a choice says when the key is left out of the file; ``folded`` fields are out of view."""

    key: str
    label: str
    hint: str = ""
    kind: Kind = "length"
    choices: tuple[str, ...] = ()
    blank: str = "as usual"
    folded: bool = False


@dataclass(frozen=True)
class Group:
    """Fields that belong together; ``folded`` away at first if most people can leave them as they are."""

    name: str
    title: str
    fields: tuple[Field, ...]
    folded: bool = True


_SPACED = tuple(map(str, Spaced))
_SPREAD = Spread()


def _left_out(table: type[Section], key: str) -> str:
    """What counts when a field is left empty, from where the number is kept."""
    return f"left out: {table.model_fields[key].default:g}"


def _doubt(value: float, where: str = "") -> str:
    return f"plus or minus{where}; left out: {value:g}"


GROUPS = (
    Group(
        "instrument",
        "Instrument",
        (
            Field("name", "Name", "printed on every sheet", "text"),
            Field("kind", "Kind", "", "choice", get_args(keys.Kind), "not said: other"),
            Field("hand", "Hand", "", "choice", get_args(keys.Hand), "not said: right"),
            Field("scale", "Scale length", "26 1/4 in, or 666.8"),
            Field("nut_to_fret_12", "Nut to fret 12", "in place of the scale; half of it"),
            Field("frets", "Frets", "how many there are", "whole"),
            Field("action.nut", "String height at the nut", "over the line of the fret tops"),
            Field("action.fret_12", "String height at fret 12 (action)", "over the fret's top"),
        ),
        folded=False,
    ),
    Group(
        "neck",
        "Neck, touch and pitch",
        (
            Field("action.relief", "Relief", "hollow of the neck at fret 12"),
            Field("action.finger", "Finger behind the fret", "if it is to count; 5 is usual"),
            Field("pitch.a4", "A4 in Hz", _left_out(keys.Pitch, "a4"), "number"),
            Field("fret_crown_width", "Width of the fret wire", "across its bead, down at the board"),
        ),
    ),
    Group(
        "rule",
        "Frets that follow another rule",
        (
            Field("fret_rule", "Rule", "equal, eighteen, or cents with commas: 100, 200, …", "list"),
            Field("frets_measured", "Frets as measured", "from the nut, one for each fret: 33.7, 65.5, …", "list"),
            Field("wanted_cents", "Notes wanted, in cents", "if not equal steps: 100, 200, …", "list"),
        ),
    ),
    Group(
        "placing",
        "What the bridge is placed for",
        (
            Field("compensation.tune_to", "In tune for", "", "choice", tuple(map(str, Objective)), "not said: octave"),
            Field(
                "compensation.frets",
                "Frets that count",
                f"but for the octave; {_left_out(keys.Compensation, 'frets')}",
                "whole",
            ),
            Field(
                "compensation.bridge_fit",
                "Strings that a straight bridge follows",
                "",
                "choice",
                tuple(map(str, BridgeFit)),
                "not said: outer",
            ),
        ),
    ),
    Group(
        "bridge",
        "Bridge",
        (
            Field("bridge.spacing", "Outer strings apart", "centre to centre, on the bridge"),
            Field("bridge.length", "Length", "across the feet"),
            Field("bridge.thickness", "Thickness of the feet", "along the strings"),
            Field("bridge.face", "Crown line to the feet's nut side", "left out: half their thickness"),
            Field("bridge.crown", "Thickness of the crown", "along the strings"),
            Field("bridge.height", "Height", "crown over the head or top"),
            Field("bridge.feet", "Feet", f"how many; {_left_out(keys.Bridge, 'feet')}", "whole"),
            Field("bridge.foot", "Width of a foot", "along the bridge"),
            Field("bridge.spaced", "Equal from string to string", "", "choice", _SPACED, "not said: centres"),
            Field("bridge.pair_gap", "Within a pair", f"centre to centre; {_left_out(keys.Bridge, 'pair_gap')}"),
        ),
    ),
    Group(
        "nut",
        "Nut",
        (
            Field("nut.spacing", "Outer strings apart", "centre to centre, at the nut"),
            Field("nut.edge", "Edge of the board to the outer string", "to its outside; in place of the spacing"),
            Field("nut.spaced", "Equal from string to string", "", "choice", _SPACED, "not said: centres"),
            Field("nut.pair_gap", "Within a pair", f"centre to centre; {_left_out(keys.Nut, 'pair_gap')}"),
        ),
    ),
    Group(
        "board",
        "Fretboard",
        (
            Field("board.nut_width", "Width at the nut", "from edge to edge"),
            Field("board.end_width", "Width at its end", "or the one at fret 12"),
            Field("board.fret_12_width", "Width at fret 12", "in place of the one at its end"),
            Field("board.end", "Length", "from the nut to its end"),
            Field("board.over_top", "Fret tops over the head or top", "at the board's end"),
            Field("board.slot", "Width of a fret slot", "draws each as two lines; 0.55 is usual"),
            Field("board.dots", "Dots", "frets, with commas: 5, 7, 10, 12", "list"),
            Field("board.joint_fret", "Joint with the body", "at this fret", "whole"),
        ),
    ),
    Group(
        "tail",
        "String beyond nut and bridge",
        (
            Field("tail.afterlength", "Afterlength", "bridge to tailpiece"),
            Field("tail.headlength", "Nut to tuner", "the mean of all strings"),
            Field("tail.slip", "Slip", "0: the strings stick on nut and bridge, 1: they slip", "number"),
        ),
    ),
    Group(
        "rim",
        "Banjo head",
        (
            Field("rim.head", "Width of the head", "between the inside edges of its hoop"),
            Field("rim.fret_12_to_near_edge", "Fret 12 to the hoop's near edge", "inside, along the middle"),
            Field("rim.fret_12_to_far_edge", "Fret 12 to the hoop's far edge", "in place of the near one"),
        ),
    ),
    Group(
        "top",
        "Arched top",
        (
            Field("top.arch_rise", "Rise of the arch", "along the strings, over its span"),
            Field("top.arch_span", "Span of the arch", "along the strings"),
            Field("top.arch_middle", "Fret 12 to its highest point", "left out: it is at the bridge"),
            Field("top.arch", "Curve", "", "choice", tuple(map(str, ArchShape)), "not said: circular"),
            Field("top.notches", "Fret 12 to the f-hole notches", "to the line between them"),
        ),
    ),
    Group(
        "tolerance",
        "How well all of this is known",
        (
            Field("tolerance.scale", "Scale length", _doubt(_SPREAD.scale_mm)),
            Field("tolerance.action", "Action at fret 12", _doubt(_SPREAD.action_mm)),
            Field("tolerance.nut_height", "String height at the nut", _doubt(_SPREAD.nut_height_mm)),
            Field("tolerance.gauge", "Gauges", "plus or minus; left out: as the wire standard permits"),
            Field(
                "tolerance.modulus_percent",
                "Stiffness of the wire, in %",
                _doubt(100 * _SPREAD.modulus_share),
                "number",
            ),
            Field("tolerance.datum", "Sheet against its fret", _doubt(_SPREAD.datum_mm)),
            Field("tolerance.print_percent", "Size of the print, in %", _doubt(100 * _SPREAD.print_share), "number"),
            Field("tolerance.laying", "Laying the paper", _doubt(_SPREAD.laying_mm, ", along the neck")),
            Field("tolerance.slip_from", "Slip, from", f"0 to 1; left out: {_SPREAD.slip_from:g}", "number"),
            Field("tolerance.slip_to", "Slip, to", f"0 to 1; left out: {_SPREAD.slip_to:g}", "number"),
        ),
    ),
)
"""The fields of an instrument but for its strings, in the order in which people come to measure them."""

STRING_FIELDS = (
    Field("note", "Note", "D4, F#3", "text"),
    Field("gauge", "Gauge", "0.010 in"),
    Field("core", "Core", "if it is wound"),
    Field("wrap", "Wrap", "", "choice", get_args(keys.Wrap), "none: plain"),
    Field("pair", "Pair", "two equal strings", "check"),
    Field("starts_at_fret", "Starts at fret", "a banjo's fifth: 5", "whole", folded=True),
    Field("nut_height", "Height at its nut", "if it differs from the others", folded=True),
    Field("material", "Material", "", "choice", get_args(keys.Material), "not said: steel", folded=True),
    Field("unit_mass", "Mass", "0.398 g/m; left out: from the gauge", "text", folded=True),
    Field("modulus", "Modulus", "203 GPa; left out: its material's", "text", folded=True),
    Field("peg", "Own nut to its peg", f"of a short string; {_left_out(keys.StringEntry, 'peg')}", folded=True),
)
"""The fields of one string."""

DRAW_FIELDS = (
    Field("datum-fret", "Fret to register on", "left out: the drawing chooses", "whole"),
    Field("datum-over", "Lay the edge over the middle of that fret", "not against its bridge side", "check"),
    Field("datum-end", "Register on the end of the board", "not on a fret", "check"),
    Field("rim", "Side of the hoop to nest against", "", "choice", tuple(map(str, RimSide)), "the drawing chooses"),
    Field("kerf", "Kerf", "width that the cutter takes away"),
    Field("clearance", "Clearance of the notch", "over the fret's crown"),
    Field("corner", "Radius of the corners", ""),
    Field("web", "Web", "least stock beside a window"),
    Field("stock", "Thickness of the stock", "0.3 to 3"),
    Field("to-bridge", "Draw the strings on to the bridge line", "", "check"),
    Field("untiled", "One long sheet", "of its own size, not cut for the paper", "check"),
)
"""The fields of a drawing; which template takes notice of which is known where they are asked for."""

DRAW_KEYS = tuple(field.key for field in DRAW_FIELDS)


def _of_tables(fields: Iterable[Field]) -> dict[str, str]:
    firsts: dict[str, str] = {}
    for field in fields:
        table, dot, _ = field.key.partition(".")
        if dot:
            firsts.setdefault(table, field.key)
    return firsts


_OF_THE_INSTRUMENT = {field.key: field for group in GROUPS for field in group.fields}
_OF_ONE_STRING = {field.key: field for field in STRING_FIELDS}

BEGINS_WITH = _of_tables(_OF_THE_INSTRUMENT.values())
"""The first field of each table of the file, for a fault that blames the whole table."""


def kind_of(key: str) -> Kind | None:
    """The kind of an instrument's field by its key, None if there is no such field.

    >>> kind_of("action.nut"), kind_of("strings.4.pair"), kind_of("strings.4"), kind_of("colour")
    ('length', 'check', None, None)
    """
    of_string = _OF_A_STRING.fullmatch(key)
    field = _OF_ONE_STRING.get(of_string[1]) if of_string else _OF_THE_INSTRUMENT.get(key)
    return None if field is None else field.kind
