"""Presets with values of their own: a test states what it rests on, whatever the preset's file says of it."""

import tomllib

from jigs.instrument.file import from_data
from jigs.instrument.opening import preset_text
from jigs.workup.work_up import work_up


def edited(preset_name, /, head=None, strings=None, **tables):
    """A preset's workup with keys set: of the head, of strings by their index, of tables. None removes a key.

    ``edited("banjo", tail={"slip": 0.5}, strings={3: {"core": 0.28}}, head={"frets": 22})``
    """
    data = tomllib.loads(preset_text(preset_name))
    _set(data, head or {})
    for name, values in tables.items():
        _set(data.setdefault(name, {}), values)
    for index, values in (strings or {}).items():
        _set(data["strings"][index], values)
    return work_up(from_data(data, preset_name))


def _set(table, values):
    table.update(values)
    for key in [key for key, value in table.items() if value is None]:
        del table[key]


STRAIGHT_STRING = {"finger": 0.0, "press": 0.0}
"""A finger right at the fret, which presses no deeper than that."""
