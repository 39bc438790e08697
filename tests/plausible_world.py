"""A world of instruments that all fit one instrument file: what the file leaves open is drawn anew for each of them.

No line is shared with `geometry`: the equations are those of M. B. Anderson and R. G. Beausoleil, J. Acoust. Soc. Am. 156
(1), 683 (2024), here AB24, written again, with a finger of its own depth, strings that slip over nut and bridge, and ends
that hold the strings tighter or looser. What is plausible of cores, fingers, slip and ends is common practice, without a
source. From the project come the values of a file once it is read, and where its bridge was drawn.

Lengths in mm, tensions in N; arrays are (draws, strings), and what all strings of an instrument share is (draws, 1).
"""

from dataclasses import dataclass, replace

import numpy as np

DENSITY = {"steel": 7850.0, "nylon": 1120.0}
PASCALS = {"steel": 203.4e9, "nylon": 5.0e9}
WRAP_DENSITY = {
    "phosphor bronze": 8800.0,
    "nickel-plated steel": 7900.0,
    "nickel": 8900.0,
    "80/20 bronze": 8600.0,
    "stainless": 8000.0,
    "steel": 7850.0,
}
WRAP_OF_KIND = {"banjo": "nickel-plated steel", "mandolin": "phosphor bronze", "other": "phosphor bronze"}
SEMITONES = {"C": -9, "D": -7, "E": -5, "F": -4, "G": -2, "A": 0, "B": 2}
OCTAVE = 12


@dataclass(frozen=True)
class Neck:
    """Instruments and their players as they truly are, whatever is strung on them.

    ``ends`` is the share of λ = B₀X₀ by which the ends of the strings move every string's place.
    """

    scale: np.ndarray
    rise: np.ndarray
    nut: np.ndarray
    finger: np.ndarray
    press: np.ndarray
    ends: np.ndarray
    slip: np.ndarray
    relief: float


@dataclass(frozen=True)
class Make:
    """What all sets of strings of one make share: each string's core as a share of its gauge, and the modulus of the wire.

    ``modulus`` is a factor on the usual one.
    """

    core_share: np.ndarray
    modulus: np.ndarray


@dataclass(frozen=True)
class World(Neck):
    """The same instruments, with strings on them."""

    starts_at: np.ndarray
    stretch: np.ndarray
    stiffness: np.ndarray

    @property
    def length(self):
        """Of each open string, from its own nut to the theoretical line."""
        return self.scale / 2 ** (self.starts_at / 12)


def hertz(note):
    """Pitch of D4, F#3, Bb2 and the like, A4 = 440 Hz."""
    return 440.0 * 2.0 ** (int(note[-1]) - 4 + (SEMITONES[note[0]] + note.count("#") - note.count("b")) / 12)


def wire_error(random, shape, diameter):
    """Even odds within ASTM A228's permissible variation of the diameter."""
    inches = np.asarray(diameter) / 25.4
    permitted = 25.4 * np.where(inches < 0.010001, 0.0002, np.where(inches < 0.028001, 0.0003, 0.0004))
    return permitted * random.uniform(-1, 1, shape)


def core_of(random, draws, entry):
    """Cores of one string of the file, (draws,): measured, counted with the turns of its wrap, or open."""
    if not entry.is_wound:
        return np.full(draws, entry.gauge)
    if entry.core is not None:
        return np.full(draws, entry.core)
    if entry.turns is not None:
        return random.normal(entry.gauge - 20 / entry.turns, 0.01 * entry.gauge, draws)
    return random.uniform(0.40, 0.55, draws) * entry.gauge


def neck_of(instrument, random, draws):
    """So many necks, players and tails that fit the file."""
    one, action = (draws, 1), instrument.action
    nut = random.normal(action.nut, 0.1, one)
    over_12 = random.normal(action.fret_12, 0.15, one)
    return Neck(
        scale=random.normal(instrument.head.scale_mm, 0.25, one),
        rise=2 * (over_12 - nut - action.relief),
        nut=nut,
        finger=random.uniform(5, 15, one),
        press=random.uniform(0, 0.5, one),
        ends=random.normal(0, 0.3, one),
        slip=random.uniform(0, 1, one),
        relief=action.relief,
    )


def make_of(instrument, random, draws):
    """So many makes of strings that fit the file."""
    entries = instrument.strings
    shares = np.stack([core_of(random, draws, entry) / entry.gauge for entry in entries], axis=1)
    return Make(shares, random.normal(1, 0.03, (draws, 1)))


def strung(neck, make, instrument, random):
    """Those necks with the file's strings of those makes, each wire with its own error.

    Nylon is held as closely as music wire of its diameter.
    """
    entries, shape = instrument.strings, make.core_share.shape
    assert all(entry.unit_mass is entry.modulus is entry.nut_height is None for entry in entries)
    gauge = np.array([entry.gauge for entry in entries])
    core = make.core_share * gauge
    wrap = (gauge - core) / 2
    core = core + wire_error(random, shape, core)
    wrap = np.where(wrap > 1e-9, wrap + wire_error(random, shape, wrap), 0)
    usual = WRAP_OF_KIND[instrument.head.kind]
    density, stiff = (np.array([of[entry.material] for entry in entries]) for of in (DENSITY, PASCALS))
    wrap_density = np.array([WRAP_DENSITY[entry.wrap or usual] for entry in entries])

    starts_at = np.array([entry.starts_at_fret for entry in entries])
    open_m = np.hypot(neck.scale / 2 ** (starts_at / 12), neck.rise) / 1000
    pitch = np.array([hertz(entry.note) for entry in entries])
    area = np.pi * (core / 1000) ** 2 / 4
    # Pappus: one turn of wrap weighs density × π d_w²/4 × π (d_c + d_w), and takes d_w of the string.
    mass = density * area + wrap_density * np.pi**2 * wrap * (core + wrap) / 4e6
    tension = mass * (2 * open_m * pitch) ** 2
    pascals = stiff * make.modulus
    outside_m = (instrument.tail.afterlength + instrument.tail.headlength) / 1000
    return World(
        **vars(neck),
        starts_at=starts_at,
        stretch=pascals * area / tension / (1 + neck.slip * outside_m / open_m),
        stiffness=np.sqrt(pascals * np.pi * (core / 2000) ** 4 / 4 / tension) / open_m,
    )


def world(instrument, random, draws):
    """So many instruments that fit the file."""
    neck, make = neck_of(instrument, random, draws), make_of(instrument, random, draws)
    return strung(neck, make, instrument, random)


def raised(stiffness, partial):
    """How much stiffness raises a partial."""
    return 1 + stiffness + (1 + partial**2 * np.pi**2 / 2) * stiffness**2


def fretted_cents(true, fret, setback):
    """A fretted note against the open string, frets in equal steps from each string's own nut; positive is sharp."""
    to_bridge = true.length / 2 ** (fret / 12)
    over_fret = true.nut + 2 * true.relief * (1 - to_bridge / true.length)
    over_bridge = over_fret + true.rise
    along = to_bridge + setback
    deep = np.maximum(true.press, over_bridge * true.finger / along)
    open_length = np.hypot(true.length + setback, true.rise)
    sounding = np.hypot(along, over_bridge)
    silent = np.hypot(true.finger, deep) + np.hypot(true.length - to_bridge - true.finger, over_fret + deep)
    longer = (sounding + silent) / open_length
    tighter = 1 + true.stretch * (longer - 1)
    bent = true.stiffness * open_length / sounding / np.sqrt(tighter)
    pitch = open_length / sounding * np.sqrt(longer * tighter) * raised(bent, 1) / raised(true.stiffness, 1)
    return 1200 * np.log2(pitch) - 100 * fret


def octave_cents(true, setback):
    """The note fretted at each string's octave against its harmonic."""
    harmonic = 1200 * np.log2(raised(true.stiffness, 2) / raised(true.stiffness, 1))
    return fretted_cents(true, OCTAVE, setback) - harmonic


def compared(true, aim, setback):
    """What is to be least in squares, a list of (draws, strings): the octave's comparison, or the first twelve frets."""
    if aim == "octave":
        return [octave_cents(true, setback)]
    assert aim == "all frets", aim
    return [fretted_cents(true, fret, setback) for fret in range(1, OCTAVE + 1)]


def true_setbacks(true, aim):
    """Where each string truly wants to bear, behind its theoretical line: Gauss and Newton's method."""
    setback = np.zeros_like(true.stiffness)
    for _ in range(10):
        fall = square = 0.0
        for here, aside in zip(compared(true, aim, setback), compared(true, aim, setback + 0.001), strict=True):
            slope = (aside - here) / 0.001
            fall, square = fall + here * slope, square + slope**2
        step = fall / square
        setback = setback - step
    assert abs(step).max() < 1e-5, "has not settled"
    return setback + true.ends * true.stiffness * true.length


def nobody_measured(instrument):
    """The same instrument with every core open, whatever its file says of them."""
    open_cores = {"core": None, "turns": None}
    entries = [one.model_copy(update={"wound": one.is_wound, **open_cores}) for one in instrument.strings]
    return replace(instrument, strings=tuple(entries))


def outer_of(instrument):
    """Indices of the outer full-length strings: treble, bass."""
    return np.flatnonzero([entry.starts_at_fret == 0 for entry in instrument.strings])[[0, -1]]


def true_places(true, instrument):
    """Where the line of the crown truly belongs behind the theoretical line, at both outer strings, (draws, 2)."""
    steps = np.zeros(len(instrument.strings)) if instrument.bridge.steps is None else np.array(instrument.bridge.steps)
    return (true_setbacks(true, instrument.compensation.tune_to) - steps)[:, outer_of(instrument)]


def misses(workup, print_share, random, draws, cores_known=True):
    """How far a fork's marks stand from where the line truly belongs, at both outer strings, (draws, 2): treble, bass.

    The fork starts at the fret of the octave, which is where it truly is; minus is a mark too near the nut. Without
    ``cores_known`` the file's cores were made up.
    """
    instrument = workup.instrument if cores_known else nobody_measured(workup.instrument)
    true = world(instrument, random, draws)
    drawn = workup.line.at(workup.across_mm[outer_of(instrument)])
    return laid(workup, drawn, print_share, random, draws) - (true.scale / 2 + true_places(true, instrument))


def laid(workup, drawn_mm, print_share, random, draws, fret=OCTAVE):
    """How far behind its fret a fork's marks for a line come to stand, (draws, 2).

    ``drawn_mm``: the line at both outer strings, from the nut, as the file's numbers have it; any shape (…, 2).
    """
    head, bridge = workup.instrument.head, workup.instrument.bridge
    before_crown = bridge.face_mm + head.fret_crown_width / 2
    meant = drawn_mm - head.scale_mm * (1 - 2 ** (-fret / 12)) - before_crown
    printed = meant * (1 + random.normal(0, print_share, (draws, 1))) + before_crown
    return printed + random.normal(0, 0.1, (draws, 1)) + random.normal(0, 0.25, (draws, 1))
