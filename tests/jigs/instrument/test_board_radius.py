"""The radius of a fretboard: read as people write it, and refused where no strings could lie over it."""

import pytest
from instruments import edited

from jigs.faults import InputFaults
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text


def with_radius(radius):
    text = preset_text("mandolin").replace("[board]", f"[board]\nradius = {radius}", 1)
    return parse(text.encode(), "mine.toml")


@pytest.mark.parametrize(
    ("written", "mm"), [('"12 in"', 304.8), ("12", 304.8), ("9.5", 241.3), ('"250 mm"', 250), ("250", 250)]
)
def test_radius_is_read_in_inches_or_millimetres(written, mm):
    assert with_radius(written).board.radius == pytest.approx(mm)


def test_board_without_a_radius_is_flat():
    assert parse(preset_text("mandolin").encode(), "mine.toml").board.radius is None


@pytest.mark.parametrize("written", ['"15 mm"', "0", "-3", "20", "5000", '"flat"'])
def test_radius_that_no_fretboard_has_is_refused_at_its_key(written):
    with pytest.raises(InputFaults) as refused:
        with_radius(written)
    (fault,) = refused.value.faults
    assert (fault.place.table, fault.place.key) == ("board", "radius")
    assert fault.remedy


def test_radius_smaller_than_half_the_spacing_is_refused_with_the_spacing():
    """Half of 140 mm and of the 2.5 mm within a pair."""
    wide = {"spacing": 140.0, "length": 150.0}
    with pytest.raises(InputFaults) as refused:
        edited("archtop-guitar", board={"radius": 71.0}, bridge=wide)
    (fault,) = refused.value.faults
    assert (fault.place.table, fault.place.key, fault.code) == ("board", "radius", "radius-too-small")
    assert "71 mm is smaller than 71.25 mm, half of what lies across it ([bridge] spacing = 140)" in str(fault)
    assert edited("archtop-guitar", board={"radius": 72.0}, bridge=wide).instrument.board.radius == 72
