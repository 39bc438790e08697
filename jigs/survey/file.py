"""The survey file: distances from the nut to the frets of a board, read and checked. All its faults come in one list.

As CSV: a line for each fret, with its number, its distance and any further readings. A blank behind the fret's number also
parts it from its distance, because no number of a fret has a blank in it: ``1 19.8``. As TOML: the same rows under
``frets``; ``name`` and ``reading_error`` are optional. This module uses the survey itself only to refuse distances that
no fretboard has.
"""

import math
import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from geometry.arrays import FloatArray
from geometry.frets import OCTAVE_FRET
from geometry.lengths import MM_PER_INCH, LengthError, parse_mm
from geometry.robust import SurveyError, pooled_error_mm
from geometry.survey import LEAST_REPEATS, RULE_READING_ERROR_MM, Survey, survey
from jigs.faults import Fault, InputFaults, Place, Says, Wrong
from jigs.input.quantities import Length, has_no_unit
from jigs.input.rows import csv_lines
from jigs.input.tables import unknown_keys
from jigs.input.text import decode, parse_toml, read_bytes
from jigs.input.words import FRACTION_WITHOUT_UNIT, unknown_key
from jigs.survey import fault_words as words

KIND = "survey file"
KEYS = ("name", "reading_error", "frets")

MOST_FRETS, MOST_ROWS, LONGEST_NAME = 36, 1000, 60
SCALE_MM = Length(150, 1500)
DISTANCE_MM = Length(0.1, 1500, listed=True)
ERROR_MM = Length(0.001, 5)

APART_MM = 5.0
"""Readings of one fret that differ by more are a slip, not a spread. Common practice, no source."""

_MOST = 10**9
_LONGEST_LINE = 1000
_WHOLE = re.compile(r"[0-9]{1,3}(\.0*)?")
_DIGITS = re.compile(r"[0-9]{1,3}( ?mm)?")
_BY_BLANK = re.compile(r" *([0-9]{1,3})[.:)]? +(\.?[0-9].*)")
_BETWEEN_READINGS = re.compile(r"[;\t]|,\s")
"""Behind a blank, a comma within a number is its decimal comma."""

Row = tuple[Place, list[Any]]
"""The place of a row, and its cells: the fret, then its readings."""


class ErrorFrom(Enum):
    """Where the reading error comes from; later ones count only where there is none of those before."""

    COMMAND, FILE, REPEATS, USUAL = range(4)


@dataclass(frozen=True)
class SurveyedBoard:
    """A checked survey file, in millimetres, and its survey. ``readings_mm`` holds each fret's readings."""

    source: str
    name: str
    readings_mm: tuple[FloatArray, ...]
    error_from: ErrorFrom
    survey: Survey


@dataclass(frozen=True)
class _Distance:
    """One distance as it was written."""

    place: Place
    fret: int
    written: Any
    mm: float


def load(path: Path, reading_error: str | None = None) -> SurveyedBoard:
    """Read and check a survey file. ``reading_error``: as typed, over the file's. Raises `InputFaults` with all faults."""
    raw = read_bytes(path, KIND, "check its name")
    return parse(raw, str(path), reading_error)


def parse(raw: bytes, source: str, reading_error: str | None = None) -> SurveyedBoard:
    """Check the bytes of a survey file: TOML if ``source`` ends in .toml, else CSV. Raises `InputFaults`."""
    text = decode(raw, source, KIND, words.WRITE_LINES)
    faults: list[Fault] = []
    name, error_mm, error_from = _printable(Path(source).stem), None, ErrorFrom.USUAL
    if source.lower().endswith(".toml"):
        data = parse_toml(text, source, words.TOML_EXAMPLE, words.WRITE_LINES)
        rows = _toml_rows(data, source, faults)
        name = _name(data.get("name", name), source, faults)
        if "reading_error" in data:
            place = Place(source, key="reading_error")
            error_mm, error_from = _checked(ERROR_MM.read, data["reading_error"], place, faults), ErrorFrom.FILE
    else:
        rows = _csv_rows(text, source, faults)
    if reading_error is not None:
        place = Place(option="reading-error")
        error_mm, error_from = _checked(ERROR_MM.read, reading_error, place, faults), ErrorFrom.COMMAND

    distances = [distance for place, cells in rows for distance in _row(place, cells, faults)]
    faults = _fractions_once(faults)
    commas = _decimal_commas(rows, distances)
    if commas is not None:
        raise InputFaults(_in_order([*faults, commas]))
    by_fret: dict[int, list[_Distance]] = defaultdict(list)
    for distance in sorted(distances, key=lambda one: one.fret):
        by_fret[distance.fret].append(distance)
    faults += _apart(by_fret)
    means = {fret: float(np.mean([one.mm for one in of_fret])) for fret, of_fret in by_fret.items()}
    faults += _not_rising(means, source)
    if faults:
        raise InputFaults(_in_order(faults))

    measured = tuple(np.array([one.mm for one in of_fret]) for of_fret in by_fret.values())
    if error_mm is None:
        error_mm, error_from = _own_error(measured)
    frets, counts = np.array(list(means)), np.array([len(each) for each in measured])
    try:
        surveyed = survey(frets, np.array(list(means.values())), counts, error_mm)
    except SurveyError as error:
        raise words.no_survey(error, OCTAVE_FRET).refusal(Place(source, fret=error.fret or None)) from None
    wrong = list(_no_board(surveyed, distances, source))
    if wrong:
        raise InputFaults(wrong)
    return SurveyedBoard(source, name, measured, error_from, surveyed)


def _in_order(faults: Sequence[Fault]) -> list[Fault]:
    """Faults of rows in the order of the rows, then those of frets and of the whole."""
    return sorted(faults, key=lambda fault: fault.place.line or fault.place.row or math.inf)


def _csv_rows(text: str, source: str, faults: list[Fault]) -> list[Row]:
    """Rows of a CSV text; a header if its first line has no number."""
    lines = csv_lines(text)
    if len(lines) > MOST_ROWS:
        raise words.too_many_lines(len(lines), MOST_ROWS).refusal(Place(source))
    rows: list[Row] = []
    for at, line in enumerate(lines):
        place = Place(source, line=line.number)
        if len(line.text) > _LONGEST_LINE:
            faults.append(words.line_too_long().at(place))
            continue
        cells = _by_blank(line.text) or line.cells
        if at == 0 and _is_header(cells):
            continue
        if len(cells) == 1 and re.search(r"\S[\s;]+\S", cells[0]):
            faults.append(words.one_column(cells[0]).at(place))
        else:
            rows.append((place, [cell for i, cell in enumerate(cells) if cell or not i]))
    if not rows and not faults:
        faults.append(words.no_readings().at(Place(source)))
    return rows


def _by_blank(line: str) -> list[str]:
    """The cells of a line with a blank behind the fret's number, none of any other line.

    >>> _by_blank("1 19,8"), _by_blank("12: 13 1/8 in, 13.1 in"), _by_blank("1, 19.8")
    (['1', '19,8'], ['12', '13 1/8 in', '13.1 in'], [])
    """
    found = _BY_BLANK.fullmatch(line.replace("\N{NO-BREAK SPACE}", " "))
    if found is None:
        return []
    return [found[1], *(cell.strip() for cell in _BETWEEN_READINGS.split(found[2].rstrip(" ,;")))]


def _is_header(cells: Sequence[str]) -> bool:
    """Whether a line holds words only: no fret's number first, no length after it."""
    return not re.search(r"\d", cells[0]) and not any(_is_length(cell) for cell in cells[1:])


def _is_length(cell: str) -> bool:
    try:
        parse_mm(cell)
    except LengthError:
        return False
    return True


def _toml_rows(data: Mapping[str, Any], source: str, faults: list[Fault]) -> list[Row]:
    unknown = (key for key in data if key not in KEYS)
    faults += unknown_keys(unknown, lambda key: unknown_key(key, KEYS), Place(source))
    given = data.get("frets")
    if not isinstance(given, list) or not given or not all(isinstance(row, list) for row in given):
        faults.append(words.no_rows(given is None).at(Place(source, key="frets")))
        return []
    if len(given) > MOST_ROWS:
        raise words.too_many_lines(len(given), MOST_ROWS).refusal(Place(source, key="frets"))
    rows: list[Row] = []
    for n, row in enumerate(given, 1):
        place = Place(source, "frets", row=n)
        if row:
            rows.append((place, row))
        else:
            faults.append(words.empty_row().at(place))
    return rows


def _printable(name: str) -> str:
    return "".join(char for char in name[:LONGEST_NAME] if char.isprintable()).strip() or "Fretboard"


def _name(value: object, source: str, faults: list[Fault]) -> str:
    name = " ".join(value.split()) if isinstance(value, str) else ""
    if not name or not name.isprintable() or len(name) > LONGEST_NAME:
        faults.append(words.no_name(value, LONGEST_NAME).at(Place(source, key="name")))
    return name


def _checked(read: Callable[[object], float], value: object, place: Place, faults: list[Fault]) -> float | None:
    if isinstance(value, int) and abs(value) > _MOST:
        value = math.inf
    try:
        return read(value)
    except Wrong as error:
        faults.append(error.says.at(place))
        return None


def _row(place: Place, cells: Sequence[Any], faults: list[Fault]) -> Iterator[_Distance]:
    """The distances of a row; its faults go to ``faults``."""
    fret = _fret(cells[0])
    if isinstance(fret, Says):
        faults.append(fret.at(place))
    if len(cells) < 2:
        faults.append(words.no_distance(cells[0]).at(place))
    for cell in cells[1:]:
        mm = _checked(DISTANCE_MM.read, cell, place, faults)
        if mm is not None and not isinstance(fret, Says):
            yield _Distance(place, fret, cell, mm)


def _fret(cell: object) -> int | Says:
    """A fret's number, or what is wrong with it."""
    if isinstance(cell, int) and abs(cell) > _MOST:
        cell = math.inf
    text = cell.strip() if isinstance(cell, str) else str(cell)
    if isinstance(cell, bool | dict | list) or not re.fullmatch(r"[-−]?\d+(\.0*)?", text, re.ASCII):
        return words.no_fret_number(cell, MOST_FRETS)
    if not _WHOLE.fullmatch(text) or int(float(text)) > MOST_FRETS:
        return words.no_such_fret(text[:20], MOST_FRETS)
    return int(float(text)) or words.fret_of_nought()


def _fractions_once(faults: Sequence[Fault]) -> list[Fault]:
    """Faults of which only the first is of a fraction without a unit: it says how many more there are."""
    of_fractions = [fault for fault in faults if fault.code == FRACTION_WITHOUT_UNIT]
    if len(of_fractions) < 2:
        return list(faults)
    first = words.with_more(of_fractions[0], len(of_fractions) - 1)
    return [first, *(fault for fault in faults if fault.code != FRACTION_WITHOUT_UNIT)]


def _decimal_commas(rows: Sequence[Row], distances: Sequence[_Distance]) -> Fault | None:
    """The fault of a file with commas between the cells and in their numbers: one for all its lines."""
    split = [
        (place, cells)
        for place, cells in rows
        if len(cells) > 2
        and all(_DIGITS.fullmatch(str(cell).strip()) for cell in cells[1:])
        and _range([one.mm for one in distances if one.place == place]) > APART_MM
    ]
    if not split:
        return None
    place, cells = split[0]
    first, second = (str(cell).strip() for cell in cells[1:3])
    return words.split_by_comma(first, second, len(split) - 1).at(place)


def _range(lengths: Sequence[float]) -> float:
    return max(lengths) - min(lengths) if lengths else 0.0


def _apart(by_fret: Mapping[int, Sequence[_Distance]]) -> Iterator[Fault]:
    for fret, distances in by_fret.items():
        low, high = (pick(distances, key=lambda one: one.mm) for pick in (min, max))
        if high.mm - low.mm > APART_MM:
            also = high.place.where if high.place != low.place else ""
            yield words.readings_apart(fret, low.mm, high.mm, also).at(low.place)


def _not_rising(means: Mapping[int, float], source: str) -> Iterator[Fault]:
    for (before, near), (fret, far) in pairwise(means.items()):
        if far - near < 0.01:
            yield words.not_rising(fret, far, before, near).at(Place(source, fret=fret))


def _own_error(measured: Sequence[FloatArray]) -> tuple[float, ErrorFrom]:
    """The reading error of repeated readings if there are enough, else the usual one; and where it comes from."""
    pooled, freedom = pooled_error_mm(list(measured))
    if freedom >= LEAST_REPEATS and pooled > 0:
        return pooled, ErrorFrom.REPEATS
    return RULE_READING_ERROR_MM, ErrorFrom.USUAL


def _no_board(surveyed: Survey, distances: Sequence[_Distance], source: str) -> Iterator[Fault]:
    """Distances that rise, but that no fretboard has."""
    scale = surveyed.best.scale.mm
    if not SCALE_MM.low <= scale <= SCALE_MM.high:
        perhaps = _units_meant(scale, distances)
        yield words.no_scale(scale, SCALE_MM.low, SCALE_MM.high, perhaps).at(Place(source))
        return
    bridge = surveyed.best.from_this_nut_mm
    for fret, mm in zip(surveyed.frets, surveyed.measured_mm, strict=True):
        if mm >= bridge:
            yield words.behind_the_bridge(int(fret), float(mm), bridge).at(Place(source, fret=int(fret)))


def _units_meant(scale_mm: float, distances: Sequence[_Distance]) -> list[tuple[str, str]]:
    """Units in which bare numbers would make a board, each with the last distance written in it."""
    last = max(distances, key=lambda one: one.mm)
    units = {"in": ("inches", float(MM_PER_INCH)), "cm": ("centimetres", 10.0)}
    fitting = [unit for unit, (_, mm) in units.items() if SCALE_MM.low <= scale_mm * mm <= SCALE_MM.high]
    return [(units[unit][0], f"{last.written} {unit}") for unit in fitting] if has_no_unit(last.written) else []
