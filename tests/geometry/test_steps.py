"""Stepped saddles: the crown's line is fitted to what each string needs less the step that it has."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from instruments import edited
from samples import PRESETS

from geometry.bridge import BridgeFit, straight_line

SCALE = 352.4

steady = settings(deadline=None, derandomize=True)
rows = st.tuples(st.floats(-2, 9), st.floats(-3, 3), st.floats(-6, -1.5), st.booleans())
stepped_strings = st.lists(rows, min_size=2, max_size=8)
EACH_FIT = pytest.mark.parametrize("fit", ["outer", "all"])
EACH_AIM = pytest.mark.parametrize("aim", ["octave", "all frets", "nut and saddle"])


def line_by_hand(across, needed, rates, full, fit):
    """Centre and slope: through the two outer full-length strings, or numpy's least squares in cents."""
    if fit == "outer":
        outer = np.flatnonzero(full)
        first, last = outer[0], outer[-1]
        slope = (needed[first] - needed[last]) / (across[first] - across[last]) if first != last else 0.0
        return needed[first] - slope * across[first], slope
    matrix = np.stack((rates, rates * across), axis=1)
    return np.linalg.lstsq(matrix, rates * needed, rcond=None)[0]


@EACH_FIT
@steady
@given(strings=stepped_strings, spacing=st.floats(20, 60))
def test_line_of_a_stepped_saddle_is_the_one_that_is_fitted_by_hand(fit, strings, spacing):
    """Within 1e-6 mm at every string, for any setbacks and steps."""
    setback, steps, rates, full = (np.array(column) for column in zip(*strings, strict=True))
    full[0] = True
    across = np.linspace(spacing / 2, -spacing / 2, len(strings))
    line = straight_line(SCALE, across, setback - steps, rates, full, BridgeFit(fit))
    centre, slope = line_by_hand(across, setback - steps, rates, full, fit)
    np.testing.assert_allclose(line.at(across), SCALE + centre + slope * across, rtol=0, atol=1e-6)


@cache
def straight(name, aim, fit):
    return edited(name, compensation={"tune_to": aim, "bridge_fit": fit}, bridge={"steps": None})


def stepped(name, aim, fit, steps):
    aims = {"tune_to": aim, "bridge_fit": fit}
    return edited(name, compensation=aims, bridge={"steps": [float(step) for step in steps]})


@EACH_FIT
@pytest.mark.parametrize("name", ["banjo", "mandolin"])
@settings(deadline=None, derandomize=True, max_examples=20)
@given(data=st.data())
def test_file_with_steps_gets_the_line_that_is_fitted_by_hand(name, fit, data):
    """Each string's own place is the same whatever the saddle is; the crown's line is not."""
    plain = straight(name, "octave", fit)
    count = len(plain.across_mm)
    steps = np.array(data.draw(st.lists(st.floats(-3, 3), min_size=count, max_size=count)))
    drawn = stepped(name, "octave", fit, steps)
    assert np.array_equal(drawn.setbacks.setback_mm, plain.setbacks.setback_mm)
    full = drawn.instrument.stringing.full_length
    needed = plain.setbacks.setback_mm - steps
    centre, slope = line_by_hand(plain.across_mm, needed, plain.cents_per_mm, full, fit)
    on_line = centre + slope * plain.across_mm
    np.testing.assert_allclose(drawn.line.at(drawn.across_mm), drawn.scale_mm + on_line, rtol=0, atol=1e-6)
    np.testing.assert_allclose(drawn.setback_on_mm(drawn.line), on_line + steps, rtol=0, atol=1e-6)
    off = plain.cents_per_mm * (on_line + steps - plain.setbacks.setback_mm)
    np.testing.assert_allclose(drawn.left_cents, off, rtol=0.05, atol=0.01)


@EACH_FIT
@EACH_AIM
@pytest.mark.parametrize("name", PRESETS)
def test_saddle_stepped_as_its_strings_need_it_stands_square_and_leaves_nothing(name, aim, fit):
    """Under a thousandth of a cent at each string's octave, or of what its own place leaves, and no slant."""
    needed = straight(name, aim, fit).setbacks.setback_mm
    middle = (needed.max() + needed.min()) / 2
    drawn = stepped(name, aim, fit, needed - middle)
    assert drawn.line.slope == pytest.approx(0, abs=1e-9)
    assert drawn.line.slant_deg == pytest.approx(0, abs=1e-6)
    assert drawn.line.centre_mm == pytest.approx(drawn.scale_mm + middle, abs=1e-6)
    own = drawn.cents[np.arange(len(needed)), drawn.octave_frets - 1] - drawn.harmonic_cents
    np.testing.assert_allclose(drawn.left_cents, own, rtol=0, atol=0.001)
    np.testing.assert_allclose(drawn.left_rms_cents, drawn.rms_cents, rtol=0, atol=0.001)
    if aim == "octave":
        assert abs(drawn.left_cents).max() < 0.001


def test_saddle_stepped_for_a_mandolin_drawn_as_straight_would_be_millimetres_off():
    """The check above can fail: a stepped saddle's base belongs elsewhere than a straight one's, by 3 mm at its ends."""
    plain = straight("mandolin", "octave", "outer")
    drawn = stepped("mandolin", "octave", "outer", [-1.2, 1.2, -0.6, 1.0])
    ends = np.array([54.0, -54.0])
    assert abs(drawn.line.at(ends) - plain.line.at(ends)).max() > 2.5


@pytest.mark.parametrize("aim", ["octave", "all frets"])
@pytest.mark.parametrize("name", ["banjo", "mandolin"])
def test_stepped_nut_moves_each_strings_place_as_its_own_search_has_it(name, aim):
    """A nut that is nearer by the step shortens the open string: the bridge follows towards the nut, by about that much."""
    plain = edited(name, compensation={"tune_to": aim}, nut={"steps": None})
    steps = np.linspace(0.5, 0.1, len(plain.across_mm))
    drawn = edited(name, compensation={"tune_to": aim}, nut={"steps": steps.tolist()})
    assert drawn.setbacks.nut_setback_mm.tolist() == (-steps).tolist()
    moved = drawn.setbacks.setback_mm - plain.setbacks.setback_mm
    assert np.all(moved < 0)
    if aim == "octave":
        np.testing.assert_allclose(moved, -steps, rtol=0.1)
        assert abs(drawn.cents[:, 11] - drawn.harmonic_cents).max() < 1e-9
