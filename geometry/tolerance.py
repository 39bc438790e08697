"""How sure the bridge line is: what every measurement may be off by, carried through the model to the mark on the paper.

The setback is an implicit function: it makes a condition F vanish, be it the octave's comparison or the gradient of a sum
of squares. So dΔS/dp = −(∂F/∂p)/(∂F/∂ΔS) for every input p, with both derivatives taken from the model itself by a nudge
along the imaginary axis (see fretting.py), all the way from gauge to mass, tension, stretch and stiffness. Errors are taken
as small: they add as squares where they are independent, and as they are where they are one and the same.

One and the same for all strings: scale, action, nut height, the modulus of the wire, slip, touch, how the ends hold the
strings, the datum, the print and the laying of the paper. Each string's own: the diameters of its wires, and a core that
nobody measured.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from enum import StrEnum

import numpy as np

from geometry.arrays import Array, BoolArray, FloatArray
from geometry.compensation import NoSetbackError, Objective, Setbacks, setbacks
from geometry.fretting import NUDGE, FrettedStrings, error_cents, octave_cents, relief_fall_mm, rise_mm
from geometry.strings import Wires, bring_to_pitch, permissible_variation_mm
from geometry.touch import PLAUSIBLE, Touch

HALF_WIDTH_95 = 1.96
"""Half width of the interval that holds 95 in 100 of a normal error, in standard deviations."""

CALIBRATED_PRINT_SHARE = 0.0005
"""Standard deviation of the print's scale once the printer is calibrated. Common practice, no source."""

_ASIDE = 1e-5
"""Step of the central difference that makes a gradient, as a share of the string: good to nine digits."""

_OF_FRETS = ("to_bridge_mm", "wanted", "has_fret", "fall_mm")

_INPUTS = ("scale", "action", "nut_height", "core", "wrap", "modulus", "slip")


class Source(StrEnum):
    """Where an error comes from."""

    SCALE = "scale"
    ACTION = "action"
    NUT_HEIGHT = "nut_height"
    GAUGE = "gauge"
    CORE = "core"
    MODULUS = "modulus"
    SLIP = "slip"
    TOUCH = "touch"
    ENDS = "ends"
    DATUM = "datum"
    PRINT = "print"
    LAYING = "laying"
    FOUND = "found"


@dataclass(frozen=True)
class Spread:
    """What the inputs may be off by: standard deviations, except slip and touch, which may be anything in their ranges.

    ``scale_mm`` of the scale length (twice that of nut to fret 12); ``action_mm`` of the height over fret 12;
    ``nut_height_mm``; ``gauge_mm`` of the diameter of every wire, or None for a uniform error within the permissible
    variation v of ASTM A228/A228M, v/√3; ``modulus_share`` as a share of the modulus; ``ends_share`` of λ = B₀X₀, by which a
    nut or saddle that holds the strings tighter or looser than the model's moves the line; ``datum_mm`` of the edge against
    its fret; ``print_share`` of the distance printed; ``laying_mm`` of the paper along the neck. The defaults are common
    practice, without a source, and so are the ranges: no value of the slip has been published.
    """

    scale_mm: float = 0.25
    action_mm: float = 0.15
    nut_height_mm: float = 0.1
    gauge_mm: float | None = None
    modulus_share: float = 0.03
    slip_from: float = 0.0
    slip_to: float = 1.0
    touch: Touch = PLAUSIBLE
    ends_share: float = 0.3
    datum_mm: float = 0.1
    print_share: float = 0.003
    laying_mm: float = 0.25


@dataclass(frozen=True)
class Measured:
    """The measurements that a line was computed from, and ``model``, the strings that they make (one axis of strings).

    ``nut_height_mm`` is the one that the bridge's height over the nut was computed with; a string that has another keeps it
    in ``model``, and is assumed to have the same error. ``outside_mm`` is afterlength and headlength together.
    ``core_error_mm`` is the standard deviation of each core beside that of its wire: zero for one that was measured, and for
    a plain string. A core that is off keeps the string's gauge.
    """

    model: FrettedStrings
    wires: Wires
    scale_mm: float
    action_mm: float
    nut_height_mm: float
    relief_mm: float
    outside_mm: float
    slip: float
    core_error_mm: FloatArray

    def off_by(
        self, scale: Array, action: Array, nut_height: Array, core: Array, wrap: Array, modulus: Array, slip: Array
    ) -> FrettedStrings:
        """The strings as they are when the measurements are off by so much.

        A scale that is off stretches the whole neck with it, frets included, measured or by rule. A wire that is off
        keeps the other: ``core`` and ``wrap`` are errors of their diameters, and the gauge follows.

        Parameters: errors that broadcast against the strings, real or complex; mm, except ``modulus``, a share of it, and
        ``slip``. Axes before that of the strings are kept.
        """
        stretched = 1 + scale / self.scale_mm
        length = self.model.length_mm * stretched
        to_bridge = self.model.to_bridge_mm * stretched[..., None]
        rise = rise_mm(self.nut_height_mm + nut_height, self.action_mm + action, np.array(self.relief_mm))
        wires = replace(
            self.wires,
            gauge_mm=self.wires.gauge_mm + core + 2 * wrap,
            core_mm=self.wires.core_mm + core,
            modulus_pa=self.wires.modulus_pa * (1 + modulus),
        )
        at_pitch = bring_to_pitch(wires, length, rise, self.outside_mm, self.slip + slip)
        return replace(
            self.model,
            length_mm=length,
            to_bridge_mm=to_bridge,
            nut_height_mm=self.model.nut_height_mm + nut_height,
            rise_mm=rise,
            fall_mm=relief_fall_mm(np.array(self.relief_mm), length, to_bridge),
            stretch=at_pitch.slipping_stretch,
            stiffness=at_pitch.stiffness,
        )


@dataclass(frozen=True)
class Sureness:
    """Half width of the 95% interval, 1.96 standard deviations, and that of each source alone, largest first.

    The squares of the contributions add up to the square of the whole. A range, the slip's, counts by its root mean
    square about the value that was used, so that a value from its end brings its bias along.
    """

    half_width_mm: float
    contributions: tuple[tuple[Source, float], ...]

    def half_width_cents(self, cents_per_mm: float) -> float:
        """The half width as it is heard, mm × |cents per mm|.

        >>> round(Sureness(0.5, ()).half_width_cents(-2.6), 9)
        1.3
        """
        return self.half_width_mm * abs(cents_per_mm)


@dataclass(frozen=True)
class PlaceTolerance:
    """What every source does to the marks: one standard deviation of each of its independent errors, in mm.

    ``effects_mm`` has shape (errors, strings) for each source; along a row the strings move together. ``response`` is how
    centre and slope of the line follow the strings' setbacks, shape (2, strings) (see bridge.line_response).
    """

    effects_mm: Mapping[Source, FloatArray]
    response: FloatArray

    def of_string(self, index: int) -> Sureness:
        """How sure the string's own place is."""
        return self._of(np.eye(self.response.shape[1])[index])

    def of_line(self, across_mm: float) -> Sureness:
        """How sure the line is at a place across."""
        return self._of(self.response[0] + across_mm * self.response[1])

    @property
    def covariance(self) -> FloatArray:
        """Covariance of the line's centre and slope, shape (2, 2): mm², mm and no unit."""
        moved = np.concatenate([effect @ self.response.T for effect in self.effects_mm.values()])
        return np.asarray(moved.T @ moved)

    def band_mm(self, across_mm: FloatArray) -> FloatArray:
        """Half width of the line's 95% band, 1.96 √(v_cc + 2 v_cs x + v_ss x²).

        Parameters: ``across_mm`` x, any shape. Returns mm, the same shape.
        """
        (centre, both), (_, slope) = self.covariance
        return np.asarray(HALF_WIDTH_95 * np.sqrt(centre + across_mm * (2 * both + across_mm * slope)))

    def _of(self, weights: FloatArray) -> Sureness:
        halves = {
            source: HALF_WIDTH_95 * float(np.sqrt(np.sum((effect @ weights) ** 2)))
            for source, effect in self.effects_mm.items()
        }
        largest_first = sorted(halves.items(), key=lambda part: -part[1])
        return Sureness(math.hypot(*halves.values()), tuple(largest_first))


@dataclass(frozen=True)
class InputEffects:
    """What the errors of the inputs do to the setbacks, before anything is marked; they are the same for every sheet.

    ``effects_mm`` as in `PlaceTolerance`, without the scale, whose ``scale_slope`` dΔS/dX₀ is that of each string, shape
    (strings,); ``scale_mm`` is the scale.
    """

    effects_mm: Mapping[Source, FloatArray]
    scale_slope: FloatArray
    scale_mm: float


def input_effects(
    measured: Measured, place: Setbacks, objective: Objective, frets: int, spread: Spread
) -> InputEffects:
    """What every input may do to the setbacks: the part of `tolerance` that takes time, and that no sheet changes.

    The slip s, drawn with s₀ and truly anywhere from a to b, counts by √E[(s − s₀)²], and its derivative is taken at
    s₀ + E[(s − s₀)³]/(2 E[(s − s₀)²]), where it gives the second order too; the other derivatives are taken at the slip to
    be expected, (a + b)/2.

    Parameters: ``measured``; ``place``, ``objective`` and ``frets`` as for `compensation.setbacks`; ``spread``. Returns mm.
    Limits: errors small beside what they are errors of; wraps and nylon held as closely as music wire of their diameter, as
    there is no standard for them; frets, relief, density and the feet taken as exact; one action for all.
    """
    off_slip, slip_between = _slip_error(spread, measured.slip)
    expected_slip = (spread.slip_from + spread.slip_to) / 2
    slopes = setback_slopes(measured, place, objective, frets, expected_slip, slip_between)
    core, wrap = _wire_errors_mm(spread, measured.wires)
    unknown_core = measured.core_error_mm * (slopes["core"] - slopes["wrap"] / 2)
    alike = np.ones((1, len(place.setback_mm)))
    effects = {
        Source.ACTION: spread.action_mm * slopes["action"] * alike,
        Source.NUT_HEIGHT: spread.nut_height_mm * slopes["nut_height"] * alike,
        Source.CORE: np.diag(unknown_core),
        Source.GAUGE: np.concatenate((np.diag(core * slopes["core"]), np.diag(wrap * slopes["wrap"]))),
        Source.MODULUS: spread.modulus_share * slopes["modulus"] * alike,
        Source.SLIP: off_slip * slopes["slip"] * alike,
        Source.TOUCH: touch_effects_mm(measured.model, place, objective, frets, spread.touch),
        Source.ENDS: spread.ends_share * measured.model.stiffness * measured.model.length_mm * alike,
    }
    return InputEffects(effects, slopes["scale"], measured.scale_mm)


def tolerance(
    inputs: InputEffects,
    spread: Spread,
    response: FloatArray,
    datum_to_bridge_mm: float | None,
    printed_mm: FloatArray,
) -> PlaceTolerance:
    """How sure the places of the strings and of the line are, as they are marked on the instrument.

    A place that is measured from the nut takes a scale error in full, δ (1 + dΔS/dX₀). A sheet that registers on fret d
    starts at the fret itself: only δ (X_d/X₀ + dΔS/dX₀) reaches its mark. The print's error is a share of what lies between
    datum and mark; datum and laying shift the mark by themselves.

    Parameters: ``inputs`` of `input_effects`, for the same ``spread``; ``response`` of the line, shape (2, strings);
    ``datum_to_bridge_mm`` X_d, or None for a tape from the nut; ``printed_mm`` from datum to mark at each string, shape
    (strings,), zero where nothing is printed. Limits: those of `input_effects`.

    >>> one, wanted = np.ones(1), 2 ** (np.arange(1.0, 13.0)[None] / 12)
    >>> wires = Wires(*(np.full(1, x) for x in (0.254, 0.254, 7850.0, 8800.0, 203.4e9, 293.665)), one < 0, 0 * one)
    >>> model = FrettedStrings(666.75 * one, 666.75 / wanted, wanted, wanted > 1, 0.5 * one, 5 * one, 0 * wanted,
    ...     10 * one, 0.31 * one, 145 * one, 0.00124 * one)
    >>> measured = Measured(model, wires, 666.75, 3.0, 0.5, 0.0, 210.0, 0.5, np.zeros(1))
    >>> place = setbacks(model, Objective.OCTAVE, 12)
    >>> inputs = input_effects(measured, place, Objective.OCTAVE, 12, Spread())
    >>> sure = tolerance(inputs, Spread(), np.array([[1.0], [0.0]]), 333.375, 331 * one)
    >>> [(source.value, round(mm, 1)) for source, mm in sure.of_string(0).contributions[:3]]
    [('print', 1.9), ('touch', 0.6), ('laying', 0.5)]
    """
    datum_share = 1.0 if datum_to_bridge_mm is None else datum_to_bridge_mm / inputs.scale_mm
    alike = np.ones((1, len(inputs.scale_slope)))
    effects = {
        Source.SCALE: spread.scale_mm * (datum_share + inputs.scale_slope) * alike,
        **inputs.effects_mm,
        Source.DATUM: spread.datum_mm * alike,
        Source.PRINT: spread.print_share * printed_mm * alike,
        Source.LAYING: spread.laying_mm * alike,
    }
    return PlaceTolerance(effects, response)


def setback_slopes(
    measured: Measured, place: Setbacks, objective: Objective, frets: int, slip: float, slip_between: float
) -> dict[str, FloatArray]:
    """How each string's setback follows each input, dΔS/dp = −(∂F/∂ΔS)⁻¹ ∂F/∂p; with the nut, ΔS and ΔN together.

    Parameters: as for `tolerance`; ``slip`` is the one at which derivatives are taken, ``slip_between`` the one for the
    derivative by the slip itself, with the bridge at its place all the same. Returns, each of shape (strings,), mm per mm
    for scale, action, nut_height, core and wrap (their diameters), mm per share for modulus, and mm for slip.
    """
    count = len(_INPUTS)
    nudges = 1j * NUDGE * np.eye(count + 2)[:, :, None]
    off = dict(zip(_INPUTS, nudges[:count], strict=True))
    off["slip"] += slip - measured.slip
    off["slip"][count - 1] += slip_between - slip
    back, nut_back = nudges[count:]
    condition = _condition(
        measured.off_by(**off), place.setback_mm + back, place.nut_setback_mm + nut_back, objective, frets
    )
    slopes = np.moveaxis(condition.imag / NUDGE, -1, 0)
    by_input, by_place = slopes[..., :count], slopes[..., count : count + len(condition)]
    found = -np.linalg.solve(by_place, by_input)[:, 0]
    return dict(zip(_INPUTS, found.T, strict=True))


def touch_effects_mm(
    strings: FrettedStrings, place: Setbacks, objective: Objective, frets: int, touch: Touch
) -> FloatArray:
    """What a plausible hand does to each setback, √E[(ΔS(finger) − ΔS)²]; one hand plays all strings.

    Each of the fingers that stand for all moves the condition that the setback makes vanish; divided by the condition's
    slope that is a move of the setback. With the nut free that slope is nearly nothing on some strings, so the setback is
    searched anew for each finger; fingers for which a string has none do not count.

    Parameters as for `tolerance`. Returns mm, shape (1, strings), away from the nut for a heavier touch. Limits: moves
    small beside the fret's way to the bridge.
    """
    if touch.is_known:
        return np.zeros((1, len(place.setback_mm)))
    d, p, share = touch.fingers()
    fingers = replace(strings, finger_mm=d[:, None] + 0 * place.setback_mm, press_mm=p[:, None] + 0 * place.setback_mm)
    if objective is Objective.NUT_AND_SADDLE:
        found, counted = _found_anew_mm(fingers, place, frets)
        if counted.any():
            mean_square = share[counted] @ (found - place.setback_mm) ** 2 / share[counted].sum()
            return np.asarray(np.sqrt(mean_square))[None]
    moved = _condition(fingers, place.setback_mm, place.nut_setback_mm, objective, frets)
    nudges = 1j * NUDGE * np.eye(len(moved), 2).T[:, :, None]
    condition = _condition(strings, place.setback_mm + nudges[0], place.nut_setback_mm + nudges[1], objective, frets)
    by_place = np.moveaxis(condition.imag / NUDGE, -1, 0)
    found = np.linalg.solve(by_place, np.moveaxis(moved.real, -1, 0))[:, 0]
    return np.sqrt(found**2 @ share)[None]


def _found_anew_mm(fingers: FrettedStrings, place: Setbacks, frets: int) -> tuple[FloatArray, BoolArray]:
    """Setbacks with the nut free, shape (fingers that have them for all strings, strings), and which fingers these are."""
    count, strings = fingers.finger_mm.shape
    counted = np.full(count, True)
    while counted.any():
        rows = {}
        for field in fields(fingers):
            value = getattr(fingers, field.name)
            own = (count, strings, *np.shape(value)[1:]) if field.name in _OF_FRETS else (count, strings)
            rows[field.name] = np.broadcast_to(value, own)[counted].reshape(-1, *own[2:])
        nut = np.tile(place.nut_setback_mm, int(counted.sum()))
        try:
            found = setbacks(FrettedStrings(**rows), Objective.NUT_AND_SADDLE, frets, nut).setback_mm
        except NoSetbackError as error:
            counted[np.flatnonzero(counted)[np.unique(np.array(error.strings) // strings)]] = False
        else:
            return np.asarray(found.reshape(-1, strings)), counted
    return np.zeros((0, strings)), counted


def _condition(
    strings: FrettedStrings, setback_mm: Array, nut_setback_mm: Array, objective: Objective, frets: int
) -> Array:
    """What vanishes at the setbacks, complex, shape (unknowns, …, strings).

    The octave's comparison; or the gradient Σ eₙ ∂eₙ by central differences, up to a factor that cancels.
    """
    if objective is Objective.OCTAVE:
        return octave_cents(strings, setback_mm, nut_setback_mm)[None]
    counted = strings.at_frets(1, frets)

    def errors(back: Array, nut_back: Array) -> Array:
        return np.where(counted.has_fret, error_cents(counted, back, nut_back), 0)

    here, aside = errors(setback_mm, nut_setback_mm), _ASIDE * strings.length_mm.real
    slopes = [errors(setback_mm + aside, nut_setback_mm) - errors(setback_mm - aside, nut_setback_mm)]
    if objective is Objective.NUT_AND_SADDLE:
        slopes.append(errors(setback_mm, nut_setback_mm + aside) - errors(setback_mm, nut_setback_mm - aside))
    return np.array([(here * slope).sum(axis=-1) for slope in slopes])


def _slip_error(spread: Spread, drawn_with: float) -> tuple[float, float]:
    """√E[(s − s₀)²] of a slip from a to b, and the slip at which to take the derivative; see `tolerance`."""
    low, high = spread.slip_from - drawn_with, spread.slip_to - drawn_with
    square = (low * low + low * high + high * high) / 3
    cube = (low + high) * (low * low + high * high) / 4
    return math.sqrt(square), drawn_with + (cube / (2 * square) if square else 0.0)


def _wire_errors_mm(spread: Spread, wires: Wires) -> tuple[FloatArray, FloatArray]:
    """Standard deviation of the diameter of every core (or plain wire) and of every wrap, 0 without one."""
    wrap = (wires.gauge_mm - wires.core_mm) / 2

    def error(diameter_mm: FloatArray) -> FloatArray:
        if spread.gauge_mm is not None:
            return np.full(diameter_mm.shape, spread.gauge_mm)
        return permissible_variation_mm(diameter_mm) / math.sqrt(3)

    return error(wires.core_mm), np.where(wrap > 0, error(wrap), 0)
