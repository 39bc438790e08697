"""Every preset and every aim against the same physics written again, in fifty digits.

Nothing of the project's arithmetic is used but what an instrument file says once it is read: scale, heights, notes,
gauges. The model is that of M. B. Anderson and R. G. Beausoleil, J. Acoust. Soc. Am. 156 (1), 683 (2024); derivatives
are numerical, at a hundred digits and more. Frets and setbacks agree within a nanometre.
"""

from types import SimpleNamespace

import mpmath as mp
import numpy as np
import pytest

from jigs.instrument.file import parse
from jigs.instrument.opening import preset_names, preset_text
from jigs.workup.workup import work_up

NANOMETRE = 1e-6
SETTLED = mp.mpf(10) ** -20

DENSITY = {"steel": 7850, "phosphor bronze": 8800}
STEEL_PASCALS = 203_400_000_000
SEMITONES = {"C": -9, "D": -7, "E": -5, "F": -4, "G": -2, "A": 0, "B": 2}

AIMS = ("octave", "all frets", "nut and saddle")
PRESET_AIM = "octave"

# The presets, and a banjo with relief, a finger behind the fret, slip, an own nut for its short string, and more
# frets that count than that string has.
EDITS = {
    "relief  = 0.0": "relief  = 0.2\nfinger = 5.0",
    "slip        = 0.0": "slip        = 0.5",
    "frets      = 12": "frets      = 20",
    "starts_at_fret = 5": "starts_at_fret = 5\nnut_height = 0.7",
}
CASES = [(name, aim, {}) for name in preset_names() for aim in AIMS] + [("banjo", aim, EDITS) for aim in AIMS]
NAMES = [f"{name}, {aim}{', edited' if edits else ''}" for name, aim, edits in CASES]


@pytest.fixture(autouse=True)
def fifty_digits():
    with mp.workdps(50):
        yield


@pytest.fixture(scope="module", params=CASES, ids=NAMES)
def workup(request):
    name, aim, edits = request.param
    text = preset_text(name)
    for old, new in {f'tune_to    = "{PRESET_AIM}"': f'tune_to    = "{aim}"', **edits}.items():
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return work_up(parse(text.encode(), name))


def pitch(note, a4):
    """Equal steps from A4; the presets have no sharps or flats."""
    letter, octave = note
    return mp.mpf(a4) * mp.mpf(2) ** (int(octave) - 4 + mp.mpf(SEMITONES[letter]) / 12)


def fret(scale, n):
    return mp.mpf(scale) / mp.mpf(2) ** (mp.mpf(n) / 12)


def strung(instrument, entry):
    """One string: lengths mm, b, c, r12, d, T0 in N, κ, κ′ and B0, its frets from its own nut."""
    head, action, tail = instrument.head, instrument.action, instrument.tail
    start = entry.starts_at_fret
    relief, nut = mp.mpf(action.relief), mp.mpf(action.nut)
    rise = 2 * (mp.mpf(action.fret_12) - nut - relief)
    length = fret(head.scale_mm, start)
    span = mp.sqrt(length**2 + rise**2) / 1000

    gauge = mp.mpf(entry.gauge) / 1000
    core = gauge if entry.core is None else mp.mpf(entry.core) / 1000
    wire = (gauge - core) / 2
    wrap = DENSITY[entry.wrap] * mp.pi**2 * wire * (core + wire) / 4 if entry.core is not None else 0
    mass = DENSITY["steel"] * mp.pi * core**2 / 4 + wrap
    tension = mass * (2 * span * pitch(entry.note, instrument.pitch.a4)) ** 2
    stretch = STEEL_PASCALS * mp.pi * core**2 / 4 / tension
    outside = mp.mpf(tail.afterlength) + mp.mpf(tail.headlength)
    return SimpleNamespace(
        length=length,
        frets=[fret(head.scale_mm, n) for n in range(start + 1, head.frets + 1)],
        nut=nut if entry.nut_height is None else mp.mpf(entry.nut_height),
        rise=rise,
        relief=relief,
        finger=mp.mpf(action.finger),
        mass=mass,
        tension=tension,
        stretch=stretch,
        slipping=stretch / (1 + mp.mpf(tail.slip) * outside / (1000 * span)),
        stiffness=mp.sqrt(mp.pi * (core / 2) ** 4 * STEEL_PASCALS / (4 * tension * span**2)),
    )


def bracket(q, stiffness):
    return 1 + stiffness + (1 + q**2 * mp.pi**2 / 2) * stiffness**2


def cents(s, n, saddle, nut=0):
    """e_n of string ``s`` at own fret n, by lengths, stretch, tension and stiffness in turn."""
    to_bridge = s.frets[n - 1]
    drop = s.nut + 2 * s.relief * (1 - to_bridge / s.length)
    along = to_bridge + saddle
    open_length = mp.sqrt((s.length + saddle + nut) ** 2 + s.rise**2)
    sounding = mp.sqrt(along**2 + (drop + s.rise) ** 2)
    bend = s.finger / along
    silent = sounding * bend + mp.sqrt(
        (s.length - to_bridge + nut - s.finger) ** 2 + (drop + (drop + s.rise) * bend) ** 2
    )
    stretch = (sounding + silent - open_length) / open_length
    tension = 1 + s.slipping * stretch
    stiffness = s.stiffness * open_length / sounding / mp.sqrt(tension)
    wanted = mp.mpf(2) ** (mp.mpf(n) / 12)
    return (
        1200 * mp.log(open_length / (wanted * sounding), 2)
        + 600 * mp.log(1 + stretch, 2)
        + 600 * mp.log(tension, 2)
        + 1200 * mp.log(bracket(1, stiffness) / bracket(1, s.stiffness), 2)
    )


def harmonic(s):
    return 1200 * mp.log(bracket(2, s.stiffness) / bracket(1, s.stiffness), 2)


def octave_place(s):
    return mp.findroot(lambda saddle: cents(s, 12, saddle) - harmonic(s), (mp.mpf(0), mp.mpf(1)))


def stationary_place(s, counted, start):
    """Where all derivatives of Σ e_n² vanish: (ΔS,) or (ΔS, ΔN).

    Newton's steps from ``start``, whose normal matrix serves for all of them; the gradient, which alone decides where
    they end, is exact.
    """
    unknowns = range(len(start))

    def errors(place):
        return [cents(s, n, *place) for n in counted]

    def slopes(place):
        def derivative(n, j):
            return mp.diff(lambda x: cents(s, n, *place[:j], x, *place[j + 1 :]), place[j])

        return mp.matrix([[derivative(n, j) for j in unknowns] for n in counted])

    place = start
    jacobian = slopes(place)
    normal = jacobian.T * jacobian
    for _ in range(30):
        gradient = jacobian.T * mp.matrix(errors(place))
        step = mp.lu_solve(normal, gradient)
        place = [place[j] - step[j] for j in unknowns]
        if mp.norm(step) < SETTLED:
            return place
        jacobian = slopes(place)
    raise AssertionError("does not settle")


def sum_of_squares(s, counted, place):
    return mp.fsum(cents(s, n, *place) ** 2 for n in counted)


def test_frets_are_within_a_nanometre(workup):
    scale = workup.instrument.head.scale_mm
    exact = [fret(scale, n) for n in range(1, workup.instrument.head.frets + 1)]
    assert max(abs(mp.mpf(ours) - x) for ours, x in zip(workup.to_bridge_mm, exact, strict=True)) < NANOMETRE
    assert max(abs(mp.mpf(ours) - scale + x) for ours, x in zip(workup.from_nut_mm, exact, strict=True)) < NANOMETRE


def test_string_numbers_are_right_to_twelve_digits(workup):
    ours = workup.instrument.stringing
    for i, entry in enumerate(workup.instrument.strings):
        s = strung(workup.instrument, entry)
        assert ours.unit_mass_kg_per_m[i] == pytest.approx(float(s.mass), rel=1e-12)
        assert ours.tension_n[i] == pytest.approx(float(s.tension), rel=1e-12)
        assert ours.stretch[i] == pytest.approx(float(s.stretch), rel=1e-12)
        assert ours.slipping_stretch[i] == pytest.approx(float(s.slipping), rel=1e-12)
        assert ours.stiffness[i] == pytest.approx(float(s.stiffness), rel=1e-12)
        assert workup.harmonic_cents[i] == pytest.approx(float(harmonic(s)), abs=1e-9)


def test_bridge_and_nut_are_within_a_nanometre(workup):
    aims = workup.instrument.compensation
    for i, entry in enumerate(workup.instrument.strings):
        s = strung(workup.instrument, entry)
        ours = (workup.setbacks.setback_mm[i], workup.setbacks.nut_setback_mm[i])
        exact = [*exact_place(s, aims, ours), mp.mpf(0)][:2]
        assert max(abs(mp.mpf(float(a)) - b) for a, b in zip(ours, exact, strict=True)) < NANOMETRE


def exact_place(s, aims, near):
    """The fifty-digit answer. Least squares start from ``near``, a hundredth of a millimetre coarse."""
    if aims.tune_to == "octave":
        return [octave_place(s)]
    counted = range(1, min(aims.frets, len(s.frets)) + 1)
    unknowns = 2 if aims.tune_to == "nut and saddle" else 1
    exact = stationary_place(s, counted, [mp.mpf(round(float(x), 2)) for x in near[:unknowns]])
    least = sum_of_squares(s, counted, exact)
    for j in range(unknowns):
        for aside in (-0.5, 0.5):
            moved = [x + aside * (j == k) for k, x in enumerate(exact)]
            assert sum_of_squares(s, counted, moved) > least, "stationary, but not least"
    return exact


def test_every_fret_reads_what_fifty_digits_say(workup):
    for i, entry in enumerate(workup.instrument.strings):
        s = strung(workup.instrument, entry)
        places = [mp.mpf(float(x[i])) for x in (workup.setbacks.setback_mm, workup.setbacks.nut_setback_mm)]
        ours = workup.cents[i][workup.model.has_fret[i]]
        assert len(ours) == len(s.frets)
        exact = [float(cents(s, n, *places)) for n in range(1, len(s.frets) + 1)]
        np.testing.assert_allclose(ours, exact, rtol=0, atol=1e-9)
        counted = exact[: workup.instrument.compensation.frets]
        rms = np.sqrt(np.mean(np.square(counted)))
        assert workup.rms_cents[i] == pytest.approx(rms, abs=1e-9)
