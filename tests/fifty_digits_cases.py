"""Instruments that say more than their presets do, for the fifty digits: keys for `instruments.edited`."""

DIATONIC = (200, 400, 500, 700, 900, 1000, 1200, 1400, 1600, 1700, 1900, 2100, 2200, 2400)
FIVE_STEPS, FOUR_STEPS = [-1.2, 1.2, -0.6, 1.0, 0.3], [-0.9, 0.7, -0.4, 1.3]

# A banjo with all that a file can say of nut, finger and strings, its line by all strings; one that is pressed to the
# straight string; and a diatonic board, whose octave is at its seventh fret.
EVERYTHING = {
    "action": {"relief": 0.2, "finger": 5.0, "press": 0.4},
    "compensation": {"frets": 20, "bridge_fit": "all"},
    "tail": {"slip": 0.5},
    "nut": {"steps": [0.4, 0.0, 0.3, 0.1, 0.2]},
    "bridge": {"steps": FIVE_STEPS},
    "strings": {1: {"unit_mass": "0.58 g/m", "modulus": "199 GPa"}, 3: {"core": 0.28}, 4: {"nut_height": 0.7}},
}
STRAIGHT = {"action": {"finger": 10.0, "press": 0.0}, "tail": {"slip": 0.0}, "bridge": {"steps": FIVE_STEPS}}
COUNTED_TURNS = {"strings": {3: {"core": None, "wound": True, "turns": 60}}, "action": {"finger": None, "press": 0.1}}
BOARD = {"head": {"frets": len(DIATONIC), "fret_rule": list(DIATONIC)}, "board": {"dots": [3, 5, 7]}}

# Steps at both ends of the strings: of a saddle that most kinds have straight, of a nut, and of both with relief.
STEPPED_SADDLE = {"bridge": {"steps": FOUR_STEPS}, "compensation": {"bridge_fit": "all"}}
STEPPED_NUT = {"nut": {"steps": [0.0, 0.5, 0.2, 0.7]}, "action": {"relief": 0.15}}
BOTH_STEPPED = STEPPED_SADDLE | STEPPED_NUT
FEW_FRETS = BOTH_STEPPED | {"compensation": {"frets": 5}}

# Fingers of which a file says both, one, or that they press right at the fret.
TOUCHES = {
    "at the fret": {"finger": 0.0},
    "how far behind": {"finger": 8.0},
    "how deep": {"press": 0.25},
    "light": {"press": 0.0},
    "close and deep": {"finger": 4.0, "press": 0.6},
    "far and deep": {"finger": 17.0, "press": 0.7, "relief": 0.25},
}

# Seventeen unequal steps to the octave, and fewer above it: the octave is at fret 17, and 13 frets up the short string,
# behind whose own nut the next fret is so near that a finger stays within 7 mm.
SEVENTEEN = [90, 180, 204, 294, 384, 408, 498, 588, 678, 702, 792, 882, 906, 996, 1086, 1110, 1200]
SEVENTEEN += [1320, 1404, 1500, 1584, 1704, 1800]
MANY_STEPS = {
    "head": {"frets": len(SEVENTEEN), "fret_rule": SEVENTEEN, "wanted_cents": SEVENTEEN},
    "strings": {4: {"starts_at_fret": 5, "note": "F#4"}},
    "nut": {"steps": [0.4, 0.0, 0.3, 0.1, 0.2]},
    "bridge": {"steps": FIVE_STEPS},
    "board": {"dots": [7, 17]},
}
SHORT_ON_DIATONIC = {
    "head": {"frets": len(DIATONIC), "fret_rule": list(DIATONIC)},
    "strings": {4: {"starts_at_fret": 4, "note": "A4"}},
    "action": {"relief": 0.1, "finger": 6.0},
    "bridge": {"steps": FIVE_STEPS},
    "board": {"dots": [3, 7]},
}
MEASURED_MM = [37.6, 72.6, 106.4, 137.4, 167.3, 195.2, 221.9, 246.5, 270.4, 292.4, 313.8, 333.2, 352.2, 369.9]
MEASURED = {"head": {"frets": len(MEASURED_MM), "frets_measured": MEASURED_MM}, "bridge": {"steps": FOUR_STEPS}}
