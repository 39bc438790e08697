"""How sure the line is, against two outsiders: the `uncertainties` package, and a million draws of everything.

Both go through tests/restated.py, the same physics in code of its own. From the project they take only the values of an
instrument file, and where the bridge was drawn.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import restated
from samples import PRESETS
from uncertainties import ufloat

from geometry.bridge import line_response
from geometry.compensation import Objective, setbacks
from geometry.fretting import FrettedStrings
from geometry.strings import permissible_variation_mm
from geometry.tolerance import CALIBRATED_PRINT_SHARE, Source, Spread, tolerance
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.workup.sureness import how_sure, measured
from jigs.workup.workup import work_up

AIMS = ("octave", "all frets", "nut and saddle")
FITS = ("outer", "all")
MODEL = ("scale", "action", "nut_height", "core", "wrap", "modulus", "slip")
DRAWS = 1_000_000
NOTHING_PRINTED = {"datum_mm": 0.0, "print_share": 0.0, "laying_mm": 0.0}

# Relief, a finger behind the fret, an own nut for the short string, a string whose mass is known, and more frets that count
# than the short string has.
EDITS = {
    "relief  = 0.0": "relief  = 0.2\nfinger = 5.0",
    "frets      = 12": "frets      = 18",
    "starts_at_fret = 5": "starts_at_fret = 5\nnut_height = 0.7",
    'gauge = "0.012 in"': 'gauge = "0.012 in"\nunit_mass = "0.58 g/m"',
}


@cache
def workup(name, aim="octave", edited=False, slip=0.0, fit="outer"):
    text = preset_text(name)
    edits = {
        'tune_to    = "octave"': f'tune_to    = "{aim}"',
        'bridge_fit = "outer"': f'bridge_fit = "{fit}"',
        "slip        = 0.0": f"slip        = {slip}",
        **(EDITS if edited else {}),
    }
    for old, new in edits.items():
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return work_up(parse(text.encode(), name))


def sure_with(drawn, spread, datum_fret=12):
    """As `how_sure`, for a spread that is in no instrument file."""
    table = drawn.instrument.tolerance.model_copy(update=_as_table(spread))
    return how_sure(replace(drawn, instrument=replace(drawn.instrument, tolerance=table)), datum_fret)


def _as_table(spread):
    return {
        "scale": spread.scale_mm,
        "action": spread.action_mm,
        "nut_height": spread.nut_height_mm,
        "gauge": spread.gauge_mm,
        "modulus_percent": 100 * spread.modulus_share,
        "slip_from": spread.slip_from,
        "slip_to": spread.slip_to,
        "datum": spread.datum_mm,
        "print_percent": 100 * spread.print_share,
        "laying": spread.laying_mm,
    }


def deviations(drawn, index, spread):
    """Standard deviations of one string's inputs, stated again; the slip's only where it is drawn from the middle."""
    x = restated.inputs_of(drawn.instrument, index)

    def wire(diameter):
        return 25.4 * (0.0002 if diameter < 0.2541 else 0.0003 if diameter < 0.7113 else 0.0004) / 3**0.5

    return {
        "scale": spread.scale_mm,
        "action": spread.action_mm,
        "nut_height": spread.nut_height_mm,
        "core": wire(x.core),
        "wrap": wire(x.wrap) if x.wrap else 0.0,
        "modulus": spread.modulus_share,
        "slip": (spread.slip_to - spread.slip_from) / 12**0.5,
    }


def printed_mm(drawn, index):
    """From the bridge side of fret 12 to the nut side of the feet, at one string."""
    head, bridge = drawn.instrument.head, drawn.instrument.bridge
    place = head.scale_mm + drawn.setbacks.setback_mm[index] - bridge.face_mm
    return float(place - (head.scale_mm / 2 + head.fret_crown_width / 2))


def uncertain_common(drawn, spread):
    """What all strings share, as uncertain numbers."""
    x, wide = restated.inputs_of(drawn.instrument, 0), deviations(drawn, 0, spread)
    shared = {name: ufloat(getattr(x, name), wide[name]) for name in MODEL if name not in ("core", "wrap")}
    shared["datum"] = ufloat(0, spread.datum_mm)
    shared["print"] = ufloat(0, spread.print_share)
    shared["laying"] = ufloat(0, spread.laying_mm)
    return shared


def uncertain_setback(drawn, index, x):
    """Setback with its uncertainty: the search itself is carried out in uncertain numbers, until it settles.

    It uses no implicit functions. Every step divides by one and the same slope, so that the steps shrink by a
    hundred and more each time, and the derivatives with them.
    """
    aims = drawn.instrument.compensation
    aim = str(aims.tune_to.value)
    own_frets = drawn.instrument.head.frets - drawn.instrument.strings[index].starts_at_fret
    counted = range(1, min(aims.frets, own_frets) + 1)
    place = [float(drawn.setbacks.setback_mm[index])]
    if aim == "nut and saddle":
        place.append(float(drawn.setbacks.nut_setback_mm[index]))
    plain = restated.strung(drawn.instrument, index, restated.inputs_of(drawn.instrument, index))
    chord = np.linalg.inv(chords(plain, aim, counted, place))
    string = restated.strung(drawn.instrument, index, x)
    for _ in range(6):
        short_of = restated.condition(string, aim, counted, place)
        step = [sum(float(c) * f for c, f in zip(row, short_of, strict=True)) for row in chord]
        place = [p - s for p, s in zip(place, step, strict=True)]
        assert [p.derivatives for p in place], "read here, so that the next step need not unfold this one again"
    assert max(abs(s.nominal_value) for s in step) < 1e-9
    assert max(s.std_dev for s in step) < 1e-9, "has not settled"
    return place[0]


def chords(s, aim, counted, place):
    """Slopes of the condition, by plain differences: they only steer the search."""
    aside = 1e-4
    rows = []
    for j in range(len(place)):
        ends = []
        for sign in (1, -1):
            moved = [p + sign * aside * (j == k) for k, p in enumerate(place)]
            ends.append(np.array(restated.condition(s, aim, counted, moved)))
        rows.append((ends[0] - ends[1]) / (2 * aside))
    return np.array(rows).T


def uncertain_mark(drawn, index, shared):
    """Where one string's mark lies behind the datum fret, with its uncertainty, and the variables of its own."""
    x, wide = restated.inputs_of(drawn.instrument, index), deviations(drawn, index, Spread())
    own = {name: ufloat(getattr(x, name), wide[name]) for name in ("core", "wrap") if wide[name]}
    for name, variable in {**shared, **own}.items():
        setattr(x, name, variable)
    to_fret = shared["scale"] / 2 - shared["scale"].nominal_value / 2
    printed = printed_mm(drawn, index) * shared["print"]
    setback = uncertain_setback(drawn, index, x)
    return to_fret + setback + shared["datum"] + printed + shared["laying"], own


@pytest.mark.parametrize("aim", AIMS)
@pytest.mark.parametrize(("name", "edited"), [("mandolin", False), ("banjo", True)])
def test_strings_and_line_are_as_sure_as_the_uncertainties_package_finds(name, edited, aim):
    """To six digits, each contribution and the whole; the slip is drawn from the middle of its range here."""
    drawn = workup(name, aim, edited, slip=0.5)
    shared = uncertain_common(drawn, Spread())
    marks = {index: uncertain_mark(drawn, index, shared) for index in ((0, 1, 3, 4) if edited else (0, 3))}
    sure = how_sure(drawn)
    for index, (mark, own) in marks.items():
        assert_contributions_agree(sure.of_string(index), mark, shared, own)
    treble, bass = (marks[index][0] for index in drawn.outer_strings)
    assert_line_agrees(drawn, sure, treble, bass)


def assert_contributions_agree(ours, mark, shared, own):
    parts = mark.error_components()
    expected = {source: parts[variable] for source, variable in shared.items()}
    expected["gauge"] = sum(parts[variable] ** 2 for variable in own.values()) ** 0.5
    assert {source.value for source, _ in ours.contributions} == set(expected)
    for source, mm in ours.contributions:
        assert mm == pytest.approx(1.96 * expected[source.value], rel=1e-6), source
    assert ours.half_width_mm == pytest.approx(1.96 * mark.std_dev, rel=1e-6)


def assert_line_agrees(drawn, sure, treble, bass):
    """What both strings share is added before it is squared, what is their own afterwards."""
    at_treble, at_bass = (float(drawn.across_mm[index]) for index in drawn.outer_strings)
    places = np.array([-60.0, at_bass, 0.0, at_treble, 60.0])
    for across, half in zip(places, sure.band_mm(places), strict=True):
        line = bass + (treble - bass) * ((across - at_bass) / (at_treble - at_bass))
        assert half == pytest.approx(1.96 * line.std_dev, rel=1e-6)
        assert sure.of_line(across).half_width_mm == pytest.approx(1.96 * line.std_dev, rel=1e-6)
    slope = (treble - bass) / (at_treble - at_bass)
    assert sure.covariance[1, 1] == pytest.approx(slope.std_dev**2, rel=1e-6)


@pytest.mark.parametrize("aim", AIMS)
@pytest.mark.parametrize("slip", [0.0, 0.3, 1.0])
def test_slip_off_the_middle_is_weighed_where_its_second_order_is_right(slip, aim):
    """−(∂F/∂s)/(∂F/∂ΔS), s in the middle of what is left of the range, by the package's own derivatives."""
    drawn = workup("mandolin", aim, slip=slip)
    counted = range(1, 13)
    s = np.linspace(0, 1, 2_000_001) - slip
    mean_square, mean_cube = np.mean(s**2), np.mean(s**3)
    for index in (0, 3):
        place = [ufloat(drawn.setbacks.setback_mm[index], 1)]
        if aim == "nut and saddle":
            place.append(ufloat(drawn.setbacks.nut_setback_mm[index], 1))
        x = restated.inputs_of(drawn.instrument, index)
        x.slip = 0.5
        by_place = restated.condition(restated.strung(drawn.instrument, index, x), aim, counted, place)
        slipping = ufloat(slip + mean_cube / (2 * mean_square), 1)
        x.slip = slipping
        still = [p.nominal_value for p in place]
        by_slip = restated.condition(restated.strung(drawn.instrument, index, x), aim, counted, still)
        slopes = np.array([[f.derivatives[p] for p in place] for f in by_place])
        expected = abs(np.linalg.solve(slopes, [f.derivatives[slipping] for f in by_slip])[0]) * mean_square**0.5
        ours = dict(how_sure(drawn).of_string(index).contributions)[Source.SLIP]
        assert ours == pytest.approx(1.96 * expected, rel=1e-6)


def drawn_setbacks(drawn, index, x):
    """Setbacks of a million instruments, for the octave."""
    string = restated.strung(drawn.instrument, index, x)
    slope = float(drawn.cents_per_mm[index])
    place = np.full(DRAWS, float(drawn.setbacks.setback_mm[index]))
    for _ in range(3):
        step = restated.octave_cents(string, place) / slope
        place -= step
    assert abs(step).max() < 1e-3
    return place


def drawn_marks(drawn, spread, uniform):
    """How far off a million places are at both outer strings, and the marks for them: two of (treble, bass)."""
    rng = np.random.default_rng(5)

    def draws(mean, deviation):
        return mean + deviation * rng.standard_normal(DRAWS)

    x = restated.inputs_of(drawn.instrument, 0)
    wide = deviations(drawn, 0, spread)
    shared = {name: draws(getattr(x, name), wide[name]) for name in ("scale", "action", "nut_height", "modulus")}
    shared["slip"] = rng.uniform(spread.slip_from, spread.slip_to, DRAWS) if uniform else draws(x.slip, wide["slip"])
    shift = draws(0, spread.datum_mm) + draws(0, spread.laying_mm)
    print_error = draws(0, spread.print_share)
    places, marks = [], []
    for index in drawn.outer_strings:
        x, wide = restated.inputs_of(drawn.instrument, index), deviations(drawn, index, spread)
        for name in ("core", "wrap"):
            spread_of = rng.uniform(-(3**0.5), 3**0.5, DRAWS) if uniform else rng.standard_normal(DRAWS)
            setattr(x, name, getattr(x, name) + wide[name] * spread_of)
        for name, values in shared.items():
            setattr(x, name, values)
        to_fret = (shared["scale"] - drawn.scale_mm) / 2
        off = drawn_setbacks(drawn, index, x) - drawn.setbacks.setback_mm[index]
        places.append(to_fret + off)
        marks.append(places[-1] + shift + print_error * printed_mm(drawn, index))
    return places, marks


def assert_drawn_as_sure(drawn, sure, marks, within, mean_square):
    """The marks at both strings, between them and beyond them scatter as predicted."""
    treble, bass = marks
    at_treble, at_bass = (float(drawn.across_mm[index]) for index in drawn.outer_strings)
    for across in (at_treble, at_bass, 0.0, 1.5 * at_treble, 1.5 * at_bass):
        off = bass + (treble - bass) * ((across - at_bass) / (at_treble - at_bass))
        scatter = np.sqrt(np.mean(off**2)) if mean_square else off.std()
        assert sure.of_line(across).half_width_mm == pytest.approx(1.96 * scatter, rel=within)
    slope = (treble - bass) / (at_treble - at_bass)
    turns = np.sqrt(np.mean(slope**2)) if mean_square else slope.std()
    assert sure.covariance[1, 1] ** 0.5 == pytest.approx(turns, rel=within)


@pytest.mark.parametrize("name", ["banjo", "mandolin"])
def test_a_million_instruments_scatter_as_their_line_promises(name):
    """Normal errors, a slip that is known: within 2%, without the sheet's own errors and then with them."""
    drawn = workup(name)
    spread = Spread(slip_from=0.0, slip_to=0.0)
    places, marks = drawn_marks(drawn, spread, uniform=False)
    assert_drawn_as_sure(drawn, sure_with(drawn, replace(spread, **NOTHING_PRINTED)), places, 0.02, mean_square=False)
    assert_drawn_as_sure(drawn, sure_with(drawn, spread), marks, 0.02, mean_square=False)


@pytest.mark.parametrize(("name", "slip"), [("banjo", 0.0), ("mandolin", 0.0), ("mandolin", 1.0)])
def test_a_million_slips_from_none_to_all_scatter_as_the_line_promises(name, slip):
    """Slip and wires uniform, the bias of the value drawn with included: places within 5%, and 95 in 100 marks inside."""
    drawn = workup(name, slip=slip)
    places, marks = drawn_marks(drawn, Spread(), uniform=True)
    assert_drawn_as_sure(drawn, sure_with(drawn, Spread(**NOTHING_PRINTED)), places, 0.05, mean_square=True)
    for index, off in zip(drawn.outer_strings, marks, strict=True):
        inside = np.mean(abs(off) <= how_sure(drawn).of_string(index).half_width_mm)
        assert inside == pytest.approx(0.95, abs=0.01)


@pytest.mark.parametrize("aim", AIMS)
def test_scatter_is_predicted_for_every_aim_of_the_bridge(aim):
    """Five thousand instruments of any slip, each with the place that our own search finds for it: within 6%."""
    drawn = workup("mandolin", aim)
    rng, model, few = np.random.default_rng(5), drawn.model, 5000
    errors = [deviation * rng.standard_normal((few, 1)) for deviation in (0.25, 0.15, 0.1)]
    none, modulus, slip = np.zeros((few, 1)), 0.03 * rng.standard_normal((few, 1)), rng.uniform(0, 1, (few, 1))
    true = measured(drawn).off_by(*errors, none, none, modulus, slip)
    sure = sure_with(drawn, Spread(gauge_mm=0.0, **NOTHING_PRINTED))
    for n in (0, 3):
        strings = FrettedStrings(
            length_mm=true.length_mm[:, n],
            to_bridge_mm=true.to_bridge_mm[:, n],
            wanted=np.repeat(model.wanted[[n]], few, axis=0),
            has_fret=np.repeat(model.has_fret[[n]], few, axis=0),
            nut_height_mm=true.nut_height_mm[:, n],
            rise_mm=true.rise_mm[:, 0],
            fall_mm=true.fall_mm[:, n],
            finger_mm=np.zeros(few),
            press_mm=np.zeros(few),
            stretch=true.stretch[:, n],
            stiffness=true.stiffness[:, n],
        )
        setback = setbacks(strings, Objective(aim), 12).setback_mm
        off = errors[0][:, 0] / 2 + setback - drawn.setbacks.setback_mm[n]
        assert sure.of_string(n).half_width_mm == pytest.approx(1.96 * np.sqrt(np.mean(off**2)), rel=0.06)


@pytest.mark.parametrize("fit", FITS)
@pytest.mark.parametrize("aim", AIMS)
@pytest.mark.parametrize("name", PRESETS)
def test_every_preset_shows_how_sure_it_is(name, aim, fit):
    drawn = workup(name, aim, fit=fit)
    sure = how_sure(drawn)
    strings = [sure.of_string(n) for n in range(len(drawn.across_mm))]
    for place in (*strings, sure.of_line(0.0), sure.of_line(30.0)):
        assert 0.5 < place.half_width_mm < 5
        parts = [mm for _, mm in place.contributions]
        assert len(parts) == len(Source)
        assert parts == sorted(parts, reverse=True), "largest first"
        assert sum(mm**2 for mm in parts) == pytest.approx(place.half_width_mm**2, rel=1e-12)
        assert place.half_width_cents(-4.9) == pytest.approx(4.9 * place.half_width_mm)


@pytest.mark.parametrize("name", PRESETS)
def test_what_is_doubted_is_what_the_line_was_computed_from(name):
    drawn = workup(name)
    none = np.zeros(1)
    same = measured(drawn).off_by(none, none, none, none, none, none, none)
    for field in ("length_mm", "to_bridge_mm", "nut_height_mm", "rise_mm", "fall_mm", "stretch", "stiffness"):
        np.testing.assert_allclose(
            np.broadcast_to(getattr(same, field), getattr(drawn.model, field).shape),
            getattr(drawn.model, field),
            rtol=1e-14,
            err_msg=field,
        )


@pytest.mark.parametrize("aim", AIMS)
def test_errors_twice_as_large_leave_the_line_half_as_sure(aim):
    drawn = workup("banjo", aim, slip=0.5)
    once = Spread(gauge_mm=0.004, slip_from=0.25, slip_to=0.75)
    twice = Spread(
        scale_mm=0.5,
        action_mm=0.3,
        nut_height_mm=0.2,
        gauge_mm=0.008,
        modulus_share=0.06,
        slip_from=0.0,
        slip_to=1.0,
        datum_mm=0.2,
        print_share=0.006,
        laying_mm=0.5,
    )
    for n in range(5):
        half, whole = (sure_with(drawn, spread).of_string(n) for spread in (once, twice))
        assert whole.half_width_mm == pytest.approx(2 * half.half_width_mm, rel=1e-12)
        for source, mm in whole.contributions:
            assert mm == pytest.approx(2 * dict(half.contributions)[source], rel=1e-12)


def test_scale_error_moves_both_ends_alike_and_does_not_turn_the_bridge():
    drawn = workup("mandolin")
    nothing = Spread(0, 0, 0, 0, 0, 0, 0, 0, 0, 0)
    sure = sure_with(drawn, replace(nothing, scale_mm=0.25))
    ends = sure.band_mm(drawn.across_mm[list(drawn.outer_strings)])
    assert ends == pytest.approx(ends.mean(), rel=0.03)
    assert sure.of_line(0.0).half_width_mm == pytest.approx(ends.mean(), rel=1e-3)
    assert sure.covariance[1, 1] ** 0.5 * 40 < 0.03 * ends.mean()
    assert sure_with(drawn, nothing).of_line(20.0).half_width_mm == 0


def test_wires_of_two_strings_are_off_each_by_itself():
    """So the middle of the line is surer than its ends, as the mean of two independent readings is."""
    drawn = workup("mandolin")
    sure = sure_with(drawn, Spread(0, 0, 0, None, 0, 0, 0, 0, 0, 0))
    treble, bass = sure.band_mm(drawn.across_mm[list(drawn.outer_strings)])
    assert treble > 0.01
    assert sure.of_line(0.0).half_width_mm == pytest.approx(np.hypot(treble, bass) / 2, rel=1e-9)


@pytest.mark.parametrize("aim", AIMS)
def test_scale_error_reaches_a_fork_only_as_far_as_its_fret_is_from_the_bridge(aim):
    """A tape from the nut has all of it; frets are where they are."""
    drawn = workup("banjo", aim)

    def of_scale(datum_fret):
        return dict(how_sure(drawn, datum_fret).of_string(0).contributions)[Source.SCALE] / (1.96 * 0.25)

    tape = of_scale(None)
    assert tape == pytest.approx(1, abs=0.02)
    for fret in (5, 12, 17, 22):
        assert tape - of_scale(fret) == pytest.approx(1 - 2 ** (-fret / 12), abs=1e-9)


def test_printed_error_grows_with_what_is_printed_and_shrinks_with_a_calibrated_printer():
    drawn = workup("banjo")

    def of_print(*arguments, **options):
        return dict(how_sure(drawn, *arguments, **options).of_string(0).contributions)[Source.PRINT]

    nearer = 2**-1 - 2 ** (-17 / 12)
    assert of_print(12) - of_print(17) == pytest.approx(1.96 * 0.003 * nearer * drawn.scale_mm, rel=1e-9)
    assert of_print(12, True) - of_print(12) == pytest.approx(1.96 * 0.003 * 1.0, rel=1e-9)
    assert of_print(12, print_share=CALIBRATED_PRINT_SHARE) == pytest.approx(of_print(12) / 6, rel=1e-9)
    assert of_print(None) == 0


def test_slip_that_is_known_adds_nothing_and_a_wrong_one_all_of_its_bias():
    drawn = workup("mandolin")

    def of_slip(low, high):
        return dict(sure_with(drawn, Spread(slip_from=low, slip_to=high)).of_string(3).contributions)[Source.SLIP]

    assert of_slip(0.0, 0.0) == 0
    moved = drawn.setbacks.setback_mm[3] - workup("mandolin", slip=1.0).setbacks.setback_mm[3]
    assert moved > 0.3
    assert of_slip(1.0, 1.0) == pytest.approx(1.96 * moved, rel=0.1)
    assert of_slip(0.0, 1.0) > of_slip(0.0, 0.5) > of_slip(0.0, 0.1) > 0


def test_mass_off_the_packet_leaves_only_the_core_in_doubt():
    drawn = workup("banjo", edited=True)
    wires = measured(drawn).wires
    assert wires.mass_is_given.tolist() == [False, True, False, False, False]
    effect = how_sure(drawn).effects_mm[Source.GAUGE]
    cores, wraps = np.diag(effect[:5]), np.diag(effect[5:])
    assert cores[1] > 2 * abs(np.diag(how_sure(workup("banjo")).effects_mm[Source.GAUGE][:5])[1])
    assert wraps[3] < 0 < cores[3], "a thicker wrap is more mass, more tension, less stretch"
    assert not wraps[[0, 1, 2, 4]].any()


def test_micrometer_reading_is_used_instead_of_the_standard():
    drawn = workup("banjo")
    by_standard, measured_well = (
        np.diag(sure_with(drawn, Spread(gauge_mm=gauge)).effects_mm[Source.GAUGE][:5]) for gauge in (None, 0.001)
    )
    variation = permissible_variation_mm(measured(drawn).wires.core_mm) / 3**0.5
    np.testing.assert_allclose(measured_well / by_standard, 0.001 / variation, rtol=1e-12)


def test_line_follows_the_strings_that_it_is_drawn_through():
    drawn = workup("banjo")
    full = drawn.instrument.stringing.full_length
    for fit in ("outer", "all"):
        aim = workup("banjo", fit=fit)
        response = line_response(drawn.across_mm, drawn.cents_per_mm, full, aim.instrument.compensation.bridge_fit)
        centre, slope = response @ drawn.setbacks.setback_mm
        assert drawn.scale_mm + centre == pytest.approx(aim.line.centre_mm, abs=1e-9)
        assert slope == pytest.approx(aim.line.slope, abs=1e-12)
        np.testing.assert_allclose(response.sum(axis=1), [1, 0], atol=1e-12)


def test_instrument_with_one_string_is_as_sure_as_its_string():
    text = 'name = "x"\nscale = "26 1/4 in"\n[[strings]]\nnote = "D4"\ngauge = "0.010 in"\n'
    sure = how_sure(work_up(parse(text.encode(), "x")))
    assert sure.of_line(25.0) == sure.of_string(0)
    assert sure.covariance[1, 1] == 0


def test_tape_has_no_print_error_even_with_a_print_share():
    drawn = workup("mandolin")
    aims, strung = drawn.instrument.compensation, drawn.instrument.stringing
    response = line_response(drawn.across_mm, drawn.cents_per_mm, strung.full_length, aims.bridge_fit)
    by_hand = tolerance(
        measured(drawn), drawn.setbacks, aims.tune_to, 12, Spread(), response, None, np.zeros(len(drawn.across_mm))
    )
    assert by_hand.of_line(0.0) == how_sure(drawn, tape=True).of_line(0.0)


def test_instrument_that_is_off_is_off_to_the_predicted_side():
    drawn = workup("mandolin")
    none, one = np.zeros(1), np.ones(1)

    def off(**error):
        names = ("scale", "action", "nut_height", "core", "wrap", "modulus", "slip")
        return measured(drawn).off_by(*(error.get(name, none) for name in names))

    np.testing.assert_allclose(off(action=0.1 * one).rise_mm, off().rise_mm + 0.2)
    np.testing.assert_allclose(off(nut_height=0.1 * one).rise_mm, off().rise_mm - 0.2)
    np.testing.assert_allclose(off(nut_height=0.1 * one).nut_height_mm, off().nut_height_mm + 0.1)
    np.testing.assert_allclose(off(scale=one).to_bridge_mm, off().to_bridge_mm * (1 + 1 / drawn.scale_mm))
    np.testing.assert_allclose(off(modulus=0.03 * one).stretch, off().stretch * 1.03)
    np.testing.assert_allclose(off(modulus=0.03 * one).stiffness, off().stiffness * 1.03**0.5)
    assert np.all(off(slip=0.5 * one).stretch < off().stretch)
