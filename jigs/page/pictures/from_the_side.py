"""Pictures from the side, along the strings: the nut is at the left."""

from jigs.drawing.items import Anchor, Circle, Drawing, Line, Path, Role, Text, drawing
from jigs.page import measure_words as words
from jigs.page.pictures.parts import (
    FRET_TOP,
    LETTERS_MM,
    across,
    along,
    board,
    box,
    frets,
    gap,
    label,
    nut,
    rule,
    wire,
)


def nut_to_fret_12() -> Drawing:
    """A rule on the frets, from the nut's front edge to the middle of fret 12."""
    front, octave = 12.0, 78.0
    return drawing(
        board(4.0, 41.0, 47.0, 88.0),
        nut(front),
        frets(26.0, 36.0, 56.0, 67.5, octave),
        rule(front, octave + 8.0, FRET_TOP - 5.0, FRET_TOP),
        along(front, octave, 12.0, "", (20.0, FRET_TOP)),
        label((front, 41.0), words.NUT),
        label((octave, 41.0), words.FRET_12),
    )


def height_at_fret_12() -> Drawing:
    """From the top of fret 12 to the underside of a string."""
    at, under = 45.0, 16.0
    return drawing(
        board(4.0, 86.0),
        frets(17.0, at, 71.0),
        wire((4.0, under + 2.2), (86.0, under - 2.2)),
        gap(at, under, FRET_TOP),
        label((at, 41.0), words.FRET_12),
    )


def height_at_nut() -> Drawing:
    """Left: the gap over fret 1. Right: a straightedge on frets 1 and 2, and the gap at the nut."""
    under = 18.0
    left = drawing(
        board(2.0, 38.0),
        nut(7.0, under),
        frets(26.0),
        wire((7.0, under), (38.0, under - 2.0)),
        gap(26.0, under - 1.2, FRET_TOP),
        label((26.0, 41.0), words.FRET_1),
    )
    right = drawing(
        board(49.0, 88.0),
        nut(55.0, under),
        frets(70.0, 82.0),
        Path((box(55.0, FRET_TOP - 2.6, 88.0, FRET_TOP),), Role.BAND, closed=True),
        Path((box(55.0, FRET_TOP - 2.6, 88.0, FRET_TOP),), Role.GUIDE, closed=True),
        wire((55.0, under), (88.0, under - 2.0)),
        gap(58.5, under - 0.2, FRET_TOP),
        Line((55.0, FRET_TOP), (60.0, FRET_TOP), Role.MARK),
        label((70.0, 41.0), words.FRET_1),
        label((82.0, 41.0), "2"),
    )
    return drawing(left, right, label((43.0, 28.0), words.OR))


def finger() -> Drawing:
    """From the side: a fingertip behind a fret."""
    fret, tip = 56.0, 36.0
    finger = ((tip - 8.0, 3.0), (tip - 5.5, FRET_TOP + 0.5), (tip + 5.5, FRET_TOP + 0.5), (tip + 8.0, 3.0))
    return drawing(
        board(4.0, 86.0),
        frets(16.0, fret),
        Path((finger,), Role.MARK, bulges=((0.0, -0.35, 0.0, 0.0),)),
        Path((((4.0, 18.0), (16.0, FRET_TOP), (tip, FRET_TOP + 1.4), (fret, FRET_TOP), (86.0, 17.0)),), Role.GUIDE),
        along(tip, fret, 14.0, "", (FRET_TOP + 1.0, FRET_TOP)),
        label((fret, 41.0), words.FRET),
        Line((fret - 26.0, FRET_TOP), (fret + 26.0, FRET_TOP), Role.CENTRE),
        across(74.0, FRET_TOP, FRET_TOP + 2.0, "", ()),
    )


def fret_wire() -> Drawing:
    """A fret from its end: the bead down at the board."""
    left, right, foot = 34.0, 56.0, 26.0
    return drawing(
        Path((((left, foot), (right, foot)),), Role.MARK, closed=True, bulges=((0.75, 0.0),)),
        Path((((43.0, foot), (43.0, 38.0), (47.0, 38.0), (47.0, foot)),), Role.FINE),
        (Line(start, end, Role.GUIDE) for start, end in (((8.0, foot), (43.0, foot)), ((47.0, foot), (82.0, foot)))),
        along(left, right, 12.0, "", (foot, foot)),
    )


def beyond() -> Drawing:
    """From the side: tuner, nut, bridge and tailpiece."""
    string = 14.0
    return drawing(
        Path(
            (((2.0, 24.0), (20.0, 20.0), (20.0, 24.0), (50.0, 24.0), (50.0, 26.5), (18.0, 26.5), (4.0, 30.0)),),
            Role.FINE,
            closed=True,
        ),
        Path((((50.0, 20.0), (86.0, 20.0), (86.0, 31.0), (50.0, 31.0)),), Role.FINE, closed=True),
        Path((((20.0, 20.0), (20.0, 17.0), (22.0, 17.0), (22.0, 24.0)),), Role.MARK),
        Path((((8.0, 22.6), (8.0, 18.0), (10.0, 18.0), (10.0, 22.2)),), Role.MARK),
        Path((((61.0, 20.0), (63.0, string), (64.0, string), (66.0, 20.0)),), Role.MARK, closed=True),
        Path((((82.0, 18.0), (86.0, 18.0), (86.0, 20.0)),), Role.MARK),
        wire((9.0, 18.0), (21.0, 17.0)),
        wire((21.0, 17.0), (64.0, string)),
        wire((64.0, string), (83.0, 18.0)),
        along(9.0, 21.0, 8.5, "", (18.0, 16.5)),
        along(64.0, 83.0, 8.5, "", (string, 18.0)),
        label((9.0, 36.0), words.TUNER),
        label((23.0, 36.0), words.NUT),
        label((60.0, 36.0), words.BRIDGE),
        label((78.0, 36.0), words.TAILPIECE),
    )


def arch() -> Drawing:
    """From the side, the nut at the left: the board's end over the top, the arch and its span."""
    base, rise, left, right = 30.0, 10.0, 26.0, 86.0
    bulge = 2 * rise / (right - left)
    return drawing(
        Path((((left, base), (right, base)),), Role.MARK, bulges=((bulge, 0.0),)),
        Line((left, base), (right, base), Role.PROVISIONAL),
        Path((((2.0, 14.0), (38.0, 14.0), (38.0, 18.0), (2.0, 18.0)),), Role.FINE, closed=True),
        Circle((8.0, 13.0), 0.9, Role.MARK),
        Text((9.5, 11.0), words.FRET_12, LETTERS_MM),
        along(8.0, 56.0, 3.5, words.HIGHEST, (13.0, base - rise), beside=True),
        across(38.0, 14.0, 23.9, "", ()),
        Text((36.0, 22.8), words.OVER_TOP, LETTERS_MM, Anchor.END),
        along(left, right, 35.0, words.SPAN, (base, base)),
        across(70.0, base - rise + 1.1, base, words.RISE, ()),
    )
