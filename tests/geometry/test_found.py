"""A place found by ear and other strings: what moves the line, and which errors cancel on the way.

The differences are checked against the whole program with measurements that are off: files with another action, another
core and so on, worked up anew, and nothing of geometry/found.py's own sums.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from instruments import edited

from geometry.bridge import BridgeLine
from geometry.found import FoundError, found_tolerance, moved_line, standard_deviation_mm, unexplained_mm
from geometry.strings import permissible_variation_mm
from geometry.tolerance import HALF_WIDTH_95, InputEffects, Source, Spread
from jigs.instrument import usual
from jigs.workup.sureness import how_sure

MM = st.floats(-1e3, 1e3)
LINES = st.builds(BridgeLine, MM, st.floats(-0.2, 0.2))
THREE_MM = np.array([20.0, 0.0, -20.0])
RESPONSE = np.array([[0.5, 0.0, 0.5], [0.025, 0.0, -0.025]])
"""Of a line through the outer two of three strings."""

FROM_THE_NUT = FoundError(0.3, THREE_MM[[0, 2]], 660.0)
NOTHING = Spread(scale_mm=0.0, datum_mm=0.0, print_share=0.0, laying_mm=0.0)
PLACES = {"banjo": (669.7, 670.6), "mandolin": (354.0, 355.1)}
THEN = {"banjo": "D4 .011, B3 .013, G3 .016, D3 .024w, G4 .011", "mandolin": "E5 .010, A4 .014, D4 .024w, G3 .036w"}
NOW = {"banjo": ".009 .012 .014 .020w .010", "mandolin": ".0115 .015 .026w .041w"}
FINGER = {"finger": 8.0, "press": 0.2}
EXACT = {"rel": 1e-3, "abs": 1e-7}


def line_parts(sure, across_mm):
    return dict(sure.of_line(across_mm).contributions)


@given(LINES, LINES, LINES, MM)
def test_line_for_other_strings_moves_as_the_computed_line_does_at_every_string(found, then, now, across):
    x = np.array(across)
    moved = float(moved_line(found, then, now).at(x) - found.at(x))
    assert moved == pytest.approx(float(now.at(x) - then.at(x)), abs=1e-9)


@given(LINES, LINES, LINES)
def test_old_strings_put_on_again_bring_the_bridge_back_to_where_it_was_found(found, then, now):
    back = moved_line(moved_line(found, then, now), now, then)
    assert (back.centre_mm, back.slope) == pytest.approx((found.centre_mm, found.slope), abs=1e-9)


# ---- by hand, with effects that can be summed on paper


def by_hand(now, then, same_make, found=FROM_THE_NUT, datum_mm=None, spread=NOTHING, scale_slope=(0.0, 0.0, 0.0)):
    """The tolerance of three strings; ``now`` and ``then`` are what its errors do to the setbacks, rows by source."""
    both = [
        None
        if effects is None
        else InputEffects({of: np.array(rows) for of, rows in effects.items()}, np.array(scale_slope), 660.0)
        for effects in (now, then)
    ]
    return found_tolerance(*both, same_make, found, THREE_MM, spread, RESPONSE, datum_mm, np.zeros(3))


@pytest.mark.parametrize("source", [Source.ACTION, Source.NUT_HEIGHT, Source.SLIP, Source.TOUCH, Source.ENDS])
@pytest.mark.parametrize("same_make", [True, False])
def test_what_the_instrument_is_off_by_counts_only_by_its_difference_between_both_sets(source, same_make):
    sure = by_hand({source: [[1.0, 9.0, 2.0]]}, {source: [[0.4, 7.0, 2.0]]}, same_make)
    assert line_parts(sure, 20.0)[source] == pytest.approx(HALF_WIDTH_95 * 0.6)
    assert line_parts(sure, -20.0)[source] == pytest.approx(0.0, abs=1e-12)
    assert line_parts(sure, 0.0)[source] == pytest.approx(HALF_WIDTH_95 * 0.3)


@pytest.mark.parametrize("source", [Source.CORE, Source.MODULUS])
def test_core_and_modulus_cancel_for_one_make_and_add_for_another(source):
    now, then = {source: [[0.0, 0.0, 0.4]]}, {source: [[0.0, 0.0, 0.3]]}
    assert line_parts(by_hand(now, then, same_make=True), -20.0)[source] == pytest.approx(HALF_WIDTH_95 * 0.1)
    assert line_parts(by_hand(now, then, same_make=False), -20.0)[source] == pytest.approx(HALF_WIDTH_95 * 0.5)


@pytest.mark.parametrize("same_make", [True, False])
def test_wires_of_new_strings_have_errors_of_their_own_whatever_the_make(same_make):
    sure = by_hand({Source.GAUGE: [[0.4, 0.0, 0.0]]}, {Source.GAUGE: [[0.3, 0.0, 0.0]]}, same_make)
    assert line_parts(sure, 20.0)[Source.GAUGE] == pytest.approx(HALF_WIDTH_95 * 0.5)


@pytest.mark.parametrize("source", [Source.ACTION, Source.GAUGE, Source.CORE])
def test_line_with_the_strings_of_then_is_as_sure_as_it_was_found(source):
    sure = by_hand({source: [[1.0, 9.0, 2.0]]}, None, same_make=False)
    for across in (20.0, -20.0, 0.0):
        parts = line_parts(sure, across)
        assert parts.pop(Source.FOUND) > 0
        assert max(parts.values()) == pytest.approx(0.0, abs=1e-12)


def test_string_beside_the_line_keeps_what_is_uncertain_of_it_against_the_outer_two():
    sure = by_hand({Source.ACTION: [[1.0, 9.0, 2.0]]}, None, same_make=True)
    assert dict(sure.of_string(1).contributions)[Source.ACTION] == pytest.approx(HALF_WIDTH_95 * (9.0 - 1.5))
    assert dict(sure.of_string(0).contributions)[Source.ACTION] == pytest.approx(0.0, abs=1e-12)


def test_found_place_is_as_sure_as_the_file_says_at_both_ends_and_surer_between():
    sure = by_hand({}, None, same_make=True)
    assert sure.of_line(20.0).half_width_mm == pytest.approx(HALF_WIDTH_95 * 0.3)
    assert sure.of_line(-20.0).half_width_mm == pytest.approx(HALF_WIDTH_95 * 0.3)
    assert sure.of_line(0.0).half_width_mm == pytest.approx(HALF_WIDTH_95 * 0.3 / 2**0.5)
    assert sure.of_line(60.0).half_width_mm == pytest.approx(HALF_WIDTH_95 * 0.3 * 5**0.5)


def test_place_of_a_bridge_for_a_single_string_is_as_sure_as_it_was_found_across_all_of_it():
    single, one = FoundError(0.3, np.zeros(2), 660.0), np.zeros(1)
    none, response = InputEffects({}, one, 660.0), np.array([[1.0], [0.0]])
    sure = found_tolerance(none, None, True, single, one, NOTHING, response, None, one)
    assert sure.of_line(0.0).half_width_mm == sure.of_line(50.0).half_width_mm == pytest.approx(HALF_WIDTH_95 * 0.3)


@pytest.mark.parametrize(("from_mm", "to_mm"), [(660.0, None), (660.0, 660.0), (330.0, 330.0), (247.2, 247.2)])
def test_scale_that_is_off_does_nothing_to_a_mark_from_where_the_place_was_measured(from_mm, to_mm):
    slope = (0.01, 0.01, 0.01)
    found = replace(FROM_THE_NUT, datum_to_bridge_mm=from_mm)
    sure = by_hand({}, {}, True, found, to_mm, replace(NOTHING, scale_mm=0.25), slope)
    assert line_parts(sure, 20.0)[Source.SCALE] == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(("from_mm", "to_mm", "share"), [(660.0, 330.0, 0.5), (330.0, None, 0.5), (330.0, 495.0, 0.25)])
def test_scale_that_is_off_counts_by_the_way_between_both_datums(from_mm, to_mm, share):
    found = replace(FROM_THE_NUT, datum_to_bridge_mm=from_mm)
    sure = by_hand({}, {}, True, found, to_mm, replace(NOTHING, scale_mm=0.25))
    assert line_parts(sure, -20.0)[Source.SCALE] == pytest.approx(HALF_WIDTH_95 * 0.25 * share)


def test_laying_datum_and_print_count_in_full():
    none = InputEffects({}, np.zeros(3), 660.0)
    spread = replace(NOTHING, datum_mm=0.1, laying_mm=0.25, print_share=0.003)
    sure = found_tolerance(none, none, True, FROM_THE_NUT, THREE_MM, spread, RESPONSE, 330.0, np.full(3, 320.0))
    parts = line_parts(sure, 20.0)
    expected = {Source.DATUM: 0.1, Source.LAYING: 0.25, Source.PRINT: 0.96}
    assert {of: parts[of] for of in expected} == pytest.approx({of: 1.96 * mm for of, mm in expected.items()})


# ---- against the whole program, with measurements that are off


def strung(name, gauges, modulus_share=0.0, cores=None, **tables):
    """A preset's workup with strings of these gauges, all of a modulus that is off, and with measured cores, by index."""
    strings = {n: {"gauge": gauge, "modulus": f"{203.4 * (1 + modulus_share)} GPa"} for n, gauge in enumerate(gauges)}
    for n, core_mm in (cores or {}).items():
        strings[n]["core"] = core_mm
    return edited(name, strings=strings, **{"tail": {"slip": 0.5}, "action": FINGER} | tables)


def kept(name, same_make=True, **changed):
    """The workup with the strings of now, and with a place that was found with those of then."""
    place = dict(zip(("treble", "bass"), PLACES[name], strict=True))
    changed = {"gauges": NOW[name].split()} | changed
    return strung(name, found=place | {"strings": THEN[name], "same_make": same_make}, **changed)


def parts_at_ends(workup, source):
    """What a source adds to the printed ± at the treble and at the bass end."""
    sure = how_sure(workup, tape=True)
    return np.array([line_parts(sure, x)[source] for x in workup.outer_mm.tolist()])


def follows(make, step):
    """How the line of ``make(error)`` follows an error, at both outer strings: a central difference."""
    high, low = (np.array(make(error).outer_places_mm) for error in (step, -step))
    return (high - low) / (2 * step)


def action_off(name, mm):
    action = edited(name).instrument.action
    return kept(name, action=FINGER | {"fret_12": action.fret_12 + mm})


def nut_off(name, mm):
    action = edited(name).instrument.action
    return kept(name, action=FINGER | {"nut": action.nut + mm})


OFF = {
    Source.ACTION: (action_off, Spread().action_mm),
    Source.NUT_HEIGHT: (nut_off, Spread().nut_height_mm),
    Source.MODULUS: (lambda name, share: kept(name, modulus_share=share), Spread().modulus_share),
    Source.SLIP: (lambda name, slip: kept(name, tail={"slip": 0.5 + slip}), 1 / 12**0.5),
}


@pytest.mark.parametrize("source", OFF)
@pytest.mark.parametrize("name", THEN)
def test_difference_is_that_of_two_files_with_the_same_measurement_off(name, source):
    off, spread = OFF[source]
    expected = HALF_WIDTH_95 * spread * abs(follows(lambda error: off(name, error), 1e-3))
    assert expected.max() > 1e-5
    assert parts_at_ends(kept(name), source) == pytest.approx(expected, **EXACT)


def test_ends_that_hold_strings_otherwise_count_by_how_much_stiffer_the_new_ones_are():
    for name, then in THEN.items():
        now, old = kept(name), strung(name, then.replace(",", "").split()[1::2])
        lengths = [np.array([w.model.stiffness[n] * w.model.length_mm[n] for n in w.outer_strings]) for w in (now, old)]
        expected = HALF_WIDTH_95 * Spread().ends_share * abs(lengths[0] - lengths[1])
        assert parts_at_ends(now, Source.ENDS) == pytest.approx(expected, **EXACT)


@pytest.mark.parametrize("name", THEN)
def test_unknown_core_of_one_make_counts_by_how_differently_both_strings_follow_it(name):
    now = kept(name)
    gauges = [float(entry.gauge) for entry in now.instrument.strings]
    wound = [n for n, entry in enumerate(now.instrument.strings) if entry.is_wound]
    each = [
        follows(lambda share, n=n: kept(name, cores={n: (usual.CORE_SHARE + share) * gauges[n]}), 1e-4) for n in wound
    ]
    expected = HALF_WIDTH_95 * usual.CORE_ERROR_SHARE * np.hypot.reduce(each)
    assert parts_at_ends(now, Source.CORE) == pytest.approx(expected, **EXACT)
    assert expected[1] < 0.2 * parts_at_ends(kept(name, same_make=False), Source.CORE)[1]


@pytest.mark.parametrize("name", THEN)
def test_unknown_cores_and_moduli_of_two_makes_count_for_either_set(name):
    sets = NOW[name].split(), THEN[name].replace(",", "").split()[1::2]
    mixed = kept(name, same_make=False)
    by_core, by_modulus = [], []
    for gauges in sets:
        alone = strung(name, gauges)
        bass = alone.outer_strings[1]
        gauge = float(alone.instrument.strings[bass].gauge)
        cored = follows(
            lambda share, g=gauges, b=bass, mm=gauge: strung(name, g, cores={b: (usual.CORE_SHARE + share) * mm}), 1e-4
        )
        by_core.append(cored)
        by_modulus.append(follows(lambda share, g=gauges: strung(name, g, modulus_share=share), 1e-3))
    core = HALF_WIDTH_95 * usual.CORE_ERROR_SHARE * np.hypot.reduce(by_core)
    modulus = HALF_WIDTH_95 * Spread().modulus_share * np.hypot.reduce(by_modulus)
    assert parts_at_ends(mixed, Source.CORE) == pytest.approx(core, **EXACT)
    assert parts_at_ends(mixed, Source.MODULUS) == pytest.approx(modulus, **EXACT)


@pytest.mark.parametrize("name", THEN)
def test_plain_first_string_counts_with_the_wire_errors_of_both_sets(name):
    sets = NOW[name].split(), THEN[name].replace(",", "").split()[1::2]
    each = []
    for gauges in sets:
        mm = 25.4 * float(gauges[0])
        wire = float(permissible_variation_mm(np.array([mm]))[0]) / 3**0.5
        each.append(wire * follows(lambda off, g=gauges, mm=mm: strung(name, [mm + off, *g[1:]]), 1e-4)[0])
    expected = HALF_WIDTH_95 * np.hypot(*each)
    assert parts_at_ends(kept(name), Source.GAUGE)[0] == pytest.approx(expected, **EXACT)


# ---- what a correction does not explain


@given(st.floats(-50, 50), st.floats(0, 20), st.floats(0, 20))
def test_correction_is_explained_as_far_as_both_places_are_uncertain(correction, computed, found):
    beyond = float(unexplained_mm(np.array(correction), np.array(computed), np.array(found)))
    assert beyond >= 0
    assert abs(correction) == pytest.approx(min(abs(correction), np.hypot(computed, found)) + beyond)
    assert beyond == float(unexplained_mm(np.array(-correction), np.array(computed), np.array(found)))


def test_both_ends_of_a_correction_are_judged_by_themselves():
    beyond = unexplained_mm(np.array([-6.0, 4.0]), np.array([4.0, 4.0]), np.array([3.0, 3.0]))
    assert beyond.tolist() == [1.0, 0.0]


@given(st.floats(0, 10))
def test_plus_minus_of_the_file_is_the_half_width_that_the_sheet_prints_for_the_found_place(plus_minus):
    found = replace(FROM_THE_NUT, at_strings_mm=standard_deviation_mm(plus_minus))
    assert by_hand({}, None, True, found).of_line(20.0).half_width_mm == pytest.approx(plus_minus)


def test_scale_that_is_off_counts_for_an_inner_string_by_its_own_setback_too():
    found = replace(FROM_THE_NUT, datum_to_bridge_mm=330.0)
    sure = by_hand({}, {}, True, found, 495.0, replace(NOTHING, scale_mm=0.25), (0.01, 0.08, 0.01))
    assert dict(sure.of_string(1).contributions)[Source.SCALE] == pytest.approx(HALF_WIDTH_95 * 0.25 * (0.25 + 0.07))
    assert dict(sure.of_string(0).contributions)[Source.SCALE] == pytest.approx(HALF_WIDTH_95 * 0.25 * 0.25)
