"""Pictures from above, and across the strings."""

from jigs.drawing.items import Anchor, Circle, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.page import measure_words as words
from jigs.page.pictures.parts import (
    LETTERS_MM,
    across,
    along,
    between,
    box,
    label,
    rule,
    wire,
)


def bridge() -> Drawing:
    """Left: across the strings. Right: from the side, the nut at the left."""
    top, foot = 13.0, 31.0
    legs = (36.0, foot), (33.0, foot), (29.0, 23.0), (25.0, foot), (13.0, foot), (9.0, 23.0), (5.0, foot), (2.0, foot)
    front = (*legs, (5.0, 19.0), (6.0, top), (32.0, top), (33.0, 19.0))
    side = (62.0, foot), (66.0, top), (70.0, top), (74.0, foot)
    return drawing(
        Path((front,), Role.MARK, closed=True),
        (Circle((x, top - 0.7), 0.7, Role.GUIDE) for x in (9.0, 16.0, 22.5, 29.0)),
        Line((0.5, foot), (38.0, foot), Role.FINE),
        along(2.0, 36.0, 36.0, words.LENGTH, (foot, foot)),
        Path((side,), Role.MARK, closed=True),
        Line((54.0, foot), (88.0, foot), Role.FINE),
        wire((54.0, top - 1.0), (68.0, top)),
        wire((68.0, top), (84.0, top + 4.0)),
        Line((68.0, top - 2.5), (68.0, foot + 1.0), Role.CENTRE),
        along(62.0, 68.0, 26.0, "", (foot, foot)),
        Text((60.0, 28.0), words.FACE, LETTERS_MM, Anchor.END),
        along(62.0, 74.0, 36.0, words.THICKNESS, (foot, foot)),
        across(83.5, top, foot, "", (70.0, 78.0)),
        Text((88.5, foot - 3.0), words.HEIGHT, LETTERS_MM, angle_deg=-90.0),
        along(66.0, 70.0, 6.5, words.CROWN, (top, top)),
    )


def steps() -> Drawing:
    """From above, the nut at the top: a rule along the crown, and where each string bears."""
    line, places = 22.0, ((12.0, -4.8, "−1.2"), (29.0, 4.8, "+1.2"), (46.0, -2.4, "−0.6"), (63.0, 4.0, "+1.0"))
    items: list[Item] = [Path((box(4.0, line - 11.0, 78.0, line + 11.0),), Role.FINE, closed=True)]
    for x, off, figure in places:
        items += [
            Line((x, 4.0), (x, 40.0), Role.FINE),
            Line((x - 5.5, line + off), (x + 5.5, line + off), Role.MARK),
            Circle((x, line + off), 0.9, Role.MARK),
            Text((x + 1.5, line + off + (4.6 if off > 0 else -1.6)), figure, LETTERS_MM),
        ]
    return drawing(
        items,
        Line((2.0, line), (80.0, line), Role.MARK),
        Text((82.0, line + 1.2), "0", LETTERS_MM),
        label((84.0, 7.0), words.NUT),
        label((84.0, 41.0), words.TAIL),
        between((84.0, line + 3.5), (84.0, 36.0), True),
        Text((85.5, 31.0), "+", LETTERS_MM),
    )


def wrap_turns() -> Drawing:
    """A wound string and ten millimetres of a rule, much enlarged."""
    left, right, turns, high, low = 12.0, 78.0, 15, 10.0, 18.0
    step = (right - left) / turns
    edges = [left + n * step for n in range(-2, turns + 3)]
    rings: list[Item] = [
        Path(
            (((x, low), (x, high), (x + step, high), (x + step, low)),),
            Role.GUIDE,
            closed=True,
            bulges=((0, 0.6, 0, 0.6),),
        )
        for x in edges[:-1]
    ]
    counted = [
        Text((left + (n + 0.5) * step, high - 2.4), f"{n + 1}", LETTERS_MM, Anchor.MIDDLE) for n in (0, 1, 2, 3)
    ] + [Text((right - 0.5 * step, high - 2.4), f"{turns}", LETTERS_MM, Anchor.MIDDLE)]
    dots = [Circle((left + x * step, high - 3.6), 0.3, Role.MARK) for x in (5.5, 8.5, 11.0)]
    return drawing(
        rings,
        (Line((0.5, y), (edges[0], y), Role.FINE) for y in (12.0, 16.0)),
        (Line((edges[-1], y), (89.5, y), Role.FINE) for y in (12.0, 16.0)),
        counted,
        dots,
        rule(left, right + 5.0, 21.0, 28.0, (right - left) / 10),
        along(left, right, 34.0, words.TEN_MM, (low, low)),
    )


def spacing() -> Drawing:
    """Across the strings: the outer ones from centre to centre, a pair beside them, and the board's edge."""
    top = 24.0
    strings = (14.0, 27.0, 40.0, 53.0)
    return drawing(
        Path((((6.0, 34.0), (6.0, top), (86.0, top), (86.0, 34.0)),), Role.FINE),
        (Circle((x, top - 1.5), 1.5, Role.MARK) for x in (*strings, 74.0, 80.0)),
        (Line((x, top - 4.0), (x, top + 1.0), Role.FINE) for x in (strings[0], strings[-1])),
        along(strings[0], strings[-1], 12.0, words.OUTER, (top - 4.0, top - 4.0)),
        along(74.0, 80.0, 12.0, words.PAIR, (top - 1.5, top - 1.5)),
        along(6.0, 12.6, 39.0, words.EDGE, (34.0, top - 1.5)),
    )


def head() -> Drawing:
    """From above, the nut at the left: the neck, the tension hoop's inside edge."""
    middle, near, far, fret = 20.0, 40.0, 76.0, 14.0
    centre = (near + far) / 2
    return drawing(
        Circle((centre, middle), (far - near) / 2, Role.MARK),
        Circle((centre, middle), (far - near) / 2 + 1.6, Role.FINE),
        Path((((2.0, middle - 3.5), (38.0, middle - 4.5)), ((2.0, middle + 3.5), (38.0, middle + 4.5))), Role.FINE),
        (Line((x, middle - 4.0), (x, middle + 4.0), Role.FINE) for x in (6.0, 21.0, 27.0, 32.5)),
        Line((fret, middle - 4.0), (fret, middle + 4.0), Role.MARK),
        label((fret, middle - 6.5), words.FRET_12),
        along(fret, near, 31.0, words.NEAR, (middle + 4.0, middle)),
        along(fret, far, 41.0, words.FAR, (middle + 4.0, middle), beside=True),
        between((centre, middle - 18.0), (centre, middle + 18.0)),
        label((centre + 8.0, middle + 1.5), words.HEAD),
    )


def notches() -> Drawing:
    """From above, the nut at the left: both f-holes, and the line between their notches."""
    middle, line, fret = 21.0, 72.0, 14.0
    holes = [
        Path(
            (
                (
                    (62.0, middle + s * 9.0),
                    (67.0, middle + s * 11.0),
                    (77.0, middle + s * 13.0),
                    (82.0, middle + s * 15.0),
                ),
            ),
            Role.MARK,
        )
        for s in (-1, 1)
    ]
    eyes = [Circle((x, middle + s * y), 1.3, Role.MARK) for s in (-1, 1) for x, y in ((61.5, 10.3), (82.0, 13.7))]
    notch = [Line((line, middle + s * 10.8), (line, middle + s * 13.0), Role.MARK) for s in (-1, 1)]
    return drawing(
        holes,
        eyes,
        notch,
        Line((line, middle - 15.0), (line, middle + 15.0), Role.CENTRE),
        Path((((2.0, middle - 4.0), (46.0, middle - 5.0), (46.0, middle + 5.0), (2.0, middle + 4.0)),), Role.FINE),
        (Line((x, middle - 4.5), (x, middle + 4.5), Role.FINE) for x in (6.0, 21.0, 28.0, 33.5, 39.0)),
        Line((fret, middle - 4.3), (fret, middle + 4.3), Role.MARK),
        label((fret, middle - 7.0), words.FRET_12),
        along(fret, line, middle, "", ()),
        label((72.0, 43.0), words.NOTCHES),
    )


def found() -> Drawing:
    """From above, the nut at the left: the crown from the nut, and the feet from a fret."""
    middle, crown, face, fret = 22.0, 76.0, 72.5, 40.0
    return drawing(
        Path(
            (((8.0, middle - 6.0), (56.0, middle - 8.0), (56.0, middle + 8.0), (8.0, middle + 6.0)),),
            Role.FINE,
            closed=True,
        ),
        Line((8.0, middle - 6.5), (8.0, middle + 6.5), Role.MARK),
        (Line((x, middle - 6.5), (x, middle + 6.5), Role.FINE) for x in (20.0, 31.0, 47.5)),
        Line((fret, middle - 7.3), (fret, middle + 7.3), Role.MARK),
        Path((box(face, middle - 15.0, face + 7.0, middle + 15.0),), Role.MARK, closed=True),
        Line((crown, middle - 17.0), (crown, middle + 17.0), Role.CENTRE),
        (Line((8.0, middle + s * 4.5), (88.0, middle + s * 9.5), Role.FINE) for s in (-1, 1)),
        along(8.0, crown, 4.0, words.FROM_NUT, (middle - 7.0, middle - 17.0), beside=True),
        along(fret + 0.7, face, 41.0, words.FROM_FRET, (middle + 8.0, middle + 15.0), beside=True),
    )
