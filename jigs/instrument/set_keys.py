"""Keys of the instrument file that are set beside it: ``--set scale="26 1/4 in"`` on the command line.

A key is its name above all tables (``scale``), or behind its table (``action.fret_12``), or behind a string's number
(``strings.4.gauge``). A set key counts instead of the file's, and instead of what the file says in another way.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from copy import deepcopy
from dataclasses import dataclass, replace
from typing import Any

from jigs.faults import Fault, InputFaults, Place
from jigs.instrument import set_words
from jigs.instrument.found import WAYS
from jigs.instrument.set_words import OPTION

STRINGS = "strings"

EITHER = (
    ("", "scale", "nut_to_fret_12"),
    ("", "fret_rule", "frets_measured"),
    (STRINGS, "core", "turns"),
    ("nut", "spacing", "edge"),
    ("board", "end_width", "fret_12_width"),
    ("rim", "fret_12_to_near_edge", "fret_12_to_far_edge"),
)
"""Table and two keys that say the same in two ways: a file has one of them."""

FOUND_WAYS = (WAYS[0], ("fret", *WAYS[1]), WAYS[2])
"""The three ways to give a found place, with every key of each."""

_OTHER_WAYS = {key: [way for way in FOUND_WAYS if key not in way] for own in FOUND_WAYS for key in own}
"""The keys of the other ways to give a found place, for each key of one."""

_OF_A_WOUND_STRING = ("core", "turns", "wrap")
_OF_A_STRING = re.compile(rf"{STRINGS}\.([1-9]\d?)\.(\w+)", re.ASCII)
_MOST_MEANT = 4


@dataclass(frozen=True)
class SetKey:
    """A key and the value that counts for it, as the file would have it. ``string`` counts from 1."""

    table: str
    key: str
    value: Any
    string: int | None = None

    @property
    def path(self) -> str:
        """The key as it is typed.

        >>> SetKey("strings", "gauge", 0.25, 4).path, SetKey("", "scale", 650).path
        ('strings.4.gauge', 'scale')
        """
        return ".".join(str(part) for part in (self.table, self.string, self.key) if part)

    @property
    def place(self) -> Place:
        """Where a fault of it is."""
        return Place(key=self.path, option=OPTION)

    def is_at(self, place: Place) -> bool:
        """Whether a place in a file is this key."""
        return not place.option and (place.table, place.key, place.string) == (self.table, self.key, self.string)

    def replaces(self) -> Iterator[tuple[str, str]]:
        """Tables and keys that cannot be in the file beside it; those of a string are of the same string."""
        for table, *pair in EITHER:
            if table == self.table and self.key in pair:
                yield from ((table, other) for other in pair if other != self.key)
        if self.table == "found":
            yield from (("found", other) for way in _OTHER_WAYS.get(self.key, ()) for other in way)
        if self.table == STRINGS and self.key in _OF_A_WOUND_STRING:
            yield STRINGS, "wound"
        if (self.table, self.key, self.value) == (STRINGS, "wound", False):
            yield from ((STRINGS, key) for key in _OF_A_WOUND_STRING)
        if (self.table, self.key, self.value) == ("nut", "zero_fret", True):
            yield from (("action", "nut"), ("nut", "steps"))


@dataclass(frozen=True)
class SetKeys:
    """Keys that count instead of an instrument file's."""

    each: tuple[SetKey, ...] = ()

    def on(self, data: Mapping[str, Any], source: str) -> Mapping[str, Any]:
        """A file's data with the keys set. Raises `InputFaults` for a string that the file does not have.

        >>> keys = SetKeys((SetKey("", "nut_to_fret_12", "333.4 mm"), SetKey("action", "fret_12", 2.8)))
        >>> keys.on({"name": "Mine", "scale": "26 in"}, "mine.toml")
        {'name': 'Mine', 'nut_to_fret_12': '333.4 mm', 'action': {'fret_12': 2.8}}
        """
        if not self.each:
            return data
        faults: list[Fault] = []
        changed = deepcopy(dict(data))
        for one in self.each:
            table = _table_of(changed, one)
            if table is None:
                strings = data.get(STRINGS)
                if one.string is not None and isinstance(strings, list) and one.string > len(strings):
                    faults.append(set_words.string_unknown(len(strings)).at(replace(one.place, source=source)))
            elif one.key not in table or table[one.key] != one.value:
                self._put(one, table, changed)
        faults += self._of_a_found_place(changed, data)
        if faults:
            raise InputFaults(faults)
        return changed

    def _of_a_found_place(self, changed: Mapping[str, Any], data: Mapping[str, Any]) -> Iterator[Fault]:
        """Other strings, where the file does not say with which strings a place was found."""
        found = changed.get("found")
        if isinstance(found, dict) and found and "strings" not in found and changed.get(STRINGS) != data.get(STRINGS):
            of_strings = next((one for one in self.each if one.table == STRINGS), None)
            if of_strings is not None:
                yield set_words.found_strings_missing().at(of_strings.place)

    def _put(self, one: SetKey, table: dict[str, Any], data: dict[str, Any]) -> None:
        """Set a key, and remove what it replaces, except keys that are set too."""
        for other_table, key in one.replaces():
            is_set = any(
                (other.table, other.key, other.string) == (other_table, key, one.string) for other in self.each
            )
            own = table if other_table == one.table else data.get(other_table)
            if not is_set and isinstance(own, dict):
                own.pop(key, None)
        table[one.key] = one.value

    def at_option(self, fault: Fault) -> Fault:
        """The fault at the option, if it is one of a key that was set.

        >>> keys = SetKeys((SetKey("action", "fret_12", 0.1),))
        >>> str(keys.at_option(set_words.set_twice().at(Place("mine.toml", "action", "fret_12"))).place)
        'mine.toml: --set action.fret_12'
        """
        own = next((one for one in self.each if one.is_at(fault.place)), None)
        return fault if own is None else replace(fault, place=replace(own.place, source=fault.place.source))

    @contextmanager
    def blamed(self) -> Iterator[None]:
        """Within this, `InputFaults` at keys that were set are at the option."""
        try:
            yield
        except InputFaults as wrong:
            raise InputFaults([self.at_option(fault) for fault in wrong.faults]) from None


NONE_SET = SetKeys()


def _table_of(data: dict[str, Any], one: SetKey) -> dict[str, Any] | None:
    """The table that a key belongs to, made if it is missing; None if it is not a table, or there is no such string."""
    if one.string is not None:
        listed = data.get(STRINGS)
        own = listed[one.string - 1] if isinstance(listed, list) and one.string <= len(listed) else None
    else:
        own = data.setdefault(one.table, {}) if one.table else data
    return own if isinstance(own, dict) else None


# ---- from what people type


def read_set_keys(texts: Sequence[str]) -> SetKeys:
    """Keys and values from texts such as ``action.fret_12=2.8``.

    Each value is checked alone; what it does not agree with is found when it is set. Raises `InputFaults` with all faults.
    """
    faults: list[Fault] = []
    found: dict[str, SetKey] = {}
    for text in texts:
        try:
            one = _read(text)
        except InputFaults as wrong:
            faults += wrong.faults
            continue
        if one.path in found:
            faults.append(set_words.set_twice().at(one.place))
        found[one.path] = one
    if faults:
        raise InputFaults(list(dict.fromkeys(faults)))
    return SetKeys(tuple(found.values()))


def _read(text: str) -> SetKey:
    """Raises `InputFaults`."""
    from jigs.instrument.reference import declared
    from jigs.instrument.typed import value_of

    path, _, typed = (part.strip() for part in text.partition("="))
    table, string, key = _key_of(path)
    declaration = declared(table, key)
    value = value_of(typed, key, declaration.kind)
    one = SetKey(table, key, value, string)
    if value is None:
        raise set_words.value_missing(_example(path, declaration.example)).refusal(one.place)
    _check_alone(one)
    return one


def _check_alone(one: SetKey) -> None:
    """Raises `InputFaults` for a value that its key cannot have in any file."""
    from jigs.input.tables import read_section
    from jigs.instrument.reference import MODELS

    faults: list[Fault] = []
    at = Place(table=one.table, string=one.string)
    read_section(MODELS[one.table], {one.key: one.value}, {}, at, faults)
    own = [fault for fault in faults if one.is_at(fault.place)]
    if own:
        raise InputFaults([replace(fault, place=one.place) for fault in own])


def _example(path: str, example: str) -> str:
    """A key with a value, as it is typed in a shell."""
    plain = example.strip('"[]')
    return f'{path}="{plain}"' if " " in plain else f"{path}={plain}"


def _key_of(path: str) -> tuple[str, int | None, str]:
    """Table, string and key of what was typed before the equals sign. Raises `InputFaults`."""
    from jigs.instrument.reference import MODELS, declared

    at = Place(key=path, option=OPTION)
    if not path:
        raise set_words.key_missing(_example("scale", declared("", "scale").example)).refusal(at)
    of_string = _OF_A_STRING.fullmatch(path)
    table, key = (STRINGS, of_string[2]) if of_string else path.rpartition(".")[::2]
    if table in MODELS and key in MODELS[table].model_fields and (of_string or table != STRINGS):
        return table, int(of_string[1]) if of_string else None, key
    if path in MODELS:
        first = next(iter(MODELS[path].model_fields))
        example = _example(_path_of(path, first), declared(path, first).example)
        raise set_words.table_alone(example).refusal(at)
    raise set_words.key_unknown(_meant(path)).refusal(at)


def _path_of(table: str, key: str, string: str = "1") -> str:
    return ".".join(part for part in (table, string if table == STRINGS else "", key) if part)


def known_paths(string: str = "1") -> list[str]:
    """Every key as it is typed, those of a string with its number."""
    from jigs.instrument.reference import MODELS

    return [_path_of(table, key, string) for table, model in MODELS.items() for key in model.model_fields]


def _meant(path: str) -> list[str]:
    """Known keys that an unknown one may be meant for: the same key with its table, or the nearest in spelling."""
    from difflib import get_close_matches

    table, last = path.partition(".")[0], path.rpartition(".")[2]
    number = re.match(rf"{STRINGS}\.([1-9]\d?)\b", path, re.ASCII)
    known = known_paths(number[1] if number else "1")
    near = [one for one in known if one.startswith(f"{table}.")] or known
    same = [one for one in near if one.rpartition(".")[2] == last]
    return same[:_MOST_MEANT] or get_close_matches(path.lower(), known, n=1)
