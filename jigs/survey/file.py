"""The survey file: distances from the nut to the frets of a board, read, checked, and every fault of it told at once.

As CSV, a line for each fret: its number, its distance, and further readings of it if there are any. As TOML, the same rows
under ``frets``, and perhaps ``name`` and ``reading_error``. It knows neither fit nor drawing beyond what it takes to
refuse distances that cannot be those of a fretboard.
"""

import csv
import math
import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from geometry.arrays import FloatArray
from geometry.frets import OCTAVE_FRET
from geometry.lengths import MM_PER_INCH, LengthError, format_mm, parse_mm, round_half_up
from geometry.robust import pooled_error_mm
from geometry.survey import LEAST_REPEATS, RULE_READING_ERROR_MM, Survey, survey
from jigs.faults import Fault, InputFaults, nearest, old_fault, old_refuse
from jigs.input.quantities import Length
from jigs.input.text import decode, parse_toml, read_bytes
from jigs.input.words import shown

KIND = "survey file"
EXAMPLE = "1, 19.8"
TOML_EXAMPLE = 'frets = [[1, 19.8], [2, "38.5 mm"]]'
KEYS = ("name", "reading_error", "frets")

MOST_FRETS, MOST_ROWS, LONGEST_NAME = 36, 1000, 60
SCALE_MM = Length(150, 1500)
DISTANCE_MM = Length(0.1, 1500)
ERROR_MM = Length(0.001, 5)

APART_MM = 5.0
"""Readings of one fret that differ by more are a slip, not a spread. Common practice, no source."""

_MOST = 10**9
_LONGEST_LINE = 1000
_DECIMAL_COMMA = re.compile(r"\d,\d")
_WHOLE = re.compile(r"[0-9]{1,3}(\.0*)?")
_DIGITS = re.compile(r"[0-9]{1,3}( ?mm)?")

Row = tuple[str, list[Any]]
"""Where a row stands, and what is in it: the fret, then its readings."""


@dataclass(frozen=True)
class Board:
    """A checked survey file, in millimetres, and what its distances say.

    ``error_from`` says where the reading error comes from; ``readings_mm`` holds each fret's readings.
    """

    source: str
    name: str
    readings_mm: tuple[FloatArray, ...]
    error_from: str
    found: Survey


@dataclass(frozen=True)
class _Reading:
    """One distance as it was written."""

    where: str
    fret: int
    written: Any
    mm: float

    @property
    def bare(self) -> bool:
        """Whether it was written without a unit."""
        return not isinstance(self.written, str) or not re.search(r"[^\d\s./-]", self.written)


def load(path: Path, reading_error: str | None = None) -> Board:
    """Read and check a survey file. ``reading_error`` as on the command line. Raises `InputFaults` with all faults."""
    raw = read_bytes(path, KIND, "check its name")
    return parse(raw, str(path), reading_error)


def parse(raw: bytes, source: str, reading_error: str | None = None) -> Board:
    """Check the bytes of a survey file: TOML if ``source`` ends in .toml, else CSV. Raises `InputFaults`."""
    remedy = f"write a line for each fret: its number and its distance from the nut, as in {EXAMPLE}"
    text = decode(raw, source, KIND, remedy)
    faults: list[Fault] = []
    name, error_mm, error_from = _printable(Path(source).stem), None, ""
    if source.lower().endswith(".toml"):
        data = parse_toml(text, source, TOML_EXAMPLE, remedy)
        rows = _toml_rows(data, source, faults)
        name = _name(data.get("name", name), source, faults)
        if "reading_error" in data:
            error_mm, error_from = _error(data["reading_error"], "reading_error", source, faults), "the file's"
    else:
        rows = _csv_rows(text, source, faults)
    if reading_error is not None:
        error_mm, error_from = _error(reading_error, "--reading-error", source, faults), "as given"

    readings = [reading for where, cells in rows for reading in _row(where, cells, source, faults)]
    commas = _decimal_commas(rows, readings, source)
    if commas is not None:
        raise InputFaults([*faults, commas])
    by_fret: dict[int, list[_Reading]] = defaultdict(list)
    for reading in sorted(readings, key=lambda one: one.fret):
        by_fret[reading.fret].append(reading)
    faults += _apart(by_fret, source)
    means = {fret: float(np.mean([one.mm for one in found])) for fret, found in by_fret.items()}
    faults += _not_rising(means, source)
    if not faults and len(means) < 2 and OCTAVE_FRET not in means:
        faults.append(_too_few(means, source))
    if faults:
        raise InputFaults(faults)

    measured = tuple(np.array([one.mm for one in found]) for found in by_fret.values())
    if error_mm is None:
        error_mm, error_from = _own_error(measured)
    frets, counts = np.array(list(means)), np.array([len(each) for each in measured])
    found = survey(frets, np.array(list(means.values())), counts, error_mm)
    wrong = list(_no_board(found, readings, source))
    if wrong:
        raise InputFaults(wrong)
    return Board(source, name, measured, error_from, found)


def _csv_rows(text: str, source: str, faults: list[Fault]) -> list[Row]:
    """Rows of a CSV text: commas, semicolons or tabs between; notes after #; a header if its first line has no number."""
    lines = [(n, line.partition("#")[0]) for n, line in enumerate(text.splitlines(), 1)]
    lines = [(n, line) for n, line in lines if line.strip(" \t,;")]
    if len(lines) > MOST_ROWS:
        raise old_refuse(source, f"has {len(lines)} lines of readings; no board needs more than {MOST_ROWS}")
    between = max(";\t,", key=lambda mark: sum(mark in line for _, line in lines))
    rows: list[Row] = []
    for at, (n, line) in enumerate(lines):
        if len(line) > _LONGEST_LINE:
            faults.append(old_fault(source, f"line {n}", f"is too long; write one fret on a line, as in {EXAMPLE}"))
            continue
        cells = [cell.strip() for cell in next(csv.reader([line], delimiter=between, skipinitialspace=True))]
        while cells and not cells[-1]:
            cells.pop()
        if at == 0 and _is_header(cells):
            continue
        if len(cells) == 1 and re.search(r"\S[\s;]+\S", cells[0]):
            what = f"{shown(cells[0])} stands in one column; write fret, comma, distance on every line, as in {EXAMPLE}"
            faults.append(old_fault(source, f"line {n}", what))
        else:
            rows.append((f"line {n}", [cell for i, cell in enumerate(cells) if cell or not i]))
    if not rows and not faults:
        what = f"holds no readings; write a line for each fret: its number and its distance, as in {EXAMPLE}"
        faults.append(old_fault(source, "", what))
    return rows


def _is_header(cells: Sequence[str]) -> bool:
    """Whether a line holds words only: no fret's number first, no length behind."""
    return not re.search(r"\d", cells[0]) and not any(_is_length(cell) for cell in cells[1:])


def _is_length(cell: str) -> bool:
    try:
        parse_mm(cell)
    except LengthError:
        return False
    return True


def _toml_rows(data: Mapping[str, Any], source: str, faults: list[Fault]) -> list[Row]:
    for key in data:
        if key not in KEYS:
            faults.append(old_fault(source, key, f"unknown key; {nearest(key, KEYS)}"))
    given = data.get("frets")
    if not isinstance(given, list) or not given or not all(isinstance(row, list) for row in given):
        wrong = "is missing" if given is None else "is no list of rows"
        faults.append(old_fault(source, "frets", f"{wrong}; write each fret with its distance, {TOML_EXAMPLE}"))
        return []
    if len(given) > MOST_ROWS:
        raise old_refuse(source, f"has {len(given)} rows of readings; no board needs more than {MOST_ROWS}", "frets")
    rows: list[Row] = []
    for n, row in enumerate(given, 1):
        if row:
            rows.append((f"frets, row {n}", row))
        else:
            faults.append(old_fault(source, f"frets, row {n}", f"is empty; write {TOML_EXAMPLE}, or leave the row out"))
    return rows


def _printable(name: str) -> str:
    return "".join(char for char in name[:LONGEST_NAME] if char.isprintable()).strip() or "Fretboard"


def _name(value: object, source: str, faults: list[Fault]) -> str:
    name = " ".join(value.split()) if isinstance(value, str) else ""
    if not name or not name.isprintable() or len(name) > LONGEST_NAME:
        what = f'{shown(value)} is no name; write up to {LONGEST_NAME} characters in quotes, as in "Old mandolin"'
        faults.append(old_fault(source, "name", what))
    return name


def _error(value: object, where: str, source: str, faults: list[Fault]) -> float | None:
    place = (where, "") if where.startswith("-") else (source, where)
    return _checked(ERROR_MM.read, value, *place, faults)


def _checked(
    read: Callable[[object], float], value: object, source: str, where: str, faults: list[Fault]
) -> float | None:
    if isinstance(value, int) and abs(value) > _MOST:
        value = math.inf
    try:
        return read(value)
    except ValueError as error:
        faults.append(old_fault(source, where, str(error)))
        return None


def _row(where: str, cells: Sequence[Any], source: str, faults: list[Fault]) -> Iterator[_Reading]:
    """The readings of a row; its faults go to ``faults``."""
    fret = _fret(cells[0])
    if isinstance(fret, str):
        faults.append(old_fault(source, where, fret))
    if len(cells) < 2:
        what = "has no distance; measure from the nut to the fret, or leave the line out"
        faults.append(old_fault(source, where, f"fret {shown(cells[0])} {what}"))
    for cell in cells[1:]:
        if isinstance(cell, str) and _DECIMAL_COMMA.search(cell):
            continue
        mm = _checked(DISTANCE_MM.read, cell, source, where, faults)
        if mm is not None and not isinstance(fret, str):
            yield _Reading(where, fret, cell, mm)


def _fret(cell: object) -> int | str:
    """A fret's number, or what is wrong with it."""
    if isinstance(cell, int) and abs(cell) > _MOST:
        cell = math.inf
    text = cell.strip() if isinstance(cell, str) else str(cell)
    if isinstance(cell, bool | dict | list) or not re.fullmatch(r"[-−]?\d+(\.0*)?", text, re.ASCII):
        return f"{shown(cell)} is no fret's number; write a whole number from 1 to {MOST_FRETS}, then the distance"
    if not _WHOLE.fullmatch(text) or int(float(text)) > MOST_FRETS:
        negative = text[0] in "-−"
        return (
            f"there is no fret {text[:20]}; frets count from 1{'' if negative else f', and {MOST_FRETS} is the most'}"
        )
    if int(float(text)) == 0:
        return "fret 0 is the nut, where all distances begin; leave the line out"
    return int(float(text))


def _decimal_commas(rows: Sequence[Row], readings: Sequence[_Reading], source: str) -> Fault | None:
    """The fault of a file whose decimals stand after a comma, told once for all of its lines."""
    quoted = [
        (where, cell)
        for where, cells in rows
        for cell in cells
        if isinstance(cell, str) and _DECIMAL_COMMA.search(cell)
    ]
    if quoted:
        where, cell = quoted[0]
        point = _DECIMAL_COMMA.sub(lambda found: found[0].replace(",", "."), cell)
        return old_fault(source, where, f"{shown(cell)} has a comma for a decimal point{_more(quoted)}; write {point}")
    split = [
        (where, cells)
        for where, cells in rows
        if len(cells) > 2
        and all(_DIGITS.fullmatch(str(cell).strip()) for cell in cells[1:])
        and _range([one.mm for one in readings if one.where == where]) > APART_MM
    ]
    if not split:
        return None
    where, cells = split[0]
    first, second = (str(cell).strip() for cell in cells[1:3])
    return old_fault(
        source,
        where,
        f"a comma seems to stand for a decimal point: {first},{second} reads as two distances{_more(split)};"
        f" write {first}.{second}",
    )


def _more(places: Sequence[object]) -> str:
    return f", with {len(places) - 1} more like it" if len(places) > 1 else ""


def _range(lengths: Sequence[float]) -> float:
    return max(lengths) - min(lengths) if lengths else 0.0


def _apart(by_fret: Mapping[int, Sequence[_Reading]], source: str) -> Iterator[Fault]:
    for fret, found in by_fret.items():
        low, high = (pick(found, key=lambda one: one.mm) for pick in (min, max))
        if high.mm - low.mm > APART_MM:
            where = ", ".join(dict.fromkeys((low.where, high.where)))
            what = (
                f"fret {fret} was read at {_plain(low.mm)} and at {_plain(high.mm)}, too far apart to be the same fret;"
                " check the number of the fret, and measure again"
            )
            yield old_fault(source, where, what)


def _not_rising(means: Mapping[int, float], source: str) -> Iterator[Fault]:
    known = list(means.items())
    for (before, near), (fret, far) in pairwise(known):
        if far - near < 0.01:
            what = (
                f"at {_plain(far)} does not lie beyond fret {before} at {_plain(near)}; measure both again, from the nut,"
                " and check that their lines are not swapped"
            )
            yield old_fault(source, f"fret {fret}", what)


def _too_few(means: Mapping[int, float], source: str) -> Fault:
    only = "".join(f"fret {fret} is" for fret in means)
    what = f"{only} one reading for two unknowns, scale and nut offset"
    return old_fault(
        source, "", f"{what}; measure a second fret far from it, best all of them, or nut to fret {OCTAVE_FRET} alone"
    )


def _own_error(measured: Sequence[FloatArray]) -> tuple[float, str]:
    """The reading error of repeated readings if there are enough, else the usual one, and where it comes from."""
    pooled, freedom = pooled_error_mm(list(measured))
    if freedom >= LEAST_REPEATS and pooled > 0:
        return pooled, "from the repeated readings"
    return RULE_READING_ERROR_MM, "as is usual for a steel rule"


def _no_board(found: Survey, readings: Sequence[_Reading], source: str) -> Iterator[Fault]:
    """Distances that rise, and yet are no fretboard's."""
    scale = found.best.scale.mm
    if not SCALE_MM.low <= scale <= SCALE_MM.high:
        at_most = f"{SCALE_MM.low:g} to {SCALE_MM.high:g} mm"
        yield old_fault(
            source,
            "",
            f"these distances make a scale of {_plain(scale)}, and {at_most} is what instruments have;"
            f" {_unit_meant(scale, readings)}",
        )
        return
    bridge = found.best.from_this_nut_mm
    for fret, mm in zip(found.frets, found.measured_mm, strict=True):
        if mm >= bridge:
            what = f"at {_plain(mm)} lies behind the bridge line, which the others put at {_plain(bridge)}; measure it again"
            yield old_fault(source, f"fret {fret}", what)


def _unit_meant(scale_mm: float, readings: Sequence[_Reading]) -> str:
    last = max(readings, key=lambda one: one.mm)
    units = {"in": ("inches", float(MM_PER_INCH)), "cm": ("centimetres", 10.0)}
    fitting = [unit for unit, (_, mm) in units.items() if SCALE_MM.low <= scale_mm * mm <= SCALE_MM.high]
    if not last.bare or not fitting:
        return "measure from the front edge of the nut to the frets, and check the frets' numbers"
    meant = " or ".join(f'"{last.written} {unit}"' for unit in fitting)
    return f"are they {' or '.join(units[unit][0] for unit in fitting)}? then write the unit, as in {meant}"


def _plain(mm: float) -> str:
    return format_mm(mm, 1) if abs(mm) >= 100 else f"{round_half_up(mm, 2)} mm"
