"""Every preset and every aim against the same physics written again, in fifty digits (`tests/fifty_digits.py`).

Frets, setbacks and the bridge line agree within a nanometre. The presets with the two aims of least squares, and random
instruments, are in `tests/slow/test_fifty_digits_of_many.py`.
"""

import mpmath as mp
import pytest
from fifty_digits import DIGITS
from fifty_digits_agree import (
    assert_bridge_and_nut_agree,
    assert_every_fret_agrees,
    assert_frets_agree,
    assert_octave_agrees_on_any_line,
    assert_strings_agree,
)
from fifty_digits_cases import (
    BOARD,
    BOTH_STEPPED,
    COUNTED_TURNS,
    EVERYTHING,
    FEW_FRETS,
    MANY_STEPS,
    MEASURED,
    SHORT_ON_DIATONIC,
    STEPPED_NUT,
    STEPPED_SADDLE,
    STRAIGHT,
    TOUCHES,
)
from instruments import edited

from jigs.instrument.opening import preset_names

CASES = [(name, "octave", "", {}) for name in preset_names()]
CASES += [("banjo", "octave", "everything", EVERYTHING), ("banjo", "octave", "straight", STRAIGHT)]
CASES += [("mandolin", "octave", "diatonic", BOARD)]
CASES += [("tenor-banjo", aim, "five frets count", FEW_FRETS) for aim in ("all frets", "nut and saddle")]
CASES += [("tenor-banjo", "octave", "turns", COUNTED_TURNS)]
CASES += [("tenor-banjo", "octave", "saddle stepped", STEPPED_SADDLE)]
CASES += [("mandolin", "octave", "nut stepped", STEPPED_NUT), ("mandolin", "octave", "both stepped", BOTH_STEPPED)]
CASES += [("mandolin", "octave", f"finger {what}", {"action": touch}) for what, touch in TOUCHES.items()]
CASES += [("banjo", "octave", "octave at fret 17", MANY_STEPS), ("banjo", "octave", "diatonic", SHORT_ON_DIATONIC)]
CASES += [("plectrum-banjo", "octave", "frets measured", MEASURED)]
NAMES = [", ".join(filter(None, (name, aim, what))) for name, aim, what, _ in CASES]


@pytest.fixture(autouse=True)
def fifty_digits():
    with mp.workdps(DIGITS):
        yield


@pytest.fixture(scope="module", params=CASES, ids=NAMES)
def workup(request):
    name, aim, _, edits = request.param
    aims = {"tune_to": aim} | edits.get("compensation", {})
    return edited(name, **{**edits, "compensation": aims})


def test_frets_are_within_a_nanometre(workup):
    assert_frets_agree(workup)


def test_string_numbers_are_right_to_twelve_digits(workup):
    assert_strings_agree(workup)


def test_bridge_and_nut_are_within_a_nanometre(workup):
    assert_bridge_and_nut_agree(workup)


def test_every_fret_reads_what_fifty_digits_say(workup):
    assert_every_fret_agrees(workup)


def test_octave_on_any_line_reads_what_fifty_digits_say(workup):
    assert_octave_agrees_on_any_line(workup)


@pytest.mark.parametrize(
    ("edits", "octaves"), [(MANY_STEPS, [17, 17, 17, 17, 16]), (SHORT_ON_DIATONIC, [7, 7, 7, 7, 7])]
)
def test_octave_of_each_string_is_counted_from_its_own_nut(edits, octaves):
    assert edited("banjo", **edits).octave_frets.tolist() == octaves
