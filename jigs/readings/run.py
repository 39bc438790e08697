"""From readings as the user wrote them to advice, into the log, and to the log's picture."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from geometry.readings import USUAL_ERRORS, Verdict
from jigs.export.formats import ON_PAPER, read_formats
from jigs.faults import Fault, InputFaults, Place, attempt
from jigs.instrument.opening import stem_for
from jigs.readings import fault_words as words
from jigs.readings import file as readings_file
from jigs.readings.advice import Advice, advise
from jigs.readings.checked import NoteReading, Row, checked, read_errors, rows_from_options
from jigs.readings.log import Step, as_line, last_of, next_number, open_log, read, record, step_of
from jigs.readings.rounds import Start, first_start, kept_start
from jigs.sheets.paper import Paper, paper_named
from jigs.system.whole_files import write_all
from jigs.workup.workup import Workup

if TYPE_CHECKING:
    from jigs.readings.listening import Listened


@dataclass(frozen=True)
class Picture:
    """How to draw the log, and where to write the picture."""

    paper: Paper
    formats: Sequence[str]
    stem: str
    folder: Path

    def files(self, steps: Sequence[Step], workup: Workup) -> Mapping[str, bytes]:
        """The picture of the steps, in memory, by file name. Raises `InputFaults`."""
        from jigs.readings.log_picture import files

        return files(steps, workup, self.paper, self.formats, self.stem)

    def of_heard(self, listened: "Listened", advice: Advice) -> Mapping[str, bytes]:
        """The picture of what was heard, in memory, by file name. Raises `InputFaults`."""
        from jigs.readings.heard_picture import files

        return files(listened, advice, self.paper, self.formats, self.stem)


def picture(formats: str, paper: str, instrument: str, out: str) -> Picture:
    """A picture from words on the command line. Raises `InputFaults`."""
    return Picture(paper_named(paper), read_formats(formats, ON_PAPER), stem_for(instrument), Path(out))


def advice(
    workup: Workup,
    given: Sequence[tuple[str, str]],
    file: str | None,
    stands_at: str | None,
    tuner_and_touch: tuple[str | None, str | None],
    diagnose: bool,
    log: str | None = None,
) -> Advice:
    """Advice from options in their order, or from a file; ``tuner_and_touch``: their errors, None for what is usual.

    ``stands_at``: where the bridge stands; if it is not given, the last round in the ``log`` says it.

    Raises `InputFaults` with all faults.
    """
    if file is not None and given:
        raise words.file_and_options().refusal(Place(option="file"))
    if file is None and not given:
        raise words.nothing_given().refusal(Place(option="string"))
    return advice_on(workup, lambda: _typed(workup, given, file, diagnose), (stands_at, log), tuner_and_touch, diagnose)


def advice_on(
    workup: Workup,
    read: Callable[[], tuple[NoteReading, ...]],
    place_and_log: tuple[str | None, str | None],
    tuner_and_touch: tuple[str | None, str | None],
    diagnose: bool,
    read_in_vain: bool = True,
) -> Advice:
    """Advice from what ``read`` returns. Raises `InputFaults` with all faults, those of ``read`` last.

    ``read_in_vain=False``: do not read if anything else is wrong, because it takes the user's time.
    """
    faults: list[Fault] = []
    start = attempt(faults, _start, workup, *place_and_log)
    errors = attempt(faults, read_errors, *tuner_and_touch)
    readings = attempt(faults, read) if read_in_vain or not faults else ()
    if faults:
        raise InputFaults(faults)
    return advise(workup, readings or (), start, errors or USUAL_ERRORS, diagnose)


def _typed(
    workup: Workup, given: Sequence[tuple[str, str]], file: str | None, diagnose: bool
) -> tuple[NoteReading, ...]:
    """The readings as the user wrote them. Raises `InputFaults`."""
    readings = checked(_rows(given, file), workup)
    if not diagnose and not any(one.fret == workup.octave_frets[one.string] for one in readings):
        at = Place(option="fret") if file is None else Place(file)
        raise words.none_at_octave(workup.instrument.octave_fret).refusal(at)
    return readings


def _start(workup: Workup, stands_at: str | None, log: str | None) -> Start | None:
    """Where the bridge stands before this round; once a log says stop, at the place that was kept, if one was.

    Raises `InputFaults`.
    """
    if stands_at is not None:
        return first_start(stands_at, workup)
    last = None if log is None else last_of(read(Path(log)), workup.instrument.name)
    if last is not None and last.verdict == Verdict.STOP and workup.found is not None:
        return kept_start(workup.found)
    return None if last is None else last.next


def _rows(given: Sequence[tuple[str, str]], file: str | None) -> Sequence[Row]:
    return rows_from_options(given) if file is None else readings_file.load(Path(file))


def keep(advice: Advice, log: str, wanted: Picture | None, listened: "Listened | None" = None) -> list[Path]:
    """Add an advice to the log, and write its pictures if they are wanted. Raises `InputFaults`.

    Returns the files written, the log last. The pictures are drawn once before anything is written, so that a picture that
    cannot be drawn leaves the log as it was. ``listened``: what was heard, if the readings are from sounds.
    """
    path, name = Path(log), advice.workup.instrument.name
    steps = read(path)
    beside: Mapping[str, bytes] = {}
    if wanted is not None:
        wanted.files((*steps, step_of(advice, next_number(steps, name))), advice.workup)
        beside = {} if listened is None else wanted.of_heard(listened, advice)
    with open_log(path) as kept:
        number = next_number(kept.steps, name)
        wrote: list[Path] = []
        if wanted is not None:
            pictures = wanted.files((*kept.steps, step_of(advice, number)), advice.workup)
            wrote = write_all({**pictures, **beside}, wanted.folder)
        kept.append(as_line(record(advice, number, _as_dict(listened))))
    return [*wrote, path]


def _as_dict(listened: "Listened | None") -> Mapping[str, Any] | None:
    if listened is None:
        return None
    from jigs.readings.heard_json import heard_dict

    return heard_dict(listened)


def draw_heard(advice: Advice, listened: "Listened", wanted: Picture) -> list[Path]:
    """Draw what was heard. Raises `InputFaults`."""
    return write_all(wanted.of_heard(listened, advice), wanted.folder)


def draw_log(workup: Workup, log: str, wanted: Picture) -> list[Path]:
    """Draw a log as it is. Raises `InputFaults`."""
    return write_all(wanted.files(read(Path(log)), workup), wanted.folder)
