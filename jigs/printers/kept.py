"""The printers that a user has measured, kept in the user's configuration folder: a file for each.

A file holds what was read, not what follows from it, and can be corrected by hand. With a file for each printer, two runs
can add one at the same time. Each file is complete before it gets its name, and none is replaced without `--replace`.
"""

import os
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Annotated

from pydantic import Field

from jigs.faults import Fault, InputFaults, Place
from jigs.input.quantities import Length
from jigs.input.tables import Section, read_section
from jigs.input.text import decode, parse_toml, read_bytes
from jigs.printers import fault_words as words
from jigs.printers.measured import AS_NAME, FAR_OFF, MOST_READINGS, READING_ERROR, checked_name, judged
from jigs.printers.printer import SPANS, Printer
from jigs.printers.words import AS_DRAWN, IN_TURN, KEPT_BY
from jigs.sheets.paper import paper_named
from jigs.system.names import own_name
from jigs.system.user_folder import NoHome, printers_folder
from jigs.system.whole_files import file_stem, write_own

_KIND = "printer's file"
_AN_OPTION = Place(option="printer")
_SUFFIX, _ASIDE = ".toml", ".old"
_SIDE = Length(50, 5000)
_READ = Length(40, 8000, listed=True)


class PrinterKeys(Section):
    """A printer's file."""

    name: str = Field(examples=['"office laser"'])
    paper: str = Field(examples=['"a4"'])
    width: Annotated[float, _SIDE] = Field(examples=["190.0"])
    height: Annotated[float, _SIDE] = Field(examples=["277.0"])
    reading_error: Annotated[float, READING_ERROR] = Field(examples=["0.1"])
    across: list[Annotated[float, _READ]] = Field(examples=["[189.4, 189.5]"], min_length=1, max_length=MOST_READINGS)
    down: list[Annotated[float, _READ]] = Field(examples=["[276.9, 276.8]"], min_length=1, max_length=MOST_READINGS)
    diagonals: list[Annotated[float, _READ]] = Field(examples=["[335.4, 335.2]"], default=[], max_length=MOST_READINGS)


def folder() -> Path:
    """Where the printers' files are, or would be."""
    return printers_folder()


def _path(name: str, place: Place) -> Path:
    """The file of a printer, named with the letters, digits and hyphens of its name only. Raises `InputFaults`."""
    return folder() / f"{own_name(file_stem(checked_name(name, place)))}{_SUFFIX}"


def known() -> list[str]:
    """The names of all files, damaged ones among them, but none with characters that a name cannot have.

    Raises `InputFaults` if their folder cannot be read.
    """
    try:
        place = folder()
        stems = (name.removesuffix(_SUFFIX) for name in os.listdir(place) if name.endswith(_SUFFIX))
        return sorted(stem for stem in stems if stem.isprintable())
    except (NoHome, FileNotFoundError, NotADirectoryError):
        return []
    except OSError as error:
        raise words.unreadable(error.strerror or str(error)).refusal(Place(str(place))) from None


def load(name: str, place: Place = _AN_OPTION) -> Printer:
    """A printer by its name, written at ``place``.

    Raises `InputFaults` if there is none, or if its file is damaged; the last fault has the remedies for the whole file.
    """
    path = _existing(name, place)
    stem = path.stem
    try:
        return _read(path)
    except InputFaults as wrong:
        *others, last = (replace(fault, remedy=fault.remedy or words.CORRECT_IT) for fault in wrong.faults)
        raise InputFaults([*others, replace(last, remedy=words.or_measure_again(last.remedy, stem))]) from None


def _existing(name: str, place: Place) -> Path:
    listed = known()
    stem = _listed(name, place, listed)
    if stem is None:
        raise words.unknown(name, _path(name, place).stem, listed).refusal(place)
    return folder() / f"{stem}{_SUFFIX}"


def _listed(name: str, place: Place, listed: Sequence[str]) -> str | None:
    """The one of the files' names that is meant. Users rename files, and may then type either name."""
    if name in listed:
        return name
    plain = checked_name(name, place)
    own = _path(plain, place).stem
    return next((one for one in (own, *listed) if one in listed and file_stem(one) in (own, file_stem(plain))), None)


def _read(path: Path) -> Printer:
    """Raises `InputFaults` with all faults."""
    source, faults = str(path), list[Fault]()
    text = decode(read_bytes(path, _KIND, words.CORRECT_IT), source, _KIND, words.DELETE_IT)
    data = parse_toml(text, source, 'paper = "a4"', words.CORRECT_IT)
    keys = read_section(PrinterKeys, data, {}, Place(source), faults)
    if faults or keys is None:
        raise InputFaults(faults)
    for key, check in (("name", checked_name), ("paper", paper_named)):
        try:
            check(getattr(keys, key))
        except InputFaults as wrong:
            faults += (replace(fault, place=Place(source, key=key)) for fault in wrong.faults)
    if faults:
        raise InputFaults(faults)
    read = {option: tuple(getattr(keys, option)) for option in SPANS}
    printer = Printer(checked_name(keys.name), keys.paper, keys.width, keys.height, keys.reading_error, read)
    for one in printer.readings:
        x, y = one.span.drawn_mm(keys.width, keys.height)
        if abs(one.mm / (x * x + y * y) ** 0.5 - 1) > FAR_OFF:
            raise words.far_from_drawn(one.mm).refusal(Place(source, key=one.option))
    return judged(printer, source)


def load_all() -> tuple[list[Printer], list[Fault]]:
    """All printers that can be read, and the faults of the others."""
    printers: list[Printer] = []
    faults: list[Fault] = []
    for name in known():
        try:
            printers.append(load(name))
        except InputFaults as wrong:
            faults += wrong.faults
    return printers, faults


def save(printer: Printer, in_place: bool) -> Path:
    """Keep a printer. Raises `InputFaults` if there is one of that name, unless it may be replaced ``in_place``."""
    stem = _listed(printer.name, AS_NAME, known())
    path = _path(printer.name, AS_NAME) if stem is None else folder() / f"{stem}{_SUFFIX}"
    taken = words.taken(path.stem).refusal(AS_NAME)
    if stem is not None and not in_place:
        raise taken
    try:
        if in_place:
            _set_aside(path)
        write_own(as_text(printer).encode(), path, over=in_place)
    except FileExistsError:
        raise taken from None
    except OSError as error:
        raise words.unwritable(str(error.strerror)).refusal(Place(str(path))) from None
    return path


def remove(name: str) -> Path:
    """Forget a printer, damaged or not; a file from elsewhere is only renamed. Raises `InputFaults` if there is none."""
    path = _existing(name, AS_NAME)
    try:
        if _set_aside(path) is None:
            path.unlink()
    except FileNotFoundError:
        raise words.just_removed(name).refusal(AS_NAME) from None
    except OSError as error:
        raise words.not_removable(str(error.strerror)).refusal(Place(str(path))) from None
    return path


def _set_aside(path: Path) -> Path | None:
    """Rename a file in which there is no mark of a printer's: nothing is lost. Its new name, or None. Raises OSError."""
    if not path.is_file():
        return None
    raw = path.read_bytes()
    if KEPT_BY.encode() in raw or all(option.encode() in raw for option in SPANS) or not raw.strip(b"\0 \r\n"):
        return None
    aside = next(one for n in count(1) if not (one := path.with_name(f"{path.name}.{n}{_ASIDE}")).exists())
    return path.rename(aside)


def as_text(printer: Printer) -> str:
    """A printer's file, the same for the same readings."""
    return "\n".join(_text_lines(printer)) + "\n"


def _text_lines(printer: Printer) -> Iterator[str]:
    yield f"# {KEPT_BY}"
    yield ""
    yield f'name          = "{printer.name}"'
    yield f'paper         = "{printer.paper}"'
    yield f"width         = {printer.width_mm!r}  # {AS_DRAWN}"
    yield f"height        = {printer.height_mm!r}"
    yield f"reading_error = {printer.reading_error_mm!r}"
    for option, (first, second) in SPANS.items():
        listed = ", ".join(repr(mm) for mm in printer.read_mm.get(option, ()))
        yield f"{f'{option:<13} = [{listed}]'}  # {first.name}, {second.name}, {IN_TURN}"
