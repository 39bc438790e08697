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
from jigs.press.missing import Missing
from jigs.rack import words
from jigs.rack.corrections import KindCorrections, by_kind
from jigs.rack.rows import LastReading, Row
from jigs.wording import csv_text


class Status(StrEnum):
    """What became of a file."""

    MADE = "made"
    UNCHANGED = "unchanged"
    NOTHING = "nothing to draw"
    FAULTY = "faulty"
    PASSED_OVER = "no instrument"


@dataclass(frozen=True)
class Item:
    """A file of the rack and what became of it: an instrument's row and files, and what is missing; or what is wrong.

    ``stem``: how the names of its files begin; ``lies``: where its parts lie on the sheets of a nest;
    ``last``: the last step of its log.
    """

    source: str
    status: Status
    row: Row | None = None
    files: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()
    faults: tuple[Fault, ...] = ()
    missing: tuple[Missing, ...] = ()
    lies: tuple[Placed, ...] = ()
    stem: str = ""
    last: LastReading | None = None


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
    def missing(self) -> tuple[Missing, ...]:
        """What could not be made of instruments of which the rest was."""
        return tuple(missing for item in self.items for missing in item.missing)

    @property
    def corrections(self) -> tuple[KindCorrections, ...]:
        """What the found places say of each kind."""
        return by_kind(item.row for item in self.items if item.row is not None)

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
    rows = [_csv_fields(item) for item in items]
    return csv_text([list(_csv_fields(Item("", Status.FAULTY))), *(list(row.values()) for row in rows)]).encode()


def _csv_fields(item: Item) -> dict[str, str]:
    """A line of the table by its heads; empty where there is nothing to say."""
    row, last = item.row, item.last
    numbers = {} if row is None else asdict(row)
    found = {} if row is None or row.found is None else asdict(row.found)
    ends, sheets = ("treble_plus_minus_mm", "bass_plus_minus_mm"), dict.fromkeys(str(one.sheet) for one in item.lies)
    corrections = ("correction_treble_mm", "correction_bass_mm")
    return {
        "name": "" if row is None else row.name,
        "source": item.source,
        **_figures(numbers, "scale_mm", "treble_mm", "bass_mm", "slant_deg", "plus_minus_mm", *ends),
        "files": " ".join(item.files),
        "sheets": " ".join(sheets),
        "faults": " | ".join(_without_source(fault) for fault in item.faults),
        "kind": "" if row is None else words.kind_in_words(row.kind, row.string_count, row.in_courses),
        **_figures(numbers, "computed_treble_mm", "computed_bass_mm"),
        **{f"found_{key}": value for key, value in _figures(found, "treble_mm", "bass_mm").items()},
        **_figures(found, *corrections),
        "found_on": found.get("date", ""),
        "found_with": found.get("strings", ""),
        "last_step": "" if last is None else str(last.step),
        "last_verdict": "" if last is None else last.verdict,
        **{
            f"last_{key}": value
            for key, value in _figures({} if last is None else asdict(last), "treble_cents", "bass_cents").items()
        },
        "missing": " | ".join(map(missing_in_short, item.missing)),
    }


def _figures(values: Mapping[str, Any], *keys: str) -> dict[str, str]:
    """Values to a hundredth, empty where there is none."""
    return {key: "" if values.get(key) is None else round_half_up(values[key], 2) for key in keys}


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


def missing_in_short(missing: Missing) -> str:
    """What could not be made of an instrument, and why."""
    return f"{', '.join(missing.names)}: {_without_source(missing.why)}"


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
                "last_reading": None if item.last is None else asdict(item.last),
                "parts": [_as_laid(place) for place in item.lies],
                "notes": [str(note) for note in item.notes],
                "missing": [{"names": list(one.names), **_fault_as_dict(one.why)} for one in item.missing],
            }
            for item in report.items
        ],
        "corrections": [asdict(kind) for kind in report.corrections],
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
    """The report as one JSON object. Bytes of a file's name that are no text are escaped, as JSON has it."""
    text = json.dumps(as_dict(report), indent=2, ensure_ascii=False, allow_nan=False)
    return text.encode(errors="backslashreplace").decode() + "\n"


def in_lines(report: Report) -> list[str]:
    """What became of the rack, in short, and what is known of places found by ear."""
    statuses = (Status.MADE, Status.UNCHANGED, Status.NOTHING, Status.FAULTY)
    made, unchanged, nothing, faulty = map(report.count, statuses)
    incomplete = sum(bool(item.missing) for item in report.items)
    lines = [words.counts(made, unchanged, nothing, faulty, incomplete, str(report.folder))]
    if report.nest is not None and report.nest.placed:
        lines.append(words.parts_on_sheets(len(report.nest.placed), report.nest.sheets))
    lines.append(words.index(report.summary))
    for item in report.items:
        if item.row is not None and (item.row.found is not None or item.last is not None):
            lines += words.instrument_lines(item.row, item.last)
    return [*lines, *words.corrections_lines(report.corrections)]
