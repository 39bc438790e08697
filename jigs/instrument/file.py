"""The instrument file: read and checked, with all of its faults in one list.

An `Instrument` comes out: in millimetres, with the defaults of its kind filled in. It knows nothing of drawings. It computes
only what it takes to refuse strings that would break or pull too hard.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from geometry.frets import OCTAVE_FRET
from jigs.faults import Fault, InputFaults, Key, Place, Says, nearest
from jigs.input.tables import Section, read_section, unknown_keys
from jigs.input.text import decode, parse_toml, read_bytes
from jigs.instrument import usual, words
from jigs.instrument.cross_checks import (
    found_faults,
    head_faults,
    lay_faults,
    scale_faults,
    string_list_faults,
    whole_scale_faults,
    zero_fret_faults,
)
from jigs.instrument.instrument import Instrument
from jigs.instrument.keys import Head, StringEntry
from jigs.instrument.lists import with_minus_noughts
from jigs.instrument.restring import load_faults, strung_on
from jigs.instrument.set_keys import NONE_SET, SetKeys
from jigs.instrument.stringing import Stringing
from jigs.instrument.tables import TABLES

MOST_STRINGS = 24

KIND, REMEDY = words.KIND, words.REMEDY

_WHAT_A_STRING_IS = {"core", "wrap", "material", "unit_mass", "modulus", "starts_at_fret"}
_KNOWN_KEYS = [*Head.model_fields, *TABLES, "strings"]


def load(path: Path, set_keys: SetKeys = NONE_SET, computed: bool = False) -> Instrument:
    """Read and check an instrument file, as `parse` does. Raises `InputFaults` with all of its faults."""
    return parse(read_bytes(path, KIND, words.CHECK_NAME), str(path), set_keys, computed)


def parse(raw: bytes, source: str, set_keys: SetKeys = NONE_SET, computed: bool = False) -> Instrument:
    """Check the bytes of an instrument file; ``set_keys`` count instead of its own.

    ``computed``: without a place that was found by ear, whatever is wrong with that. Raises `InputFaults` with all faults.
    """
    text = decode(raw, source, KIND, REMEDY)
    data = with_minus_noughts(parse_toml(text, source, words.EXAMPLE_LINE, REMEDY), text)
    return from_data(set_keys.on(data, source), source, computed)


def from_data(data: Mapping[str, Any], source: str, computed: bool = False) -> Instrument:
    """Check an instrument file's data, as `parse` does. Raises `InputFaults` with all of its faults."""
    data = {key: value for key, value in data.items() if not (computed and key == "found")}
    kind = data.get("kind", "other")
    defaults = usual.KIND_DEFAULTS.get(kind if isinstance(kind, str) else "", usual.KIND_DEFAULTS["other"])

    faults = unknown_keys((key for key in data if key not in _KNOWN_KEYS), _where_it_belongs, Place(source))
    head_data = {key: data[key] for key in data if key in Head.model_fields}
    head = read_section(Head, head_data, _head_defaults(data, defaults), Place(source), faults)
    parts: dict[str, Any] = {
        name: read_section(
            model, data.get(name, {}), _table_defaults(name, data, defaults, head), Place(source, name), faults
        )
        for name, model in TABLES.items()
    }
    faults = [_of_the_head(fault) for fault in faults]
    entries = _strings(data.get("strings"), source, faults)

    strung = None
    blamed = {fault.place for fault in faults}
    faults += (fault for fault in lay_faults(head, parts, source) if fault.place not in blamed)
    if head is not None:
        faults += head_faults(head, parts["compensation"], parts["action"], parts["board"], entries, source)
        faults += scale_faults(head, source)
        faults += zero_fret_faults(parts["nut"], parts["action"], source)
        faults += string_list_faults(parts["nut"], parts["bridge"], len(entries), source)
        if not any(fault.place.table == "found" for fault in faults):
            faults += found_faults(head, parts["found"], parts["bridge"], parts["tail"], entries, source)
        strung = _string_up(head, entries, parts, source, faults)
    if faults or head is None or strung is None:
        raise InputFaults(faults)
    strings = tuple(entry for entry in entries if entry is not None)
    return Instrument(source, head, strings=strings, stringing=strung, assumed=_assumed(data, defaults), **parts)


def _head_defaults(data: Mapping[str, Any], defaults: Mapping[str, Any]) -> dict[str, Any]:
    """Defaults above the tables; a list in the file says how many frets there are."""
    lists = (data.get(key) for key in ("frets_measured", "fret_rule", "wanted_cents"))
    listed = next((len(given) for given in lists if isinstance(given, list)), 0)
    of_kind = {key: value for key, value in defaults.items() if key in Head.model_fields}
    return of_kind | ({"frets": listed} if listed else {})


def _table_defaults(
    name: str, data: Mapping[str, Any], defaults: Mapping[str, Any], head: Head | None
) -> Mapping[str, Any]:
    """Defaults of a table; a nut whose edge is given needs no spacing, and a zero fret makes no height."""
    if name == "compensation":
        return {} if head is None else {"frets": min(OCTAVE_FRET, head.frets)}
    given, usually = data.get(name, {}), dict(defaults.get(name, {}))
    if name == "nut" and isinstance(given, Mapping) and "edge" in given:
        return {}
    if name == "action" and has_zero_fret(data):
        usually["nut"] = 0.0
    return usually


def has_zero_fret(data: Mapping[str, Any]) -> bool:
    """Whether the file has a zero fret, which bears the open strings."""
    nut = data.get("nut")
    return isinstance(nut, Mapping) and nut.get("zero_fret") is True


def _string_up(
    head: Head, entries: Sequence[StringEntry | None], parts: Mapping[str, Any], source: str, faults: list[Fault]
) -> Stringing | None:
    """Bring every playable string to pitch; those that would break or pull too hard go to ``faults``."""
    if any(parts[name] is None for name in ("action", "pitch", "tail", "tolerance")):
        return None
    playable = [(n, entry) for n, entry in enumerate(entries, 1) if entry and entry.starts_at_fret < head.frets]
    if not playable:
        return None
    tables = (parts[name] for name in ("action", "pitch", "tail", "tolerance"))
    strung = strung_on([entry for _, entry in playable], head, *tables)
    too_loaded = list(load_faults(playable, strung, source))
    if too_loaded:
        faults += list(whole_scale_faults(head, source)) or too_loaded
    return strung


def _strings(given: object, source: str, faults: list[Fault]) -> list[StringEntry | None]:
    """Every ``[[strings]]`` table, checked; None where it is too faulty to use."""
    place = Place(source, "strings")
    if given is None or given == []:
        faults.append(words.NO_STRINGS.at(place))
        return []
    if not isinstance(given, list) or not all(isinstance(one, Mapping) for one in given):
        faults.append(words.NO_LIST_OF_STRINGS.at(place))
        return []
    if len(given) > MOST_STRINGS:
        faults.append(words.too_many_strings(len(given), MOST_STRINGS).at(place))
        return []
    return [
        read_section(StringEntry, one, {}, replace(place, string=n), faults, _WHAT_A_STRING_IS)
        for n, one in enumerate(given, 1)
    ]


def _where_it_belongs(key: str) -> Says:
    """What to say of an unknown key at the top of the file."""
    owners: dict[str, type[Section]] = {"[strings]": StringEntry, **TABLES}
    for name, model in owners.items():
        if key in model.model_fields:
            return words.belongs_under(name)
    return words.unknown_key(nearest(key, _KNOWN_KEYS))


def _of_the_head(fault: Fault) -> Fault:
    """A key that belongs above all tables and was written below one, for instance at the end of the file."""
    if fault.code == "key-unknown" and fault.place.table and fault.place.key in Head.model_fields:
        return words.belongs_at_the_top(fault.place.key).at(fault.place)
    return fault


def _assumed(data: Mapping[str, Any], defaults: Mapping[str, Any]) -> tuple[tuple[Key, float], ...]:
    """Measurements that place the bridge or shape the fork, are not in the file, and have a default of its kind."""
    tables = ("action", "nut", "bridge")
    return tuple(
        (Key(table, key), value)
        for table in tables
        for key, value in defaults[table].items()
        if key not in data.get(table, {})
        and key != "crown"
        and "edge" not in data.get(table, {})
        and not (table == "action" and key == "nut" and has_zero_fret(data))
    )
