"""What the measuring part of the page says: words in its pictures, what each shows, and what makes the place surer."""

NUT, TAIL, OR, BRIDGE, TUNER, TAILPIECE = "nut", "tail", "or", "bridge", "tuner", "tailpiece"
FRET, FRET_1, FRET_12 = "fret", "fret 1", "fret 12"
LENGTH, THICKNESS, FACE, HEIGHT, CROWN = "length", "thickness", "to crown", "height", "crown"
OUTER, PAIR, EDGE = "centre to centre", "pair", "edge"
HEAD, NEAR, FAR = "head", "near edge", "far edge"
SPAN, RISE, OVER_TOP, HIGHEST, NOTCHES = "span", "rise", "over the top", "to the highest point", "notches"
FROM_NUT, FROM_FRET = "from the nut", "from a fret"
TEN_MM = "10 mm"
"""Words in the pictures, as few as they need."""

ALT_NUT_TO_FRET_12 = (
    "A rule lies on the frets. Its zero is at the nut's front edge, and you read it at the middle of fret 12."
)
ALT_HEIGHT_AT_FRET_12 = "From the side: the height goes from the top of fret 12 to the underside of the string."
ALT_HEIGHT_AT_NUT = (
    "From the side, two ways. Measure the gap between fret 1 and the open string. "
    "Or lay a straightedge on frets 1 and 2, and measure from it to the string at the nut."
)
ALT_FRET_WIRE = "A fret from its end: its width is across the bead, down at the board."
ALT_FINGER = "From the side: the distance goes from the middle of your fingertip to the fret in front of it."
ALT_BRIDGE = (
    "Across the strings: the length goes over feet or base. From the side: the thickness of feet or base, and from its nut "
    "side to the crown line. The strings bear on that line."
)
ALT_STEPS = (
    "From above: a rule lies along the crown. Each string bears before or behind it: "
    "plus is towards the tailpiece, minus towards the nut."
)
ALT_WRAP_TURNS = "A wound string beside a rule: count the turns of its wrap along 10 mm."
ALT_BEYOND = "From the side: one length goes from the tuner to the nut, the other from the bridge to the tailpiece."
ALT_SPACING = (
    "Across the strings: the spacing goes from the centre of one outer string to the centre of the other. "
    "A pair's goes from centre to centre too. The edge's goes from the board's edge to the outside of the string."
)
ALT_HEAD = (
    "From above: the head's width lies between the inside edges of the tension hoop. From fret 12 you measure "
    "along the middle, to the near edge or to the far one."
)
ALT_ARCH = (
    "From the side: the arch rises over its span, and its highest point is measured from fret 12. "
    "At the board's end, measure from the top to the fret tops."
)
ALT_NOTCHES = "From above: from fret 12 to the line between the notches of both f-holes."
ALT_FOUND = "From above: the crown line from the nut, or the nut side of feet or base from a fret."
"""What each picture shows, for people who do not see it."""

MEASURE_THE_PRINTER = "Measure your printer"
COUNT_THE_TURNS = "Count the turns of the wrap"
FIND_BY_EAR = "Find the place by ear"
CUT_A_GAUGE = "Cut a gauge"
"""What makes a part of the ± smaller, where it is not a field beside it."""


def whole(end: str, mm: str) -> str:
    """What the parts are parts of.

    >>> whole("bass", "2.6")
    '± 2.6 mm (95%) at the bass end'
    """
    return f"± {mm} mm (95%) at the {end} end"


def part(mm: str, of_mm: str) -> str:
    """A part of the ±, beside the field that makes it smaller.

    >>> part("0.8", "2.6"), part("under 0.1", "2.6"), part("0.0", "2.6")
    ('± 0.8 mm of 2.6', '± under 0.1 mm of 2.6', '± 0 mm of 2.6')
    """
    return f"± {'0' if mm == '0.0' else mm} mm of {of_mm}"
