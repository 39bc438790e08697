"""How far out of tune a fretted string is: the one model that everything else solves or prints.

Source: M. B. Anderson and R. G. Beausoleil, "Classical guitar intonation and compensation: The
well-tempered guitar", J. Acoust. Soc. Am. 156 (1), 683 (2024), here AB24. The string is clamped at the
fret and pinned at the bridge; pressing it stretches it; it is stiff. The slip over nut and bridge enters
through the stretch constant alone (strings.slipping_stretch).

The functions take complex arrays too. All of them are analytic, so the imaginary part of
f(x + iε)/ε is the derivative, exact to rounding, of whatever input was nudged.
"""

from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from geometry.arrays import Array, BoolArray, FloatArray, IntArray
from geometry.frets import CENTS_PER_OCTAVE, octave_columns

NUDGE = 1e-30
"""ε of the complex step; its square vanishes beside any length here."""

CENTS_PER_NEPER = float(CENTS_PER_OCTAVE / np.log(2))
HALF_PI_SQUARED = float(np.pi**2 / 2)

Value = TypeVar("Value", float, Array)


@dataclass(frozen=True)
class FrettedStrings:
    """Strings along axis 0, frets along axis 1, and further axes before both. Frets count from each string's own nut.

    A short string has fewer frets than the others: its last columns hold made-up frets, marked False
    in ``has_fret``. ``length_mm`` is X₀, nut to theoretical bridge line; ``to_bridge_mm`` Xₙ;
    ``wanted`` γₙ; ``nut_height_mm`` b and ``rise_mm`` c, bridge over nut, both over the plane of the fret
    tops; ``fall_mm`` Δyₙ, how far relief drops the fret tops; ``finger_mm`` d, how far behind the fret the
    string is pressed; ``press_mm`` p, how far below the fret tops, but never above the straight string; ``stretch`` κ′;
    ``stiffness`` B₀.
    """

    length_mm: Array
    to_bridge_mm: Array
    wanted: FloatArray
    has_fret: BoolArray
    nut_height_mm: Array
    rise_mm: Array
    fall_mm: Array
    finger_mm: Array
    press_mm: Array
    stretch: Array
    stiffness: Array

    def at_frets(self, first: int, last: int) -> "FrettedStrings":
        """The same strings with frets ``first`` to ``last`` only, both included, counted from each string's own nut."""
        columns = slice(first - 1, last)
        return replace(
            self,
            to_bridge_mm=self.to_bridge_mm[..., columns],
            wanted=self.wanted[..., columns],
            has_fret=self.has_fret[..., columns],
            fall_mm=self.fall_mm[..., columns],
        )

    @property
    def at_octave(self) -> "FrettedStrings":
        """The same strings with a single fret each, the one at its octave (see `frets.octave_columns`)."""
        columns = octave_columns(self.wanted, self.has_fret)
        return replace(
            self,
            to_bridge_mm=_at_columns(self.to_bridge_mm, columns),
            wanted=_at_columns(self.wanted, columns).real,
            has_fret=self.has_fret[np.arange(len(columns)), columns][:, None],
            fall_mm=_at_columns(self.fall_mm, columns),
        )


def _at_columns(value: Array, columns: IntArray) -> Array:
    """One column of each string's row, shape (…, strings, 1)."""
    return np.asarray(value[..., np.arange(len(columns)), columns][..., None])


def rise_mm(nut_height_mm: Array, action_mm: Array, relief_mm: Array) -> Array:
    """Height of the bridge over the nut, c = 2 (h₁₂ − b − r₁₂).

    Parameters: b, the action h₁₂ over the octave fret and the relief r₁₂ there, in mm. Returns mm. Limits: heights are over
    the plane of the fret tops, with the octave at half the scale. Source: AB24.

    >>> float(rise_mm(np.array(0.5), np.array(3.0), np.array(0.0)))
    5.0
    """
    return np.asarray(2 * (action_mm - nut_height_mm - relief_mm))


def relief_fall_mm(relief_mm: Array, length_mm: Array, to_bridge_mm: Array) -> Array:
    """How far relief drops the fret tops below the straight plane, Δyₙ = 2 r₁₂ (1 − Xₙ/X₀) (AB24).

    Parameters: relief r₁₂, shape (); X₀, shape (…, strings); Xₙ, shape (…, strings, frets). Returns mm.

    >>> relief_fall_mm(np.array(0.2), np.array([600.0]), np.array([[300.0]]))
    array([[0.2]])
    """
    return np.asarray(2 * relief_mm * (1 - to_bridge_mm / length_mm[..., None]))


def partial_factor(stiffness: Value, partial: int) -> Value:
    """How much stiffness raises a partial, F_q(B) = 1 + B + (1 + q²π²/2) B² (AB24).

    Parameters: ``stiffness`` B, any shape; ``partial`` q from 1. Limits: good to order B².

    >>> round(partial_factor(0.001, 1), 8)
    1.00100593
    """
    return 1 + stiffness * (1 + (1 + partial * partial * HALF_PI_SQUARED) * stiffness)


def octave_harmonic_cents(stiffness: Array) -> Array:
    """How far the octave harmonic lies above twice the open pitch, h = 1200 log₂(F₂(B₀)/F₁(B₀)).

    Parameters: ``stiffness`` B₀, any shape. Returns cents. Limits: as for `partial_factor`. Source: AB24.

    >>> octave_harmonic_cents(np.array([0.00124])).round(3)
    array([0.039])
    """
    return np.asarray(CENTS_PER_NEPER * np.log(partial_factor(stiffness, 2) / partial_factor(stiffness, 1)))


def error_cents(strings: FrettedStrings, setback_mm: Array, nut_setback_mm: Array) -> Array:
    """Error of every fretted note against the open string, in cents; positive is sharp.

    eₙ = 1200 log₂(L₀/(γₙ Lₙ)) + 600 log₂(1 + Qₙ) + 600 log₂(1 + κ′Qₙ) + 1200 log₂(F₁(Bₙ)/F₁(B₀)), with
    L₀ = √((X₀+ΔS+ΔN)² + c²), Lₙ = √((Xₙ+ΔS)² + (b+Δyₙ+c)²), L′ₙ = √(d²+p²) + √((X₀−Xₙ+ΔN−d)² + (b+Δyₙ+p)²) the silent
    part from nut to fret by way of the finger, Qₙ = (Lₙ + L′ₙ − L₀)/L₀ the stretch, and Bₙ = B₀ (L₀/Lₙ)/√(1 + κ′Qₙ). The
    finger's depth p is at least that of the straight string, (b+Δyₙ+c) d/(Xₙ+ΔS), with which L′ₙ is AB24's.

    Parameters: ``setback_mm`` ΔS (positive away from the nut) and ``nut_setback_mm`` ΔN (negative towards
    the bridge), shape (…, strings); leading axes are kept. Returns shape (…, strings, frets).
    Limits: small B (thin strings); a finger that presses between the fret and the one before. Source: AB24.

    >>> one = np.array([[325.0]])
    >>> string = FrettedStrings(np.array([650.0]), one, np.array([[2.0]]), one > 0, np.array([1.0]),
    ...     np.array([4.0]), 0 * one, np.zeros(1), np.zeros(1), np.array([46.0]), np.array([0.0]))
    >>> error_cents(string, np.zeros(1), np.zeros(1)).round(2)
    array([[1.56]])
    """
    nut_height = strings.nut_height_mm[..., None] + strings.fall_mm
    square = squared_error(
        strings.length_mm[..., None],
        strings.to_bridge_mm,
        nut_height,
        strings.rise_mm[..., None],
        strings.finger_mm[..., None],
        strings.press_mm[..., None],
        strings.stretch[..., None],
        strings.stiffness[..., None],
        setback_mm[..., None],
        nut_setback_mm[..., None],
    )
    return np.asarray(CENTS_PER_NEPER / 2 * np.log(square / strings.wanted**2))


def squared_error(
    length: Value,
    to_bridge: Value,
    nut_height: Value,
    rise: Value,
    finger: Value,
    press: Value,
    stretch: Value,
    stiffness: Value,
    setback: Value,
    nut_setback: Value,
) -> Value:
    """The square of fretted over open pitch: the formula of `error_cents` before its logarithm.

    Plain arithmetic, so that single numbers pass through it as well as arrays of any one shape.
    Parameters in the symbols of `error_cents`: X₀, Xₙ, b + Δyₙ, c, d, p, κ′, B₀, ΔS, ΔN.

    >>> squared_error(650.0, 325.0, 0.0, 0.0, 0.0, 0.0, 46.0, 0.0, 0.0, 0.0)
    4.0
    """
    over_bridge = nut_height + rise
    along = to_bridge + setback
    depth = _deeper(press, over_bridge * (finger / along))
    open_mm = ((length + setback + nut_setback) ** 2 + rise * rise) ** 0.5
    sounding_mm = (along * along + over_bridge * over_bridge) ** 0.5
    behind_mm = length - to_bridge + nut_setback - finger
    drop_mm = nut_height + depth
    silent_mm = (finger * finger + depth * depth) ** 0.5 + (behind_mm * behind_mm + drop_mm * drop_mm) ** 0.5

    longer = (sounding_mm + silent_mm) / open_mm
    tenser = 1 + stretch * (longer - 1)
    relative = open_mm / sounding_mm
    fretted = stiffness * relative / tenser**0.5
    rise_of_pitch = relative * partial_factor(fretted, 1) / partial_factor(stiffness, 1)
    square: Value = rise_of_pitch * rise_of_pitch * longer * tenser
    return square


def _deeper(press: Value, straight: Value) -> Value:
    """The larger real part of two depths: the finger's, and that of the straight string to where it presses."""
    if isinstance(press, np.ndarray) or isinstance(straight, np.ndarray):
        deeper: Value = np.where(np.real(press) > np.real(straight), press, straight)
        return deeper
    return press if press > straight else straight


def octave_cents(strings: FrettedStrings, setback_mm: Array, nut_setback_mm: Array) -> Array:
    """What the bench compares: the note fretted at the octave against the octave harmonic, e₁₂ − h.

    Positive: the fretted note is sharp and the bridge belongs farther from the nut. A string without a fret at its octave
    is compared at the fret nearest to it. Parameters and limits as for `error_cents`; returns cents, shape (…, strings).
    Source: AB24.

    >>> wanted = 2 ** (np.arange(1.0, 13.0)[None] / 12)
    >>> string = FrettedStrings(np.array([650.0]), 650 / wanted, wanted, wanted > 1, np.array([1.0]),
    ...     np.array([4.0]), 0 * wanted, np.zeros(1), np.zeros(1), np.array([46.0]), np.array([0.0]))
    >>> octave_cents(string, np.zeros(1), np.zeros(1)).round(2)
    array([1.56])
    """
    fretted = error_cents(strings.at_octave, setback_mm, nut_setback_mm)[..., 0]
    return np.asarray(fretted - octave_harmonic_cents(strings.stiffness))


def octave_tension_ratio(strings: FrettedStrings, setback_mm: FloatArray, nut_setback_mm: FloatArray) -> FloatArray:
    """The tension at the octave over the open string's, for equal lengths: (T₁₂/T₀)(2 L₁₂/L₀)².

    Stiffness raises a partial of the pressed note by 1/this of what it raises the same partial of the octave harmonic.

    Parameters and limits as for `octave_cents`; ``stretch`` above 0. Returns shape (…, strings). Source: AB24. Without
    stiffness the square of its pitch is (L₀/L₁₂)² (1 + Q)(1 + κ′Q), and without stretch the first two factors of that.

    >>> wanted = 2 ** (np.arange(1.0, 13.0)[None] / 12)
    >>> string = FrettedStrings(np.array([650.0]), 650 / wanted, wanted, wanted > 1, np.array([1.0]),
    ...     np.array([4.0]), 0 * wanted, np.zeros(1), np.zeros(1), np.array([46.0]), np.array([0.0]))
    >>> octave_tension_ratio(string, np.zeros(1), np.zeros(1)).round(5)
    array([1.00216])
    """
    octave = replace(strings.at_octave, stiffness=np.zeros(strings.stiffness.shape))
    square = 2 ** (error_cents(octave, setback_mm, nut_setback_mm)[..., 0] / (CENTS_PER_OCTAVE / 2))
    slack = replace(octave, stretch=np.zeros(strings.stretch.shape))
    by_length = 2 ** (error_cents(slack, setback_mm, nut_setback_mm)[..., 0] / (CENTS_PER_OCTAVE / 2))
    tenser = square / by_length
    longer = 1 + (tenser - 1) / octave.stretch
    octaves = octave.wanted[:, 0] / 2
    return np.asarray(tenser * longer / (by_length * octaves**2))


def octave_cents_per_mm(strings: FrettedStrings, setback_mm: FloatArray, nut_setback_mm: FloatArray) -> FloatArray:
    """How fast that comparison changes as the bridge moves away from the nut, d(e₁₂ − h)/dΔS, cents/mm.

    Near −1200/(X₀ ln 2). Parameters and limits as for `octave_cents`; returns cents/mm, shape (…, strings).

    >>> wanted = 2 ** (np.arange(1.0, 13.0)[None] / 12)
    >>> string = FrettedStrings(np.array([650.0]), 650 / wanted, wanted, wanted > 1, np.array([0.0]),
    ...     np.array([0.0]), 0 * wanted, np.zeros(1), np.zeros(1), np.array([0.0]), np.array([0.0]))
    >>> octave_cents_per_mm(string, np.zeros(1), np.zeros(1)).round(3)   # 1200/(650 ln 2)
    array([-2.663])
    """
    nudged = octave_cents(strings, setback_mm + 1j * NUDGE, nut_setback_mm)
    return np.asarray(nudged.imag / NUDGE)
