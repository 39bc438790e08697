"""Strings of `tests/plausible_world.py` as wires of `tests/simulated_plucks.py`: how an instrument like its file sounds."""

from dataclasses import replace

import numpy as np


def sounding_wires(true, instrument, n, place, wires):
    """The strings of instrument ``n`` as they sound: stiffness and tension of its own, its pitch as a player tunes it.

    Behind its octave's fret a string has what is left of it beyond the bridge, and is tighter as it is longer.
    """
    own = []
    for s, (wire, hz) in enumerate(zip(wires, instrument.stringing.pitch_hz.tolist(), strict=True)):
        length, rise, finger = true.length[n, s], true.rise[n, 0], true.finger[n, 0]
        open_length = np.hypot(length + place[s], rise)
        over_fret, along = true.nut[n, 0] + true.relief, length / 2 + place[s]
        over_bridge = over_fret + rise
        deep = max(true.press[n, 0], over_bridge * finger / along)
        sounding = np.hypot(along, over_bridge)
        silent = np.hypot(finger, deep) + np.hypot(length / 2 - finger, over_fret + deep)
        tighter = 1 + true.stretch[n, s] * ((sounding + silent) / open_length - 1)
        own.append(
            replace(
                wire,
                open_hz=hz,
                stiffness=np.pi**2 / 2 * true.stiffness[n, s] ** 2,
                tension_ratio=tighter * (2 * sounding / open_length) ** 2,
            )
        )
    return tuple(own)
