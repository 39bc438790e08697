"""The physics written again, in fifty digits: what every number of an instrument is to agree with.

Nothing of the project's arithmetic is used but what an instrument file says once it is read: scale, heights, notes,
gauges, steps. The model is that of M. B. Anderson and R. G. Beausoleil, J. Acoust. Soc. Am. 156 (1), 683 (2024), with a
finger that may press below the straight string; derivatives are differences over 10⁻¹⁶ mm.
"""

from functools import cache
from types import SimpleNamespace

import mpmath as mp

DIGITS = 50
SETTLED, STEP = mp.mpf(10) ** -12, mp.mpf(10) ** -16

DENSITY = {"steel": 7850, "phosphor bronze": 8800, "nickel-plated steel": 7900, "nickel": 8900, "80/20 bronze": 8600,
           "stainless": 8000, "nylon": 1120}  # fmt: skip
USUAL_WRAP = {"banjo": "nickel-plated steel", "mandolin": "phosphor bronze", "other": "phosphor bronze"}
PASCALS = {"steel": 203_400_000_000, "nylon": 5_000_000_000}
SEMITONES = {"C": -9, "D": -7, "E": -5, "F": -4, "G": -2, "A": 0, "B": 2, "#": 1, "b": -1}


def pitch(note, a4):
    """Equal steps from A4."""
    steps = sum(SEMITONES[sign] for sign in note[:-1])
    return mp.mpf(a4) * mp.mpf(2) ** (int(note[-1]) - 4 + mp.mpf(steps) / 12)


def wanted_cents(head):
    """What each fret is meant to sound: as listed, or the nearest equal steps to a list that places the frets."""
    if head.wanted_cents is not None:
        return [mp.mpf(cents) for cents in head.wanted_cents]
    if isinstance(head.fret_rule, tuple):
        return [100 * mp.nint(mp.mpf(cents) / 100) for cents in head.fret_rule]
    return [mp.mpf(100 * n) for n in range(1, head.frets + 1)]


def frets_of(head):
    """From each fret to the theoretical line."""
    if head.frets_measured is not None:
        return [mp.mpf(head.scale_mm) - mp.mpf(place) for place in head.frets_measured]
    if head.fret_rule == "eighteen":
        return [mp.mpf(head.scale_mm) * (mp.mpf(17) / 18) ** n for n in range(1, head.frets + 1)]
    listed = head.fret_rule if isinstance(head.fret_rule, tuple) else [100 * n for n in range(1, head.frets + 1)]
    return [mp.mpf(head.scale_mm) / mp.mpf(2) ** (mp.mpf(cents) / 1200) for cents in listed]


@cache
def rule_of_eight_points():
    """Gauss and Legendre's: the roots of P₈, and 2/((1 − x²) P₈′(x)²)."""
    guesses = [mp.cos(mp.pi * (k - mp.mpf(1) / 4) / 8.5) for k in (1, 2, 3, 4)]
    roots = [sign * mp.findroot(lambda x: mp.legendre(8, x), guess) for guess in guesses for sign in (-1, 1)]
    return [(x, 2 / ((1 - x * x) * mp.diff(lambda y: mp.legendre(8, y), x) ** 2)) for x in roots]


def finger_of(instrument, over_bridge, to_bridge):
    """d and p: as stated; or the middle of 5 to 15 mm, which stay before the nut, and one depth for all from 0 to 0.5 mm."""
    action, head = instrument.action, instrument.head
    from_nut = [mp.mpf(0), *(head.scale_mm - x for x in frets_of(head))]
    starts = [entry.starts_at_fret for entry in instrument.strings]
    farthest = min(from_nut[n + 1] - from_nut[n] for n in starts) * mp.mpf("0.9")
    given = action.finger
    near, far = (min(mp.mpf(x), farthest) for x in (5, 15)) if given is None else (mp.mpf(given), mp.mpf(given))
    light, firm = (0, mp.mpf("0.5")) if action.press is None else (mp.mpf(action.press), mp.mpf(action.press))
    slope, points = over_bridge / to_bridge, rule_of_eight_points()
    middle = (near + far) / 2
    if near <= 0:
        return middle, mp.mpf(0)

    def mean(of):
        halves = ((near + far) / 2, (far - near) / 2), ((light + firm) / 2, (firm - light) / 2)
        (d, dd), (p, pp) = halves
        return mp.fsum(w * v / 4 * of(d + dd * x, p + pp * y) for x, w in points for y, v in points)

    if firm <= near * slope:
        return middle, mp.sqrt(mean(lambda _, p: p * p))
    return middle, mp.sqrt(middle * mean(lambda d, p: max(p, slope * d) ** 2 / d))


def strung(instrument, entry):
    """One string: lengths mm, b, c, r12, d, p, T0 in N, κ, κ′ and B0, its frets from its own nut, where each is to sound."""
    head, action, tail = instrument.head, instrument.action, instrument.tail
    start = entry.starts_at_fret
    relief, nut = mp.mpf(action.relief), mp.mpf(action.nut)
    rise = 2 * (mp.mpf(action.fret_12) - nut - relief)
    places, sounds = [mp.mpf(head.scale_mm), *frets_of(head)], [mp.mpf(0), *wanted_cents(head)]
    length = places[start]
    span = mp.sqrt(length**2 + rise**2) / 1000

    gauge, core = mp.mpf(entry.gauge) / 1000, core_of(entry)
    wire = (gauge - core) / 2
    wound_with = entry.wrap or USUAL_WRAP[head.kind]
    wrap = DENSITY[wound_with] * mp.pi**2 * wire * (core + wire) / 4 if entry.is_wound else 0
    of_wires = DENSITY[entry.material] * mp.pi * core**2 / 4 + wrap
    mass = of_wires if entry.unit_mass is None else mp.mpf(entry.unit_mass) / 1000
    pascals = PASCALS[entry.material] if entry.modulus is None else mp.mpf(entry.modulus) * 10**9
    tension = mass * (2 * span * pitch(entry.note, instrument.pitch.a4)) ** 2
    stretch = pascals * mp.pi * core**2 / 4 / tension
    outside = mp.mpf(tail.afterlength) + mp.mpf(tail.headlength)
    slip = mp.mpf("0.5") if tail.slip is None else mp.mpf(tail.slip)
    own = [cents - sounds[start] for cents in sounds[start + 1 :]]
    octave = min(range(len(own)), key=lambda n: abs(mp.mpf(2) ** (own[n] / 1200) - 2)) + 1
    height = nut if entry.nut_height is None else mp.mpf(entry.nut_height)
    fall = 2 * relief * (1 - places[start + octave] / length)
    finger, press = finger_of(instrument, height + fall + rise, places[start + octave])
    return SimpleNamespace(
        length=length,
        frets=places[start + 1 :],
        wanted=own,
        octave=octave,
        nut=height,
        rise=rise,
        relief=relief,
        finger=finger,
        press=press,
        mass=mass,
        tension=tension,
        stretch=stretch,
        slipping=stretch / (1 + slip * outside / (1000 * span)),
        stiffness=mp.sqrt(mp.pi * (core / 2) ** 4 * pascals / (4 * tension * span**2)),
    )


def core_of(entry):
    """In metres: all of a plain string; as measured; from turns in 10 mm; or 0.475 of the gauge."""
    gauge = mp.mpf(entry.gauge)
    if not entry.is_wound:
        return gauge / 1000
    if entry.core is not None:
        return mp.mpf(entry.core) / 1000
    return (mp.mpf("0.475") * gauge if entry.turns is None else gauge - mp.mpf(20) / mp.mpf(entry.turns)) / 1000


def bracket(q, stiffness):
    return 1 + stiffness + (1 + q**2 * mp.pi**2 / 2) * stiffness**2


def cents(s, n, saddle, nut=0):
    """e_n of string ``s`` at own fret n, by lengths, stretch, tension and stiffness in turn."""
    to_bridge = s.frets[n - 1]
    drop = s.nut + 2 * s.relief * (1 - to_bridge / s.length)
    along = to_bridge + saddle
    open_length = mp.sqrt((s.length + saddle + nut) ** 2 + s.rise**2)
    sounding = mp.sqrt(along**2 + (drop + s.rise) ** 2)
    depth = max(s.press, (drop + s.rise) * s.finger / along)
    behind = s.length - to_bridge + nut - s.finger
    silent = mp.sqrt(s.finger**2 + depth**2) + mp.sqrt(behind**2 + (drop + depth) ** 2)
    stretch = (sounding + silent - open_length) / open_length
    tension = 1 + s.slipping * stretch
    stiffness = s.stiffness * open_length / sounding / mp.sqrt(tension)
    wanted = mp.mpf(2) ** (s.wanted[n - 1] / 1200)
    return (
        1200 * mp.log(open_length / (wanted * sounding), 2)
        + 600 * mp.log(1 + stretch, 2)
        + 600 * mp.log(tension, 2)
        + 1200 * mp.log(bracket(1, stiffness) / bracket(1, s.stiffness), 2)
    )


def slope(of, at):
    """A derivative, as a difference whose error is far beyond thirty digits."""
    return (of(at + STEP) - of(at - STEP)) / (2 * STEP)


def harmonic(s):
    return 1200 * mp.log(bracket(2, s.stiffness) / bracket(1, s.stiffness), 2)


def compared(s, place, nut):
    """What the bench compares at the octave, e₁₂ − h."""
    return cents(s, s.octave, place, nut) - harmonic(s)


def nut_of(instrument, index):
    """ΔN of the nut as it is."""
    return -mp.mpf(instrument.nut.steps[index]) if instrument.nut.steps else mp.mpf(0)


def step_of(instrument, index):
    """How far behind the crown's line a string bears."""
    return mp.mpf(instrument.bridge.steps[index]) if instrument.bridge.steps else mp.mpf(0)


def octave_place(s, nut):
    return mp.findroot(lambda saddle: compared(s, saddle, nut), (mp.mpf(0), mp.mpf(1)))


def stationary_place(s, counted, start, nut):
    """Where all derivatives of Σ e_n² vanish: (ΔS,) with the nut as it is, or (ΔS, ΔN).

    Newton's steps from ``start``, whose normal matrix serves for all of them; the gradient, which alone decides where
    they end, is good to thirty digits.
    """
    unknowns = range(len(start))

    def error(n, place):
        return cents(s, n, *place, *([] if len(place) > 1 else [nut]))

    def errors(place):
        return [error(n, place) for n in counted]

    def slopes(place):
        def derivative(n, j):
            return slope(lambda x: error(n, [*place[:j], x, *place[j + 1 :]]), place[j])

        return mp.matrix([[derivative(n, j) for j in unknowns] for n in counted])

    place = start
    jacobian = slopes(place)
    normal = jacobian.T * jacobian
    for _ in range(60):
        gradient = jacobian.T * mp.matrix(errors(place))
        step = mp.lu_solve(normal, gradient)
        place = [place[j] - step[j] for j in unknowns]
        if mp.norm(step) < SETTLED:
            return place
        jacobian = slopes(place)
    raise AssertionError("does not settle")


def sum_of_squares(s, counted, place):
    return mp.fsum(cents(s, n, *place) ** 2 for n in counted)


def exact_line(fitted, fit):
    """Through the outer full-length strings, or least squares in cents: the normal equations solved."""
    if fit == "outer":
        outer = [row for row in fitted if row[3]]
        fitted = [(x, y, mp.mpf(1), full) for x, y, _, full in (outer[0], outer[-1])]
    rows = mp.matrix([[rate, rate * x] for x, _, rate, _ in fitted])
    aims = mp.matrix([rate * y for _, y, rate, _ in fitted])
    return mp.lu_solve(rows.T * rows, rows.T * aims)


def exact_place(s, instrument, index, near):
    """The fifty-digit answer, ΔS and ΔN. Least squares start from ``near``, a hundredth of a millimetre coarse."""
    aims, nut = instrument.compensation, nut_of(instrument, index)
    if aims.tune_to == "octave":
        return [octave_place(s, nut), nut]
    counted = range(1, min(aims.frets, len(s.frets)) + 1)
    unknowns = 2 if aims.tune_to == "nut and saddle" else 1
    exact = stationary_place(s, counted, [mp.mpf(round(float(x), 2)) for x in near[:unknowns]], nut)
    place = [*exact, nut][:2]
    least = sum_of_squares(s, counted, place)
    for j in range(unknowns):
        for aside in (-0.5, 0.5):
            moved = [x + aside * (j == k) for k, x in enumerate(place)]
            assert sum_of_squares(s, counted, moved) > least, "stationary, but not least"
    return place
