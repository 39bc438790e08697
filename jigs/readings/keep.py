"""A place that was found by ear, kept in an instrument file: whole or not at all, while other runs wait."""

import datetime
from pathlib import Path

from jigs.faults import Place
from jigs.input.text import read_bytes
from jigs.instrument import words as instrument_words
from jigs.instrument.file import KIND
from jigs.instrument.opening import preset_names
from jigs.readings import keep_words as words
from jigs.readings.kept_place import Given, Kept, instrument_before, table_for, with_place
from jigs.readings.log import Step, last_of, read
from jigs.system.whole_files import rewrite


def keep(file: str, given: Given, today: datetime.date) -> Kept:
    """Write where the bridge played in tune into an instrument file, whole or not at all. Raises `InputFaults`.

    Nothing else in the file changes. A run that comes at the same time waits, and finds what this one wrote.
    """
    path = Path(file)
    if file in preset_names() and not path.exists():
        raise words.no_file_of_its_own(file).refusal(Place(file))
    if path.exists() and not path.is_file() and not path.is_dir():
        raise words.not_a_file().refusal(Place(file))
    before = instrument_before(read_bytes(path, KIND, instrument_words.CHECK_NAME), file)
    name = before.instrument.name
    table = table_for(before, given, today, lambda: _last_of_log(Path(given.log or ""), name))
    kept: list[Kept] = []

    def change(content: bytes) -> bytes:
        kept.append(with_place(content, table, before, file))
        return kept[-1].content

    rewrite(path, change)
    return kept[-1]


def _last_of_log(path: Path, name: str) -> Step:
    """The last round of an instrument in a log. Raises `InputFaults`."""
    steps, at = read(path), Place(str(path))
    if not steps:
        raise words.log_empty().refusal(at)
    last = last_of(steps, name)
    if last is None:
        raise words.log_of_another(name, list(dict.fromkeys(step.instrument for step in steps))).refusal(at)
    return last
