"""The readings file: comparisons at the bench as CSV or TOML, from text to rows.

As CSV, a line for each comparison under the heads string, harmonic, fretted and perhaps fret and open, in any order; without
heads, in that order. As TOML, a [[readings]] table for each, with the same words as keys. What a row says is checked in
checked.py, which also refuses rows that cannot be read: so all faulty rows are shown at once, in their order.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from jigs.faults import Fault, InputFaults, Place
from jigs.input.rows import csv_lines
from jigs.input.tables import MOST_NAMED, unknown_keys
from jigs.input.text import decode, parse_toml, read_bytes
from jigs.input.words import more_unknown_keys, unknown_key
from jigs.readings import fault_words as words
from jigs.readings.checked import MOST_READINGS, Row, whole

KIND = "readings file"
COLUMNS = ("string", "harmonic", "fretted", "fret", "open")
_LONGEST_LINE = 500


def load(path: Path) -> list[Row]:
    """Rows of a readings file. Raises `InputFaults` for a file without rows that could be checked."""
    return parse(read_bytes(path, KIND, "check its name"), str(path))


def parse(raw: bytes, source: str) -> list[Row]:
    """Rows of a readings file's bytes: TOML if ``source`` ends in .toml, else CSV. Raises `InputFaults`."""
    text = decode(raw, source, KIND, words.WRITE_LINES)
    if source.lower().endswith(".toml"):
        rows = _toml_rows(parse_toml(text, source, 'fretted = "293.9 Hz"', words.WRITE_LINES), source)
    else:
        rows = _csv_rows(text, source)
    if not rows:
        raise words.no_readings().refusal(Place(source))
    return rows


def _csv_rows(text: str, source: str) -> list[Row]:
    """Rows under the heads of the first line, or in the order of `COLUMNS` if that line has a digit."""
    lines = csv_lines(text)
    if len(lines) > MOST_READINGS:
        raise words.too_many(len(lines), MOST_READINGS, "lines").refusal(Place(source))
    columns: Sequence[str] = COLUMNS
    rows: list[Row] = []
    for line in lines:
        place = Place(source, line=line.number)
        if len(line.text) > _LONGEST_LINE:
            rows.append(Row(place, unreadable=(words.line_too_long(),)))
        elif line is lines[0] and not re.search(r"\d", line.text):
            columns = [cell.lower() for cell in line.cells]
            faults = _head_faults(columns, place)
            if faults:
                raise InputFaults(faults)
        elif len(line.cells) > len(columns):
            rows.append(Row(place, unreadable=(words.too_many_columns(len(line.cells), len(columns)),)))
        else:
            cells = zip(columns, line.cells, strict=False)
            given: dict[str, Any] = {name: cell for name, cell in cells if cell and name in COLUMNS}
            rows.append(Row(_with_string(place, given), **given))
    return rows


def _head_faults(columns: Sequence[str], place: Place) -> list[Fault]:
    says = [words.unknown_column(name, COLUMNS) for name in columns if name not in COLUMNS]
    twice = sorted({name for name in columns if columns.count(name) > 1})
    says += [words.column_twice(name) for name in twice if name in COLUMNS]
    if not says:
        missing = [name for name in ("string", "fretted") if name not in columns]
        missing += [] if {"harmonic", "open"} & set(columns) else ["harmonic"]
        says = [words.column_missing(name) for name in missing]
    return [one.at(place) for one in says]


def _toml_rows(data: Mapping[str, Any], source: str) -> list[Row]:
    top = (key for key in data if key != "readings")
    faults = unknown_keys(top, lambda key: unknown_key(key, ["readings"]), Place(source))
    given = data.get("readings")
    if not isinstance(given, list) or not given or not all(isinstance(one, Mapping) for one in given):
        faults.append(words.no_tables(given is None).at(Place(source, key="readings")))
        given = []
    if faults:
        raise InputFaults(faults)
    rows: list[Row] = []
    for n, table in enumerate(given, 1):
        place = Place(source, "readings", row=n)
        others = [key for key in table if key not in COLUMNS]
        unknown = tuple(words.unknown_entry_key(key, COLUMNS) for key in others[:MOST_NAMED])
        if len(others) > MOST_NAMED:
            unknown += (more_unknown_keys(len(others) - MOST_NAMED),)
        known = {key: value for key, value in table.items() if key in COLUMNS}
        rows.append(Row(_with_string(place, known), **known, unreadable=unknown))
    return rows


def _with_string(place: Place, given: Mapping[str, object]) -> Place:
    return replace(place, string=whole(given.get("string")))
