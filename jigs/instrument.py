"""The instrument file: read, checked, and every fault of it told at once.

An `Instrument` is what comes out: in millimetres, with the defaults of its kind filled in. It knows nothing of drawings,
and computes no more than it takes to refuse what cannot be strung.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from geometry.frets import OCTAVE_FRET
from geometry.lengths import format_inches, format_mm, round_half_up
from jigs import trade
from jigs.body_tables import Rim, Top
from jigs.faults import Fault, InputFaults, nearest
from jigs.lay import lay_faults
from jigs.schema import (
    TABLES,
    Action,
    Board,
    Bridge,
    Compensation,
    Head,
    Nut,
    Pitch,
    StringEntry,
    Tail,
    in_inches,
)
from jigs.section import Section, read_section
from jigs.stringing import Stringing, string_up
from jigs.textfile import decode, parse_toml, read_bytes
from jigs.tolerance_table import Tolerance

MOST_STRINGS = 24

KIND = "instrument file"
REMEDY = "start from one of `jigs presets`"

_WHAT_A_STRING_IS = {"core", "wrap", "material", "unit_mass", "modulus", "starts_at_fret"}
_KNOWN_KEYS = [*Head.model_fields, *TABLES, "strings"]


@dataclass(frozen=True)
class Instrument:
    """A checked instrument, in millimetres, defaults filled in.

    ``source`` is where it was read from; ``assumed`` says which measurements are its kind's, not its own.
    """

    source: str
    head: Head
    pitch: Pitch
    action: Action
    compensation: Compensation
    strings: tuple[StringEntry, ...]
    nut: Nut
    board: Board
    bridge: Bridge
    tail: Tail
    rim: Rim
    top: Top
    tolerance: Tolerance
    stringing: Stringing
    assumed: tuple[str, ...]

    @property
    def name(self) -> str:
        """What the owner calls it."""
        return self.head.name

    def string_in_words(self, index: int) -> str:
        """A string as the owner speaks of it: ``string 4 G3``, ``pair 4 G3``."""
        entry = self.strings[index]
        return f"{'pair' if entry.pair else 'string'} {index + 1} {entry.note}"

    @property
    def warnings(self) -> tuple[str, ...]:
        """What is possible but unlikely: worth a second look, no reason to stop."""
        return tuple(_warnings(self))


def load(path: Path) -> Instrument:
    """Read and check an instrument file. Raises `InputFaults` with all of its faults."""
    return parse(read_bytes(path, KIND, "check its name, or see `jigs presets`"), str(path))


def parse(raw: bytes, source: str) -> Instrument:
    """Check the bytes of an instrument file. Raises `InputFaults` with all of its faults."""
    text = decode(raw, source, KIND, REMEDY)
    return from_data(parse_toml(text, source, 'scale = "26 1/4 in"', REMEDY), source)


def from_data(data: Mapping[str, Any], source: str) -> Instrument:
    """Check an instrument file's data. Raises `InputFaults` with all of its faults."""
    faults: list[Fault] = []
    kind = data.get("kind", "other")
    defaults = trade.KIND_DEFAULTS.get(kind if isinstance(kind, str) else "", trade.KIND_DEFAULTS["other"])

    for key in data:
        if key not in _KNOWN_KEYS:
            faults.append(Fault(source, key, f"unknown key; {_where_it_belongs(key)}"))
    head_data = {key: data[key] for key in data if key in Head.model_fields}
    head = read_section(Head, head_data, {"frets": _listed_frets(data) or defaults["frets"]}, "", source, faults)
    parts: dict[str, Any] = {
        name: read_section(model, data.get(name, {}), _table_defaults(name, data, defaults), name, source, faults)
        for name, model in TABLES.items()
    }
    faults = [_of_the_head(fault) for fault in faults]
    entries = _strings(data.get("strings"), source, faults)

    strung = None
    told = {fault.where for fault in faults}
    faults += (fault for fault in lay_faults(head, parts, source) if fault.where not in told)
    if head is not None:
        faults += _head_faults(head, parts["compensation"], parts["action"], parts["board"], entries, source)
        strung = _string_up(head, entries, parts, source, faults)
    if faults or head is None or strung is None:
        raise InputFaults(faults)
    strings = tuple(entry for entry in entries if entry is not None)
    return Instrument(source, head, strings=strings, stringing=strung, assumed=_assumed(data, defaults), **parts)


def _listed_frets(data: Mapping[str, Any]) -> int | None:
    """How many frets a list in the file has, where there is one."""
    lists = (data.get(key) for key in ("frets_measured", "fret_rule", "wanted_cents"))
    return next((len(given) for given in lists if isinstance(given, list)), None)


def _table_defaults(name: str, data: Mapping[str, Any], defaults: Mapping[str, Any]) -> Mapping[str, Any]:
    """What a table has when the file is silent; a nut whose edges are given needs no spacing."""
    given = data.get(name, {})
    if name == "nut" and isinstance(given, Mapping) and "edge" in given:
        return {}
    return dict(defaults.get(name, {}))


def _string_up(
    head: Head, entries: Sequence[StringEntry | None], parts: Mapping[str, Any], source: str, faults: list[Fault]
) -> Stringing | None:
    """Bring every string that can be to pitch; those that would break go to ``faults``."""
    if any(parts[name] is None for name in ("action", "pitch", "tail")):
        return None
    playable = [
        (n, entry) for n, entry in enumerate(entries, 1) if entry and entry.starts_at_fret <= head.frets - OCTAVE_FRET
    ]
    if not playable:
        return None
    strung = string_up(
        [entry for _, entry in playable],
        to_bridge_mm=head.to_bridge_mm,
        scale_mm=head.scale_mm,
        rise_mm=parts["action"].rise_mm,
        a4_hz=parts["pitch"].a4,
        outside_mm=parts["tail"].afterlength + parts["tail"].headlength,
        slip=parts["tail"].slip,
    )
    for (n, entry), ratio in zip(playable, strung.strength_ratio, strict=True):
        if ratio is not None and ratio > 1:
            what = (
                f"{in_inches(entry.gauge)} at {entry.note} would break: {round_half_up(100 * ratio, 0)} % of what its wire"
                " bears; check note, octave, gauge, core and scale"
            )
            faults.append(Fault(source, f"string {n}, gauge", what))
    for (n, entry), tension in zip(playable, strung.tension_n, strict=True):
        if tension > trade.MOST_TENSION_N:
            faults.append(Fault(source, f"string {n}, gauge", f"{_pull(entry, tension)}; check gauge, note and octave"))
    return strung


def _pull(entry: StringEntry, tension_n: float) -> str:
    return f"{in_inches(entry.gauge)} at {entry.note} would pull {round_half_up(tension_n, 0)} N, and 30 to 150 N are usual"


def _strings(given: object, source: str, faults: list[Fault]) -> list[StringEntry | None]:
    """Every ``[[strings]]`` table, None where it is beyond use."""
    if given is None or given == []:
        faults.append(Fault(source, "strings", "there is none; add a [[strings]] table for each string"))
        return []
    if not isinstance(given, list) or not all(isinstance(one, Mapping) for one in given):
        what = "is no list of tables; write [[strings]], in double brackets, for each string"
        faults.append(Fault(source, "strings", what))
        return []
    if len(given) > MOST_STRINGS:
        what = f"there are {len(given)}; {MOST_STRINGS} are the most, a pair counting as one"
        faults.append(Fault(source, "strings", what))
        return []
    return [
        read_section(StringEntry, one, {}, f"string {n}", source, faults, _WHAT_A_STRING_IS)
        for n, one in enumerate(given, 1)
    ]


def _where_it_belongs(key: str) -> str:
    """A remedy for a key that the top of the file does not know."""
    owners: dict[str, type[Section]] = {"[strings]": StringEntry, **TABLES}
    for name, model in owners.items():
        if key in model.model_fields:
            return f"it belongs under [{name}]"
    return nearest(key, _KNOWN_KEYS)


def _of_the_head(fault: Fault) -> Fault:
    """A key that stands below a table and belongs above all of them, as one does that was added at the end of the file."""
    key = fault.where.partition("] ")[2]
    if key in Head.model_fields and fault.what.startswith("unknown key"):
        what = f"unknown key; {key} belongs at the top of the file, before the first [table]"
        return Fault(fault.source, fault.where, what)
    return fault


def _head_faults(
    head: Head,
    compensation: Compensation | None,
    action: Action | None,
    board: Board | None,
    entries: Sequence[StringEntry | None],
    source: str,
) -> Iterator[Fault]:
    """Faults between the frets and what hangs on them."""
    if compensation is not None and compensation.frets > head.frets:
        what = f"{compensation.frets} are more than there are; {head.frets} is the most"
        yield Fault(source, "[compensation] frets", what)
    if board is not None:
        yield from _board_faults(head, board, source)
    if entries and all(entry is not None and entry.starts_at_fret for entry in entries):
        what = "all strings start at a fret; at least one must start at the nut: leave the key out there"
        yield Fault(source, "strings, starts_at_fret", what)
    from_nut = [head.scale_mm, *head.to_bridge_mm.tolist()]
    for n, entry in enumerate(entries, 1):
        starts_at = entry.starts_at_fret if entry is not None else 0
        octave = starts_at + OCTAVE_FRET
        if octave > head.frets:
            beyond = "lies beyond" if starts_at > head.frets else "has its octave beyond"
            yield Fault(
                source,
                f"string {n}, starts_at_fret",
                f"fret {starts_at} {beyond} the {head.frets} frets; its octave is fret {octave},"
                f" so {head.frets - OCTAVE_FRET} is the last fret to start at",
            )
        elif entry is not None and starts_at and entry.peg >= from_nut[0] - from_nut[starts_at]:
            what = f"{entry.peg:g} mm before fret {starts_at} is beyond the nut; measure from the string's own nut"
            yield Fault(source, f"string {n}, peg", what)
        elif action is not None and action.finger >= from_nut[starts_at] - from_nut[starts_at + 1]:
            what = f"{action.finger:g} mm behind the fret is beyond string {n}'s nut at its first; 0 to 10 mm is usual"
            yield Fault(source, "[action] finger", what)
            return


def _board_faults(head: Head, board: Board, source: str) -> Iterator[Fault]:
    """Faults between the frets and the board that bears them."""
    last = head.scale_mm - float(head.to_bridge_mm[-1])
    if board.end is not None and not last < board.end:
        what = f"{board.end:g} mm from the nut is before the last fret at {format_mm(last)}; measure to the end of the board"
        yield Fault(source, "[board] end", what)
    if board.end is not None and board.end > head.scale_mm:
        what = f"{board.end:g} mm from the nut is beyond the bridge at {format_mm(head.scale_mm)}; measure again"
        yield Fault(source, "[board] end", what)
    narrowest = float(np.min(-np.diff(head.to_bridge_mm, prepend=head.scale_mm)))
    if board.slot is not None and board.slot >= narrowest / 2:
        what = (
            f"{board.slot:g} mm is wider than half the step from fret to fret ({narrowest:.2f} mm); 0.5 to 0.6 is usual"
        )
        yield Fault(source, "[board] slot", what)
    for key, fret in (*(("dots", dot) for dot in dict.fromkeys(board.dots or ())), ("joint_fret", board.joint_fret)):
        if fret is not None and not 1 <= fret <= head.frets:
            yield Fault(source, f"[board] {key}", f"there is no fret {fret}; choose from 1 to {head.frets}")


def _assumed(data: Mapping[str, Any], defaults: Mapping[str, Any]) -> tuple[str, ...]:
    """Measurements that place the bridge or shape the fork, and that the file leaves to its kind."""
    tables = ("action", "nut", "bridge")
    return tuple(
        f"[{table}] {key} = {value:g}"
        for table in tables
        for key, value in defaults[table].items()
        if key not in data.get(table, {}) and key != "crown" and "edge" not in data.get(table, {})
    )


def _warnings(instrument: Instrument) -> Iterator[str]:
    head, strings = instrument.head, instrument.strings
    if instrument.assumed:
        of_kind = "" if head.kind == "other" else f" for a {head.kind}"
        yield f"not in the file, taken as usual{of_kind}: {', '.join(instrument.assumed)}; better measure them"
    usual = trade.USUAL_SCALES_MM.get(head.kind)
    if usual and not usual[0] <= head.scale_mm <= usual[1]:
        yield (
            f"scale: {format_mm(head.scale_mm)} is unusual for a {head.kind}"
            f" ({format_inches(usual[0])} to {format_inches(usual[1])} are common); measure nut to fret 12 again"
        )
    yield from _order_warnings(instrument)
    for n, tension in enumerate(instrument.stringing.tension_n):
        if tension > trade.WARN_AT_TENSION_N:
            yield f"{instrument.string_in_words(n)}: {_pull(strings[n], tension)}; check gauge, note and octave"
    for n, ratio in enumerate(instrument.stringing.strength_ratio):
        if ratio is not None and ratio > trade.WARN_AT_STRENGTH_RATIO:
            load = round_half_up(100 * ratio, 0)
            yield (
                f"{instrument.string_in_words(n)} of {in_inches(strings[n].gauge)} carries {load} % of what its wire bears;"
                " keep eyes away while tuning, or take a thinner string"
            )


def _order_warnings(instrument: Instrument) -> Iterator[str]:
    """Strings that look as if they were listed from the wrong side, or as if a short one were not said to be short."""
    pitch, full = instrument.stringing.pitch_hz, instrument.stringing.full_length
    full_pitch = pitch[full]
    last_is_high = len(full_pitch) > 2 and full_pitch[-1] > full_pitch[-2] and full[-1]
    if full_pitch[0] < full_pitch[-1] and not last_is_high:
        yield "string 1 is lower than the last; string 1 is the treble side: list the strings from treble to bass"
    if last_is_high and instrument.head.kind == "banjo":
        yield (
            f"{instrument.string_in_words(len(pitch) - 1)} is higher than its neighbour and starts at the nut;"
            " a short fifth string needs starts_at_fret = 5"
        )
