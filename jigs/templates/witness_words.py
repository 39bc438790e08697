"""What is written on witness marks, and beside them: how to set them, what to check, what tape can do."""

from typing import TypeAlias

from geometry.lengths import round_half_up
from jigs.cutting.cutter import Cutter
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Role
from jigs.templates.instructions import CUTTER_CAUTIONS
from jigs.workup.words import comparing_in_words, found_in_words, strings_in_words
from jigs.workup.workup import Workup

TagLine: TypeAlias = tuple[str, bool]
"""A line on a tag, and whether there is a line to write on behind it."""

TITLE = "Marks: put the bridge back here"
TAPE_CAUTION = "Tape lifts old varnish. Use low-tack tape, tried where nobody sees it, or none."
TO_NUT = "to the nut"


def document(fret: int, hand: str) -> str:
    """What the title block calls the sheet."""
    return f"Witness marks, fret {fret}, {hand}-handed"


def facts(workup: Workup, fret: int, feet_mm: tuple[float, float]) -> str:
    """The line of figures in the title block."""
    return f"{workup.instrument.stands_on.capitalize()} {both_in_words(feet_mm)} from fret {fret}"


def both_in_words(mm: tuple[float, float]) -> str:
    """Treble and bass, as they are typed too.

    >>> both_in_words((187.34, 188.0))
    '187.3 / 188.0 mm'
    """
    treble, bass = (round_half_up(one, 1) for one in mm)
    return f"{treble} / {bass} mm"


def on_string(mm: float) -> str:
    """One distance.

    >>> on_string(187.34)
    '187.3 mm'
    """
    return f"{round_half_up(mm, 1)} mm"


def across(workup: Workup, name: str) -> tuple[str, ...]:
    """What goes across a tag: what the instrument is called, and its strings."""
    return name, " ".join(strings_in_words(workup.instrument))


def beside_feet(workup: Workup, end: str, fret: int, feet_mm: float) -> tuple[TagLine, ...]:
    """What goes on a tag beside the feet: which end, how far from which fret, how that was found, when."""
    lines: tuple[TagLine, ...] = (f"{end}, fret {fret}", False), (on_string(feet_mm), False)
    if workup.found is None:
        return *lines, ("computed", False), ("measured", True), ("date", True)
    day = workup.instrument.found.date
    return *lines, ("found by ear", False), ("date", True) if day is None else (day.isoformat(), False)


def said(workup: Workup, fret: int, corners_mm: tuple[float, float], cutter: Cutter) -> Instructions:
    """Everything that the sheet says around the tags."""
    notes = (
        found_in_words(workup) or "The distances are computed. Where your bridge plays in tune may differ.",
        f"From fret {fret} straight along the neck, the tags' corners are at {both_in_words(corners_mm)}.",
        "Without film, hold a tag there and draw round its inside corner on tape.",
        f'To keep your own distances: jigs keep FILE --feet-from-fret {fret} "TREBLE / BASS".',
    )
    on = workup.instrument.stands_on
    legend = ((Role.CUT, f"cut here; the inside corner goes against the {on}"),)
    cautions = TAPE_CAUTION, *CUTTER_CAUTIONS
    return Instructions(
        TITLE, f"tags against the {on}'s corners", _steps(workup, fret, cutter), legend, notes, cautions
    )


def _steps(workup: Workup, fret: int, cutter: Cutter) -> tuple[str, ...]:
    """What to do, in the order of the hands."""
    on = workup.instrument.stands_on
    kerf = f" ({cutter.kerf_mm:g} mm kerf allowed for)" if cutter.kerf_mm else ""
    return (
        "Print on low-tack film, or on paper for low-tack tape. Or cut thin card.",
        f"Tune. Check that the bridge stands right: {comparing_in_words(workup)}.",
        f"Measure along both outer strings, from fret {fret}'s bridge side to the {on}.",
        "If the tags say otherwise, write your figures on them.",
        f"Cut both tags out along the wide lines{kerf}.",
        "Stick a scrap where nobody sees it. Lift it after an hour.",
        f"Slide each tag's inside corner against its end of the {on}. Press it down.",
        f"Bridge knocked or lifted: set its {on} into both corners again.",
        "Measure once more, tune, and compare.",
    )
