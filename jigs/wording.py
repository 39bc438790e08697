"""Signs, lists and columns, as every room writes them for people to read."""

import math
import re
from collections.abc import Iterable, Sequence

from geometry.lengths import MM_PER_INCH, round_half_up
from jigs.faults import printable

_FORMULAS = ("=", "+", "-", "@")
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?([eE][+-]?\d+)?", re.ASCII)


def signed(value: float, decimals: int) -> str:
    """A number with its sign, a true minus, none for zero.

    >>> signed(0.26, 1), signed(-5.0, 0), signed(-0.01, 1)
    ('+0.3', '−5', '0.0')
    """
    text = with_minus(value, decimals)
    return f"+{text}" if value > 0 and text.strip("0.") else text


def with_minus(value: float, decimals: int = 2) -> str:
    """A number with a true minus, without a plus.

    >>> with_minus(-0.62), with_minus(2.9, 1)
    ('−0.62', '2.9')
    """
    return round_half_up(value, decimals).replace("-", "−")


def as_sentence(text: str) -> str:
    """A text with a capital first, and a full stop if no other mark ends it.

    >>> as_sentence("still missing: a name"), as_sentence('did you mean "banjo"?')
    ('Still missing: a name.', 'Did you mean "banjo"?')
    """
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith(('.', '?', '!')) else '.'}"


def gauge_in_words(gauge_mm: float, wound: bool) -> str:
    """A gauge as string packets print it, in inches, a wound one with a w.

    >>> gauge_in_words(0.254, False), gauge_in_words(0.5588, True)
    ('.010', '.022w')
    """
    return in_thousandths(gauge_mm).lstrip("0") + ("w" if wound else "")


def in_columns(rows: Sequence[Sequence[str]], sides: str = ">") -> list[str]:
    """Rows of text in columns, each as wide as its widest cell.

    ``sides``: for each column, ``<`` if its cells are set to the left or ``>`` to the right; the last is also for the rest.

    >>> in_columns([("nut", "0.4 mm", "low"), ("fret 12", "12.0 mm", "as meant")], ">><")
    ['    nut   0.4 mm  low', 'fret 12  12.0 mm  as meant']
    """
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    forms = [f"{side}{width}" for side, width in zip(sides.ljust(len(widths), sides[-1]), widths, strict=True)]
    return ["  ".join(format(cell, form) for cell, form in zip(row, forms, strict=True)).rstrip() for row in rows]


def csv_text(rows: Iterable[Sequence[object]]) -> str:
    """Rows as CSV, a line each. A text that a spreadsheet would work out as a formula gets an apostrophe before it.

    >>> csv_text([("part", "mm"), ("nut, bone", 0.4), ("=1+2", "-0.62")]).splitlines()
    ['part,mm', '"nut, bone",0.4', "'=1+2,-0.62"]
    """
    import csv
    import io

    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(map(_cell, row) for row in rows)
    return text.getvalue()


def _cell(value: object) -> object:
    if not isinstance(value, str):
        return value
    text = printable(value)
    return f"'{text}" if text.startswith(_FORMULAS) and not _NUMBER.fullmatch(text) else text


def unbroken(text: str, *phrases: str) -> str:
    """A text in which no line ends within these phrases: a no-break space for every space in them.

    >>> unbroken("nut: 0.47 mm too short", " mm").split(" ")
    ['nut:', '0.47\\xa0mm', 'too', 'short']
    """
    for phrase in phrases:
        text = text.replace(phrase, phrase.replace(" ", "\N{NO-BREAK SPACE}"))
    return text


def round_up(value: float, decimals: int) -> str:
    """Decimal text that promises no more than it can keep.

    >>> round_up(0.041, 2), round_up(0.3, 1)
    ('0.05', '0.3')
    """
    return round_half_up(math.ceil(value * 10**decimals - 1e-6) / 10**decimals, decimals)


_NAMED, _EXACT = 3, 1e-6


def some_of(names: Sequence[str]) -> str:
    """Names, or the first few of many.

    >>> some_of(["a", "b", "c"]), some_of(["a", "b", "c", "d", "e"])
    ('a, b, c', 'a, b, c and 2 more')
    """
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    return f"{', '.join(names[:_NAMED])}{more}"


def in_thousandths(mm: float) -> str:
    """A gauge in inches, to a thousandth, or to a ten-thousandth where that is how the packet has it.

    >>> in_thousandths(0.254), in_thousandths(0.2413), in_thousandths(0.25)
    ('0.010', '0.0095', '0.010')
    """
    inches = mm / float(MM_PER_INCH)
    half_sizes = 2000 * inches
    is_half_size = abs(half_sizes - round(half_sizes)) < _EXACT and round(half_sizes) % 2
    return f"{inches:.{4 if is_half_size else 3}f}"


def in_inches(mm: float) -> str:
    """A gauge in a sentence.

    >>> in_inches(0.254)
    '0.010 in'
    """
    return f"{in_thousandths(mm)} in"


def listed(names: Sequence[str]) -> str:
    """Names in a sentence.

    >>> listed(["gauge"]), listed(["gauge", "head", "top"])
    ('gauge', 'gauge, head and top')
    """
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)


def in_a_shell(word: str) -> str:
    r"""A word as it is typed in a shell.

    >>> in_a_shell("mine.toml"), in_a_shell("my 2.toml"), print(in_a_shell(r"..\2.toml"))
    "..\2.toml"
    ('mine.toml', '"my 2.toml"', None)
    """
    plain = "".join(char if char.isprintable() else "?" for char in word)
    return f'"{plain}"' if {" ", "\\"} & set(plain) else plain
