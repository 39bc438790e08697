"""What is wrong with something that a user wrote: where, what, and what would be right."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

LONGEST_PART = 500


@dataclass(frozen=True)
class Fault:
    """One line for the user: ``source: where: what is wrong; what would be right``."""

    source: str
    where: str
    what: str

    def __str__(self) -> str:
        return ": ".join(on_one_line(part) for part in (self.source, self.where, self.what) if part)


class InputFaults(Exception):
    """Everything that is wrong with the user's input, found in one go."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = tuple(faults)


def on_one_line(text: str) -> str:
    """Text that a user wrote, safe to print: no line breaks, no control characters, not endless.

    >>> on_one_line("a\\nb")
    'a\\\\nb'
    """
    plain = "".join(char if char.isprintable() else repr(char)[1:-1] for char in text)
    return plain if len(plain) <= LONGEST_PART else plain[:LONGEST_PART] + "…"


def refuse(source: str, what: str, where: str = "") -> InputFaults:
    """The exception for a single fault, ready to raise."""
    return InputFaults([Fault(source, where, what)])


def nearest(word: str, known: Iterable[str]) -> str:
    """A remedy for an unknown word: the nearest known one, or all of them.

    >>> nearest("mandolni", ["banjo", "mandolin"])
    'did you mean "mandolin"?'
    >>> nearest("zither", ["banjo", "mandolin"])
    'known are banjo, mandolin'
    """
    import difflib

    words = list(known)
    close = difflib.get_close_matches(word.lower(), words, n=1)
    return f'did you mean "{close[0]}"?' if close else f"known are {', '.join(words)}"
