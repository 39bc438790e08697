"""What this room says of a bridge line that slants too steeply, and of its likeliest cause."""

from geometry.lengths import round_half_up
from jigs.faults import Key, Option, Says, Words, spoken
from jigs.instrument import usual
from jigs.instrument.instrument import Instrument
from jigs.workup.fault_words import perhaps_wound
from jigs.workup.slant import SlantCause, SteepSlant

SLANT = "slant"
"""What a sheet calls it, where it asks to check it."""

SURE = "sure"
"""The option that draws such a line all the same."""

_LEAST_OVER_DEG = 0.1
"""A slant is over the steepest by no less, as it is shown."""


def slant_unusual(steep: SteepSlant, instrument: Instrument) -> Says:
    """A note on a line that is far from square."""
    return Says(*_what_and_remedy(steep, instrument), "slant-unusual")


def slant_refused(steep: SteepSlant, instrument: Instrument) -> Says:
    """A line that is far from square, and is not drawn. What a second look finds at its string says more than its slant."""
    what, remedy = _what_and_remedy(steep, instrument)
    if steep.cause is SlantCause.ONE_STRING:
        string = steep.place("").string
        for check in [one for one in instrument.checks if one.place.string == string][:1]:
            what, remedy = f"{what}: {spoken(check.what)}", check.remedy
    parts = (remedy,) if isinstance(remedy, str) else remedy
    return Says(what, (*parts, ", or confirm with ", Option(SURE)), "slant-refused")


def _what_and_remedy(steep: SteepSlant, instrument: Instrument) -> tuple[str, Words]:
    size = round_half_up(max(abs(steep.slant_deg), usual.STEEP_SLANT_DEG + _LEAST_OVER_DEG), 1)
    what = f"the bridge would slant by {size}°, over the {usual.STEEP_SLANT_DEG:g}° of the steepest bridges"
    index = steep.string or 0
    entry = instrument.strings[index]
    string = entry.called(index + 1)
    match steep.cause:
        case SlantCause.PLAIN_STRING:
            return what, perhaps_wound(entry, index + 1)
        case SlantCause.ONE_STRING:
            last = ("core",) if entry.nut_height is None else ("core and ", Key("strings", "nut_height"))
            check = "check its note, octave, gauge" + (" and " if entry.nut_height is None else ", ")
            return f"{what}, because of {string} alone", (*_not_one_string(instrument), check, *last)
        case SlantCause.STEPS:
            return what, ("check ", Key("bridge", "steps"))
        case SlantCause.NUT_STEPS:
            return what, ("check ", Key("nut", "steps"))
        case SlantCause.SPACING:
            return what, ("check ", Key("bridge", "spacing"))
        case SlantCause.FOUND:
            return what, "measure again where the bridge played in tune"
        case SlantCause.UNKNOWN:
            return what, (*_not_one_string(instrument), "check the outer strings")


def _not_one_string(instrument: Instrument) -> tuple[str | Key, ...]:
    """What makes a line of usual strings steep: a high action, and a stepped saddle that is taken as straight."""
    action = ("is the action high (", Key("action", "fret_12"), ")")
    if any(instrument.bridge.steps or ()):
        return (*action, "? if not, ")
    return (*action, ", or are steps of the saddle missing (", Key("bridge", "steps"), ")? if not, ")
