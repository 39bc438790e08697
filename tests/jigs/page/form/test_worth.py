"""What each measurement is worth: the ± of the figures in parts, each at the fields that make it smaller."""

import json
import re

import pytest
from samples import run

from geometry.tolerance import Source
from jigs.instrument.opening import preset_names
from jigs.page.form.fields import GROUPS, STRING_FIELDS, Level
from jigs.page.form.worth import OF_FIELD, WITHOUT_FIELD, WORTH, of_group

OF_A_STRING = {field.key for field in STRING_FIELDS}
LEVELS = {field.key: group.level for group in GROUPS for field in group.fields}


def parts(data):
    """The parts as numbers, "under 0.1" as 0."""
    return {
        name: float((re.search(r"± ([\d.]+) mm of", text) or [0, 0])[1])
        for name, text in data["worth"]["parts"].items()
    }


def test_every_part_of_the_doubt_is_at_a_field_or_says_what_helps():
    assert [one.source for one in WORTH].count(Source.CORE) == 1
    assert {one.source for one in WORTH} == set(Source)
    for one in WORTH:
        assert one.fields or one.helps, one
        assert bool(one.helps) == bool(one.leads_to), one
        assert all(key in LEVELS or key in OF_A_STRING for key in one.fields), one


def test_every_part_without_a_field_leads_to_a_place_that_the_page_has(application):
    page = application.ask("GET", "/", b"", {}).body.decode()
    for one in WITHOUT_FIELD:
        assert f'id="{one.leads_to}"' in page, one


@pytest.mark.parametrize("preset", preset_names())
def test_what_is_said_to_hardly_matter_hardly_does(application, preset):
    """Except how well all else was measured, which nobody measures."""
    drawn = parts(application.drawn(preset))
    hardly = [
        part
        for group in GROUPS
        if group.level is Level.HARDLY and group.name != "tolerance"
        for part in of_group(group)
    ]
    assert hardly == ["nut_height"]
    assert all(drawn[part] < 0.15 for part in hardly)


@pytest.mark.parametrize("preset", ["banjo", "mandolin", "archtop-guitar"])
def test_parts_are_those_of_the_command_line_at_the_less_sure_end(application, preset):
    numbers = json.loads(run("numbers", preset, "--json")[1])
    bridge = numbers["bridge"]
    end = max(("treble", "bass"), key=lambda one: bridge[f"{one}_plus_minus_mm"])
    string = numbers["strings"][bridge[f"{end}_string"] - 1]
    drawn = application.drawn(preset, draw={"template": "fork", "datum-fret": "12", "paper": "a3"})
    assert drawn["worth"]["whole"] == f"± {bridge[f'{end}_plus_minus_mm']:.1f} mm (95%) at the {end} end"
    for part in string["contributions"]:
        shown = drawn["worth"]["parts"][part["name"]]
        assert shown.startswith(f"± {part['mm']:.1f} mm" if part["mm"] >= 0.05 else "± under 0.1 mm"), part


def test_a_measurement_makes_its_part_smaller(application):
    rough = parts(application.drawn("mandolin"))
    aids = parts(application.drawn("mandolin", {"strings.4.turns": "37", "tolerance.measured_with": "aids"}))
    assert aids["core"] < rough["core"] / 3
    assert aids["action"] < rough["action"]
    finger = parts(application.drawn("mandolin", {"action.finger": "10", "action.press": "0.2"}))
    assert finger["touch"] == 0 < rough["touch"]


def test_a_field_is_worth_one_part():
    assert sum(len(one.fields) for one in WORTH) == len(OF_FIELD)
