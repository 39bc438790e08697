"""A printer's own errors: too large or too small, not equally in both directions, and askew; found from a printed sheet.

A printer maps what is drawn to what is printed, and near enough that map is linear. Lengths on paper fix a linear map
except for a rotation of the whole sheet, which does no harm. So the map is the one that keeps across-lines across: every
linear map that does not turn the sheet over is a rotation times

    M = | a   d sin γ |        x to the right, y down the sheet
        | 0   d cos γ |

(the QR decomposition, with its second column in polar form). ``a`` and ``d`` are then just what a rule shows: printed over
drawn length, across and down. The shear γ is how far a line that should run straight down leans to the right. Lengths in
one direction do not show it; diagonals do.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, BoolArray, FloatArray
from geometry.errors import GeometryError

READING_ERROR_MM = 0.1
"""Standard deviation of one reading between fine crosses with a steel rule. Common practice, no source."""

_STEPS = 8
"""Of the Gauss-Newton search. It starts within a tenth and leaves a residual of some per mille: three steps are exact."""

_NORMAL_95 = 1.6449


class CalibrationError(GeometryError):
    """Too few distances to calibrate from: ``across`` and ``down`` are how many there are. Code: direction-missing."""

    def __init__(self, code: str, across: int, down: int) -> None:
        super().__init__(code, across, down)
        self.across, self.down = across, down


@dataclass(frozen=True)
class PrinterMap:
    """What a printer does to a sheet: ``scale_across`` a, ``scale_down`` d, ``shear_rad`` γ, all of one shape."""

    scale_across: Array
    scale_down: Array
    shear_rad: Array

    @property
    def matrix(self) -> FloatArray:
        """M, drawn to printed, shape (…, 2, 2).

        >>> PrinterMap(np.array(1.01), np.array(0.99), np.array(0.0)).matrix.tolist()
        [[1.01, 0.0], [0.0, 0.99]]
        """
        zero = np.zeros_like(self.scale_across)
        across = np.stack((self.scale_across, self.scale_down * np.sin(self.shear_rad)), axis=-1)
        down = np.stack((zero, self.scale_down * np.cos(self.shear_rad)), axis=-1)
        return np.stack((across, down), axis=-2)

    @property
    def correction(self) -> FloatArray:
        """M⁻¹, what to draw for what is to be printed, shape (…, 2, 2): [[1/a, −tan γ/a], [0, 1/(d cos γ)]].

        >>> printer = PrinterMap(np.array(1.01), np.array(0.99), np.array(0.005))
        >>> bool(np.allclose(printer.matrix @ printer.correction, np.eye(2), atol=1e-15))
        True
        """
        zero = np.zeros_like(self.scale_across)
        across = np.stack((1 / self.scale_across, -np.tan(self.shear_rad) / self.scale_across), axis=-1)
        down = np.stack((zero, 1 / (self.scale_down * np.cos(self.shear_rad))), axis=-1)
        return np.stack((across, down), axis=-2)


def printed_mm(printer: PrinterMap, drawn_mm: FloatArray) -> FloatArray:
    """How long drawn distances come out, |M v| = √(a² x² + d² y² + 2 a d x y sin γ).

    Parameters: ``printer`` of shape (…); ``drawn_mm`` v, (x, y) of each distance, shape (distances, 2). Returns mm,
    shape (…, distances).

    >>> askew = PrinterMap(np.array(1.0), np.array(1.0), np.array(0.01))
    >>> printed_mm(askew, np.array([[30.0, 0.0], [30.0, 40.0], [-30.0, 40.0]])).round(2).tolist()
    [30.0, 50.24, 49.76]
    """
    x, y = drawn_mm.T
    a, d, shear = (part[..., None] for part in (printer.scale_across, printer.scale_down, printer.shear_rad))
    return np.asarray(np.sqrt((a * x) ** 2 + (d * y) ** 2 + 2 * a * d * x * y * np.sin(shear)))


def printed_slopes(printer: PrinterMap, drawn_mm: FloatArray) -> FloatArray:
    """How those lengths L follow a, d and γ: the exact derivatives of `printed_mm`.

    ∂L/∂a = (a x² + d x y sin γ)/L, ∂L/∂d = (d y² + a x y sin γ)/L, ∂L/∂γ = a d x y cos γ/L.

    Parameters: as there. Returns shape (…, distances, 3): mm, mm and mm per radian.

    >>> true = PrinterMap(np.array(1.0), np.array(1.0), np.array(0.0))
    >>> printed_slopes(true, np.array([[30.0, 40.0]])).tolist()
    [[18.0, 32.0, 24.0]]
    """
    x, y = drawn_mm.T
    a, d, shear = (part[..., None] for part in (printer.scale_across, printer.scale_down, printer.shear_rad))
    length, sine = printed_mm(printer, drawn_mm), np.sin(shear)
    slopes = (
        (a * x * x + d * x * y * sine) / length,
        (d * y * y + a * x * y * sine) / length,
        a * d * x * y * np.cos(shear) / length,
    )
    return np.stack(slopes, axis=-1)


@dataclass(frozen=True)
class Calibration:
    """A printer's map from readings, and how sure it is.

    ``covariance`` of a, d and γ has shape (…, 3, 3); γ's part is zero where ``shear_known`` is false, γ then being taken as
    zero. ``residual_mm``, reading less what the map makes of it, and ``misfit``, the residual over its own standard
    deviation, have shape (…, readings); the misfit of a reading that nothing checks is zero. ``widened`` is by how much the
    standard errors were raised, because the readings scatter more than their error explains; 1 where they were not.
    """

    printer: PrinterMap
    covariance: FloatArray
    shear_known: bool
    residual_mm: FloatArray
    misfit: FloatArray
    widened: FloatArray

    @property
    def standard_errors(self) -> FloatArray:
        """Of a, d and γ, shape (…, 3): shares, and radians."""
        return np.sqrt(np.diagonal(self.covariance, axis1=-2, axis2=-1))

    @property
    def down_share_se(self) -> FloatArray:
        """Standard error of d cos γ, as a share of it: of how far apart across-lines come out down the sheet."""
        ones = np.ones_like(self.printer.scale_down)
        weights = np.stack((0 * ones, ones / self.printer.scale_down, -np.tan(self.printer.shear_rad)), axis=-1)
        return np.asarray(np.sqrt(np.einsum("...i,...ij,...j", weights, self.covariance, weights)))

    def printed_se_mm(self, drawn_mm: FloatArray) -> FloatArray:
        """Standard error of what `printed_mm` says of drawn distances, shape (…, distances)."""
        slopes = printed_slopes(self.printer, drawn_mm)
        return np.asarray(np.sqrt(np.einsum("...ni,...ij,...nj->...n", slopes, self.covariance, slopes)))


def calibrate(drawn_mm: FloatArray, measured_mm: FloatArray, reading_error_mm: float = READING_ERROR_MM) -> Calibration:
    """The map that fits what was measured best: least squares, all readings weighted by the same error σ.

    Gauss-Newton with the exact Jacobian J of `printed_slopes`; covariance σ² (JᵀJ)⁻¹. The misfit of reading n is
    rₙ/(σ √(1 − hₙ)), hₙ its leverage: with one wrong reading among good ones, that reading's is the largest. Where
    χ² = Σ r²/σ² passes its 95% quantile for ν readings too many, σ is too small, and the standard errors are raised by the
    Birge ratio √(χ²/ν).

    Parameters: ``drawn_mm`` (x, y) of each distance, shape (readings, 2), at least one across (y = 0) and one down (x = 0);
    ``measured_mm``, shape (…, readings); ``reading_error_mm`` σ, over 0. Raises `CalibrationError` where one across or one
    down is missing. Limits: readings within a tenth of what is drawn. Sources: Birge, Phys. Rev. 40, 207 (1932); the misfit
    is Baarda's w, A testing procedure for use in geodetic networks (1968). Both from memory.

    >>> sheet = np.array([[190.0, 0.0], [190.0, 0.0], [0.0, 277.0], [0.0, 277.0], [190.0, 277.0], [-190.0, 277.0]])
    >>> found = calibrate(sheet, np.array([190.5, 190.6, 276.4, 276.5, 335.4, 336.0]))
    >>> np.round([float(x) for x in (found.printer.scale_across, found.printer.scale_down, found.printer.shear_rad)], 4)
    array([ 1.0028,  0.9979, -0.0019])
    >>> found.standard_errors.round(5).tolist()
    [0.00034, 0.00021, 0.00045]
    """
    x, y = drawn_mm.T
    shear_known = bool(np.any(x * y != 0))
    across, down = int(np.sum((x != 0) & (y == 0))), int(np.sum((x == 0) & (y != 0)))
    if not (across and down):
        raise CalibrationError("direction-missing", across, down)
    unknowns = 3 if shear_known else 2
    at = np.zeros((*measured_mm.shape[:-1], 3)) + np.array([1.0, 1.0, 0.0])
    for _ in range(_STEPS):
        slopes = printed_slopes(_as_map(at), drawn_mm)[..., :unknowns]
        residual = measured_mm - printed_mm(_as_map(at), drawn_mm)
        normal = np.swapaxes(slopes, -1, -2) @ slopes
        at[..., :unknowns] += np.linalg.solve(normal, np.einsum("...ni,...n->...i", slopes, residual)[..., None])[
            ..., 0
        ]
    printer = _as_map(at)
    slopes = printed_slopes(printer, drawn_mm)[..., :unknowns]
    residual = measured_mm - printed_mm(printer, drawn_mm)
    inverse = np.linalg.inv(np.swapaxes(slopes, -1, -2) @ slopes)
    checked = 1 - np.einsum("...ni,...ij,...nj->...n", slopes, inverse, slopes)
    widened = _widened(residual, len(drawn_mm) - unknowns, reading_error_mm)
    covariance = np.zeros((*measured_mm.shape[:-1], 3, 3))
    covariance[..., :unknowns, :unknowns] = inverse * (reading_error_mm * widened[..., None, None]) ** 2
    return Calibration(
        printer, covariance, shear_known, residual, _misfit(residual, checked, reading_error_mm), widened
    )


def _as_map(at: FloatArray) -> PrinterMap:
    return PrinterMap(at[..., 0], at[..., 1], at[..., 2])


def _misfit(residual_mm: FloatArray, checked: FloatArray, reading_error_mm: float) -> FloatArray:
    """Residuals over their standard deviations; ``checked`` is the share 1 − h of a reading that the others see."""
    seen: BoolArray = checked > 1e-9
    return np.where(seen, residual_mm / (reading_error_mm * np.sqrt(np.where(seen, checked, 1.0))), 0.0)


def _widened(residual_mm: FloatArray, freedom: int, reading_error_mm: float) -> FloatArray:
    """The Birge ratio where χ² is beyond its 95% quantile, else 1."""
    if freedom == 0:
        return np.ones(residual_mm.shape[:-1])
    square = np.sum((residual_mm / reading_error_mm) ** 2, axis=-1)
    return np.where(square > chi_square_95(freedom), np.sqrt(square / freedom), 1.0)


def chi_square_95(freedom: int) -> float:
    """The 95% quantile of χ², ν (1 − 2/(9ν) + 1.645 √(2/(9ν)))³.

    Parameters: ``freedom`` ν, 1 or more. Limits: 2.5% low at ν = 1, within 1% from 2 on.
    Source: Wilson and Hilferty, Proc. Natl. Acad. Sci. 17, 684 (1931); checked against scipy in the tests.

    >>> [round(chi_square_95(freedom), 2) for freedom in (1, 2, 3, 10)]
    [3.75, 5.94, 7.78, 18.29]
    """
    part = 2 / (9 * freedom)
    return float(freedom * (1 - part + _NORMAL_95 * part**0.5) ** 3)
