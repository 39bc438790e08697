"""What is usual: defaults for what is not in an instrument file, and plausible ranges.

All of it is common practice, from memory, without a source. None of it replaces a measurement.
"""

from typing import Any

from geometry.lengths import MM_PER_INCH

_INCH = float(MM_PER_INCH)
_COUNTED_OVER_MM = 10.0

KIND_DEFAULTS: dict[str, dict[str, Any]] = {
    "banjo": {
        "frets": 22,
        "fret_crown_width": 1.8,
        "action": {"nut": 0.5, "fret_12": 3.0},
        "nut": {"spacing": 25.0},
        "board": {"nut_width": 31.8},
        "bridge": {"spacing": 43.0, "length": 72.0, "thickness": 7.5, "crown": 2.5},
        "tail": {"afterlength": 70.0, "headlength": 90.0},
    },
    "mandolin": {
        "frets": 20,
        "fret_crown_width": 1.6,
        "action": {"nut": 0.4, "fret_12": 1.6},
        "nut": {"spacing": 23.0},
        "board": {"nut_width": 30.0},
        "bridge": {"spacing": 40.0, "length": 108.0, "thickness": 11.0, "crown": 6.0},
        "tail": {"afterlength": 95.0, "headlength": 75.0},
    },
    "other": {
        "frets": 20,
        "fret_crown_width": 2.2,
        "action": {"nut": 0.5, "fret_12": 2.2},
        "nut": {"spacing": 36.0},
        "board": {"nut_width": 43.0},
        "bridge": {"spacing": 52.0, "length": 150.0, "thickness": 12.0, "crown": 7.0},
        "tail": {"afterlength": 130.0, "headlength": 110.0},
    },
}
"""Defaults of each kind of instrument, under the keys of the instrument file. ``fret_crown_width`` is 1.3 to 2 mm on
banjos and mandolins, across the bead and down at the board."""

USUAL_SCALES_MM = {"banjo": (13 * _INCH, 33 * _INCH), "mandolin": (13 * _INCH, 27 * _INCH)}
"""A scale outside these is more often misread than real: banjo-ukulele to long-neck banjo, mandolin to bouzouki."""

SLACK_N = 30.0
"""Strings that pull less than this on average are on half of their scale: a quarter of the usual pull."""

CORE_SHARE, CORE_FROM_SHARE, CORE_TO_SHARE = 0.475, 0.40, 0.55
"""Core of a wound string that nobody measured, as a share of its gauge: what to compute with, and what is plausible."""

CORE_ERROR_SHARE = (CORE_TO_SHARE - CORE_FROM_SHARE) / 12**0.5
"""Standard deviation of that range, even odds within it."""

TURNS_ERROR_SHARE = 0.01
"""Standard deviation of a core that was worked out from the turns in 10 mm, as a share of the gauge."""

LEAST_CORE_SHARE, MOST_CORE_SHARE = 0.2, 0.95
"""Turns that leave a core outside these were miscounted."""

USUAL_WRAPS = {"banjo": "nickel-plated steel", "mandolin": "phosphor bronze", "other": "phosphor bronze"}
"""What the wound strings of each kind are mostly wrapped with."""

STANDS_ON = {"banjo": "feet", "mandolin": "base", "other": "base"}
"""What a bridge of each kind stands on, as its players call it."""

STRAIGHT_SADDLE_IS_RARE = ("mandolin", "other")
"""Kinds whose bridges mostly have a stepped saddle, as those of mandolins and archtop guitars; on others ask. The file
says of a straight one that all of its steps are 0."""

WARN_AT_STRENGTH_RATIO = 0.8
"""A string above this share of its least breaking load is likely to break while it is tuned."""

WARN_AT_TENSION_N, MOST_TENSION_N = 250.0, 1000.0
"""A string of these instruments pulls 30 to 150 N. Beyond these limits a gauge or a note was misread."""

SLACK_STRING_N = {"steel": 30.0, "nylon": 12.0}
"""A string that pulls less is more often a slip than real."""

TIGHT_NYLON_N = 110.0
"""A nylon string that pulls more is more often a slip than real; steel: see `WARN_AT_TENSION_N`."""

UNLIKE_THE_OTHERS = 2.0
"""Strings of one instrument pull about alike. One that pulls so many times what the others do, or one part in so many of it,
has a slip in its note, octave, gauge or core."""

USUAL_ACTION_MM = {
    "banjo": (1.8, 4.3, 26.25 * _INCH),
    "mandolin": (1.0, 2.7, 13.875 * _INCH),
    "other": (1.3, 3.7, 25 * _INCH),
}
"""Lowest and highest usual action at fret 12, and the scale at which it is: a longer string swings wider, so that both grow
with the root of the scale."""

MOST_NUT_MM = {"banjo": 0.8, "mandolin": 0.75, "other": 1.25}
"""Height at the nut, over the fret tops, on the scales of `USUAL_ACTION_MM`. A nut that is higher is uncut, or was measured
down to the board."""

USUAL_THICKNESS_MM = {"banjo": (4.5, 12.0), "mandolin": (6.0, 17.0), "other": (4.0, 18.0)}
USUAL_THICKNESS_SHARE = 1 / 20, 1 / 4.5
"""Feet or base along the strings, and as a share of their length across."""

LEAST_FACE_SHARE = 0.3
"""The crown of a bridge stands over the middle of its feet, or nearer their tail side; rarely nearer their nut side."""

USUAL_SPACING_RATIO = 0.85, 2.5
"""Outer strings at the bridge, as a multiple of those at the nut."""

MOST_BEYOND_SHARE = 0.6
"""String beyond nut or bridge, as a share of the scale: more is a slip."""

LEAST_FINGER_MM = 3.0
"""A finger that is not right at the fret presses farther behind it."""

USUAL_CORE_SHARE = 0.33, 0.7
"""Core of a wound string as a share of its gauge: 0.4 to 0.6 in use."""

USUAL_STEP_MM = {"banjo": 3.2, "mandolin": 1.8, "other": 1.8}
"""Farthest that a string bears from the crown line on a stepped saddle or crown."""

LEAST_STEP_MM, READ_TO_MM = 0.2, 0.1
"""Steps are read to tenths. A smaller step with more digits was written in other units, or ten times too small."""

WARN_AT_SETBACK_SHARE = 0.032
"""A setback beyond this share of the string comes from a slack or very thick string, or from a wrong measurement. The C2 of
a cello banjo needs nearly as much."""

ASK_AT_SETBACK_SHARE = 0.015
"""From this share on, ask of a string that is thick for a plain one whether it is wound: the w is soon forgotten."""

STEEP_SLANT_DEG = 11.0
"""A bridge that slants more is more often a slip in the file than real."""

WOUND_FROM_MM = 0.018 * _INCH
"""Steel strings from this gauge up are mostly wound. Common practice, no source."""


def core_from_turns_mm(gauge_mm: float, turns: float) -> float:
    """Core of a closely wound string with so many turns in 10 mm: the gauge less two wraps, each 10 mm / turns.

    >>> round(core_from_turns_mm(1.016, 40), 3)
    0.516
    """
    return gauge_mm - 2 * _COUNTED_OVER_MM / turns


def turns_for_core(gauge_mm: float, core_mm: float) -> float:
    """The turns in 10 mm that leave such a core."""
    return 2 * _COUNTED_OVER_MM / (gauge_mm - core_mm)


_BANJO_DOTS = (5, 7, 10, 12, 15, 17)

DOTS = {"banjo": _BANJO_DOTS, "mandolin": _BANJO_DOTS, "other": (3, 5, 7, 9, 12, 15, 17)}
"""Frets with a position dot before them. Banjos often have 19 and 22 too; a guitar has 9 instead of 10."""

DOT_DIAMETER_MM = 6.0

STRING_TO_EDGE_MM = 3.0
"""From the outside of an outer string to the edge of the board, where the board's width is not in the file."""

NEAR_EDGE_MM = 1.5
"""A string whose outside is nearer to the edge of the board is easily pulled off the frets."""

SHORT_STRING_PEG_MM = 19.0
"""From the short string's own nut to its peg in the side of the neck, towards the nut: 3/4 in."""

BOARD_BEYOND_LAST_FRET = 0.5
"""How far the board reaches behind the last fret, in steps to the fret that would follow."""

HEAD_DIAMETER_MM = 11 * _INCH

MIDDLE_SHARE_OF_HEAD = 2 / 3
"""A banjo bridge belongs within this middle share of the head's diameter; nearer the rim it sounds thin."""

PAIR_GAP_NUT_MM = 2.0
PAIR_GAP_BRIDGE_MM = 2.5
"""Centre to centre within a pair of strings."""
