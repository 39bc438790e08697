"""Where the bridge stands now, as people write it: one place or two, in millimetres or inches, never one taken for two."""

import pytest
from samples import preset

from jigs.faults import InputFaults
from jigs.workup.standing import read_place

BANJO, MANDOLIN = preset("banjo"), preset("mandolin")
"""Their scales: 26 1/4 in, 666.75 mm, and 13 7/8 in, 352.4 mm."""


@pytest.mark.parametrize(
    ("written", "treble", "bass"),
    [
        ("670", 670, 670),
        ("670,5", 670.5, 670.5),
        ("669,800", 669.8, 669.8),
        ("26 3/8", 669.925, 669.925),
        ("26⅜", 669.925, 669.925),
        ("26.375", 669.925, 669.925),
        ("26,375", 669.925, 669.925),
        ("670 / 671", 670, 671),
        ("670/671", 670, 671),
        ("670,5 / 671,2", 670.5, 671.2),
        ("670,5/671,2", 670.5, 671.2),
        ("26⅜ / 26 1/2", 669.925, 673.1),
        ("26 3/8 in / 671 mm", 669.925, 671),
    ],
)
def test_place_is_read_where_it_can_mean_only_one(written, treble, bass):
    assert read_place(written, BANJO) == pytest.approx((treble, bass), abs=1e-9)


@pytest.mark.parametrize(
    ("workup", "written", "sentence"),
    [
        (BANJO, "670,671", '"670,671" can be one place or two; for two places write "670 / 671", for one "670.671"'),
        (BANJO, "67,1", '"67,1" is not a place for this bridge; for centimetres write "67,1 cm"'),
        (BANJO, "67", '"67" is not a place for this bridge; for centimetres write "67 cm"'),
        (MANDOLIN, "35.4", '"35.4" is not a place for this bridge; for centimetres write "35.4 cm"'),
        (
            BANJO,
            "67 mm",
            '"67 mm" is not a place for this bridge; '
            "write the distance of its crown from the nut, 601 to 733 mm, or 23 3/4 in to 28 7/8 in",
        ),
        (
            BANJO,
            "670, 671",
            '"670, 671" has a comma; write the decimals after a point; for two places write for instance "668.8 / 670.8"',
        ),
    ],
)
def test_place_that_can_be_two_or_none_is_refused_with_what_to_write(workup, written, sentence):
    with pytest.raises(InputFaults) as refusal:
        read_place(written, workup)
    assert str(refusal.value) == f"--at: {sentence}"
