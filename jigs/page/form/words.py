"""What the form says of its own: fields that there are not, and values that nobody measured."""

from collections.abc import Sequence

from jigs.faults import Key, Says
from jigs.input.words import shown


def no_field(key: str) -> Says:
    """A field that no form has."""
    return Says(f'there is no field "{key}"', "load the page again", "field-unknown")


def no_count_of_strings(value: str, most: int) -> Says:
    """Something else where the number of strings is meant."""
    return Says(f"{shown(value)} is not a number of strings", f"the most is {most}", "string-count")


def from_the_preset(parts: Sequence[str]) -> Says:
    """Values of a preset that nobody has measured."""
    what = f"taken from the preset, not from your instrument: {', '.join(parts)}"
    return Says(what, "measure and fill in your own", "taken-from-preset")


def core_of_the_old_string(core: object) -> Says:
    """A core that was left when the gauge was changed."""
    what = ("the gauge has changed, but ", Key("strings", "core"), f" is still {core}")
    return Says(what, "fill in the core of the new string too", "core-of-old-string")
