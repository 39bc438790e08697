"""Texts that cannot be read as TOML: what was meant is shown."""

import pytest

from jigs.faults import InputFaults
from jigs.input.text import parse_toml


@pytest.mark.parametrize("day", ["2026-02-30", "25.11.2026", "11/25/2026"])
def test_day_that_is_not_in_the_calendar_is_shown_as_it_should_be(day):
    with pytest.raises(InputFaults, match="year, month and day: 2026-11-25") as wrong:
        parse_toml(f"[found]\ndate = {day}\n", "mine.toml", "", "")
    assert wrong.value.faults[0].place.line == 2
