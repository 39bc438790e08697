"""Which instrument files a rack holds, and what the files drawn from them are called.

A folder means its own TOML files, not those of the folders in it, such as last year's copies: name those folders too if you
want them. A TOML file in a folder that is not an instrument's, such as a survey's, is skipped; a file that was named is not.
"""

import os
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from jigs.faults import Fault, InputFaults, Place
from jigs.input import words as input_words
from jigs.input.text import decode, parse_toml, read_bytes
from jigs.instrument.file import KIND, REMEDY, from_data
from jigs.instrument.instrument import Instrument
from jigs.instrument.opening import stem_for
from jigs.instrument.set_keys import NONE_SET, SetKeys
from jigs.instrument.words import EXAMPLE_LINE
from jigs.rack import words

_SUFFIX = ".toml"
_OF_INSTRUMENTS = {"kind", "scale", "nut_to_fret_12", "strings"}
"""An instrument file has at least one of these keys; no other file of this program has any."""


@dataclass(frozen=True)
class Source:
    """A file that may be an instrument's. ``named``: by the user, not sources in a folder."""

    path: Path
    named: bool

    @property
    def stem(self) -> str:
        """How the names of its files begin."""
        return stem_for(str(self.path))


@dataclass(frozen=True)
class Gathered:
    """The files of a rack in order; faults of files whose drawings would have the same names, and faults of the places."""

    sources: tuple[Source, ...]
    clashes: Mapping[Source, Fault]
    faults: tuple[Fault, ...]


def gather(places: Sequence[str]) -> Gathered:
    """Files and the files of folders, each once."""
    sources: dict[str, Source] = {}
    faults: list[Fault] = []
    for place in places:
        try:
            for source in _sources(Path(place)):
                sources.setdefault(os.path.realpath(source.path), source)
        except InputFaults as refused:
            faults += refused.faults
        except (OSError, ValueError) as error:
            reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
            faults.append(input_words.unreadable(reason).at(Place(place)))
    return Gathered(tuple(sources.values()), _clashes(sources.values()), tuple(faults))


def _sources(place: Path) -> Iterator[Source]:
    """Raises `InputFaults` for a folder that has none."""
    if not place.is_dir():
        yield Source(place, named=True)
        return
    names = [entry.name for entry in os.scandir(place) if entry.name.lower().endswith(_SUFFIX)]
    names = [name for name in names if not name.startswith(".") and not (place / name).is_dir()]
    if not names:
        raise words.no_instruments().refusal(Place(str(place)))
    for name in sorted(names, key=as_counted):
        yield Source(place / name, named=False)


def as_counted(name: str) -> list[tuple[int, str]]:
    """A key that sorts "banjo 9" before "banjo 10"; the name itself decides between equals."""
    parts = re.split(r"([0-9]+)", name.casefold())
    return [*((int(part), "") if part.isdecimal() else (-1, part) for part in parts), (-1, name)]


def _clashes(sources: Iterable[Source]) -> dict[Source, Fault]:
    """A fault for each source whose files would have the names of another's."""
    groups: dict[str, list[Source]] = {}
    for source in sources:
        groups.setdefault(source.stem.casefold(), []).append(source)
    faults: dict[Source, Fault] = {}
    for group in groups.values():
        rivals = [source for source in group if not is_other(source)] if len(group) > 1 else group
        for source in rivals:
            other = next((rival for rival in rivals if rival is not source), None)
            if other is not None:
                faults[source] = words.named_alike(source.stem, str(other.path)).at(Place(str(source.path)))
    return faults


def is_other(source: Source) -> bool:
    """Whether a file of a folder can be read and is not an instrument's, such as a survey's.

    Whatever goes wrong here, InputFaults or not, goes wrong again when the file is drawn, and is that file's alone.
    """
    try:
        return read_instrument_data(read(source), source) is None
    except Exception:
        return False


def read(source: Source) -> bytes:
    """Its bytes. Raises `InputFaults`."""
    return read_bytes(source.path, KIND, "check its name")


def read_instrument_data(raw: bytes, source: Source) -> Mapping[str, Any] | None:
    """An instrument file's data; None for a file of a folder that is not an instrument's. Raises `InputFaults`."""
    name = str(source.path)
    data = parse_toml(decode(raw, name, KIND, REMEDY), name, EXAMPLE_LINE, REMEDY)
    return data if source.named or _OF_INSTRUMENTS & data.keys() else None


def instrument_of(
    raw: bytes, source: Source, set_keys: SetKeys = NONE_SET, computed: bool = False
) -> Instrument | None:
    """A file's instrument; None for a file of a folder that is not an instrument's.

    ``computed``: without a place found by ear. Raises `InputFaults`.
    """
    data, name = read_instrument_data(raw, source), str(source.path)
    return None if data is None else from_data(set_keys.on(data, name), name, computed)
