"""What you read when a value, a table or a text cannot be used."""

import math
from collections.abc import Iterable
from pathlib import Path

from geometry.lengths import MM_PER_INCH, LengthError, comma_meanings, format_inches, round_half_up
from geometry.strings import NoteError
from jigs.faults import Key, Says, Words, did_you_mean, either, nearest, plain_value, printable

FRACTION_WITHOUT_UNIT = "length-fraction-without-unit"
"""The code of a fault that a file may have in every line."""

_UNITS = "mm, cm, in or ft"
_LONGEST_QUOTE = 20
_UNITS_IN_WORDS = {"in": "inches", "cm": "centimetres", "thou": "thousandths of an inch"}


def shown(value: object) -> str:
    """What the user wrote, shortened for a quotation."""
    if isinstance(value, dict | list):
        return "a table" if isinstance(value, dict) else "a list"
    text = f'"{value}"' if isinstance(value, str) else str(value)
    text = text.lower() if isinstance(value, bool) else text
    return text if len(text) <= 42 else f"{text[:40]}…"


def _mm(mm: float) -> str:
    return round_half_up(mm, 2).rstrip("0").rstrip(".")


def _allowed(low: float, high: float) -> str:
    return f"write a length from {low:g} to {high:g} mm"


def _allowed_also_in_inches(low: float, high: float) -> str:
    inches = inches_between(low, high)
    return f"{_allowed(low, high)} ({inches})" if inches else _allowed(low, high)


def inches_between(low: float, high: float, denominator: int = 64) -> str:
    """The least and the largest inch fraction between two lengths in mm; empty if there are not two, or one is negative.

    >>> inches_between(0.5, 30), inches_between(0, 0.2)
    ('1/32 in to 1 11/64 in', '')
    """
    part = float(MM_PER_INCH) / denominator
    least, most = (count(mm / part) * part for count, mm in ((math.ceil, low), (math.floor, high)))
    return f"{format_inches(least, denominator)} to {format_inches(most, denominator)}" if 0 <= least < most else ""


# ---- quantities


def quoted(text: str) -> str:
    """A text in quotes that it does not hold itself.

    >>> print(quoted("5 furlongs"), quoted('5" x'))
    "5 furlongs" '5" x'
    """
    return f"'{text}'" if '"' in text else f'"{text}"'


def typed(text: str) -> str | Key:
    """A value to write, as a part of a sentence: in quotes for a file, and alone where it is typed into a field.

    >>> typed("35 in")
    Key(table='', key='', example='"35 in"')
    >>> print(typed('26 1/4"'))
    '26 1/4"'
    """
    return quoted(text) if '"' in text else plain_value(f'"{text}"')


def typed_choice(texts: Iterable[str], before: str = "write ") -> tuple[str | Key, ...]:
    """Values to choose from, as parts of a sentence.

    >>> typed_choice(["1.2", "12"])
    ('write ', Key(table='', key='', example='"1.2"'), ' or ', Key(table='', key='', example='"12"'))
    """
    *firsts, last = map(typed, texts)
    parts = [part for one in firsts for part in (one, ", ")][:-1]
    return (before, *parts, " or ", last) if firsts else (before, last)


def length_unread(error: LengthError, low: float, high: float) -> Says:
    """A text that `geometry.lengths.parse_mm` refuses, where a length from ``low`` to ``high`` mm is meant."""
    allowed = _allowed_also_in_inches(low, high)
    what, remedy = {
        "length-unread": ("is not a length", allowed),
        "length-text-too-long": ("is too long for a length", allowed),
        "length-has-comma": ("has a comma", _without_comma(error.text)),
        "length-without-unit": ("has a number without a unit", f"put {_UNITS} after each"),
        "length-unit-unknown": (f"has the unknown unit {quoted(error.unit)}", f"write {_UNITS}"),
        "length-divides-by-zero": ("divides by zero", allowed),
    }[error.code]
    text = f"{error.text[:_LONGEST_QUOTE]}…" if error.code == "length-text-too-long" else error.text
    return Says(f"{quoted(text)} {what}", remedy, error.code)


def _without_comma(text: str) -> Words:
    """What to write instead of a comma.

    >>> from jigs.faults import spoken
    >>> print(spoken(_without_comma("1,234 mm")), _without_comma("1, 2"), sep="; ")
    write "1.234 mm" or "1234 mm"; write the decimals after a point
    """
    meanings = comma_meanings(text)
    return typed_choice(meanings) if meanings else "write the decimals after a point"


def comma_for_thousands(text: str, meanings: Iterable[str]) -> Says:
    """A comma that marks thousands, or may do so. ``meanings``: what to write instead."""
    return Says(f"{quoted(text)} has a comma", typed_choice(meanings), "comma-for-thousands")


def note_unread(error: NoteError) -> Says:
    """A text that `geometry.strings.pitch_hz` refuses."""
    what = f"{quoted(error.text)} is not a note"
    return Says(what, typed_choice(("D4", "F#3"), "write letter and octave, for instance "), error.code)


def nan_length() -> Says:
    """Not a number, where a length is meant."""
    return Says("nan is not a length", f"write a number of millimetres, or {_UNITS}", "length-nan")


def no_length(value: object, low: float, high: float) -> Says:
    """A value that is neither text nor a number."""
    return Says(f"{shown(value)} is not a length", _allowed_also_in_inches(low, high), "length-unread")


def negative_length(value: object, low: float, high: float) -> Says:
    """A length below zero."""
    return Says(f"{shown(value)} is negative", _allowed(low, high), "length-negative")


def zero_length(value: object, low: float, high: float) -> Says:
    """A length of zero."""
    return Says(f"{shown(value)} is zero", _allowed(low, high), "length-zero")


def endless_length(value: object, low: float, high: float) -> Says:
    """A length beyond any bounds."""
    return Says(f"{shown(value)} is beyond any instrument", _allowed(low, high), "length-endless")


def _beyond(size: str, of: str) -> str:
    """Too thick for a string.

    >>> _beyond("thick", "a string"), _beyond("long", "")
    ('too thick for a string', 'too long')
    """
    return f"too {size} for {of}" if of else f"too {size}"


def in_units(value: object, units: Iterable[str]) -> tuple[str | Key, ...]:
    """How to write a bare number in other units: in, cm or thou.

    >>> from jigs.faults import spoken
    >>> spoken(in_units(35, ["in", "cm"]))
    'for inches write "35 in", for centimetres write "35 cm"'
    """
    parts: list[str | Key] = []
    for unit in units:
        parts += [f"{', ' if parts else ''}for {_UNITS_IN_WORDS[unit]} write ", typed(f"{str(value).strip()} {unit}")]
    return tuple(parts)


def perhaps_other_unit(value: object, mm: float, size: str, of: str, units: Iterable[str]) -> Says:
    """A bare number that is beyond its bounds in millimetres, and within them in other ``units``."""
    read = f"{mm:.3f}".rstrip("0").rstrip(".")
    what = f"{shown(value)} is read as {read} mm, {_beyond(size, of)}"
    return Says(what, in_units(value, units), "length-perhaps-other-unit")


def fraction_without_unit(value: object, mm: float) -> Says:
    """A bare fraction that can be millimetres as well as inches."""
    remedy = (*in_units(value, ["in"]), ", for millimetres write ", typed(f"{mm:.4g} mm"))
    return Says(f"{shown(value)} can be inches or millimetres", remedy, FRACTION_WITHOUT_UNIT)


def short_or_long_length(value: object, size: str, low: float, high: float) -> Says:
    """A length out of its bounds. ``size``: short, long, thin, thick, narrow, wide, small, large, low or high."""
    return Says(f"{shown(value)} is too {size}", _allowed_also_in_inches(low, high), f"length-too-{size}")


def gauge_unread(what: Words) -> Says:
    """A text that is not a gauge; ``what`` is wrong with it."""
    remedy = typed_choice((".010", ".024w"), "write it as on the packet, for instance ")
    return Says(what, remedy, "gauge-unread")


def wound_otherwise(value: object, corrected: str) -> Says:
    """A wound string's gauge without the w behind it. ``corrected``: as it should be."""
    return Says(f"{shown(value)} has no w at its end", ("write ", typed(corrected)), "gauge-marked-otherwise")


def gauge_of_two_meanings(value: object, meanings: Iterable[str]) -> Says:
    """A gauge that can be two, each as it is written without doubt."""
    return Says(f"{shown(value)} can mean two gauges", typed_choice(meanings), "gauge-of-two-meanings")


def no_such_gauge(value: object, size: str, of: str, low: float, high: float) -> Says:
    """A gauge out of its bounds. ``size``: thin or thick. ``of``: a string, or a core."""
    least, most = (count(1000 * mm / float(MM_PER_INCH)) for count, mm in ((math.ceil, low), (math.floor, high)))
    remedy = f"write .{least:03d} to .{most:03d} in, or {low:g} to {high:g} mm"
    return Says(f"{shown(value)} is {_beyond(size, of)}", remedy, f"gauge-too-{size}")


def wound_core(value: object, plain: str) -> Says:
    """The gauge of a wound string where a core's is meant. ``plain``: the same without the w."""
    what = f"{shown(value)} is the gauge of a wound string, and a core is plain wire"
    return Says(what, ("write the core alone, as in ", typed(plain)), "gauge-of-wound-core")


def no_unit(value: object, units: Iterable[str], example: str) -> Says:
    """A quantity without one of its units."""
    remedy = (f"write {', '.join(units)}: ", typed(example))
    return Says(f"{shown(value)} has no known unit", remedy, "unit-unknown")


def out_of_range(value: object, low: float, high: float, unit: str) -> Says:
    """A quantity out of its bounds."""
    return Says(f"{shown(value)} is out of range", f"write {low:g} to {high:g} {unit}", "quantity-out-of-range")


# ---- tables


def no_table(name: str) -> Says:
    """A value where a table belongs."""
    return Says("this must be a table", f"write [{name}] on a line of its own and its keys below", "table-expected")


def unknown_key(key: str, known: Iterable[str]) -> Says:
    """A key that is not in its table."""
    return Says("unknown key", nearest(key, known), "key-unknown")


def more_unknown_keys(count: int) -> Says:
    """Unknown keys beyond those that are named."""
    keys = "another unknown key" if count == 1 else f"{count} more unknown keys"
    return Says(f"there {'is' if count == 1 else 'are'} {keys}", "check that this is the file you mean", "keys-unknown")


def missing(key: Key) -> Says:
    """A key that its table must have, with an example of its value."""
    return Says("this is missing", ("write for instance ", key), "key-missing")


def unknown_choice(value: object, choices: Iterable[str]) -> Says:
    """A word that is not one of the choices."""
    return Says(f"{shown(value)} is not one of the choices", nearest(str(value), choices), "choice-unknown")


def too_small(value: object, least: float) -> Says:
    """A number below its bound."""
    return Says(f"{shown(value)} is too small", f"the least is {least:g}", "number-too-small")


def too_large(value: object, most: float) -> Says:
    """A number above its bound."""
    return Says(f"{shown(value)} is too large", f"the most is {most:g}", "number-too-large")


def no_list(value: object, key: Key) -> Says:
    """Another value where a list belongs; the key has an example of one."""
    return Says(f"{shown(value)} is not a list", ("write for instance ", key), "list-expected")


def empty_list(key: Key) -> Says:
    """A list without a value; the key has an example of one."""
    return Says("this list is empty", ("write for instance ", key), "list-empty")


def long_list(count: int, most: int) -> Says:
    """A list with too many values."""
    return Says(f"this list has {count} values", f"keep {most} or fewer", "list-too-long")


def no_truth(value: object) -> Says:
    """Another value where true or false belongs."""
    return Says(f"{shown(value)} is neither true nor false", "write true or false, without quotes", "truth-expected")


def no_whole_number(value: object, example: str) -> Says:
    """Another value where a whole number belongs."""
    return Says(
        f"{shown(value)} is not a whole number", ("write for instance ", plain_value(example)), "whole-number-expected"
    )


def no_number(value: object, example: str) -> Says:
    """Another value where a number belongs."""
    return Says(f"{shown(value)} is not a number", ("write for instance ", plain_value(example)), "number-expected")


def otherwise_wrong(message: str) -> Says:
    """A message of pydantic's for which this module has no words."""
    return Says(message, "", "value-wrong")


# ---- texts


def no_file(remedy: str, beside: Path | None, is_link: bool = False) -> Says:
    """A file that is not there, or that a link leads to. ``beside``: one of nearly the same name."""
    if is_link:
        return Says("this is a link, and the file that it leads to is not there", remedy, "file-missing")
    return Says("there is no such file", did_you_mean(printable(str(beside))) if beside else remedy, "file-missing")


def a_folder(kind: str) -> Says:
    """A folder where a file belongs."""
    return Says("this is a folder", f"name the {kind} in it", "file-is-folder")


def unreadable(reason: str) -> Says:
    """A file that the system refuses to open."""
    return Says(f"this file cannot be read ({reason})", "check its name and permissions", "file-unreadable")


NOT_A_FILE = "not a regular file"


def too_large_a_file(kind: str) -> Says:
    """A file of more than a megabyte."""
    article = "an" if kind[:1] in "aeiou" else "a"
    return Says("this file is larger than a megabyte", f"{article} {kind} is a page of text", "file-too-large")


def no_quoted_text(value: object, example: str) -> Says:
    """Something else where a text is meant."""
    return Says(f"{shown(value)} is not text in quotes", ("write for instance ", plain_value(example)), "text-expected")


def no_text() -> Says:
    """Bytes that are not UTF-8."""
    return Says("this is not UTF-8 text", "save the file as plain text in UTF-8", "text-unreadable")


def wide_text() -> Says:
    """Text in UTF-16, as one shell of Windows writes what a program prints."""
    what = "this is UTF-16 text, as some shells write it"
    return Says(what, "open it in a plain text editor and save it as UTF-8", "text-wide")


def empty(remedy: str) -> Says:
    """An empty file."""
    return Says("this file is empty", remedy, "file-empty")


def too_deep(remedy: str) -> Says:
    """TOML that is nested too deeply or has endless numbers."""
    return Says("this is nested too deeply, or too long, to read", remedy, "toml-too-deep")


def lone_carriage_return() -> Says:
    """A carriage return without a line feed, as very old computers ended lines."""
    what = "this line ends with a carriage return alone"
    return Says(what, "choose line ends LF or CRLF in your editor, and save again", "line-ends-old")


def broken_line(quoted: str, example: str, corrected: str) -> Says:
    """A line of TOML that cannot be read, after one of the usual slips. ``corrected``: as it should be, if that is known."""
    put = "put text and lengths with a unit in quotes"
    return _broken(quoted, f"write {corrected}" if corrected else f"{put}, as in {example}", "toml-unreadable")


def table_twice(quoted: str) -> Says:
    """A table's name that was there before."""
    remedy = (
        "is this table written twice? join the two; write a table that comes several times in double brackets, [[ ]]"
    )
    return _broken(quoted, remedy, "toml-table-twice")


def key_twice(quoted: str) -> Says:
    """A key that was there before."""
    return _broken(quoted, "is this key written twice? keep one of the two", "toml-key-twice")


def no_date(quoted: str) -> Says:
    """A day that is not in the calendar, or not written as TOML writes one."""
    return _broken(quoted, "write a day of the calendar as year, month and day: 2026-11-25", "toml-date")


def curly_quotes(quoted: str) -> Says:
    """Quotes from a word processor."""
    return _broken(quoted, 'replace the curly quotes by straight ones (")', "toml-curly-quotes")


def decimal_comma(quoted: str, corrected: Iterable[str]) -> Says:
    """A decimal comma in a line of TOML. ``corrected``: what the line can mean, with a point or without the comma."""
    return _broken(quoted, f"write {either(list(corrected))}", "toml-decimal-comma")


def _broken(quoted: str, remedy: str, code: str) -> Says:
    return Says(f"`{quoted}` cannot be read", remedy, code)
