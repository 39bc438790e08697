"""Values that people type, put into the text of an instrument file: each in its place, comments and all.

The page draws what that text says, and saves it. `jigs new` writes it.
"""

import copy
import pickle
import re
from collections.abc import Iterator, Mapping, MutableMapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

from jigs.faults import Place
from jigs.input.toml import data_of, document_of
from jigs.input.words import too_deep
from jigs.instrument.file import REMEDY
from jigs.instrument.reference import kind_of
from jigs.instrument.set_keys import SetKey
from jigs.instrument.typed import value_of

STRINGS = "strings"

_OF_A_STRING = re.compile(r"strings\.(\d{1,2})\.(\w+)", re.ASCII)


def as_fields(data: Mapping[str, Any]) -> dict[str, str]:
    """Every key of an instrument file's data, as people would write it.

    >>> as_fields({"scale": "26 1/4 in", "action": {"nut": 0.5}, "strings": [{"note": "D4", "pair": True}]})
    {'scale': '26 1/4 in', 'action.nut': '0.5', 'strings.1.note': 'D4', 'strings.1.pair': 'true'}
    >>> as_fields({"bridge": {"steps": ["-1,2", 1]}})
    {'bridge.steps': '-1,2; 1'}
    >>> as_fields({"board": {"dots": []}})
    {'board.dots': '[]'}
    """
    return {key: _in_words(value) for key, value in _flat(data) if kind_of(key) is not None}


def _flat(data: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    for name, value in data.items():
        if isinstance(value, Mapping):
            yield from ((f"{name}.{key}", one) for key, one in value.items())
        elif name == STRINGS and isinstance(value, list):
            for n, entry in enumerate(value, 1):
                if isinstance(entry, Mapping):
                    yield from ((f"{name}.{n}.{key}", one) for key, one in entry.items())
        else:
            yield name, value


def _in_words(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        if not value:
            return "[]"
        words = list(map(_in_words, value))
        return ("; " if any("," in one for one in words) else ", ").join(words)
    return str(value)


def string_count(data: Mapping[str, Any]) -> int:
    """How many strings the data lists."""
    listed = data.get(STRINGS)
    return len(listed) if isinstance(listed, list) else 0


def filled_in(text: str, data: Mapping[str, Any], fields: Mapping[str, str], source: str) -> str:
    """The text with the fields filled in, by their tables and keys; an empty field removes its key.

    ``data`` is what the text says. The field "strings" is how many there are. Raises `InputFaults` for a text that is
    nested too deep to read.
    """
    if not fields:
        return text
    try:
        return _filled_in(text, data, fields)
    except RecursionError:
        raise too_deep(REMEDY).refusal(Place(source)) from None


def _filled_in(text: str, data: Mapping[str, Any], fields: Mapping[str, str]) -> str:
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    wanted = copy.deepcopy(dict(data))
    _put(wanted, fields, dict, list)
    try:
        document = _document(text)
        _put(document, fields, tomlkit.table, tomlkit.aot)
        kept = _with_the_line_ends_of(text, document.as_string())
        if data_of(kept) == wanted:
            return kept
    except (TOMLKitError, ValueError, TypeError, KeyError, IndexError, AttributeError):
        pass
    return tomlkit.dumps(wanted)


def _with_the_line_ends_of(text: str, new: str) -> str:
    """The new text with the line ends of the old one: what is added to it has only line feeds."""
    return re.sub(r"(?<!\r)\n", "\r\n", new) if "\r\n" in text else new


def _document(text: str) -> Any:
    """The text as a document to fill in, a copy for each: to parse it anew at every key would take ten times as long."""
    return pickle.loads(_parsed(text))


@lru_cache(maxsize=16)
def _parsed(text: str) -> bytes:
    return pickle.dumps(document_of(text))


def _put(into: MutableMapping[str, Any], fields: Mapping[str, str], new_table: Any, new_list: Any) -> None:
    if STRINGS in fields:
        _count(into, int(fields[STRINGS]), new_table, new_list)
    fields = {**fields, **dict.fromkeys(replaced(into, fields), "")}
    for key, text in fields.items():
        if key == STRINGS:
            continue
        table, name = _table_of(into, key, new_table, bool(text.strip()))
        if table is None:
            continue
        value = value_of(text, name, kind_of(key))
        if value is not None:
            table[name] = value
        elif name in table:
            del table[name]


def replaced(data: Mapping[str, Any], fields: Mapping[str, str]) -> dict[str, str]:
    """Keys of the data that do not count, because what was filled in says the same in another way: each with that key.

    >>> replaced({"scale": "26 in"}, {"nut_to_fret_12": "333.4"})
    {'scale': 'nut_to_fret_12'}
    >>> replaced({"scale": "26 in"}, {"nut_to_fret_12": "333.4", "scale": "26 1/4 in"})
    {}
    """
    there = dict(_flat(data))
    found: dict[str, str] = {}
    for key, text in fields.items():
        if key == STRINGS or not text.strip():
            continue
        table, _, name = key.rpartition(".")
        of_string = _OF_A_STRING.fullmatch(key)
        value = value_of(text, name, kind_of(key))
        one = SetKey(STRINGS if of_string else table, name, value, int(of_string[1]) if of_string else None)
        for other_table, other in one.replaces():
            of_same = replace(one, table=other_table, key=other, string=one.string if other_table == STRINGS else None)
            if of_same.path in there and not fields.get(of_same.path, "").strip():
                found[of_same.path] = key
    return found


def _count(into: MutableMapping[str, Any], wanted: int, new_table: Any, new_list: Any) -> None:
    """Make the list of strings as long as that: cut off its end, or add empty strings."""
    if not isinstance(into.get(STRINGS), list):
        into[STRINGS] = new_list()
    listed = into[STRINGS]
    while len(listed) > wanted:
        del listed[len(listed) - 1]
    while len(listed) < wanted:
        listed.append(new_table())
    if not wanted:
        del into[STRINGS]


def _table_of(
    into: MutableMapping[str, Any], key: str, new_table: Any, to_fill: bool
) -> tuple[MutableMapping[str, Any] | None, str]:
    """The table that a field's key belongs to, made if it is to be filled, and the key in it; None if it is not one."""
    of_string = _OF_A_STRING.fullmatch(key)
    if of_string:
        listed, n = into.get(STRINGS), int(of_string[1])
        entry = listed[n - 1] if isinstance(listed, list) and 1 <= n <= len(listed) else None
        return (entry if isinstance(entry, MutableMapping) else None), of_string[2]
    table, dot, name = key.partition(".")
    if not dot:
        return into, key
    if table not in into and to_fill:
        into[table] = new_table()
    own = into.get(table)
    return (own if isinstance(own, MutableMapping) else None), name
