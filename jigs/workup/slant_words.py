"""What this room says of a bridge line that slants too steeply, and of its likeliest cause."""

from jigs.faults import Key, Option, Says, Words
from jigs.instrument.instrument import Instrument
from jigs.workup.fault_words import perhaps_wound
from jigs.workup.slant import SlantCause, SteepSlant

SURE = "sure"
"""The option that draws such a line all the same."""


def slant_unusual(steep: SteepSlant, instrument: Instrument) -> Says:
    """A note on a line that is far from square."""
    return Says(*_what_and_remedy(steep, instrument), "slant-unusual")


def slant_refused(steep: SteepSlant, instrument: Instrument) -> Says:
    """A line that is far from square, and is not drawn."""
    what, remedy = _what_and_remedy(steep, instrument)
    parts = (remedy,) if isinstance(remedy, str) else remedy
    return Says(what, (*parts, ", or confirm with ", Option(SURE)), "slant-refused")


def _what_and_remedy(steep: SteepSlant, instrument: Instrument) -> tuple[str, Words]:
    what = f"the bridge would slant by {abs(steep.slant_deg):.0f}°, which is unusually steep"
    index = steep.string or 0
    entry = instrument.strings[index]
    string = f"{'pair' if entry.pair else 'string'} {index + 1}"
    match steep.cause:
        case SlantCause.PLAIN_STRING:
            return what, perhaps_wound(entry, index + 1)
        case SlantCause.ONE_STRING:
            height = () if entry.nut_height is None else (", ", Key("strings", "nut_height"))
            return f"{what}, because of {string} alone", ("check its note, octave, gauge, core", *height)
        case SlantCause.STEPS:
            return what, ("check ", Key("bridge", "steps"))
        case SlantCause.NUT_STEPS:
            return what, ("check ", Key("nut", "steps"))
        case SlantCause.SPACING:
            return what, ("check ", Key("bridge", "spacing"))
        case SlantCause.FOUND:
            return what, "measure again where the bridge played in tune"
        case SlantCause.UNKNOWN:
            return what, "check the outer strings"
