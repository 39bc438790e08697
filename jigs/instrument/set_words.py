"""What this room says of keys that are set beside the file, with ``--set`` on the command line."""

from collections.abc import Sequence

from jigs.faults import Key, Option, Says, Words, either

OPTION = "set"


def key_missing(example: str) -> Says:
    """Nothing before the equals sign."""
    return Says("there is no key", ("write for instance ", Option(OPTION, example)), "set-key-missing")


def value_missing(example: str) -> Says:
    """A key without an equals sign, or with nothing behind it."""
    return Says("there is no value", ("write for instance ", Option(OPTION, example)), "set-value-missing")


def key_unknown(meant: Sequence[str]) -> Says:
    """Something that is not a key. ``meant``: what it may be meant for."""
    remedy: Words = f"did you mean {either(meant)}?" if meant else "`jigs keys` lists all keys"
    return Says("unknown key", remedy, "set-key-unknown")


def table_alone(example: str) -> Says:
    """A table without a key of it."""
    return Says("this is a table", ("write a key of it, as in ", Option(OPTION, example)), "set-table-alone")


def set_twice() -> Says:
    """A key that is set more than once."""
    return Says("this key is set more than once", "keep one", "set-key-twice")


def found_strings_missing() -> Says:
    """Other strings on an instrument whose file does not say with which its place was found."""
    what = "the file has a place found by ear, and not the strings that it was found with"
    return Says(what, ("write them as ", Key("found", "strings")), "set-strings-unknown-then")


def string_unknown(strings: int) -> Says:
    """A number that no string has."""
    there_are = "1 string" if strings == 1 else f"{strings} strings"
    return Says(f"the instrument has {there_are}", "count from 1, the treble side", "set-string-unknown")
