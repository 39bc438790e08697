"""A simulated instrument in formulas of its own: it shares no line with the code under test.

The equations are those of AB24, with a finger that may press below the straight string. Arrays of one shape, mm and cents.
"""

import numpy as np


def _bracket(stiffness, partial):
    return 1 + stiffness + (1 + partial**2 * np.pi**2 / 2) * stiffness**2


def fretted_cents(
    *, scale, fret, ratio, nut, rise, stretch, stiffness, bridge, nut_back=0.0, finger=0.0, press=0.0, fall=0.0
):
    """The fretted note against the open string, with the bridge ``bridge`` mm from the theoretical line."""
    over_nut, over_bridge = nut + fall, nut + fall + rise
    depth = np.maximum(press, over_bridge * finger / (fret + bridge))
    whole = np.sqrt((scale + bridge + nut_back) ** 2 + rise**2)
    sounding = np.sqrt((fret + bridge) ** 2 + over_bridge**2)
    behind = scale - fret + nut_back - finger
    silent = np.sqrt(finger**2 + depth**2) + np.sqrt(behind**2 + (over_nut + depth) ** 2)
    longer = (sounding + silent) / whole
    tension = 1 + stretch * (longer - 1)
    fretted = stiffness * whole / sounding / np.sqrt(tension)
    pitch = whole / sounding * np.sqrt(longer * tension) * _bracket(fretted, 1) / _bracket(stiffness, 1)
    return 1200 * np.log2(pitch / ratio)


def harmonic_cents(stiffness):
    """The octave harmonic against twice the open string."""
    return 1200 * np.log2(_bracket(stiffness, 2) / _bracket(stiffness, 1))


def truth(workup, index, runs, random, different=True, hand=True):
    """Strings as they really are, (runs, strings): what the file says, and as much off it as measuring leaves.

    ``hand``: the player presses as a plausible hand does, all strings alike; otherwise as the file has it.
    """
    model, touch = workup.model, workup.instrument.touch

    def off(deviation):
        return (
            random.normal(0, deviation, (runs, 1)) * np.ones(len(index)) if different else np.zeros((runs, len(index)))
        )

    def own(deviation):
        return random.normal(0, deviation, (runs, len(index))) if different else np.zeros((runs, len(index)))

    true = {
        "scale": model.length_mm[index] + off(0.25),
        "nut": model.nut_height_mm[index] + own(0.05),
        "rise": model.rise_mm[index] + 2 * off(0.15),
        "stretch": model.stretch[index] * (1 + own(0.15)),
        "stiffness": model.stiffness[index] * (1 + own(0.1)),
        "finger": np.broadcast_to(model.finger_mm[index], (runs, len(index))),
        "press": np.broadcast_to(model.press_mm[index], (runs, len(index))),
    }
    if different and hand:
        reach = random.uniform(touch.finger_from_mm, touch.finger_to_mm, (runs, 1))
        depth = random.uniform(touch.press_from_mm, touch.press_to_mm, (runs, 1))
        true |= {"finger": reach * np.ones(len(index)), "press": depth * np.ones(len(index))}
    return true


def octave_reading(strings, workup, index, bridge):
    """What the bench compares at the octave, e₁₂ − h, with the string so far behind the theoretical line of the file."""
    column = workup.octave_frets[index] - 1
    stretched = strings["scale"] / workup.model.length_mm[index]
    fretted = fretted_cents(
        **strings,
        fret=workup.model.to_bridge_mm[index, column] * stretched,
        fall=workup.model.fall_mm[index, column],
        ratio=workup.model.wanted[index, column],
        bridge=bridge - (strings["scale"] - workup.model.length_mm[index]),
        nut_back=workup.setbacks.nut_setback_mm[index],
    )
    return fretted - harmonic_cents(strings["stiffness"])
