"""Strings of instruments that were set up, and then got a fault or a change: what they read, for tests of the diagnosis.

The instrument is off its file by what measuring leaves, and its bridge was set to its own octave before.
"""

import numpy as np
from samples import preset
from simulator import fretted_cents, octave_reading

FRETS = np.array([1, 3, 5, 7, 12])
NAMES = ("banjo", "tenor-banjo", "mandolin", "octave-mandolin", "archtop-guitar")
RUNS, NOISE_CENTS = 150, 1.0


def each_string():
    """Three strings of every instrument: (workup, index)."""
    for name in NAMES:
        workup = preset(name)
        for n in (workup.outer_strings[0], 1, workup.outer_strings[1]):
            yield workup, n


def place_of(workup, n):
    return float(workup.setback_on_mm(workup.line)[n])


def sounded(workup, n, true, bridge=0.0, slots=0.0, fret_cents=0.0, lift=0.0, share=0.0):
    """What the string reads at the frets, (runs, frets), with a fault in an instrument that was set up.

    ``lift``: how far the action rose; ``share``: how much larger the section of a wound string's core is, or how much
    thicker a plain string is.
    """
    octave = octave_reading(true, workup, np.array([n]), 0.0 * true["scale"] + place_of(workup, n))
    home = (workup.left_cents[n] - octave) / workup.cents_per_mm[n]
    stretched = true["scale"] / workup.model.length_mm[n]
    core = share if workup.instrument.strings[n].is_wound else 0.0
    changed = true | {
        "nut": true["nut"] + slots,
        "rise": true["rise"] - slots + 2 * lift,
        "stretch": true["stretch"] * (1 + core),
        "stiffness": true["stiffness"] * (1 + share),
    }
    cents = fretted_cents(
        **changed,
        fret=workup.model.to_bridge_mm[n, FRETS - 1] * stretched,
        fall=workup.model.fall_mm[n, FRETS - 1],
        ratio=workup.model.wanted[n, FRETS - 1],
        bridge=place_of(workup, n) + bridge + home - (true["scale"] - workup.model.length_mm[n]),
        nut_back=workup.setbacks.nut_setback_mm[n],
    )
    return cents + fret_cents * (FRETS == 7)


def size_of(what, sign, cents, workup, n, true):
    """How large a fault has to be to shift its clearest reading by so many cents."""
    sound = sounded(workup, n, true)
    low, high = 0.0, 20.0 if what == "bridge" else 4.0
    for _ in range(40):
        middle = (low + high) / 2
        shifted = abs(sounded(workup, n, true, **{what: sign * middle}) - sound).max()
        low, high = (middle, high) if shifted < cents else (low, middle)
    return sign * low
