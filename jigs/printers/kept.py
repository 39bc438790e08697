"""The printers that a user has measured, kept in the user's configuration folder: a file for each.

A file holds what was read, not what follows from it, and can be mended by hand. With a file for each printer, two runs that
add one at the same time do not meet; each file comes to stand in its place complete, and none is overwritten unasked.
"""

import os
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Annotated

from pydantic import Field

from jigs.faults import Fault, InputFaults, Place, nearest, old_refuse, spoken
from jigs.input.quantities import Length
from jigs.input.tables import Section, read_section
from jigs.input.text import decode, parse_toml, read_bytes
from jigs.printers.measured import FAR_OFF, MOST_READINGS, READING_ERROR, checked_name, judged
from jigs.printers.printer import SPANS, Printer
from jigs.sheets.paper import paper_named
from jigs.system.interrupts import held_back
from jigs.system.user_folder import settings_path
from jigs.system.whole_files import file_stem

_KIND = "printer's file"
_SUFFIX = ".toml"
_SIDE = Length(50, 5000)
_READ = Length(40, 8000)


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
    return settings_path().parent / "printers"


def _path(name: str) -> Path:
    """The file of a printer. Only letters, digits and hyphens of its name come into it. Raises `InputFaults`."""
    return folder() / f"{file_stem(checked_name(name))}{_SUFFIX}"


def known() -> list[str]:
    """The names of all files, damaged ones among them."""
    try:
        return sorted(path.stem for path in folder().glob(f"*{_SUFFIX}"))
    except OSError:
        return []


def load(name: str) -> Printer:
    """A printer by its name. Raises `InputFaults` where there is none, and where its file is damaged."""
    path = _existing(name)
    stem = path.stem
    remedy = f'mend it, or measure anew with `jigs printer add "{stem}" --replace`, or draw without --printer'
    try:
        return _read(path, remedy)
    except InputFaults as wrong:
        raise InputFaults([_damaged(fault, remedy) for fault in wrong.faults]) from None


def _existing(name: str) -> Path:
    path = _path(name)
    if path.is_file():
        return path
    names = known()
    remedy = (
        nearest(path.stem, names) if names else "`jigs printer sheet` prints what to measure, then `jigs printer add`"
    )
    raise old_refuse("printer", f'there is no printer "{name}"; {remedy}')


def _damaged(fault: Fault, remedy: str) -> Fault:
    """The fault with what can be done about a whole file behind what would be right in its place."""
    right = spoken(fault.remedy)
    return replace(fault, remedy=remedy if not right or right == remedy else remedy.replace("mend it", right, 1))


def _read(path: Path, remedy: str) -> Printer:
    """Raises `InputFaults` with all faults."""
    source, faults = str(path), list[Fault]()
    data = parse_toml(decode(read_bytes(path, _KIND, remedy), source, _KIND, remedy), source, 'paper = "a4"', remedy)
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
            raise old_refuse(source, f"{one.mm:g} is far from what is drawn; write what was read", one.option)
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
    """Keep a printer. Raises `InputFaults` where there is one of that name, unless it may be replaced ``in_place``."""
    with held_back():
        return _save(printer, in_place)


def _save(printer: Printer, in_place: bool) -> Path:
    path = _path(printer.name)
    if path.exists() and not in_place:
        raise _taken(printer, path)
    part = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, part = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
        with os.fdopen(handle, "wb") as file:
            file.write(as_text(printer).encode())
            file.flush()
            os.fsync(file.fileno())
        if not in_place:
            _claim(Path(part), path)
        os.replace(part, path)
    except FileExistsError:
        raise _taken(printer, path) from None
    except OSError as error:
        raise old_refuse(str(path), f"cannot be written ({error.strerror}); check its folder and permissions") from None
    finally:
        if part is not None:
            Path(part).unlink(missing_ok=True)
    return path


def _claim(part: Path, path: Path) -> None:
    """Give a complete file its name if nobody has it. Raises FileExistsError."""
    try:
        os.link(part, path)
    except FileExistsError:
        raise
    except (OSError, AttributeError, NotImplementedError):  # a file system without links
        path.open("x").close()


def _taken(printer: Printer, path: Path) -> InputFaults:
    what = f'there is a printer "{path.stem}" already; take another name, or give --replace to forget that one'
    return old_refuse("printer", what, printer.name)


def remove(name: str) -> Path:
    """Forget a printer, damaged or not. Raises `InputFaults` where there is none."""
    path = _existing(name)
    try:
        path.unlink()
    except FileNotFoundError:
        raise old_refuse("printer", f'there is no printer "{name}"; somebody else has just removed it') from None
    except OSError as error:
        raise old_refuse(str(path), f"cannot be removed ({error.strerror}); check its permissions") from None
    return path


def as_text(printer: Printer) -> str:
    """A printer's file, the same for the same readings."""
    return "\n".join(_text_lines(printer)) + "\n"


def _text_lines(printer: Printer) -> Iterator[str]:
    yield "# A printer, as `jigs printer add` wrote it: lengths in mm, as they were read on its check sheet."
    yield ""
    yield f'name          = "{printer.name}"'
    yield f'paper         = "{printer.paper}"'
    yield f"width         = {printer.width_mm!r}  # of the rectangle, as drawn"
    yield f"height        = {printer.height_mm!r}"
    yield f"reading_error = {printer.reading_error_mm!r}"
    for option, (first, second) in SPANS.items():
        listed = ", ".join(repr(mm) for mm in printer.read_mm.get(option, ()))
        yield f"{f'{option:<13} = [{listed}]'}  # {first.name}, {second.name}, in turn"
