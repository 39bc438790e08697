"""Setbacks meet their aim, and a string that has none is refused."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, root

from geometry.compensation import NoSetbackError, Objective, setbacks
from geometry.frets import equal_steps_mm, ratios_from_cents, wanted_ratios
from geometry.fretting import FrettedStrings, error_cents, octave_cents, octave_harmonic_cents, relief_fall_mm

FRETS = 22
COUNTED = 12

# A search for nut and saddle stops when a step is under 1e-7 mm. Where strings are slack and the finger is far behind the
# fret, each step is up to a quarter of the one before, measured: what remains is under 4e-8 mm.
SETTLED = 1e-7

steady = settings(deadline=None, derandomize=True, max_examples=50)


def fretted(scale, nut, rise, relief, finger, stretch, stiffness, press=0.0):
    """One string with 22 frets of equal steps."""
    length, to_bridge = np.array([scale]), equal_steps_mm(scale, FRETS)[None]
    return FrettedStrings(
        length_mm=length,
        to_bridge_mm=to_bridge,
        wanted=wanted_ratios(FRETS)[None],
        has_fret=to_bridge > 0,
        nut_height_mm=np.array([nut]),
        rise_mm=np.array([rise]),
        fall_mm=relief_fall_mm(np.array(relief), length, to_bridge),
        finger_mm=np.array([finger]),
        press_mm=np.array([press]),
        stretch=np.array([stretch]),
        stiffness=np.array([stiffness]),
    )


def played(press, **string):
    """Half a millimetre deep is deep for a finger 10 mm behind the fret; nearer to it the string is stiffer."""
    return fretted(**string, press=min(press, string["finger"] / 20))


# Strings that can be played: from a slack nylon one to a short and thick steel one.
models = st.builds(
    played,
    scale=st.floats(330, 700),
    nut=st.floats(0, 0.8),
    rise=st.floats(0.2, 6),
    relief=st.floats(0, 0.3),
    finger=st.floats(0, 15),
    stretch=st.floats(10, 300),
    stiffness=st.floats(0, 0.006),
    press=st.floats(0, 0.5),
)
nuts_as_they_are = st.floats(-2, 0.5)
BANJO_THIRD = fretted(666.75, 0.5, 5.0, 0.0, 0.0, 285.0, 0.0026)


def found(string, objective, frets=COUNTED, nut=None):
    answer = setbacks(string, objective, frets, None if nut is None else np.full(len(string.length_mm), nut))
    return answer.setback_mm, answer.nut_setback_mm


def sum_of_squares(string, saddle, nut, frets=COUNTED):
    return float(np.sum(error_cents(string, saddle, nut)[0, :frets] ** 2))


def gradient(string, saddle, nut, frets=COUNTED):
    """Half the derivatives of Σ e_n² by ΔS and ΔN, by differences of fourth order."""
    h = 1e-2
    errors = error_cents(string, np.array([saddle]), np.array([nut]))[0, :frets]

    def slope(along, cut):
        def moved(steps):
            place = np.array([saddle + steps * h * along]), np.array([nut + steps * h * cut])
            return error_cents(string, *place)[0, :frets]

        return (8 * (moved(1) - moved(-1)) - moved(2) + moved(-2)) / (12 * h)

    return np.array([np.sum(errors * slope(1, 0)), np.sum(errors * slope(0, 1))])


@steady
@given(models)
def test_octave_and_harmonic_agree_at_the_setback(string):
    saddle, nut = found(string, Objective.OCTAVE)
    assert abs(octave_cents(string, saddle, nut)[0]) < 1e-9
    assert nut == 0


@steady
@given(models, nuts_as_they_are)
def test_octave_setback_is_where_another_solver_finds_it(string, nut):
    """With the nut as it is, wherever that is."""

    def comparison(saddle):
        return octave_cents(string, np.array([saddle]), np.array([nut]))[0]

    saddle, still = found(string, Objective.OCTAVE, nut=nut)
    assert still == nut
    assert saddle[0] == pytest.approx(brentq(comparison, -60, 150, xtol=1e-12, rtol=1e-14), abs=1e-9)


@steady
@given(models, nuts_as_they_are)
def test_all_frets_setback_is_where_another_solver_finds_it(string, nut):
    saddle, still = found(string, Objective.ALL_FRETS, nut=nut)
    best = brentq(lambda s: gradient(string, s, nut)[0], saddle[0] - 5, saddle[0] + 5, xtol=1e-12, rtol=1e-14)
    assert saddle[0] == pytest.approx(best, abs=1e-9)
    assert still == nut


@steady
@given(models)
def test_nut_and_saddle_are_where_another_solver_finds_them(string):
    saddle, nut = found(string, Objective.NUT_AND_SADDLE)
    start = [saddle[0] + 0.1, nut[0] - 0.05]
    best = root(lambda place: gradient(string, *place), start, tol=1e-14)
    np.testing.assert_allclose([saddle[0], nut[0]], best.x, rtol=0, atol=SETTLED)


@steady
@given(models, nuts_as_they_are)
def test_nut_that_may_be_cut_is_cut_to_the_same_place_from_wherever_it_is(string, nut):
    from_there = found(string, Objective.NUT_AND_SADDLE, nut=nut)
    np.testing.assert_allclose(from_there, found(string, Objective.NUT_AND_SADDLE), rtol=0, atol=SETTLED)


@pytest.mark.parametrize("objective", [Objective.OCTAVE, Objective.ALL_FRETS])
def test_each_string_has_its_own_nut(objective):
    """A nut that is nearer by a millimetre moves its own string's bridge, and no other's."""
    strings = FrettedStrings(**{name: np.repeat(value, 3, axis=0) for name, value in vars(BANJO_THIRD).items()})
    nut = np.array([0.0, -1.0, 0.3])
    answer = setbacks(strings, objective, COUNTED, nut)
    assert answer.nut_setback_mm.tolist() == nut.tolist()
    alone = [found(BANJO_THIRD, objective, nut=one)[0][0] for one in nut]
    np.testing.assert_allclose(answer.setback_mm, alone, rtol=0, atol=1e-9)
    assert abs(alone[1] - alone[0]) > 0.1


def test_diatonic_board_is_placed_by_the_fret_at_its_octave():
    """The seventh of a dulcimer's; the twelfth of its frets sounds most of a second octave."""
    cents = np.array([200.0, 400, 500, 700, 900, 1000, 1200, 1400, 1600, 1700, 1900, 2100])
    wanted = ratios_from_cents(cents)[None]
    columns = (cents / 100).astype(int) - 1
    whole = replace(
        BANJO_THIRD, **{name: vars(BANJO_THIRD)[name][:, columns[columns < FRETS]] for name in ("to_bridge_mm",)}
    )
    board = replace(whole, wanted=wanted, has_fret=wanted > 0, fall_mm=0 * wanted)
    saddle, nut = found(board, Objective.OCTAVE)
    assert saddle[0] == pytest.approx(found(BANJO_THIRD, Objective.OCTAVE)[0][0], abs=1e-9)
    place = error_cents(board, saddle, nut)[0, 6]
    assert place == pytest.approx(octave_harmonic_cents(board.stiffness)[0], abs=1e-9)


@pytest.mark.parametrize("frets", [11, 1])
def test_board_that_ends_before_its_octave_is_refused_by_that_aim_alone(frets):
    strings = FrettedStrings(**{name: np.repeat(value, 2, axis=0) for name, value in vars(BANJO_THIRD).items()})
    strings = replace(strings, has_fret=strings.has_fret & (np.arange(FRETS) < np.array([[FRETS], [frets]])))
    with pytest.raises(NoSetbackError) as refusal:
        setbacks(strings, Objective.OCTAVE, COUNTED)
    assert (refusal.value.code, refusal.value.strings) == ("no-octave", (1,))
    assert np.isfinite(setbacks(strings, Objective.ALL_FRETS, COUNTED).setback_mm).all()


@steady
@given(models, st.sampled_from([0.001, 0.1, 2.0]))
def test_no_other_bridge_place_is_better_for_all_frets(string, aside):
    saddle, nut = found(string, Objective.ALL_FRETS)
    least = sum_of_squares(string, saddle, nut)
    assert sum_of_squares(string, saddle + aside, nut) > least
    assert sum_of_squares(string, saddle - aside, nut) > least


@steady
@given(models, st.sampled_from([0.001, 0.1, 0.5]), st.floats(0, 2 * np.pi))
def test_no_other_nut_and_saddle_are_better_for_all_frets(string, aside, direction):
    saddle, nut = found(string, Objective.NUT_AND_SADDLE)
    elsewhere = saddle + aside * np.cos(direction), nut + aside * np.sin(direction)
    assert sum_of_squares(string, *elsewhere) > sum_of_squares(string, saddle, nut)


@steady
@given(models)
def test_freedom_to_cut_the_nut_never_costs_tune(string):
    bridge_only = sum_of_squares(string, *found(string, Objective.ALL_FRETS))
    assert sum_of_squares(string, *found(string, Objective.NUT_AND_SADDLE)) <= bridge_only + 1e-9


@pytest.mark.parametrize("objective", [Objective.ALL_FRETS, Objective.NUT_AND_SADDLE])
@steady
@given(string=models)
def test_counting_more_frets_than_there_are_counts_all_of_them(objective, string):
    assert found(string, objective, FRETS + 14) == found(string, objective, FRETS)


@pytest.mark.parametrize("objective", [Objective.ALL_FRETS, Objective.NUT_AND_SADDLE])
@steady
@given(string=models, lost=st.integers(1, 8))
def test_frets_that_a_short_string_lacks_do_not_count(objective, string, lost):
    """Made-up frets fill its row; whatever they are, the setbacks are those of the frets it has."""
    has_fret = string.has_fret & (np.arange(FRETS) < FRETS - lost)
    shorter = replace(
        string,
        has_fret=has_fret,
        to_bridge_mm=np.where(has_fret, string.to_bridge_mm, 0.37 * string.length_mm),
        wanted=np.where(has_fret, string.wanted, 1.9),
    )
    np.testing.assert_allclose(
        found(shorter, objective, FRETS), found(string, objective, FRETS - lost), rtol=0, atol=SETTLED
    )


@steady
@given(models, st.integers(1, FRETS))
def test_octave_does_not_depend_on_the_number_of_frets(string, frets):
    assert found(string, Objective.OCTAVE, frets) == found(string, Objective.OCTAVE)


@pytest.mark.parametrize("objective", Objective)
@steady
@given(strings=st.lists(models, min_size=2, max_size=5))
def test_each_string_is_placed_as_if_it_were_alone(objective, strings):
    together = FrettedStrings(**{name: np.concatenate([vars(s)[name] for s in strings]) for name in vars(strings[0])})
    one_by_one = np.concatenate([found(string, objective) for string in strings], axis=1)
    np.testing.assert_allclose(found(together, objective), one_by_one, rtol=0, atol=SETTLED)


@pytest.mark.parametrize("objective", Objective)
def test_string_that_lies_on_its_frets_needs_no_setback(objective):
    flat = fretted(666.75, 0.0, 0.0, 0.0, 0.0, 200.0, 0.0)
    np.testing.assert_allclose(found(flat, objective), 0, atol=1e-9)


@pytest.mark.parametrize("objective", Objective)
@pytest.mark.parametrize("name", ["length_mm", "nut_height_mm", "rise_mm", "finger_mm", "stretch", "stiffness"])
def test_not_a_number_has_no_setback(objective, name):
    """It is refused: no endless loop, and no bridge at nan."""
    with np.errstate(all="ignore"), pytest.raises(NoSetbackError):
        setbacks(replace(BANJO_THIRD, **{name: np.array([np.nan])}), objective, COUNTED)


@pytest.mark.parametrize("objective", Objective)
@steady
@given(
    string=st.builds(
        fretted,
        scale=st.floats(150, 1500),
        nut=st.floats(0, 5),
        rise=st.floats(0, 30),
        relief=st.floats(0, 3),
        finger=st.floats(0, 20),
        press=st.floats(0, 3),
        stretch=st.floats(0, 40) | st.floats(1e3, 1e11),
        stiffness=st.floats(0, 0.1) | st.floats(1, 1e4),
    )
)
def test_absurd_string_gets_a_number_or_a_refusal_never_a_crash(objective, string):
    try:
        answer = found(string, objective)
    except NoSetbackError:
        return
    assert np.isfinite(answer).all()


@pytest.mark.parametrize(
    ("objective", "name"), [(objective, name) for objective in Objective for name in ("stiffness", "stretch")]
)
def test_refusal_names_the_string_at_fault(objective, name):
    """The second of three: thousands of times as stretchy or as stiff as the others."""
    wild = replace(BANJO_THIRD, **{name: 1e5 * vars(BANJO_THIRD)[name]})
    three = (BANJO_THIRD, wild, BANJO_THIRD)
    together = FrettedStrings(**{field: np.concatenate([vars(s)[field] for s in three]) for field in vars(wild)})
    with pytest.raises(NoSetbackError) as refusal:
        setbacks(together, objective, COUNTED)
    assert refusal.value.strings == (1,)


@pytest.mark.parametrize(
    ("objective", "name", "times", "code"),
    [
        *((objective, "stiffness", 1e5, "string-too-stiff") for objective in Objective),
        *((objective, "stretch", 30, "string-too-slack") for objective in Objective),
        (Objective.OCTAVE, "stretch", 1e5, "octave-nowhere"),
        (Objective.ALL_FRETS, "stretch", 1e5, "best-nowhere"),
        (Objective.NUT_AND_SADDLE, "stretch", 1e3, "best-nowhere"),
    ],
)
def test_refusal_says_what_is_wrong_with_the_string(objective, name, times, code):
    with pytest.raises(NoSetbackError) as refusal:
        setbacks(replace(BANJO_THIRD, **{name: times * vars(BANJO_THIRD)[name]}), objective, COUNTED)
    assert (refusal.value.code, refusal.value.strings) == (code, (0,))


@pytest.mark.parametrize("objective", Objective)
@pytest.mark.parametrize("stiffness", [0.02, 0.0200001])
def test_string_is_refused_where_the_model_ends_and_not_before(objective, stiffness):
    """B0 = 0.02, our own bound."""
    string = replace(BANJO_THIRD, stiffness=np.array([stiffness]), stretch=np.array([20.0]))
    if stiffness > 0.02:
        with pytest.raises(NoSetbackError, match=r"^string-too-stiff: strings=\(0,\)$"):
            setbacks(string, objective, COUNTED)
    else:
        assert np.isfinite(found(string, objective)).all()


def test_bridge_and_nut_together_may_move_by_a_twentieth_of_the_string():
    """Our own bound; the slackest string that is accepted reaches it."""
    low, high = 1.0, 30.0
    for _ in range(40):
        middle = (low + high) / 2
        try:
            taken = found(replace(BANJO_THIRD, stretch=middle * BANJO_THIRD.stretch), Objective.NUT_AND_SADDLE)
            low = middle
        except NoSetbackError:
            high = middle
    saddle, nut = taken
    assert nut[0] < 0
    assert abs(saddle[0]) + abs(nut[0]) == pytest.approx(0.05 * 666.75, rel=1e-6)
