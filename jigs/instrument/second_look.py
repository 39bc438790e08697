"""A second look at an instrument that passed its checks: values that can be, and are more likely slips.

With a wrong octave, a gauge ten times off, half a core or a doubled height, an instrument can still be drawn, its bridge
millimetres off. What is usual is in `jigs.instrument.usual`: common practice, without a source.
"""

import math
import re
from collections.abc import Iterator, Sequence

from jigs.faults import Check, Key, Place
from jigs.instrument import second_look_words as words
from jigs.instrument import usual
from jigs.instrument.keys import Head, StringEntry
from jigs.instrument.stringing import Stringing
from jigs.instrument.tables import Action, Bridge, Nut, Tail

_OCTAVE = re.compile(r"-?\d+$")


def second_look(
    head: Head, action: Action, strings: Sequence[StringEntry], nut: Nut, bridge: Bridge, tail: Tail
) -> Iterator[Check]:
    """Heights, cores and lengths that are worth a look before the bridge is placed by them."""
    yield from _cores(strings)
    yield from _heights(head, action, nut)
    yield from _feet(head, bridge)
    yield from _steps(head, bridge)
    yield from _spacings(nut, bridge, len(strings))
    yield from _beyond(head, tail)


def pulls_looked_at(strings: Sequence[StringEntry], stringing: Stringing) -> Iterator[Check]:
    """Strings that are slack or tight, by themselves or beside the others."""
    pulls = stringing.tension_n.tolist()
    for n, (entry, pull) in enumerate(zip(strings, pulls, strict=True)):
        others = _median(pulls[:n] + pulls[n + 1 :]) if len(pulls) > 1 else pull
        unlike = not 1 / usual.UNLIKE_THE_OTHERS <= pull / others <= usual.UNLIKE_THE_OTHERS
        at = Place(table="strings", key="gauge", string=n + 1), entry.called(n + 1)
        if pull > usual.WARN_AT_TENSION_N:
            continue
        if unlike or pull < usual.SLACK_STRING_N[entry.material]:
            octave = _octave_that_fits(entry.note, pull, others) if unlike else None
            yield words.unlike_the_others(pull, others if unlike else None, octave).check(*at)
        elif entry.material == "nylon" and pull > usual.TIGHT_NYLON_N:
            yield words.nylon_tight(pull, usual.TIGHT_NYLON_N).check(*at)


def _median(values: Sequence[float]) -> float:
    """The middle of some numbers; numpy's loads a module that nothing else here needs."""
    ordered, middle = sorted(values), len(values) // 2
    return (ordered[middle] + ordered[-middle - 1]) / 2


def _octave_that_fits(note: str, pull_n: float, others_n: float) -> tuple[str, float] | None:
    """The same note an octave away and the pull there, where that is like the others': four times, or a quarter."""
    step, there_n = (1, 4 * pull_n) if pull_n < others_n else (-1, pull_n / 4)
    written = _OCTAVE.search(note)
    if written is None or not 1 / usual.UNLIKE_THE_OTHERS <= there_n / others_n <= usual.UNLIKE_THE_OTHERS:
        return None
    return f"{note[: written.start()]}{int(written[0]) + step}", there_n


def _cores(strings: Sequence[StringEntry]) -> Iterator[Check]:
    for n, entry in enumerate(strings):
        low, high = (share * entry.gauge for share in usual.USUAL_CORE_SHARE)
        if entry.core is not None and not low <= entry.core <= high:
            at = Place(table="strings", key="core", string=n + 1)
            yield words.core_unusual(entry.core, entry.gauge, low, high).check(at, entry.called(n + 1))


def _heights(head: Head, action: Action, nut: Nut) -> Iterator[Check]:
    low, high, of_scale = usual.USUAL_ACTION_MM[head.kind]
    longer = (head.scale_mm / of_scale) ** 0.5
    if not low * longer <= action.fret_12 <= high * longer:
        at = Place(table="action", key="fret_12")
        yield words.action_unusual(action.fret_12, low * longer, high * longer).check(at, "action")
    most, at_nut = usual.MOST_NUT_MM[head.kind] * max(longer, 1), (Place(table="action", key="nut"), words.NUT_HEIGHT)
    if action.nut == 0 and not nut.zero_fret:
        yield words.no_nut_height().check(*at_nut)
    elif action.nut > most:
        yield words.nut_height_unusual(action.nut, most).check(*at_nut)
    if action.finger and action.finger < usual.LEAST_FINGER_MM:
        yield words.finger_unusual(action.finger).check(Place(table="action", key="finger"), "finger")


def _feet(head: Head, bridge: Bridge) -> Iterator[Check]:
    low, high = usual.USUAL_THICKNESS_MM[head.kind]
    thin, thick = (share * bridge.length for share in usual.USUAL_THICKNESS_SHARE)
    low, high = max(low, thin), min(high, thick)
    if not low <= bridge.thickness <= high:
        at = Place(table="bridge", key="thickness")
        yield words.thickness_unusual(bridge.thickness, low, high).check(at, usual.STANDS_ON[head.kind])
    if bridge.face is None or bridge.crown > bridge.thickness:
        return
    face = Place(table="bridge", key="face"), words.CROWN_LINE
    half = bridge.crown / 2
    if not half <= bridge.face <= bridge.thickness - half:
        yield words.crown_beside_the_feet(bridge.face, bridge.thickness, bridge.crown).check(*face)
    elif bridge.face < usual.LEAST_FACE_SHARE * bridge.thickness:
        yield words.crown_near_the_nut_side(bridge.face, bridge.thickness).check(*face)


def _steps(head: Head, bridge: Bridge) -> Iterator[Check]:
    if not bridge.steps:
        return
    at = Place(table="bridge", key="steps"), words.STEPS
    most, span = usual.USUAL_STEP_MM[head.kind], max(bridge.steps) - min(bridge.steps)
    if max(map(abs, bridge.steps)) > most:
        yield words.step_unusual(bridge.steps, most).check(*at)
    elif small := [step for step in bridge.steps if abs(step) < usual.LEAST_STEP_MM and not _is_read_so(step)]:
        yield words.step_too_small(small[0]).check(*at)
    elif span > bridge.crown:
        yield words.steps_beyond_the_crown(span, bridge.crown).check(*at)


def _is_read_so(step_mm: float) -> bool:
    return math.isclose(step_mm, round(step_mm / usual.READ_TO_MM) * usual.READ_TO_MM, abs_tol=1e-9)


def _spacings(nut: Nut, bridge: Bridge, strings: int) -> Iterator[Check]:
    low, high = usual.USUAL_SPACING_RATIO
    if nut.spacing is not None and strings > 1 and not low <= bridge.spacing / nut.spacing <= high:
        says = words.spacing_unusual(bridge.spacing, nut.spacing, Key("nut", "spacing", f"{nut.spacing:g}"))
        yield says.check(Place(table="bridge", key="spacing"), words.SPACING)


def _beyond(head: Head, tail: Tail) -> Iterator[Check]:
    most = usual.MOST_BEYOND_SHARE * head.scale_mm
    for key, about in words.BEYOND.items():
        length = getattr(tail, key)
        if length > most:
            yield words.beyond_unusual(length, most).check(Place(table="tail", key=key), about)
