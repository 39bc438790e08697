"""Faults in what a user wrote: where, what is wrong, what to do, and a code for programs.

This module imports nothing of the project, so that every room may import it. It holds no sentence: those are in the
``words.py`` of the room that finds the fault. A sentence that names a key or an option holds a `Key` or an `Option` in that
place, because the command line calls it by its name in the file and the page by its label.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple, Self, TypeAlias, TypeVar
from unicodedata import category

LONGEST_PART = 500
_ARGUMENTS = {"template": "TEMPLATE", "preset": "NAME", "printer-name": "NAME", "table": "TABLE", "sound": "SOUND"}
"""What the command line takes as bare words, as its help calls them."""

_CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


@dataclass(frozen=True)
class Key:
    """A key of a file, named in a sentence. ``example``: a value for it, as the file has it; see `plain_value`."""

    table: str
    key: str
    example: str = ""


@dataclass(frozen=True)
class Option:
    """An option of a command or a choice on the page, named in a sentence without hyphens, and perhaps a value for it."""

    name: str
    example: str = ""


@dataclass(frozen=True)
class Command(Option):
    """A command, named in a sentence; the page calls it by the name of its view."""


def plain_value(written: str) -> Key:
    """A value alone, as it is written in the file: the page shows it without quotes and brackets, as people type it there.

    >>> spoken(("write ", plain_value("[100, 200, …]")))
    'write [100, 200, …]'
    """
    return Key("", "", written)


Words: TypeAlias = str | tuple[str | Key | Option, ...]
"""A sentence, or its parts where it names keys or options."""


def named_in_file(name: Key | Option) -> str:
    """A key or option as the command line writes it.

    >>> named_in_file(Key("rim", "head")), named_in_file(Key("", "scale", "666.8")), named_in_file(Option("paper", "a3"))
    ('[rim] head', 'scale = 666.8', '--paper a3')
    >>> named_in_file(Command("survey"))
    '`jigs survey`'
    """
    if isinstance(name, Command):
        return f"`jigs {name.name}`"
    if isinstance(name, Option):
        return f"--{name.name} {name.example}".strip()
    if not name.key:
        return name.example
    plain = f"{name.key} = {name.example}" if name.example else name.key
    return f"[{name.table}] {plain}" if name.table and name.table != "strings" else plain


def spoken(words: Words, named: Callable[[Key | Option], str] = named_in_file) -> str:
    """A sentence, every key and option in it ``named`` as its reader knows it.

    >>> spoken(("measure it, and write ", Key("rim", "head", "280")))
    'measure it, and write [rim] head = 280'
    """
    if isinstance(words, str):
        return words
    return "".join(part if isinstance(part, str) else named(part) for part in words)


@dataclass(frozen=True)
class Place:
    """Where a fault is in what a user wrote. ``string``, ``fret``, ``line`` and ``column`` count from 1.

    ``row`` counts tables of one name, from 1. ``source`` is a file or a preset. ``table`` and ``key`` are names in it
    ("strings" for a key that every string has). ``option`` is an option of a command without its hyphens, or "template" and
    the like for a word without an option; ``key`` is then what was named with the option.

    >>> str(Place("mine.toml", "bridge", "face")), str(Place("mine.toml", "strings", "gauge", string=4))
    ('mine.toml: [bridge] face', 'mine.toml: string 4, gauge')
    >>> str(Place("mine.toml", line=16)), str(Place(option="kerf")), str(Place("mine.toml", key="scale"))
    ('mine.toml: line 16', '--kerf', 'mine.toml: scale')
    >>> str(Place(option="set", key="strings.4.gauge")), str(Place(option="preset"))
    ('--set strings.4.gauge', 'NAME')
    """

    source: str = ""
    table: str = ""
    key: str = ""
    string: int | None = None
    fret: int | None = None
    line: int | None = None
    column: int | None = None
    row: int | None = None
    option: str = ""

    @property
    def where(self) -> str:
        """The place within its source, as the command line says it."""
        string = "" if self.string is None else f"string {self.string}"
        if self.option:
            option = _ARGUMENTS.get(self.option) or f"--{self.option}"
            return ", ".join(part for part in (string, f"{option} {self.key}".rstrip()) if part)
        if self.line is not None:
            return ", ".join(part for part in (f"line {self.line}", string) if part)
        if self.row is not None:
            return ", ".join(part for part in (f"{self.table}, row {self.row}", string) if part)
        if string or self.table == "strings":
            return ", ".join(part for part in (string or "strings", self.key) if part)
        table = f"[{self.table}]" if self.table else ""
        return " ".join(part for part in (table, self.key) if part)

    def __str__(self) -> str:
        return ": ".join(on_one_line(part) for part in (self.source, self.where) if part)


@dataclass(frozen=True)
class Fault:
    """Something that cannot be as the user wrote it: where, what is wrong, what to do, and a short stable code."""

    place: Place
    what: Words
    remedy: Words
    code: str

    def __post_init__(self) -> None:
        assert _CODE.fullmatch(self.code), self.code

    def sentence(self, named: Callable[[Key | Option], str] = named_in_file) -> str:
        """What is wrong; what to do."""
        parts = (on_one_line(spoken(words, named)) for words in (self.what, self.remedy) if words)
        return "; ".join(parts)

    def __str__(self) -> str:
        return ": ".join(part for part in (str(self.place), self.sentence()) if part)

    def at(self, **where: str | int | None) -> Self:
        """The same fault with parts of its place changed."""
        return replace(self, place=replace(self.place, **where))  # type: ignore[arg-type]


class Note(Fault):
    """Something that is possible but unlikely, or worth knowing: no reason to stop."""

    def __str__(self) -> str:
        return ": ".join(part for part in (on_one_line(self.place.where), self.sentence()) if part)


@dataclass(frozen=True)
class Check(Note):
    """A note on a value that is more likely a slip than real, to be looked at before anything else.

    ``about``: what the value is of, as a sheet calls it: ``string 1``.
    """

    about: str = ""


class Says(NamedTuple):
    """What a room's ``words.py`` says of a fault: everything but its place."""

    what: Words
    remedy: Words
    code: str

    def at(self, place: Place) -> Fault:
        """The fault at its place."""
        return Fault(place, self.what, self.remedy, self.code)

    def note(self, place: Place | None = None) -> Note:
        """A note instead of a fault."""
        return Note(Place() if place is None else place, self.what, self.remedy, self.code)

    def check(self, place: Place, about: str) -> Check:
        """A note that asks to look again first; ``about`` as in `Check`."""
        return Check(place, self.what, self.remedy, self.code, about)

    def refusal(self, place: Place) -> "InputFaults":
        """The exception for this fault alone, ready to raise."""
        return InputFaults([self.at(place)])


class InputFaults(Exception):
    """Everything that is wrong with the user's input, found in one go."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = tuple(faults)


class Wrong(ValueError):
    """A value that cannot be, found where its place is not known. ``key``: the key at fault, if it is another one."""

    def __init__(self, says: Says, key: str = "") -> None:
        super().__init__("; ".join(spoken(words) for words in (says.what, says.remedy) if words))
        self.says = says
        self.key = key


Read = TypeVar("Read")


def attempt(faults: list[Fault], read: Callable[..., Read], *given: object) -> Read | None:
    """What ``read`` makes of what is ``given``; None if it raises `InputFaults`, which go to ``faults``."""
    try:
        return read(*given)
    except InputFaults as wrong:
        faults += wrong.faults
        return None


def on_one_line(text: str) -> str:
    """Text that a user wrote, safe to print: no line breaks, no control characters, not endless.

    >>> on_one_line("a\\nb")
    'a\\\\nb'
    """
    plain = "".join(char if char.isprintable() else _escaped(char) for char in text)
    return plain if len(plain) <= LONGEST_PART else plain[:LONGEST_PART] + "…"


def printable(text: str) -> str:
    """Text with any space, but without control characters, line breaks and bytes that are no text.

    >>> printable("a\\x1b[31m"), printable("5\N{NO-BREAK SPACE}mm") == "5\N{NO-BREAK SPACE}mm"
    ('a\\\\x1b[31m', True)
    """
    if text.isprintable():
        return text
    return "".join(char if char.isprintable() or category(char) == "Zs" else _escaped(char) for char in text)


def _escaped(char: str) -> str:
    return repr(char)[1:-1]


def nearest(word: str, known: Iterable[str]) -> str:
    """A remedy for an unknown word: the nearest known one, or all of them.

    >>> nearest("mandolni", ["banjo", "mandolin"])
    'did you mean "mandolin"?'
    >>> nearest("zither", ["banjo", "mandolin"])
    'choose banjo or mandolin'
    """
    words = list(known)
    close = close_to(word, words)
    return did_you_mean(close) if close else f"choose {either(words)}"


def close_to(word: str, known: Iterable[str]) -> str | None:
    """The known word that was probably meant, if there is one.

    >>> close_to("Mandolni", ["banjo", "mandolin"]), close_to("zither", ["banjo", "mandolin"])
    ('mandolin', None)
    """
    import difflib

    return next(iter(difflib.get_close_matches(word.lower(), list(known), n=1)), None)


def did_you_mean(word: str) -> str:
    """The remedy for a slip.

    >>> did_you_mean("mandolin")
    'did you mean "mandolin"?'
    """
    return f'did you mean "{word}"?'


def either(words: Sequence[str]) -> str:
    """Words to choose from, as a list in a sentence.

    >>> either(["a4"]), either(["a4", "a3"]), either(["a4", "a3", "legal"])
    ('a4', 'a4 or a3', 'a4, a3 or legal')
    """
    return " or ".join(part for part in (", ".join(words[:-1]), words[-1]) if part) if words else ""
