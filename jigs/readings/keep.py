"""A place that was found by ear, to be kept in the instrument file: from a measurement, from ticks, or from a log.

Numbers and the table to write; `jigs.readings.keep_words` puts them into words.
"""

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from geometry.bridge import BridgeLine
from geometry.readings import Verdict
from jigs.faults import Fault, InputFaults, Place, Wrong, attempt
from jigs.input.quantities import Length
from jigs.input.text import decode
from jigs.instrument import usual
from jigs.instrument.cross_checks import FOUND_SHARES
from jigs.instrument.file import KIND, REMEDY, load, parse
from jigs.instrument.found import USUAL_PLUS_MINUS_MM, Found, read_day
from jigs.instrument.found_file import with_found
from jigs.instrument.instrument import Instrument
from jigs.instrument.opening import preset_names
from jigs.instrument.packets import read_strings, written
from jigs.readings import keep_words as words
from jigs.readings.log import Step, last_of, read
from jigs.readings.wedges import line_read_on_wedges, two_readings
from jigs.system.whole_files import rewrite
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
    """What was kept: the instrument with it, worked up, and the place that it had ``before``, if any.

    ``on_paper``: whether the ± is that of a printed sheet. ``zero``: the line that the wedges were read from, if they were.
    """

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


def keep(file: str, given: Given, today: datetime.date) -> Kept:
    """Write where the bridge played in tune into an instrument file, whole or not at all. Raises `InputFaults`.

    Nothing else in the file changes. A run that comes at the same time waits, and finds what this one wrote.
    """
    path = Path(file)
    if file in preset_names() and not path.exists():
        raise words.no_file_of_its_own(file).refusal(Place(file))
    if path.exists() and not path.is_file() and not path.is_dir():
        raise words.not_a_file().refusal(Place(file))
    before = _loaded(path)
    table, on_paper = _table(before, given, today)
    zero = "" if given.wedges is None else zero_in_words(before)
    kept: list[Kept] = []

    def change(raw: bytes) -> bytes:
        mark = b"\xef\xbb\xbf" if raw.startswith(b"\xef\xbb\xbf") else b""
        text = decode(raw, file, KIND, REMEDY)
        new = mark + with_found(text, table, file).encode()
        workup = work_up(parse(new, file))
        if not given.sure:
            _refuse_unlikely(workup, file)
        kept.append(Kept(workup, before.found, on_paper, zero))
        return new

    rewrite(path, change)
    return kept[-1]


def _loaded(path: Path) -> Workup:
    """The instrument; a place that is there counts only if nothing is wrong with it, because it is to be replaced."""
    try:
        return work_up(load(path))
    except InputFaults as wrong:
        if any(fault.place.table != "found" for fault in wrong.faults):
            raise
        return work_up(load(path, computed=True))


def _table(workup: Workup, given: Given, today: datetime.date) -> tuple[dict[str, Any], bool]:
    """The table to write, and whether its ± is that of a printed sheet. Raises `InputFaults` with all faults."""
    ways = [name for name in ("at", "feet_from_fret", "ticks", "wedges", "log") if getattr(given, name) is not None]
    if len(ways) != 1:
        options = [name.replace("_", "-") for name in ways]
        raise words.one_place(options).refusal(Place(option=options[1] if options else "at"))
    faults: list[Fault] = []
    instrument = workup.instrument
    place = attempt(faults, _place, workup, given)
    day = attempt(faults, _day, given.date, today)
    plus_minus = attempt(faults, _plus_minus, given.plus_minus)
    strings = attempt(faults, _strings, instrument, given.strings or _strings_of_log(given, instrument.name))
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
    return table, place.on_paper and plus_minus is None


def _place(workup: Workup, given: Given) -> _Read:
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
    return _from_log(workup, given)


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


def _from_log(workup: Workup, given: Given) -> _Read:
    """Where the last round of a log left the bridge, if that was to stop. Raises `InputFaults`."""
    path = given.log or ""
    steps = read(Path(path))
    if not steps:
        raise words.log_empty().refusal(Place(path))
    last = last_of(steps, workup.instrument.name)
    if last is None:
        names = list(dict.fromkeys(step.instrument for step in steps))
        raise words.log_of_another(workup.instrument.name, names).refusal(Place(path))
    if last.verdict != Verdict.STOP:
        raise words.log_without_stop(last.step, last.verdict).refusal(Place(path))
    if last.next is None:
        raise words.log_without_place(last.step).refusal(Place(path))
    read_now = {string - 1 for string, _, _ in last.rests}
    unread = [n for n in workup.outer_strings if n not in read_now]
    if unread:
        raise words.log_half_read(workup.instrument.string_in_words(unread[0])).refusal(Place(path))
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


def _strings_of_log(given: Given, name: str) -> str | None:
    """The strings of a log's last round, None where it does not say."""
    last = None if given.log is None else last_of(read(Path(given.log)), name)
    return None if last is None else last.set_of_strings


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
