"""A place that was found by ear, into the text of an instrument file: from a measurement, from ticks, or from a round.

Text and values in, text and values out. `jigs.readings.keep` does this to a file; `jigs.readings.keep_words` says what was
kept.
"""

import datetime
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from geometry.bridge import BridgeLine
from geometry.readings import Verdict
from jigs.faults import Fault, InputFaults, Place, Wrong, attempt
from jigs.input.quantities import Length
from jigs.input.text import decode
from jigs.instrument import usual
from jigs.instrument.cross_checks import FOUND_SHARES
from jigs.instrument.file import KIND, REMEDY, parse
from jigs.instrument.found import USUAL_PLUS_MINUS_MM, Found, read_day
from jigs.instrument.found_file import with_found
from jigs.instrument.instrument import Instrument
from jigs.instrument.packets import read_strings, written
from jigs.readings import keep_words as words
from jigs.readings.log import Step
from jigs.readings.wedges import line_read_on_wedges, two_readings
from jigs.workup.found import feet_from_fret_mm, line_at_ticks
from jigs.workup.slant_words import slant_refused
from jigs.workup.standing import read_place, read_places
from jigs.workup.sureness import by_sheet_mm
from jigs.workup.wedges import zero_in_words
from jigs.workup.work_up import work_up
from jigs.workup.workup import FoundPlace, Workup

MOST_CORRECTION_MM = 8.0
"""A place that is farther from the computed one was most likely measured from somewhere else. Our own bound."""

_MOST_TICKS = 60.0
_DECIMALS = 2
"""Of a millimetre: a tenth of what anybody marks."""


@dataclass(frozen=True)
class Given:
    """What the user gave, as words; None where nothing was given. One of the first five is the place."""

    at: str | None = None
    feet_from_fret: tuple[str, str] | None = None
    ticks: str | None = None
    wedges: str | None = None
    log: str | None = None
    plus_minus: str | None = None
    date: str | None = None
    strings: str | None = None
    print_share: float | None = None
    sure: bool = False


@dataclass(frozen=True)
class Kept:
    """What was kept: the file with it, its instrument worked up, and the place that it had ``before``, if any.

    ``on_paper``: whether the ± is that of a printed sheet. ``zero``: the line that the wedges were read from, if they were.
    """

    content: bytes
    workup: Workup
    before: FoundPlace | None
    on_paper: bool
    zero: str = ""


@dataclass(frozen=True)
class _Read:
    """A place as it goes into the table, and the least that its ± can be."""

    keys: Mapping[str, Any]
    least_plus_minus_mm: float = 0.0
    on_paper: bool = False


@dataclass(frozen=True)
class Table:
    """The table to write, and what is said of it. ``sure``: as the user's own."""

    keys: Mapping[str, Any]
    on_paper: bool
    zero: str
    sure: bool


Last = Callable[[], Step]
"""Reads the last round of this instrument. Raises `InputFaults` if there is none."""


def instrument_before(content: bytes, source: str) -> Workup:
    """The instrument of a file; a place that is there counts only if nothing is wrong with it: it is to be replaced."""
    try:
        return work_up(parse(content, source))
    except InputFaults as wrong:
        if any(fault.place.table != "found" for fault in wrong.faults):
            raise
        return work_up(parse(content, source, computed=True))


def with_place(content: bytes, table: Table, before: Workup, source: str) -> Kept:
    """The file with this table as its ``[found]``; nothing else in it changes.

    Raises `InputFaults` for an unlikely place too, if the user is not sure.
    """
    mark = b"\xef\xbb\xbf" if content.startswith(b"\xef\xbb\xbf") else b""
    text = decode(content, source, KIND, REMEDY)
    new = mark + with_found(text, table.keys, source).encode()
    workup = work_up(parse(new, source))
    if not table.sure:
        _refuse_unlikely(workup, source)
    return Kept(new, workup, before.found, table.on_paper, table.zero)


def table_for(workup: Workup, given: Given, today: datetime.date, last: Last) -> Table:
    """The table to write for an instrument. Raises `InputFaults` with all faults."""
    ways = [name for name in ("at", "feet_from_fret", "ticks", "wedges", "log") if getattr(given, name) is not None]
    if len(ways) != 1:
        options = [name.replace("_", "-") for name in ways]
        raise words.one_place(options).refusal(Place(option=options[1] if options else "at"))
    faults: list[Fault] = []
    instrument = workup.instrument
    place = attempt(faults, _place, workup, given, last)
    day = attempt(faults, _day, given.date, today)
    plus_minus = attempt(faults, _plus_minus, given.plus_minus)
    strings = attempt(faults, _strings, instrument, given.strings or _strings_of(given, last))
    if faults or place is None or day is None or strings is None:
        raise InputFaults(faults)
    least = max(USUAL_PLUS_MINUS_MM, place.least_plus_minus_mm)
    rounded = math.ceil(10 * least - 1e-6) / 10
    table = {
        **place.keys,
        "plus_minus": rounded if plus_minus is None else plus_minus,
        "date": day,
        "strings": strings,
        "a4": instrument.pitch.a4,
    }
    zero = "" if given.wedges is None else zero_in_words(workup)
    return Table(table, place.on_paper and plus_minus is None, zero, given.sure)


def _place(workup: Workup, given: Given, last: Last) -> _Read:
    if given.at is not None:
        return _crown(read_place(given.at, workup))
    if given.feet_from_fret is not None:
        return _Read(_feet(workup, *given.feet_from_fret))
    if given.ticks is not None:
        if workup.found is not None and not given.sure:
            raise words.ticks_of_which_sheet().refusal(Place(option="ticks"))
        return _on_a_sheet(workup, line_at_ticks(workup, _ticks(given.ticks)), given)
    if given.wedges is not None:
        return _on_a_sheet(workup, line_read_on_wedges(given.wedges, workup, Place(option="wedges")), given)
    return _from_round(workup, given, last())


def _crown(places_mm: tuple[float, float]) -> _Read:
    treble, bass = (round(mm, _DECIMALS) for mm in places_mm)
    return _Read({"treble": treble, "bass": bass})


def _on_a_sheet(workup: Workup, line: BridgeLine, given: Given) -> _Read:
    """A place that a printed sheet marked: the sheet lies against a fret, so the place counts from that."""
    fret = min(workup.instrument.octave_fret, workup.instrument.head.frets)
    treble, bass = (round(mm, _DECIMALS) for mm in feet_from_fret_mm(workup, line, fret))
    return _Read({"fret": fret, "feet_treble": treble, "feet_bass": bass}, _by_sheet_mm(workup, given), on_paper=True)


def _by_sheet_mm(workup: Workup, given: Given) -> float:
    """Half width of the 95% interval of a place that a printed sheet marked."""
    return math.hypot(USUAL_PLUS_MINUS_MM, by_sheet_mm(workup, given.print_share))


def _feet(workup: Workup, fret_text: str, place: str) -> dict[str, Any]:
    at = Place(option="feet-from-fret")
    frets = workup.instrument.head.frets
    plain = fret_text.strip()
    if not (plain.isascii() and plain.isdecimal() and 1 <= int(plain[:3]) <= frets):
        raise words.no_fret(fret_text, frets).refusal(at)
    fret = int(plain)
    to_bridge = float(workup.to_bridge_mm[fret - 1])
    low, high = (max(to_bridge + (share - 1) * workup.scale_mm, 1.0) for share in FOUND_SHARES)
    treble, bass = read_places(place, Length(low, high, usual=(low, high)), at)
    return {"fret": fret, "feet_treble": round(treble, _DECIMALS), "feet_bass": round(bass, _DECIMALS)}


def _ticks(text: str) -> tuple[float, float]:
    ticks = two_readings(text)
    if ticks is None or max(map(abs, ticks)) > _MOST_TICKS:
        raise words.no_ticks(text).refusal(Place(option="ticks"))
    return ticks


def _from_round(workup: Workup, given: Given, last: Step) -> _Read:
    """Where a round left the bridge, if that was to stop. Raises `InputFaults`."""
    at = Place(given.log or "")
    if last.verdict != Verdict.STOP:
        raise words.log_without_stop(last.step, last.verdict).refusal(at)
    if last.next is None:
        raise words.log_without_place(last.step).refusal(at)
    read_now = {string - 1 for string, _, _ in last.rests}
    unread = [n for n in workup.outer_strings if n not in read_now]
    if unread:
        raise words.log_half_read(workup.instrument.string_in_words(unread[0])).refusal(at)
    places = last.next.places_mm
    kept = _on_a_sheet(workup, workup.line_through(*places), given) if last.next.by_sheet else _crown(places)
    return replace(kept, least_plus_minus_mm=max(kept.least_plus_minus_mm, _read_to_mm(workup, last)))


def _read_to_mm(workup: Workup, last: Step) -> float:
    """How far the readings of the last round leave either end, in mm."""
    sure = {string - 1: cents for string, _, cents in last.rests}
    ends = [n for n in workup.outer_strings if n in sure]
    return max((sure[n] / abs(float(workup.cents_per_mm[n])) for n in ends), default=0.0)


def _day(text: str | None, today: datetime.date) -> datetime.date:
    at = Place(option="date")
    try:
        day = today if text is None else read_day(text)
    except Wrong as wrong:
        raise wrong.says.refusal(at) from None
    if day > today:
        raise words.not_yet(day, today).refusal(at)
    return day


def _plus_minus(text: str | None) -> float | None:
    if text is None:
        return None
    try:
        return Length(0, 10).read(text)
    except Wrong as wrong:
        raise wrong.says.refusal(Place(option="plus-minus")) from None


def _strings(instrument: Instrument, text: str | None) -> str:
    """The strings as text: those of the file, or those that the user names, checked against it."""
    from jigs.instrument.restring import restrung

    usual_wrap = usual.USUAL_WRAPS[instrument.head.kind]
    if text is None:
        return written(instrument.strings, usual_wrap)
    at = Place(option="strings")
    try:
        named = read_strings(text)
    except Wrong as wrong:
        raise wrong.says.refusal(at) from None
    return written(restrung(replace(instrument, found=Found()), named, at, same_make=None).strings, usual_wrap)


def _strings_of(given: Given, last: Last) -> str | None:
    """The strings of the last round, None where it does not say or where there is none."""
    try:
        return None if given.log is None else last().set_of_strings
    except InputFaults:
        return None


def _refuse_unlikely(workup: Workup, file: str) -> None:
    """Raises `InputFaults` for a place far from the computed one, and for one that no sheet would be drawn for."""
    found, steep = workup.found, workup.steep_slant
    if found is None:
        return
    if steep is not None:
        raise slant_refused(steep, workup.instrument).refusal(steep.place(file))
    farthest = max(found.correction_mm, key=abs)
    if abs(farthest) >= MOST_CORRECTION_MM:
        n = found.correction_mm.index(farthest)
        string = workup.instrument.string_in_words(workup.outer_strings[n])
        raise words.far_from_computed(string, farthest, found.then.outer_places_mm[n]).refusal(Place(file, "found"))
