"""A printer's map from lengths on paper: the right one, with the certainty that it states."""

import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.stats import chi2

from geometry.printing import (
    Calibration,
    CalibrationError,
    PrinterMap,
    calibrate,
    chi_square_95,
    printed_mm,
    printed_slopes,
)

SHEET = np.array([[190.0, 0.0], [190.0, 0.0], [0.0, 277.0], [0.0, 277.0], [190.0, 277.0], [-190.0, 277.0]])
"""Two widths, two heights, two diagonals of an A4 sheet's rectangle."""


def printers(count, seed=1):
    """Printers of every kind: scales within 1.5%, shear within half a degree."""
    draw = np.random.default_rng(seed)
    across, down = draw.uniform(0.985, 1.015, (2, count))
    return PrinterMap(across, down, np.radians(draw.uniform(-0.5, 0.5, count)))


def noisy(printer, sigma_mm, seed=2, sheet=SHEET):
    exact = printed_mm(printer, sheet)
    return exact + np.random.default_rng(seed).normal(0, sigma_mm, exact.shape)


def test_printer_that_also_turns_the_sheet_is_found_by_what_it_does_to_shapes():
    """Any linear map is a turn times ours, so lengths printed through the turned one give the same printer."""
    found_of = printers(200)
    turn = np.radians(np.random.default_rng(5).uniform(-2, 2, 200))
    turned = np.moveaxis(np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]]), -1, 0)
    lengths = np.linalg.norm(np.einsum("pij,pjk,nk->pni", turned, found_of.matrix, SHEET), axis=-1)
    found = calibrate(SHEET, lengths).printer
    for got, true in zip(vars(found).values(), vars(found_of).values(), strict=True):
        assert got == pytest.approx(true, abs=1e-13)


def test_what_is_drawn_for_many_printers_comes_out_true_on_each():
    many = printers(7)
    np.testing.assert_allclose(many.matrix @ many.correction, [np.eye(2)] * 7, atol=1e-12)


def test_readings_are_fitted_as_an_independent_least_squares_does():
    for n in range(5):
        measured = noisy(printers(5), 0.3)[n]
        ours = calibrate(SHEET, measured, 0.3)

        def off(at, measured=measured):
            a, d, shear = at
            matrix = np.array([[a, d * np.sin(shear)], [0, d * np.cos(shear)]])
            return np.linalg.norm(SHEET @ matrix.T, axis=1) - measured

        theirs = least_squares(off, [1, 1, 0], xtol=1e-15, ftol=1e-15, gtol=1e-15)
        assert [float(part) for part in vars(ours.printer).values()] == pytest.approx(theirs.x, abs=1e-9)
        covariance = np.linalg.inv(theirs.jac.T @ theirs.jac) * (0.3 * float(ours.widened)) ** 2
        assert ours.covariance == pytest.approx(covariance, rel=1e-4, abs=1e-12)
        assert ours.residual_mm == pytest.approx(-theirs.fun, abs=1e-8)
        hat = theirs.jac @ np.linalg.inv(theirs.jac.T @ theirs.jac) @ theirs.jac.T
        assert ours.misfit == pytest.approx(-theirs.fun / (0.3 * np.sqrt(1 - np.diag(hat))), rel=1e-4, abs=1e-6)


def test_derivatives_are_those_of_the_lengths():
    """By a step along the imaginary axis, exact to rounding."""
    printer = printers(3)
    for n, name in enumerate(vars(printer)):
        parts = {key: part + (1e-30j if key == name else 0) for key, part in vars(printer).items()}
        expected = printed_mm(PrinterMap(**parts), SHEET).imag / 1e-30
        assert printed_slopes(printer, SHEET)[..., n] == pytest.approx(expected, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("kept", [slice(0, 6), slice(0, 4)], ids=["with diagonals", "without"])
def test_standard_errors_are_what_ten_thousand_sheets_scatter_by(kept):
    printer = PrinterMap(
        np.full(10_000, 1.004), np.full(10_000, 0.993), np.full(10_000, 0.004 if kept.stop == 6 else 0)
    )
    found = calibrate(SHEET[kept], noisy(printer, 0.1, sheet=SHEET[kept]), 0.1)
    calm = found.widened == 1
    assert 0.94 < calm.mean() < 0.97
    claimed = found.standard_errors[calm].mean(axis=0)
    got = [np.std(part) for part in (found.printer.scale_across, found.printer.scale_down, found.printer.shear_rad)]
    assert found.shear_known is (kept.stop == 6)
    assert claimed == pytest.approx(got, rel=0.03, abs=1e-12)
    apart = found.printer.scale_down * np.cos(found.printer.shear_rad)
    assert found.down_share_se[calm].mean() == pytest.approx(np.std(apart) / 0.993, rel=0.03)
    lengths = np.std(printed_mm(found.printer, SHEET), axis=0)
    assert found.printed_se_mm(SHEET)[calm].mean(axis=0) == pytest.approx(lengths, rel=0.03)


def test_error_of_the_way_down_is_a_share_of_what_is_printed():
    """d cos γ falls by d sin γ for each radian: (σ_d/d)² + (tan γ σ_γ)²."""
    printer = PrinterMap(np.array(1.0), np.array(0.9), np.array(0.3))
    found = Calibration(printer, np.diag([9.0, 1e-6, 4e-6]), True, np.zeros(1), np.zeros(1), np.array(1.0))
    assert found.down_share_se == pytest.approx(np.hypot(1e-3 / 0.9, 2e-3 * np.tan(0.3)), rel=1e-9)


def test_reading_four_times_makes_the_printer_twice_as_sure():
    once = calibrate(SHEET, printed_mm(PrinterMap(np.array(1.0), np.array(1.0), np.array(0.0)), SHEET))
    four = np.repeat(SHEET, 4, axis=0)
    often = calibrate(four, printed_mm(once.printer, four))
    assert often.standard_errors == pytest.approx(once.standard_errors / 2, rel=1e-9)


def test_readings_worse_than_their_stated_error_make_the_printer_less_sure():
    many = np.repeat(SHEET, 10, axis=0)
    true = PrinterMap(np.array(1.0), np.array(1.0), np.array(0.0))
    rough = calibrate(many, noisy(true, 0.4, sheet=many), 0.1)
    honest = calibrate(many, noisy(true, 0.4, sheet=many), 0.4)
    assert float(rough.widened) == pytest.approx(4, rel=0.25)
    assert float(honest.widened) == 1
    assert rough.standard_errors == pytest.approx(honest.standard_errors, rel=0.25)


@pytest.mark.parametrize("wrong", range(6))
def test_one_wrong_reading_is_the_one_that_stands_out(wrong):
    measured = printed_mm(PrinterMap(np.array(1.003), np.array(0.996), np.array(0.003)), SHEET)
    measured[wrong] += 3.0
    misfit = abs(calibrate(SHEET, measured, 0.1).misfit)
    # The residuals do not show which of the two diagonals it is: a shear explains half of either.
    assert misfit[wrong] == pytest.approx(misfit.max(), rel=1e-3)
    if wrong < 4:
        assert np.sum(misfit > misfit.max() - 1) == 1


def test_readings_that_nothing_checks_contradict_nothing():
    found = calibrate(SHEET[[0, 2]], np.array([191.0, 270.0]))
    assert found.misfit.tolist() == [0.0, 0.0]
    assert float(found.widened) == 1
    assert found.covariance[2].tolist() == [0.0, 0.0, 0.0]
    three = calibrate(SHEET[[0, 2]], np.array([[191.0, 270.0]] * 3))
    assert three.widened.tolist() == [1.0, 1.0, 1.0]


@pytest.mark.parametrize("kept", [[0, 1], [2, 3], [4, 5], [0, 4, 5], [2, 4, 5]])
def test_lengths_that_do_not_show_both_scales_are_refused(kept):
    with pytest.raises(CalibrationError) as refusal:
        calibrate(SHEET[kept], np.full(len(kept), 200.0))
    found = refusal.value
    across, down = len({0, 1} & set(kept)), len({2, 3} & set(kept))
    assert (found.code, found.across, found.down) == ("direction-missing", across, down)


@pytest.mark.parametrize("other", [0, 2])
def test_crosses_in_one_place_are_not_a_distance_across_or_down(other):
    with pytest.raises(CalibrationError) as refusal:
        calibrate(np.array([SHEET[other], [0.0, 0.0]]), np.array([200.0, 0.0]))
    assert (refusal.value.across, refusal.value.down) == ((1, 0) if other == 0 else (0, 1))


def test_quantile_is_as_near_as_it_says():
    assert chi_square_95(1) == pytest.approx(chi2.ppf(0.95, 1), rel=0.026)
    for freedom in (2, 3, 4, 7, 20, 100):
        assert chi_square_95(freedom) == pytest.approx(chi2.ppf(0.95, freedom), rel=0.01)
