"""Files that a user may write, or find on the disk: read, checked, and worked out as far as the program does."""

import datetime
import json
from functools import cache

import tomli
from fuzz.refusing import are_notes, refusals
from fuzz.scratch import scratch

from geometry.readings import USUAL_ERRORS
from jigs.cutting import settings
from jigs.input.text import decode
from jigs.instrument.file import KIND, REMEDY, parse
from jigs.instrument.opening import preset_text
from jigs.printers import kept
from jigs.printers import words as printer_words
from jigs.rack import state
from jigs.readings import file as readings_file
from jigs.readings import kept_place, log, log_picture
from jigs.readings.advice import advise
from jigs.readings.as_json import as_dict
from jigs.readings.checked import checked
from jigs.readings.note_words import notes
from jigs.readings.words import advice_lines
from jigs.sheets.paper import PAPERS, paper_named
from jigs.survey import file as survey_file
from jigs.survey import picture as survey_picture
from jigs.survey import tables as survey_tables
from jigs.survey import words as survey_words
from jigs.system.user_folder import settings_path
from jigs.workup import tables
from jigs.workup.work_up import work_up

TODAY = datetime.date(2026, 11, 25)


@cache
def _preset(name):
    return work_up(parse(preset_text(name).encode(), f"preset {name}"))


def _is_json(text):
    json.loads(text, parse_constant=_no_number)


def _no_number(name):
    raise AssertionError(f"{name} is not a number in JSON")


def _written(content, path):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


def instrument(raw):
    """An instrument file, as far as `jigs numbers` goes."""
    with refusals():
        workup = work_up(parse(raw, "mine.toml"))
        are_notes(workup.notes)
        tables.as_table(workup).encode()
        tables.as_csv(workup).encode()
        _is_json(tables.as_json(workup))


def found(raw):
    """A place kept in an instrument file: behind a NUL, what `jigs keep` takes: place | ± | date | strings."""
    content, _, behind = raw.partition(b"\0")
    given = [part.strip() or None for part in behind.decode(errors="replace").split("|")] + [None] * 4
    at, plus_minus, date, strings = given[:4]
    with refusals():
        before = kept_place.instrument_before(content, "mine.toml")
        how = kept_place.Given(
            at=at or "{:.1f} / {:.1f}".format(*before.outer_places_mm),
            plus_minus=plus_minus,
            date=date,
            strings=strings,
            sure=True,
        )
        table = kept_place.table_for(before, how, TODAY, _no_log)
        new = kept_place.with_place(content, table, before, "mine.toml")
        assert tomli.loads(decode(new.content, "", KIND, REMEDY))["found"] == dict(table.keys)


def _no_log():
    raise AssertionError("no log was named")


def survey(raw):
    """A survey file, as CSV and as TOML, as far as `jigs survey --format` goes."""
    for source in ("board.csv", "board.toml"):
        with refusals():
            board = survey_file.parse(raw, source)
            are_notes(survey_words.notes(board))
            survey_tables.as_table(board).encode()
            _is_json(survey_tables.as_json(board))
            survey_tables.paste_lines(board)
            if board.survey.best.residual_mm is not None:
                survey_picture.as_svg(board)


def readings(raw):
    """A readings file, as CSV and as TOML, to advice and a line of the log."""
    for source in ("bench.csv", "bench.toml"):
        with refusals():
            workup = _preset("mandolin")
            advice = advise(
                workup, checked(readings_file.parse(raw, source), workup), None, USUAL_ERRORS, diagnose=True
            )
            are_notes(notes(advice))
            advice_lines(advice)
            _is_json(json.dumps(as_dict(advice)))
            line = log.as_line(log.record(advice, 1))
            path = scratch() / "bench.jsonl"
            _written(line, path)
            assert log.read(path)[0].verdict == log.step_of(advice, 1).verdict


def logged(raw):
    """A log of readings, as far as its picture."""
    path = scratch() / "mine.jsonl"
    _written(raw, path)
    workup = _preset("banjo")
    with refusals():
        steps = log.read(path)
        log.last_of(steps, workup.instrument.name)
        log_picture.files(steps, workup, PAPERS["a4"], ("svg", "pdf"), "mine")


def printer(raw):
    """A printer's file, as far as what is said of it; it is written again as it was read."""
    path = kept.folder() / "laser.toml"
    _written(raw, path)
    with refusals():
        one = kept.load("laser")
        are_notes(printer_words.notes(one, paper_named(one.paper)))
        printer_words.in_lines(one)
        printer_words.in_one_line(one)
        printer_words.check_lines(one, paper_named(one.paper))
        _is_json(json.dumps(printer_words.as_dict(one)))
        _written(kept.as_text(one).encode(), path)
        assert kept.load("laser") == one


def cutter(raw):
    """The settings of a cutter."""
    _written(raw, settings_path())
    try:
        with refusals():
            settings.cutter_for({"kerf": None, "stock": "0.5"})
            settings.settings_text()
    finally:
        settings_path().unlink()


def rack_state(raw):
    """What a folder remembers of a rack. Lines that begin with a brace get the checksum that they need to be believed."""
    lines = [state._checked(line) if line.startswith(b"{") else line for line in raw.splitlines(keepends=True)]
    path = scratch() / state.NAME
    _written(state._HEADING + b"".join(lines), path)
    with refusals():
        for record in state.remembered(path.parent).values():
            state.intact(record.files, path.parent)
        with state.open_state(path.parent) as records:
            again = dict(records)
        assert state.remembered(path.parent) == again
