"""Texts that a user types into a field, behind an option or into a cell of a spreadsheet."""

from collections import defaultdict
from functools import cache
from itertools import islice
from typing import get_args

from fuzz.refusing import are_notes, refusals

from jigs.cutting.nesting import stock_named
from jigs.cutting.settings import LENGTH_OF
from jigs.export.formats import FORMATS, read_formats
from jigs.faults import Place
from jigs.input.rows import csv_lines
from jigs.instrument.file import parse
from jigs.instrument.found import read_day
from jigs.instrument.in_units import Unit, is_read_as_inches, shown
from jigs.instrument.opening import preset_text
from jigs.instrument.packets import read_strings, written
from jigs.instrument.reference import MODELS, keys_of, measure_of
from jigs.instrument.restring import restrung
from jigs.instrument.set_keys import read_set_keys
from jigs.instrument.typed import value_of
from jigs.page.serve import read_port
from jigs.press.order import read_order
from jigs.printers.measured import checked_name
from jigs.readings.checked import checked, read_errors, read_tone, rows_from_options
from jigs.readings.file import COLUMNS
from jigs.readings.rounds import first_start
from jigs.sheets.paper import paper_named
from jigs.system.workers import read_jobs
from jigs.workup.work_up import work_up

_OF_EACH_SORT = 3


def _measures():
    """Some of each sort that keys and options are declared with."""
    by_sort = defaultdict(dict)
    for one in (*(measure_of(key.path) for table in MODELS for key in keys_of(table)), *LENGTH_OF.values()):
        if one is not None:
            by_sort[type(one)][one] = None
    return [one for sort in by_sort.values() for one in islice(sort, _OF_EACH_SORT)]


MEASURES = _measures()
ALONE = (read_tone, checked_name, paper_named, stock_named, read_day, read_jobs, read_port)


def _text(raw):
    return raw.decode("utf-8", "replace")


@cache
def _preset(name):
    return parse(preset_text(name).encode(), f"preset {name}")


@cache
def _workup():
    return work_up(_preset("mandolin"))


def rows(raw):
    """The lines of a CSV file, and their cells."""
    for line in csv_lines(_text(raw)):
        assert not line.cells or line.cells[-1]


def quantities(raw):
    """A length, a gauge, a list, a pitch, a day, a paper: whatever one field takes."""
    text = _text(raw)
    for measure in MEASURES:
        for kind in ("length", "list"):
            with refusals():
                measure.read(value_of(text, "", kind))
        with refusals():
            measure.read(text)
        for unit in get_args(Unit):
            shown(text, measure, unit).encode()
        is_read_as_inches(text, measure)
    for read in ALONE:
        with refusals():
            read(text)
    with refusals():
        read_errors(text, text)
    with refusals():
        first_start(text, _workup())


def set_keys(raw):
    """Keys that are set beside the file, one a line, as `--set` takes them."""
    with refusals():
        instrument = _preset("banjo")
        keys = read_set_keys(_text(raw).split("\n"))
        work_up(parse(preset_text("banjo").encode(), instrument.source, keys))


def packets(raw):
    """Sets of strings as on their packets: what is written of one reads back as the same strings."""
    for name in ("mandolin", "banjo"):
        with refusals():
            instrument = restrung(_preset(name), read_strings(_text(raw)), Place(option="strings"))
            text = written(instrument.strings)
            again = restrung(_preset(name), read_strings(text), Place(option="strings"))
            assert written(again.strings) == text


def orders(raw):
    """Templates in the first line, and options of a drawing or of a reading, a name and a value in each line below."""
    first, *lines = _text(raw).split("\n")
    given = [(name.strip(), value.strip()) for name, _, value in (line.partition("=") for line in lines)]
    with refusals():
        read_formats(first, FORMATS)
    with refusals():
        order = read_order([one.strip() for one in first.split(",")], dict(given))
        are_notes(order.notes)
    with refusals():
        checked(rows_from_options([one for one in given if one[0] in COLUMNS]), _workup())
