"""What may be wrong with a string that frets out of tune: the causes, how often each is met, and how large they are.

A bridge whose place was found by ear was right there. If it reads wrong later, the question is what has changed since. Other
causes are likely then than on an instrument that was never set up.
"""

from enum import StrEnum


class Cause(StrEnum):
    """What may be wrong: nothing out of the ordinary; the bridge too near the nut or too far from it; nut slots too high or
    too low; the nut too near the frets or too far from them; a heavy touch or high action; a fret out of place; or none of
    these, perhaps a worn string.

    Only where the bridge was right before: other strings than the file's, or an action higher or lower than it was.
    """

    NOTHING = "nothing"
    NEAR = "bridge-near"
    FAR = "bridge-far"
    NUT_HIGH = "nut-high"
    NUT_LOW = "nut-low"
    NUT_NEAR = "nut-near"
    NUT_FAR = "nut-far"
    TOUCH = "touch"
    FRET = "fret"
    NONE_FITS = "none-fits"
    STRINGS_OTHER = "strings-other"
    ACTION_HIGH = "action-high"
    ACTION_LOW = "action-low"


PRIOR = {
    Cause.NOTHING: 0.16,
    Cause.NEAR: 0.18,
    Cause.FAR: 0.18,
    Cause.NUT_HIGH: 0.16,
    Cause.NUT_LOW: 0.02,
    Cause.NUT_NEAR: 0.03,
    Cause.NUT_FAR: 0.03,
    Cause.TOUCH: 0.05,
    Cause.FRET: 0.14,
    Cause.NONE_FITS: 0.05,
}
"""How often each is met on a bench, all frets together. Common practice, no source."""

PRIOR_IF_WAS_RIGHT = {
    Cause.NOTHING: 0.15,
    Cause.NEAR: 0.22,
    Cause.FAR: 0.22,
    Cause.STRINGS_OTHER: 0.08,
    Cause.ACTION_HIGH: 0.05,
    Cause.ACTION_LOW: 0.05,
    Cause.NUT_HIGH: 0.04,
    Cause.NUT_LOW: 0.02,
    Cause.NUT_NEAR: 0.01,
    Cause.NUT_FAR: 0.01,
    Cause.TOUCH: 0.03,
    Cause.FRET: 0.07,
    Cause.NONE_FITS: 0.05,
}
"""The same for a bridge that was in tune before: it slides more easily than anything else changes. Common practice, no
source.
"""

BRIDGE_SIZE_CENTS, FRET_SIZE_CENTS, LOOSE_SIZE_CENTS = 8.0, 8.0, 6.0
NUT_HEIGHT_SIZE_MM, NUT_PLACE_SIZE_MM, STRETCH_SIZE = 0.4, 0.7, 0.4
"""How large faults are: standard deviations of half a normal distribution; the bridge's at the octave, the stretch's as a
share of the model's. Common practice, no source."""

ACTION_SIZE_MM, CORE_SIZE, GAUGE_SIZE = 0.3, 0.25, 0.1
"""How large changes are, standard deviations: of the action, half a normal distribution; of another core's section and of
another plain string's gauge, as shares and of either sign. Common practice, no source.

A core of 0.40 to 0.55 of the gauge has a section of 0.71 to 1.34 of its middle one.
"""
