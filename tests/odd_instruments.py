"""Twenty odd instruments of the village library: as many strings, feet, names and frets as sheets must put up with.

Each is the text of an instrument file. What it does not say is default.
"""

from functools import cache

from jigs.instrument.file import parse
from jigs.workup.work_up import work_up

FIVE = ("D4 .010", "B3 .012", "G3 .014", "D3 .022w", "G4 .010 5")
FOUR = ("A4 .010", "D4 .014", "G3 .022w", "C3 .030w")
HIGH = ("A5 .009", "D5 .012", "G4 .018", "C4 .024w")
LOW = ("D4 .010", "G3 .014", "C3 .022w", "F2 .030w")
PAIRS = ("E5 .011 pair", "A4 .015 pair", "D4 .026w pair", "G3 .040w pair")
SIX = ("E4 .012", "B3 .016", "G3 .024w", "D3 .032w", "A2 .042w", "E2 .052w")
TWELVE = (
    "E4 .010 pair", "D4 .011 pair", "B3 .013 pair", "A3 .014 pair", "G3 .016 pair", "E3 .020w pair",
    "D3 .024w pair", "C3 .026w pair", "B2 .028w pair", "A2 .032w pair", "G2 .036w pair", "E2 .042w pair",
)  # fmt: skip

SIXTY = "The school's second banjo with the cracked resonator, no. 12"
WIDE = "MANDOLIN WITH A WOVEN CASE FROM THE HALL, MENDED, No. 1207"
"""Names are at most sixty characters long; these fill two lines of a title block, or more."""

LONG_STEM = "a-file-whose-own-name-is-longer-than-a-line-of-any-title-block-and-ends-in-its-number-0031"


def _file(name, kind, strings, head="", **tables):
    """An instrument file; a string is its note and gauge, and ``pair`` or the fret that it starts at."""
    lines = [f'name = "{name}"', f'kind = "{kind}"', *head.strip().split("\n")]
    for string in strings:
        note, gauge, *more = string.split()
        lines += ["[[strings]]", f'note = "{note}"', f'gauge = "{gauge}"']
        lines += ["pair = true" if word == "pair" else f"starts_at_fret = {word}" for word in more]
    for table, keys in tables.items():
        lines += [f"[{table}]", *keys.strip().split("; ")]
    return "\n".join(lines) + "\n"


def _banjo(name, head='scale = "26 1/4 in"\nfrets = 22', **tables):
    return _file(name, "banjo", FIVE, head, **tables)


def _mandolin(name, head='scale = "13 7/8 in"\nfrets = 20', **tables):
    return _file(name, "mandolin", PAIRS, head, **tables)


ODD = {
    "one-string": _file(
        "One string", "other", ("A3 .016",), 'scale = "25 in"\nfrets = 15', bridge="length = 60.0; thickness = 8.0"
    ),
    "twelve-courses": _file(
        "Twelve courses",
        "other",
        TWELVE,
        'scale = "24 in"\nfrets = 14',
        nut="spacing = 78.0; pair_gap = 2.0",
        bridge="spacing = 110.0; length = 150.0",
        board="nut_width = 88.0; end_width = 105.0",
    ),
    "slanted": _banjo(
        "A bridge at fifteen degrees",
        nut="spacing = 25.0",
        found="treble = 666.8; bass = 675.4; plus_minus = 0.6; date = 2026-11-25",
    ),
    "small-as-a-ukulele": _file("Child's banjo", "banjo", HIGH, 'nut_to_fret_12 = "6 in"\nfrets = 15'),
    "long": _file("Long neck with few frets", "banjo", LOW, 'scale = "34 in"\nfrets = 12', action="fret_12 = 3.0"),
    "feet-153": _banjo("Feet of 153", bridge="length = 153.0"),
    "feet-154": _banjo("Feet of 154", bridge="length = 154.0"),
    "feet-160": _file("Feet of 160", "other", SIX, 'scale = "25 in"\nfrets = 20', bridge="length = 160.0"),
    "sixty": _banjo(SIXTY),
    "sixty-wide": _mandolin(WIDE),
    "greek": _banjo("Μπάντζο της βιβλιοθήκης 3"),
    "cyrillic": _mandolin("Мандолина библиотеки 4"),
    "arabic": _banjo("بانجو المكتبة"),
    "hebrew": _mandolin("מנדולינה של הספרייה 6", head='scale = "13 7/8 in"\nfrets = 20\nhand = "left"'),
    "japanese": _mandolin("図書館のマンドリン"),
    "left-handed": _banjo("Left-handed, zero fret", 'scale = "25 1/2 in"\nhand = "left"', nut="zero_fret = true"),
    "dulcimer": _file(
        "Lap dulcimer",
        "other",
        ("D4 .012", "A3 .014", "D3 .022w"),
        'scale = "27 in"\nfret_rule = [200, 400, 500, 700, 900, 1000, 1200, 1400, 1600, 1700, 1900, 2100, 2200, 2400]',
        action="fret_12 = 3.0",
    ),
    "24-frets": _mandolin("A board of 24 frets", 'scale = "13 7/8 in"\nfrets = 24', board="slot = 0.55"),
    "stepped-nut": _mandolin("Stepped at both ends", nut="steps = [0.0, 0.4, 0.0, 0.4]"),
    "fan": _file(
        "Wide as a fan",
        "other",
        SIX,
        'scale = "19 in"\nfrets = 12',
        nut="spacing = 40.0",
        bridge="spacing = 120.0; length = 145.0",
        board="nut_width = 46.0; end_width = 95.0",
    ),
    "bass-banjo": _file(
        "Cello banjo with a thick bridge",
        "banjo",
        ("A3 .020", "D3 .030w", "G2 .044w", "C2 .064w"),
        'scale = "24 in"\nfrets = 17',
        bridge="thickness = 14.0; length = 95.0; spacing = 58.0",
    ),
    "a-file-whose-own-name-is-longer-than-a-line-of-any-title-block-and-ends-in-its-number-0031": _mandolin(
        "Loan mandolin 31"
    ),
    "kept": _banjo(
        "Kept since November",
        found="treble = 669.7; bass = 671.4; plus_minus = 0.6; date = 2026-11-25; "
        'strings = "D4 .010, B3 .012, G3 .014, D3 .022w, G4 .010"',
    ),
    "on-a-rim": _banjo(
        "On its rim",
        rim='head = "11 in"; fret_12_to_near_edge = 157.0',
        bridge="feet = 3; foot = 12.0; height = 16.0",
        board="over_top = 8.0",
    ),
    "archtop": _file(
        "Archtop with heights",
        "other",
        SIX,
        'scale = "24 3/4 in"\nfrets = 20',
        top="arch_rise = 16.0; arch_span = 380.0; notches = 320.0",
        board="over_top = 14.0",
        bridge="height = 25.0; feet = 2; foot = 45.0",
    ),
}


@cache
def odd(stem, hand=None):
    """The workup of one of them; ``hand``: the hand that plays it, if not its file's."""
    text = ODD[stem]
    if hand is not None:
        text = text.replace('hand = "left"\n', "").replace("kind =", f'hand = "{hand}"\nkind =', 1)
    return work_up(parse(text.encode(), f"{stem}.toml"))
