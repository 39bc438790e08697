"""Each refusal of an instrument file: its place and its code, and beside it the nearest value that is taken.

Without these, a slip just beyond a limit would be drawn, a sound value refused, or the fault shown at another field.
"""

import tomllib

import pytest
from refused_files import REFUSED, B, M, data_with

from jigs.faults import InputFaults, Note
from jigs.instrument.file import from_data
from jigs.instrument.opening import preset_text


def faults(name, edits):
    """The faults of such a file, each as (table, key, string, code)."""
    try:
        from_data(data_with(name, edits), "mine.toml")
    except InputFaults as wrong:
        return [whole(one) for one in wrong.faults]
    return []


def whole(fault):
    """A fault as (table, key, string, code), which names the file and has nothing left out of its sentence."""
    assert fault.place.source in ("mine.toml", "")
    assert fault.place.source or isinstance(fault, Note)
    assert "None" not in fault.sentence()
    return fault.place.table, fault.place.key, fault.place.string, fault.code


def notes(name, edits):
    """The notes of such a file, each as (table, key, string, code)."""
    found = from_data(data_with(name, edits), "mine.toml").notes
    return {whole(one) for one in found}


@pytest.mark.parametrize(("name", "wrong", "at", "code", "right"), REFUSED)
def test_slip_just_beyond_a_limit_is_refused_at_its_field_and_the_limit_itself_is_taken(name, wrong, at, code, right):
    *table, key = at.split(".")
    string = int(table[1]) if len(table) > 1 else None
    assert faults(name, wrong) == [(table[0] if table else "", key, string, code)]
    if right is not None:
        assert faults(name, right) == []


@pytest.mark.parametrize(
    ("name", "odd", "at", "code", "usual"),
    [
        (B, {"scale": 838.3}, ("", "scale", None), "scale-unusual", {"scale": 838.1}),
        (
            M,
            {"scale": None, "nut_to_fret_12": 165.0},
            ("", "scale", None),
            "scale-unusual",
            {"scale": None, "nut_to_fret_12": 165.2},
        ),
        (M, {"bridge.steps": None}, ("bridge", "steps", None), "straight-edge-assumed", {"bridge.steps": [0, 0, 0, 0]}),
        (B, {"bridge.crown": 7.6}, ("bridge", "crown", None), "crown-over-feet", {"bridge.crown": 7.5}),
        (B, {"strings.5.starts_at_fret": 0}, ("strings", "starts_at_fret", 5), "string-perhaps-short", {}),
        (B, {"bridge.thickness": None}, ("", "", None), "taken-as-usual", {"bridge.crown": None}),
    ],
)
def test_what_is_possible_but_unlikely_is_noted_at_its_field(name, odd, at, code, usual):
    assert (*at, code) in notes(name, odd)
    assert code not in {one[-1] for one in notes(name, usual)}


def test_strings_from_the_bass_are_noted_and_a_short_last_one_is_not_mistaken_for_that():
    listed = tomllib.loads(preset_text(M))["strings"][::-1]
    assert ("strings", "", None, "strings-listed-from-bass") in notes(M, {"strings": listed})
    assert "strings-listed-from-bass" not in {one[-1] for one in notes(B, {})}


def test_strings_from_the_bass_are_noted_on_a_banjo_too():
    listed = tomllib.loads(preset_text(B))["strings"]
    assert ("strings", "", None, "strings-listed-from-bass") in notes(B, {"strings": [*listed[-2::-1], listed[-1]]})
    assert "strings-listed-from-bass" not in {one[-1] for one in notes(B, {"strings.5.starts_at_fret": 0})}
