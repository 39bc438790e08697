"""What became of a rack, and the same as a table, as JSON and in lines to read."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

from geometry.lengths import round_half_up
from jigs.cutting.nesting import Nest, Placed
from jigs.faults import Fault, Note
from jigs.rack import words
from jigs.wording import csv_text


class Status(StrEnum):
    """What became of a file."""

    MADE = "made"
    UNCHANGED = "unchanged"
    NOTHING = "nothing to draw"
    FAULTY = "faulty"
    PASSED_OVER = "no instrument"


@dataclass(frozen=True)
class Row:
    """An instrument in the summary. Places: distance of the crown from the nut; how sure they are, for the usual fork."""

    name: str
    scale_mm: float
    treble_mm: float
    bass_mm: float
    slant_deg: float
    plus_minus_mm: float
    treble_plus_minus_mm: float
    bass_plus_minus_mm: float


@dataclass(frozen=True)
class Item:
    """A file of the rack and what became of it: an instrument's row and files, or what is wrong.

    ``stem``: how the names of its files begin; ``lies``: where its parts lie on the sheets of a nest.
    """

    source: str
    status: Status
    row: Row | None = None
    files: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()
    faults: tuple[Fault, ...] = ()
    lies: tuple[Placed, ...] = ()
    stem: str = ""


@dataclass(frozen=True)
class Report:
    """What became of a rack.

    ``summary``: files about all of it; ``left_over``: files of earlier runs that belong to nothing in this one.
    """

    folder: Path
    items: tuple[Item, ...]
    faults: tuple[Fault, ...]
    nest: Nest | None
    summary: tuple[str, ...]
    left_over: tuple[str, ...]

    def count(self, status: Status) -> int:
        """How many files became that."""
        return sum(item.status is status for item in self.items)

    @property
    def notes(self) -> tuple[Note, ...]:
        """What the user should know; what holds for several instruments is one note."""
        of: dict[Note, list[str]] = {}
        for item in self.items:
            for note in item.notes:
                of.setdefault(note, []).append(item.source)
        notes = [words.of_several(sources, note) for note, sources in of.items()]
        passed = [item.source for item in self.items if item.status is Status.PASSED_OVER]
        if passed:
            notes.append(words.passed_over(passed))
        if self.left_over:
            notes.append(words.left_over(str(self.folder), self.left_over))
        return tuple(says.note() for says in notes)


def as_csv(items: Iterable[Item]) -> bytes:
    """A line for each instrument and for each file that could not be drawn, in the rack's order."""
    heads = ("name", "source", "scale_mm", "treble_mm", "bass_mm", "slant_deg", "plus_minus_mm")
    ends = ("treble_plus_minus_mm", "bass_plus_minus_mm")
    rows: list[Sequence[str]] = [(*heads, *ends, "files", "sheets", "faults")]
    for item in items:
        row = asdict(item.row) if item.row is not None else {}
        numbers = [round_half_up(row[key], 2) if row else "" for key in (*heads[2:], *ends)]
        sheets = " ".join(dict.fromkeys(str(place.sheet) for place in item.lies))
        faults = " | ".join(_without_source(fault) for fault in item.faults)
        rows.append((row.get("name", ""), item.source, *numbers, " ".join(item.files), sheets, faults))
    return csv_text(rows).encode()


def nest_as_csv(nest: Nest) -> bytes:
    """A line for each part: its sheet, its box's corner from the stock's left and top edges, its size as it lies."""
    rows: list[Sequence[str]] = [("sheet", "part", "x_mm", "y_mm", "width_mm", "height_mm", "turned")]
    for place in nest.placed:
        numbers = (round_half_up(mm, 3) for mm in (place.x_mm, place.y_mm, place.width_mm, place.height_mm))
        rows.append((str(place.sheet), place.name, *numbers, "yes" if place.turned else "no"))
    return csv_text(rows).encode()


def _without_source(fault: Fault) -> str:
    return str(fault.at(source=""))


def faults_in_short(item: Item) -> str:
    """What is wrong with a file, for a list: the first fault, and how many more there are."""
    first, *more = (_without_source(fault) for fault in item.faults)
    return f"{first} (and {len(more)} more)" if more else first


def as_dict(report: Report) -> dict[str, Any]:
    """The report under its stable keys."""
    return {
        "folder": str(report.folder),
        "instruments": [
            {
                "source": item.source,
                "status": item.status.value,
                **(asdict(item.row) if item.row is not None else {}),
                "files": list(item.files),
                "parts": [_as_laid(place) for place in item.lies],
                "notes": [str(note) for note in item.notes],
            }
            for item in report.items
        ],
        "summary": list(report.summary),
        "sheets": 0 if report.nest is None else report.nest.sheets,
        "left_over": list(report.left_over),
        "faults": [_fault_as_dict(fault) for fault in report.faults],
    }


def _fault_as_dict(fault: Fault) -> Mapping[str, str]:
    return {
        "source": fault.place.source,
        "where": fault.place.where,
        "what": fault.sentence(),
        "code": fault.code,
    }


def _as_laid(place: Placed) -> Mapping[str, Any]:
    return {("part" if key == "name" else key): value for key, value in asdict(place).items()}


def as_json(report: Report) -> str:
    """The report as one JSON object."""
    return json.dumps(as_dict(report), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def in_lines(report: Report) -> list[str]:
    """What became of the rack, in short."""
    statuses = (Status.MADE, Status.UNCHANGED, Status.NOTHING, Status.FAULTY)
    made, unchanged, nothing, faulty = map(report.count, statuses)
    lines = [words.counts(made, unchanged, nothing, faulty, str(report.folder))]
    if report.nest is not None and report.nest.placed:
        lines.append(words.parts_on_sheets(len(report.nest.placed), report.nest.sheets))
    return [*lines, words.index(report.summary)]
