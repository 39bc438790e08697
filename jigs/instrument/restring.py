"""Strings on an instrument: brought to pitch, with faults for those that would break; other strings, and another scale."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from geometry.strings import pitch_hz
from jigs.faults import Fault, InputFaults, Place, Says
from jigs.input.gauges import WireGauge, with_w
from jigs.instrument import found_words, usual, words
from jigs.instrument.instrument import Instrument
from jigs.instrument.keys import Head, StringEntry
from jigs.instrument.packets import as_printed
from jigs.instrument.stringing import Stringing, string_up
from jigs.instrument.tables import Action, Pitch, Tail
from jigs.instrument.tolerance import Tolerance

if TYPE_CHECKING:
    from jigs.instrument.packets import PacketString, StringSet

_STEEL = "steel"
"""What a string is of if its file does not say."""

_SAME_MM = 0.006
"""Gauges that differ by less are the same: packets print thousandths of an inch, or hundredths of a millimetre."""


def strung_on(
    entries: Sequence[StringEntry], head: Head, action: Action, pitch: Pitch, tail: Tail, tolerance: Tolerance
) -> Stringing:
    """These strings at pitch on that scale."""
    return string_up(
        entries,
        to_bridge_mm=np.concatenate(([head.scale_mm], head.to_bridge_mm)),
        rise_mm=action.rise_mm,
        a4_hz=pitch.a4,
        outside_mm=tail.afterlength + tail.headlength,
        slip=tolerance.slip_of(tail.slip),
        usual_wrap=usual.USUAL_WRAPS[head.kind],
    )


def load_faults(numbered: Sequence[tuple[int, StringEntry]], strung: Stringing, source: str) -> Iterator[Fault]:
    """Strings that would break, and strings that pull too hard. ``numbered``: each with its number in the file."""
    for (n, entry), ratio in zip(numbered, strung.strength_ratio, strict=True):
        if ratio is not None and ratio > 1:
            says = words.string_would_break(entry.gauge, entry.note, ratio)
            yield says.at(Place(source, "strings", "gauge", string=n))
    for (n, entry), tension in zip(numbered, strung.tension_n, strict=True):
        if tension > usual.MOST_TENSION_N:
            says = words.string_pulls(entry.gauge, entry.note, tension, "string-pulls-too-much")
            yield says.at(Place(source, "strings", "gauge", string=n))


def restrung(instrument: Instrument, other: "StringSet", place: Place, same_make: bool | None = True) -> Instrument:
    """The instrument with another set of strings. What the set does not say is as on the strings that it has.

    A material that is not named is nylon only for a gauge that steel has no plain string of. A core that the set does not
    give has the same share of its gauge in both sets if they are of one make. If not, what was measured of one says nothing
    of the other. ``same_make`` is None if nobody knows: then the same gauge is the same string. Raises `InputFaults` at
    ``place``.
    """
    entries = other_entries(instrument, other, place, same_make)
    if entries == instrument.strings:
        return instrument
    strung = strung_on(
        entries, instrument.head, instrument.action, instrument.pitch, instrument.tail, instrument.tolerance
    )
    faults = list(load_faults(list(enumerate(entries, 1)), strung, place.source))
    if faults:
        raise InputFaults([_of_the_set(fault, place) for fault in faults])
    return replace(instrument, strings=entries, stringing=strung)


def other_entries(
    instrument: Instrument, other: "StringSet", place: Place, same_make: bool | None
) -> tuple[StringEntry, ...]:
    """The entries of another set, as `restrung` takes them, whether they would break or not. Raises `InputFaults`."""
    if len(other.strings) != len(instrument.strings):
        raise found_words.other_count(len(other.strings), len(instrument.strings)).refusal(place)
    usual_wrap = usual.USUAL_WRAPS[instrument.head.kind]
    return tuple(_with(*both, same_make, usual_wrap) for both in zip(instrument.strings, other.strings, strict=True))


def changes(before: Sequence[StringEntry], after: Sequence[StringEntry]) -> Iterator[tuple[str, str]]:
    """The keys of the strings that are others: what the file of ``after`` says, "" for what it does not say."""
    for n, (old, new) in enumerate(zip(before, after, strict=True), 1):
        yield from ((f"strings.{n}.{key}", text) for key, text in _string_changes(old, new))


def _string_changes(old: StringEntry, new: StringEntry) -> Iterator[tuple[str, str]]:
    if new.note != old.note:
        yield "note", new.note
    if new.model_copy(update={"note": old.note}) == old:
        return
    gauge = as_printed(new.gauge)
    yield "gauge", with_w(gauge) if new.is_wound else gauge
    yield "wound", ""
    yield "core", "" if new.core is None else as_printed(new.core)
    yield "turns", "" if new.turns is None else f"{new.turns:g}"
    yield "wrap", new.wrap or ""
    yield "material", "" if new.material == _STEEL else new.material
    yield "unit_mass", ""
    if new.modulus is None:
        yield "modulus", ""


def _of_the_set(fault: Fault, place: Place) -> Fault:
    """A string's fault at the text that the string is in."""
    says = Says(fault.what, fault.remedy, fault.code)
    return found_words.string_wrong(fault.place.string or 1, says).at(place)


def rescaled(instrument: Instrument, scale_mm: float) -> Instrument:
    """The instrument with another scale. Raises `InputFaults` if its strings would break there."""
    head = instrument.head.model_copy(update={"scale": scale_mm, "nut_to_fret_12": None})
    return _again(replace(instrument, head=head))


def with_action(instrument: Instrument, **heights: float | None) -> Instrument:
    """The instrument with other values of ``[action]``. Raises `InputFaults` if its strings would break then."""
    return _again(replace(instrument, action=instrument.action.model_copy(update=heights)))


def at_pitch(instrument: Instrument, a4_hz: float) -> Instrument:
    """The instrument tuned to another A. Raises `InputFaults` if its strings would break there."""
    if a4_hz == instrument.pitch.a4:
        return instrument
    return _again(replace(instrument, pitch=instrument.pitch.model_copy(update={"a4": a4_hz})))


def _again(instrument: Instrument) -> Instrument:
    """The instrument with its strings brought to pitch anew."""
    strung = strung_on(
        instrument.strings,
        instrument.head,
        instrument.action,
        instrument.pitch,
        instrument.tail,
        instrument.tolerance,
    )
    faults = list(load_faults(list(enumerate(instrument.strings, 1)), strung, instrument.source))
    if faults:
        raise InputFaults(faults)
    return replace(instrument, stringing=strung)


def _with(entry: StringEntry, other: "PacketString", same_make: bool | None, usual_wrap: str) -> StringEntry:
    """A string's entry with what another one has; the entry itself if they are the same."""
    note = entry.note if other.note is None or pitch_hz(other.note) == pitch_hz(entry.note) else other.note
    material, wrap = _material(entry, other), _wrap(entry, other, usual_wrap)
    same_wire = abs(other.gauge - entry.gauge) < _SAME_MM and other.wound == entry.is_wound
    known = entry.core is not None or entry.turns is not None
    as_measured = same_make is not False or not known
    same_core = as_measured if other.core is None else abs(other.core - entry.core_mm) < _SAME_MM
    if same_wire and same_core and (material, wrap) == (entry.material, entry.wrap):
        return entry if note == entry.note else entry.model_copy(update={"note": note})
    gauge = WireGauge(other.gauge)
    gauge.wound = other.wound
    of_its_make = bool(same_make) and known and other.wound and other.core is None
    changed: dict[str, Any] = {
        "note": note,
        "gauge": gauge,
        "wound": other.wound,
        "core": entry.core_mm * other.gauge / entry.gauge if of_its_make else other.core,
        "turns": None,
        "wrap": wrap,
        "material": material,
        "unit_mass": None,
        "modulus": entry.modulus if material == entry.material else None,
    }
    return entry.model_copy(update=changed)


def _material(entry: StringEntry, other: "PacketString") -> str:
    if other.material is not None:
        return other.material
    may_be_nylon = entry.material != "steel" and other.gauge >= usual.WOUND_FROM_MM and not other.wound
    return entry.material if may_be_nylon else "steel"


def _wrap(entry: StringEntry, other: "PacketString", usual_wrap: str) -> str | None:
    """The other string's wrap as the file would have it: none for what is usual, as on today's string."""
    if not other.wound:
        return None
    if other.wrap is None:
        return entry.wrap if entry.is_wound else None
    return entry.wrap if entry.is_wound and other.wrap == (entry.wrap or usual_wrap) else other.wrap
