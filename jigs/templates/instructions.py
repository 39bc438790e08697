"""What the sheets of several templates say: cautions, and steps that they share."""

from geometry.lengths import round_half_up
from jigs.cutting.cutter import Cutter
from jigs.workup.cents_scale import carried_share
from jigs.workup.words import comparing_in_words
from jigs.workup.workup import Workup

CAUTIONS = (
    "Strings are under tension: keep your eyes away. Slacken before you prise.",
    "Never take off all strings at once: the bridge falls.",
    "Cut away from yourself and from the instrument.",
    "Follow workshop and local rules. Old or valuable instrument: ask a qualified repairer.",
)
"""What people in this trade expect to read; common practice, no source."""

CUTTER_CAUTIONS = (
    *CAUTIONS[:2],
    "Knife: cut away from yourself and the instrument."
    " Laser: only with extraction, by the machine's own rules; never vinyl or PVC.",
    CAUTIONS[3],
)


def cutting(cutter: Cutter) -> tuple[str, ...]:
    """True size first, then cutting."""
    kerf = f" Kerf allowed for: {cutter.kerf_mm:g} mm." if cutter.kerf_mm else ""
    return (
        "Measure both rulers; in a cut file, the rectangle on GUIDE: 100 × 50 mm.",
        f"Cut along the wide lines, score the narrow ones.{kerf}",
    )


def reading_step(workup: Workup) -> str:
    """The step of tuning and of comparing by ear or tuner."""
    instrument = workup.instrument
    if instrument.head.octave_fret is None:
        return f"Tune. On each outer string, {comparing_in_words(workup)}, three times."
    fret = f"fret\N{NO-BREAK SPACE}{instrument.octave_fret}"
    return f"Tune. On each outer string, compare octave harmonic and note at {fret}, three times."


def one_end_alone(workup: Workup) -> tuple[str, ...]:
    """What moving one end does to the other string, if there is one."""
    share = carried_share(workup)
    if not share:
        return ()
    return (f"One end alone shifts the other string by up to {round_half_up(100 * share, 0)}% as much: check both.",)
