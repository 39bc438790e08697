"""The way of a reading: from what was written to advice, into the log, and to the log's picture."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from geometry.frets import OCTAVE_FRET
from geometry.readings import TUNER_ERROR_CENTS
from jigs.export.formats import ON_PAPER, read_formats
from jigs.faults import Fault, InputFaults, Place
from jigs.instrument.opening import stem_for
from jigs.readings import fault_words as words
from jigs.readings import file as readings_file
from jigs.readings.advice import Advice, advise
from jigs.readings.checked import NoteReading, Row, checked, read_tuner_error, rows_from_options
from jigs.readings.log import Log, Step, as_line, open_log, read, record, step_of
from jigs.sheets.paper import Paper, paper_named
from jigs.system.whole_files import write_all
from jigs.workup.standing import read_place
from jigs.workup.workup import Workup


@dataclass(frozen=True)
class Picture:
    """How the log is to be drawn, and where to."""

    paper: Paper
    formats: Sequence[str]
    stem: str
    folder: Path

    def files(self, steps: Sequence[Step], workup: Workup) -> Mapping[str, bytes]:
        """The picture of the steps, in memory, by file name. Raises `InputFaults`."""
        from jigs.readings.log_picture import files

        return files(steps, workup, self.paper, self.formats, self.stem)


def picture(formats: str, paper: str, instrument: str, out: str) -> Picture:
    """A picture from words on the command line. Raises `InputFaults`."""
    return Picture(paper_named(paper), read_formats(formats, ON_PAPER), stem_for(instrument), Path(out))


def advice(
    workup: Workup,
    given: Sequence[tuple[str, str]],
    file: str | None,
    stands_at: str | None,
    tuner_error: str | None,
    diagnose: bool,
) -> Advice:
    """Advice from what was written: options in their order, or a file. Raises `InputFaults` with all faults."""
    if file is not None and given:
        raise words.file_and_options().refusal(Place(option="file"))
    if file is None and not given:
        raise words.nothing_given().refusal(Place(table="readings"))
    faults: list[Fault] = []
    place, error = None, TUNER_ERROR_CENTS
    found: tuple[NoteReading, ...] = ()
    try:
        place = None if stands_at is None else read_place(stands_at, workup)
    except InputFaults as wrong:
        faults += wrong.faults
    try:
        error = TUNER_ERROR_CENTS if tuner_error is None else read_tuner_error(tuner_error)
    except InputFaults as wrong:
        faults += wrong.faults
    try:
        found = checked(_rows(given, file), workup)
        _all_at_octave(found, diagnose)
    except InputFaults as wrong:
        faults += wrong.faults
    if faults:
        raise InputFaults(faults)
    return advise(workup, found, place, error, diagnose)


def _rows(given: Sequence[tuple[str, str]], file: str | None) -> Sequence[Row]:
    return rows_from_options(given) if file is None else readings_file.load(Path(file))


def _all_at_octave(found: Sequence[NoteReading], diagnose: bool) -> None:
    if not diagnose and not any(one.fret == OCTAVE_FRET for one in found):
        raise words.none_at_octave().refusal(Place(table="readings"))


def keep(found: Advice, log: str, drawn: Picture | None) -> list[Path]:
    """Add an advice to the log, with its picture if one is wanted; the files written, the log last. Raises `InputFaults`.

    The picture is made before anything is written, so that a log is not touched for a picture that cannot be.
    """
    path = Path(log)
    steps = read(path)
    if drawn is not None:
        drawn.files((*steps, step_of(found, _next(steps, found))), found.workup)
    with open_log(path) as kept:
        number = kept.number(found.workup.instrument.name)
        wrote: list[Path] = []
        if drawn is not None:
            wrote = write_all(_drawn(drawn, kept, found, number), drawn.folder)
        kept.append(as_line(record(found, number)))
    return [*wrote, path]


def _next(steps: Sequence[Step], found: Advice) -> int:
    return max((one.step for one in steps if one.instrument == found.workup.instrument.name), default=0) + 1


def _drawn(drawn: Picture, kept: Log, found: Advice, number: int) -> Mapping[str, bytes]:
    return drawn.files((*kept.steps, step_of(found, number)), found.workup)


def draw_log(workup: Workup, log: str, drawn: Picture) -> list[Path]:
    """Draw a log as it is. Raises `InputFaults`."""
    return write_all(drawn.files(read(Path(log)), workup), drawn.folder)
