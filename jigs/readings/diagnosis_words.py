"""What may be wrong with a string, in the words of the bench, and what a player can do about it.

Where the bridge was in tune before, a cause is something that has changed since. What readings cannot separate is said in
one breath: a banjo's head and its neck both change the action.
"""

from collections.abc import Callable, Mapping

from geometry.causes import Cause
from geometry.diagnosis import LEAST_FRETS, Suspect
from geometry.lengths import format_mm
from jigs.faults import Command, Key, Option, Words, named_in_file, spoken
from jigs.readings.diagnosis import Strength, StringDiagnosis
from jigs.workup.workup import Workup

STRENGTHS = {
    Strength.NOT_SURE: "not sure",
    Strength.LIKELY: "likely",
    Strength.ALL_BUT_CERTAIN: "all but certain",
}

CAUSES = {
    Cause.NOTHING: "nothing out of the ordinary",
    Cause.NEAR: "bridge too near the nut",
    Cause.FAR: "bridge too far from the nut",
    Cause.NUT_HIGH: "nut slots too high",
    Cause.NUT_LOW: "nut slots too low",
    Cause.NUT_NEAR: "nut too near the frets",
    Cause.NUT_FAR: "nut too far from the frets",
    Cause.TOUCH: "heavy touch or high action",
    Cause.NONE_FITS: "none of these fits, perhaps a worn string",
}
"""Every cause except a fret out of place, which has a number."""

CHANGES = {
    Cause.NEAR: "bridge moved towards the nut",
    Cause.FAR: "bridge moved away from the nut",
    Cause.TOUCH: "heavy touch",
    Cause.STRINGS_OTHER: "strings other than the file says",
    Cause.ACTION_HIGH: "action higher than when the place was found",
    Cause.ACTION_LOW: "action lower than when the place was found",
}
"""What is said instead, or only, where the bridge was in tune before."""

WHY_CHANGED = {
    Cause.ACTION_HIGH: {"banjo": "the head is tighter or the neck moved", "": "the top rose or the neck moved"},
    Cause.ACTION_LOW: {"banjo": "the head is slacker or the neck moved", "": "the top sank or the neck moved"},
}
"""What changes the action, by the kind of instrument. Readings show the action alone, not which of the two it was."""

REMEDIES: Mapping[Cause, Words] = {
    Cause.NEAR: "move the bridge away from the nut",
    Cause.FAR: "move the bridge towards the nut",
    Cause.NUT_HIGH: "have the slots filed before the bridge is placed; a slot that is too deep buzzes",
    Cause.NUT_LOW: "if the open string buzzes, have the slots filled",
    Cause.NUT_NEAR: ("measure the scale again; ", Command("survey"), " finds where the nut is"),
    Cause.NUT_FAR: ("measure the scale again; ", Command("survey"), " finds where the nut is"),
    Cause.TOUCH: "press as you play, no harder, and measure the action again",
    Cause.FRET: (
        "read that fret on another string; if it is out there too, check the fret's place with ",
        Command("survey"),
    ),
    Cause.NONE_FITS: "read it once more; if that changes nothing, fit a new string",
    Cause.NOTHING: "nothing to do here",
}
"""What a player can do about each; common practice, no source."""

REMEDIES_OF_CHANGES: Mapping[Cause, Words] = {
    Cause.TOUCH: "press as you play, no harder",
    Cause.STRINGS_OTHER: (
        "compare the strings with those filled in (",
        Command("compare"),
        "), correct those, then set the bridge anew",
    ),
    Cause.ACTION_HIGH: "measure the action, fill it in, set the bridge by ear and keep its place anew",
    Cause.ACTION_LOW: "measure the action, fill it in, set the bridge by ear and keep its place anew",
}
"""The same where the bridge was in tune before; a bridge that moved goes back to its place."""

HEAD_FIRST = "check the head's tension, then "
"""What comes before that on a banjo."""


def suspect_name(suspect: Suspect, was_right: bool = False) -> str:
    """A cause in words. ``was_right``: whether the bridge was in tune before.

    >>> import numpy as np
    >>> suspect_name(Suspect(Cause.FRET, 7, np.array(0.9))), suspect_name(Suspect(Cause.NUT_HIGH, 0, np.array(0.9)))
    ('fret 7 out of place', 'nut slots too high')
    >>> suspect_name(Suspect(Cause.NEAR, 0, np.array(0.9)), was_right=True)
    'bridge moved towards the nut'
    """
    if suspect.cause is Cause.FRET:
        return f"fret {suspect.fret} out of place"
    return CHANGES[suspect.cause] if was_right and suspect.cause in CHANGES else CAUSES[suspect.cause]


def suspect_in_full(suspect: Suspect, diagnosis: StringDiagnosis, workup: Workup) -> str:
    """A cause with what is behind it; JSON gives that beside the cause's code."""
    why = _why(suspect.cause, workup)
    return f"{suspect_name(suspect, diagnosis.was_right)}{f': {why}' if why else ''}"


def _why(cause: Cause, workup: Workup) -> str:
    reasons = WHY_CHANGED.get(cause, {})
    return reasons.get(workup.instrument.head.kind, reasons.get("", ""))


def cause_in_words(
    diagnosis: StringDiagnosis, workup: Workup, called: Callable[[Key | Option], str] = named_in_file
) -> str:
    """The first cause with its strength and what to do, or that the readings are not sure.

    ``called``: how the reader knows a command.
    """
    strength, named = STRENGTHS[diagnosis.strength], diagnosis.named
    if named is not None:
        why = _why(named.cause, workup)
        name = f"{suspect_name(named, diagnosis.was_right)}, {strength}{f': {why}' if why else ''}"
        return f"{name}; {spoken(_remedy(named.cause, diagnosis, workup), called)}"
    if len(diagnosis.frets) < LEAST_FRETS:
        return f"{strength}; read at least {LEAST_FRETS} different frets"
    if diagnosis.suspects[0].cause is Cause.NOTHING:
        return f"{strength}; nothing stands out"
    return strength


def _remedy(cause: Cause, diagnosis: StringDiagnosis, workup: Workup) -> Words:
    """What to do. A changed action or other strings read much like a moved bridge, so its place is measured first."""
    if not diagnosis.was_right:
        return REMEDIES[cause]
    if cause in (Cause.NEAR, Cause.FAR):
        places = " / ".join(dict.fromkeys(format_mm(mm) for mm in workup.outer_places_mm))
        back = f"move it back to the found place, {places} from the nut"
        return f"{back}. If it stands there already, measure the action, and compare the strings with those filled in"
    head_first = HEAD_FIRST if cause in WHY_CHANGED and workup.instrument.head.kind == "banjo" else ""
    remedy = REMEDIES_OF_CHANGES.get(cause, REMEDIES.get(cause, ""))
    return (head_first, *((remedy,) if isinstance(remedy, str) else remedy))
