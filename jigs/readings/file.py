"""The readings file: comparisons at the bench as CSV or TOML, from text to rows, faults of its form told at once.

As CSV, a line for each comparison under the heads string, harmonic, fretted and perhaps fret and open, in any order; without
heads, in that order. As TOML, a [[readings]] table for each, with the same words as keys. What a row says is checked in
readings_input.py.
"""

import csv
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from jigs.faults import Fault, InputFaults, nearest, old_fault, old_refuse
from jigs.input.text import decode, parse_toml, read_bytes
from jigs.input.words import shown
from jigs.readings.checked import MOST_READINGS, Row

KIND = "readings file"
COLUMNS = ("string", "harmonic", "fretted", "fret", "open")
EXAMPLE = "4, +2, -5"
TOML_EXAMPLE = "string = 4, harmonic = +2, fretted = -5"
_LONGEST_LINE = 500
_REMEDY = f"write a line for each comparison: string, harmonic, fretted, as in {EXAMPLE}"


def load(path: Path) -> list[Row]:
    """Rows of a readings file. Raises `InputFaults` with all faults of its form."""
    return parse(read_bytes(path, KIND, "check its name"), str(path))


def parse(raw: bytes, source: str) -> list[Row]:
    """Rows of a readings file's bytes: TOML if ``source`` ends in .toml, else CSV. Raises `InputFaults`."""
    text = decode(raw, source, KIND, _REMEDY)
    faults: list[Fault] = []
    if source.lower().endswith(".toml"):
        rows = _toml_rows(parse_toml(text, source, 'fretted = "293.9 Hz"', _REMEDY), source, faults)
    else:
        rows = _csv_rows(text, source, faults)
    if not rows and not faults:
        faults.append(old_fault(source, "", f"holds no readings; {_REMEDY}"))
    if faults:
        raise InputFaults(faults)
    return rows


def _csv_rows(text: str, source: str, faults: list[Fault]) -> list[Row]:
    """Commas, semicolons or tabs between; notes after #; heads if the first line has no digit."""
    lines = [(n, line.partition("#")[0]) for n, line in enumerate(text.splitlines(), 1)]
    lines = [(n, line) for n, line in lines if line.strip(" \t,;")]
    if len(lines) > MOST_READINGS:
        raise old_refuse(source, f"has {len(lines)} lines; no bridge needs more than {MOST_READINGS} readings")
    between = max(";\t,", key=lambda mark: sum(mark in line for _, line in lines))
    columns: Sequence[str] = COLUMNS
    rows: list[Row] = []
    for at, (n, line) in enumerate(lines):
        where = f"line {n}"
        if len(line) > _LONGEST_LINE:
            faults.append(old_fault(source, where, f"is too long; {_REMEDY}"))
            continue
        cells = [cell.strip() for cell in next(csv.reader([line], delimiter=between, skipinitialspace=True))]
        while cells and not cells[-1]:
            cells.pop()
        if at == 0 and not re.search(r"\d", line):
            columns = [cell.lower() for cell in cells]
            faults += _head_faults(columns, source, where)
        elif len(cells) > len(columns):
            what = f"has {len(cells)} columns where there are {len(columns)} at the most"
            faults.append(old_fault(source, where, f"{what}; {_REMEDY}, and the decimals after a point"))
        else:
            given = {name: cell for name, cell in zip(columns, cells, strict=False) if cell and name in COLUMNS}
            rows.append(Row(source, _place(where, given), **given))
    return rows


def _head_faults(columns: Sequence[str], source: str, where: str) -> list[Fault]:
    what = [f"unknown column {shown(name)}; {nearest(name, COLUMNS)}" for name in columns if name not in COLUMNS]
    twice = sorted({name for name in columns if columns.count(name) > 1})
    what += [f"there are two columns {shown(name)}; keep one" for name in twice if name in COLUMNS]
    if not what:
        missing = [name for name in ("string", "fretted") if name not in columns]
        missing += [] if {"harmonic", "open"} & set(columns) else ["harmonic"]
        what = [f"there is no column {shown(name)}; {_REMEDY}" for name in missing]
    return [old_fault(source, where, one) for one in what]


def _toml_rows(data: Mapping[str, Any], source: str, faults: list[Fault]) -> list[Row]:
    for key in data:
        if key != "readings":
            faults.append(old_fault(source, key, f"unknown key; {nearest(key, ['readings'])}"))
    given = data.get("readings")
    if not isinstance(given, list) or not given or not all(isinstance(one, Mapping) for one in given):
        wrong = "is missing" if given is None else "is no list of tables"
        faults.append(
            old_fault(source, "readings", f"{wrong}; write [[readings]] for each, and under it {TOML_EXAMPLE}")
        )
        return []
    rows: list[Row] = []
    for n, table in enumerate(given, 1):
        where = f"readings {n}"
        unknown = [key for key in table if key not in COLUMNS]
        faults += [old_fault(source, where, f"unknown key {shown(key)}; {nearest(key, COLUMNS)}") for key in unknown]
        known = {key: value for key, value in table.items() if key in COLUMNS}
        rows.append(Row(source, _place(where, known), **known))
    return rows


def _place(where: str, given: Mapping[str, object]) -> str:
    return f"{where}, string {str(given['string'])[:20]}" if "string" in given else where
