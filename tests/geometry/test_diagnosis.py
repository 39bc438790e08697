"""The weights of causes are Bayes's, worked out again by scipy on a string in formulas of its own."""

from dataclasses import replace
from functools import cache
from itertools import product

import numpy as np
import pytest
from scipy.stats import multivariate_normal
from simulator import fretted_cents

from geometry import diagnosis as d
from geometry.diagnosis import Cause, FretReadings, String, Suspect
from geometry.fretting import FrettedStrings
from geometry.readings import TOUCH_ERROR_CENTS, ReadingErrors
from geometry.touch import PLAUSIBLE, Touch

NECK = 15
RATIO = 2 ** (np.arange(1, NECK + 1) / 12)
INPUTS = {"scale": 650.0, "nut": 0.5, "rise": 5.0, "finger": 10.0, "press": 0.3, "stretch": 160.0, "stiffness": 0.001}
SETBACK, NUT_SETBACK = 2.4, -0.3
TUNER = 0.4


def a_string(frets=NECK, touch=PLAUSIBLE, was_right=False, wound=False, **changed):
    own = INPUTS | changed
    one = np.ones(1)
    model = FrettedStrings(
        length_mm=own["scale"] * one,
        to_bridge_mm=own["scale"] / RATIO[None],
        wanted=RATIO[None],
        has_fret=(np.arange(NECK) < frets)[None],
        nut_height_mm=own["nut"] * one,
        rise_mm=own["rise"] * one,
        fall_mm=np.zeros((1, NECK)),
        finger_mm=own["finger"] * one,
        press_mm=own["press"] * one,
        stretch=own["stretch"] * one,
        stiffness=own["stiffness"] * one,
    )
    return String(model, SETBACK, NUT_SETBACK, touch, was_right, wound)


def sounded(frets, bridge=0.0, nut=0.0, height=0.0, stretch=0.0, action=0.0, core=0.0, gauge=0.0, **own):
    """The same string in other formulas, with something moved; slots end at 0.05 mm, or where they are if that is lower.

    ``core``: how much larger its section is, ``gauge``: how much thicker a plain string is, as shares.
    """
    slots = own.pop("slots", INPUTS["nut"])
    raised = max(slots + height, min(slots, 0.05))
    changed = INPUTS | {
        "nut": raised,
        "rise": INPUTS["rise"] - (raised - slots) + max(2 * action, -INPUTS["rise"] / 2),
        "stretch": INPUTS["stretch"] * (1 + stretch) * (1 + core),
        "stiffness": INPUTS["stiffness"] * (1 + core) * (1 + gauge),
        **own,
    }
    at = RATIO[np.asarray(frets) - 1]
    places = {"bridge": SETBACK + bridge, "nut_back": NUT_SETBACK + nut}
    return fretted_cents(**changed, fret=changed["scale"] / at, ratio=at, **places)


def slope(frets, what, step=0.01):
    return (sounded(frets, **{what: step}) - sounded(frets)) / step


MOVES = [
    {},
    {"bridge": -3.0},
    {"nut": 0.6},
    {"height": 0.3},
    {"height": -0.9},
    {"stretch": 0.4},
    {"action": 0.2},
    {"action": -0.9},
    {"action": -2.0},
]


@pytest.mark.parametrize("moved", MOVES, ids=str)
@pytest.mark.parametrize("slots", [0.5, 0.02])
def test_string_with_something_moved_sounds_as_other_formulas_have_it(moved, slots):
    """A bridge keeps its height when slots are filed; slots that are on the frets already go no lower."""
    frets = np.array([1, 5, 12, 15])
    ours = a_string(nut=slots).cents(frets, **moved)
    np.testing.assert_allclose(ours, sounded(frets, slots=slots, **moved), atol=1e-9)


@pytest.mark.parametrize("share", [0.4, -0.3])
def test_other_strings_sound_as_another_core_of_a_wound_one_and_another_gauge_of_a_plain_one(share):
    frets = np.array([1, 5, 12, 15])
    np.testing.assert_allclose(a_string(wound=True).cents(frets, strings=share), sounded(frets, core=share), atol=1e-9)
    np.testing.assert_allclose(a_string().cents(frets, strings=share), sounded(frets, gauge=share), atol=1e-9)


def test_note_at_the_octave_falls_by_a_positive_number_of_cents_per_millimetre():
    octave = np.array([12])
    expected = (sounded(octave, bridge=-0.01) - sounded(octave, bridge=0.01))[0] / 0.02
    assert a_string().octave_cents_per_mm == pytest.approx(expected, rel=1e-4)
    assert expected > 2


FRETS = np.array([1, 3, 3, 5, 7, 12])
REFERENCE = np.array([0, 1, 1, 2, 3, 3])
HARMONIC = np.array([0.0, 0.0, 0.0, 0.0, 0.04, 0.04])


def readings_of(cents, frets=FRETS, reference=REFERENCE, harmonic=HARMONIC):
    return FretReadings(frets, cents, reference, harmonic)


def tones(frets, reference, tuner):
    """Tuner and touch at each reading, the tuner once more for a shared reference, and the scatter of a fret."""
    found = np.diag(np.full(len(frets), tuner**2 + TOUCH_ERROR_CENTS**2))
    for i, j in product(range(len(frets)), repeat=2):
        found[i, j] += tuner**2 * (reference[i] == reference[j])
        if frets[i] == frets[j]:
            found[i, j] += (d.HEALTHY_FRET_MM * 1200 / np.log(2) / (INPUTS["scale"] / RATIO[frets[i] - 1])) ** 2
    return found


def covariance(frets, reference, tuner):
    """The tones, and an instrument a little off its file, in any hand, with its bridge put where its own octave is right."""
    found = tones(frets, reference, tuner)
    by_octave = slope(frets, "bridge") / slope([12], "bridge")
    found += np.outer(by_octave, by_octave) * d.HEALTHY_OCTAVE_CENTS**2
    for what, deviation in d.HEALTHY.items():
        left = slope(frets, what) - slope([12], what) * by_octave
        found += deviation**2 * np.outer(left, left)
    for finger, press, share in zip(*PLAUSIBLE.fingers(), strict=True):
        hand = {"finger": finger, "press": press}
        octave = (sounded([12], **hand) - sounded([12])) * by_octave
        left = sounded(frets, **hand) - sounded(frets) - octave
        found += share * np.outer(left, left)
    return found


SIZES = (np.arange(24) + 0.5) / 8


def shapes(frets, was_right=False, wound=False):
    """What each cause does at each size: (sizes, cents of shape (sizes, frets))."""
    return _shapes(tuple(int(fret) for fret in frets), was_right, wound)


@cache
def _shapes(frets, was_right, wound):
    bridge = d.BRIDGE_SIZE_CENTS / a_string().octave_cents_per_mm
    causes = {
        Cause.NEAR: ("bridge", -bridge),
        Cause.FAR: ("bridge", bridge),
        Cause.NUT_HIGH: ("height", d.NUT_HEIGHT_SIZE_MM),
        Cause.NUT_LOW: ("height", -d.NUT_HEIGHT_SIZE_MM),
        Cause.NUT_NEAR: ("nut", -d.NUT_PLACE_SIZE_MM),
        Cause.NUT_FAR: ("nut", d.NUT_PLACE_SIZE_MM),
        Cause.TOUCH: ("stretch", d.STRETCH_SIZE),
    }
    if was_right:
        causes[Cause.ACTION_HIGH] = ("action", d.ACTION_SIZE_MM)
        causes[Cause.ACTION_LOW] = ("action", -d.ACTION_SIZE_MM)
        causes[Cause.STRINGS_OTHER] = ("core", d.CORE_SIZE) if wound else ("gauge", d.GAUGE_SIZE)
    made = {}
    for cause, (what, size) in causes.items():
        sizes = np.append(SIZES, -SIZES) if cause is Cause.STRINGS_OTHER else SIZES
        made[cause] = sizes, np.array([sounded(frets, **{what: z * size}) - sounded(frets) for z in sizes])
    return made


def weights_by_scipy(
    cents, frets=FRETS, reference=REFERENCE, harmonic=HARMONIC, tuner=TUNER, was_right=False, wound=False
):
    off, spread = cents - sounded(frets) + harmonic, covariance(frets, reference, tuner)
    same, own = frets[:, None] == frets, np.unique(frets)
    prior = d.PRIOR_IF_WAS_RIGHT if was_right else d.PRIOR

    def density(at, wider=0.0):
        return multivariate_normal(cov=spread + wider).pdf(at)

    def over(sizes, each):
        return np.sum(np.exp(-(sizes**2) / 2) * each) / np.sum(np.exp(-(sizes**2) / 2))

    found = {(Cause.NOTHING, 0): prior[Cause.NOTHING] * density(off)}
    for cause, (sizes, each) in shapes(frets, was_right, wound).items():
        found[cause, 0] = prior[cause] * over(sizes, density(off - each))
    for fret in own:
        alone = np.outer(frets == fret, frets == fret)
        found[Cause.FRET, fret] = prior[Cause.FRET] / len(own) * density(off, d.FRET_SIZE_CENTS**2 * alone)
    loose = np.array([density(off, (z * d.LOOSE_SIZE_CENTS) ** 2 * same) for z in SIZES])
    found[Cause.NONE_FITS, 0] = prior[Cause.NONE_FITS] * over(SIZES, loose)
    total = sum(found.values())
    return {key: weight / total for key, weight in found.items()}


def some_readings(count, seed, frets=FRETS):
    """Readings with a fault of any kind and size, and noise."""
    chance = np.random.default_rng(seed)
    moved = [each for _, each in shapes(frets).values()]
    every = np.concatenate([np.zeros((1, len(frets))), *moved, 8.0 * np.eye(len(frets))])
    return sounded(frets) + every[chance.integers(0, len(every), count)] + chance.normal(0, 1.0, (count, len(frets)))


def test_every_cause_has_the_weight_that_bayess_rule_gives_it():
    every = some_readings(20, 3)
    suspects = d.weigh(a_string(), readings_of(every), ReadingErrors(TUNER))
    assert len({(one.cause, one.fret) for one in suspects}) == len(suspects) == 9 + len(set(FRETS.tolist()))
    for run, cents in enumerate(every):
        expected = weights_by_scipy(cents)
        for one in suspects:
            assert one.weight[run] == pytest.approx(expected[one.cause, one.fret], rel=1e-5, abs=1e-12)


@pytest.mark.parametrize("wound", [True, False])
def test_string_that_was_right_is_also_weighed_for_other_strings_and_another_action(wound):
    every = some_readings(12, 13)
    string = a_string(was_right=True, wound=wound)
    suspects = d.weigh(string, readings_of(every), ReadingErrors(TUNER))
    assert {one.cause for one in suspects} == set(Cause)
    np.testing.assert_allclose(sum(one.weight for one in suspects), 1.0, rtol=1e-12)
    for run, cents in enumerate(every):
        expected = weights_by_scipy(cents, was_right=True, wound=wound)
        for one in suspects:
            assert one.weight[run] == pytest.approx(expected[one.cause, one.fret], rel=1e-5, abs=1e-12)


def test_move_that_is_ruled_out_leaves_all_other_causes_with_weights_that_add_up():
    string, read = a_string(was_right=True), readings_of(some_readings(1, seed=5)[0])
    every = {one.cause for one in d.weigh(string, read)}
    without = d.weigh(replace(string, ruled_out=frozenset((Cause.NEAR,))), read)
    assert {one.cause for one in without} == every - {Cause.NEAR}
    assert sum(float(one.weight) for one in without) == pytest.approx(1.0)


@pytest.mark.parametrize("prior", [d.PRIOR, d.PRIOR_IF_WAS_RIGHT])
def test_how_often_causes_are_met_adds_up_to_all(prior):
    assert sum(prior.values()) == pytest.approx(1)


def test_string_that_was_never_right_is_not_weighed_for_changes():
    changes = {Cause.STRINGS_OTHER, Cause.ACTION_HIGH, Cause.ACTION_LOW}
    suspects = d.weigh(a_string(wound=True), readings_of(some_readings(1, 3)[0]))
    assert {one.cause for one in suspects} == set(Cause) - changes == set(d.PRIOR)


def test_finger_that_is_known_leaves_nothing_open():
    """Then a firm hand's sharp low frets are named; in an unknown hand they may be just that."""
    frets = np.array([1, 3, 5, 7, 12])
    known = a_string(touch=None)
    assert known.touched_cents(frets).shape == (0, 5)
    assert not a_string(touch=Touch(10.0, 10.0, 0.3, 0.3)).touched_cents(frets).any()
    high = FretReadings(frets, sounded(frets, height=0.25), np.arange(5), np.zeros(5))

    def weight(string):
        return next(float(one.weight) for one in d.weigh(string, high) if one.cause is Cause.NUT_HIGH)

    assert weight(known) > weight(a_string()) + 0.1


def test_one_set_of_readings_is_weighed_as_it_is_among_many():
    every = np.concatenate((some_readings(5, 4), [1e4 * np.array([1.0, -1, 1, -1, 1, -1])]))
    together = d.weigh(a_string(), readings_of(every))
    for run, cents in enumerate(every):
        alone = d.weigh(a_string(), readings_of(cents))
        np.testing.assert_allclose([one.weight for one in alone], [one.weight[run] for one in together], atol=1e-12)


def test_readings_too_wild_for_any_cause_still_have_weights_that_add_up():
    """Their likelihoods are smaller than any number, their ratios are not."""
    wild = d.weigh(a_string(), readings_of(1e4 * np.array([1.0, -1, 1, -1, 1, -1])))
    assert sum(float(one.weight) for one in wild) == pytest.approx(1)


def test_cause_is_named_from_its_weight_on_and_from_four_different_frets():
    def suspect(weight):
        return (Suspect(Cause.FAR, 0, np.array(0.1)), Suspect(Cause.NEAR, 0, np.array(weight)))

    assert d.named(suspect(d.SURE), np.array([1, 3, 5, 7])).cause is Cause.NEAR
    assert d.named(suspect(d.SURE - 1e-9), np.array([1, 3, 5, 7])) is None
    assert d.named(suspect(0.9), np.array([1, 3, 5, 5])) is None


def next_by_hand(cents, frets, reference, harmonic, left, tuner=TUNER, **string):
    """The fret at which what the causes make of it, each at its likeliest size, differs most by their weights."""
    off = cents - sounded(frets) + harmonic
    spread = covariance(frets, reference, tuner)
    made = {}
    for cause, (sizes, each) in shapes(np.concatenate((frets, left)), **string).items():
        likely = np.atleast_1d(multivariate_normal(cov=spread).logpdf(off - each[:, : len(frets)]))
        made[cause] = each[int(np.argmax(likely - sizes**2 / 2)), len(frets) :]
    weights = weights_by_scipy(cents, frets, reference, harmonic, tuner, **string)
    expected = sum(weight * made.get(cause, np.zeros(len(left))) for (cause, _), weight in weights.items())
    apart = sum(weight * (made.get(cause, 0.0) - expected) ** 2 for (cause, _), weight in weights.items())
    return int(left[int(np.argmax(apart))])


@pytest.mark.slow
@pytest.mark.parametrize("string", [{}, {"was_right": True, "wound": True}], ids=["never right", "was right"])
@pytest.mark.parametrize(
    ("read", "left", "tuner"),
    [([1], [12, 7, 5, 3, 10], 2.5), ([12, 12, 7], [1, 5, 3, 10], 0.2), ([5, 3, 2], [12, 1, 7, 10], 0.1)],
)
def test_fret_to_read_next_is_the_one_that_separates_the_causes_best(read, left, tuner, string):
    frets = np.array(read)
    reference, harmonic = np.zeros(len(read), dtype=int), np.where(frets == 12, 3.0, 0.0)
    for cents in some_readings(12, 6, frets):
        expected = next_by_hand(cents, frets, reference, harmonic, np.array(left), tuner, **string)
        readings = readings_of(cents, frets, reference, harmonic)
        assert d.next_fret(a_string(**string), readings, ReadingErrors(tuner)) == expected


def test_fret_to_read_next_is_on_the_neck_and_not_read_yet():
    def next_fret(read, **string):
        frets = np.array(read)
        return d.next_fret(
            a_string(**string), readings_of(sounded(frets), frets, np.arange(len(frets)), np.zeros(len(frets)))
        )

    assert next_fret([12, 1, 7, 5, 3]) == 10
    assert next_fret([1, 7, 5, 3], frets=10) == 10
    assert next_fret([1, 7, 5, 3], frets=9) == 9, "the nearest to an octave that is not there"
    assert next_fret([1, 7, 5, 3, 9], frets=9) is None
    assert next_fret([12, 1, 7, 5, 3, 10]) is None


def test_all_fitted_at_once_is_least_squares_with_a_row_for_every_usual_size():
    """Readings whitened by their errors, and a row that holds each unknown near zero; standard errors with it."""
    unknowns = ("bridge", "nut", "height", "stretch")
    usual = [d.BRIDGE_SIZE_CENTS / a_string().octave_cents_per_mm, d.NUT_PLACE_SIZE_MM, d.NUT_HEIGHT_SIZE_MM]
    usual.append(d.STRETCH_SIZE)
    white = np.linalg.inv(np.linalg.cholesky(tones(FRETS, REFERENCE, TUNER)))
    rows = np.concatenate((white @ np.array([slope(FRETS, what) for what in unknowns]).T, np.diag(1 / np.array(usual))))
    errors = np.sqrt(np.diag(np.linalg.inv(rows.T @ rows)))
    for cents in some_readings(10, 8):
        off = white @ (cents - sounded(FRETS) + HARMONIC)
        expected = np.linalg.lstsq(rows, np.concatenate((off, np.zeros(4))), rcond=None)[0]
        found = d.fit_together(a_string(), readings_of(cents), ReadingErrors(TUNER))
        ours = [found.setback_mm, found.nut_setback_mm, found.nut_height_mm, found.stretch]
        np.testing.assert_allclose(ours, expected, rtol=1e-6, atol=1e-9)
        np.testing.assert_allclose(found.standard_errors, errors, rtol=1e-6)


@pytest.mark.parametrize("ask", [d.weigh, d.fit_together])
def test_tuner_of_half_a_cent_and_touch_of_seven_tenths_are_the_defaults(ask):
    """Common practice."""
    string, readings = a_string(), readings_of(some_readings(1, 9)[0])
    assert (
        repr(ask(string, readings))
        == repr(ask(string, readings, ReadingErrors(0.5, 0.7)))
        != repr(ask(string, readings, ReadingErrors(2.0)))
    )
