"""What the press says of orders that it cannot fill, and of what it fills differently."""

from collections.abc import Sequence

from jigs.faults import Key, Option, Says, Words

# ---- orders


def no_cut_file(template: str, formats: Sequence[str]) -> Says:
    """A cutter's format of a template for paper."""
    return Says(
        f"there is no {' or '.join(formats)} of the {template}, which is for paper",
        "for a cutter draw the gauge",
        "template-for-paper",
    )


def left_out(template: str, lacks: Says) -> Says:
    """A template that is passed over, among several, because the instrument lacks something for it."""
    return Says((f"the {template} is not drawn: ", *_parts(lacks.what)), lacks.remedy, lacks.code)


def _parts(words: Words) -> tuple[str | Key | Option, ...]:
    return (words,) if isinstance(words, str) else words


# ---- sheets


def or_otherwise(other_fret: bool, in_one: bool) -> Words:
    """What else to try for a template that does not fit: the fret that it would choose itself, or one long sheet."""
    parts: list[str | Key | Option] = []
    if in_one:
        parts += [", or one long sheet with ", Option("untiled")]
    if other_fret:
        parts += [", or draw without ", Option("datum-fret")]
    return tuple(parts)


def not_to_be_joined(width_mm: float) -> str:
    """Why a long drawing cannot be cut for a paper, for the refusal."""
    return f"it is {width_mm:.0f} mm wide without the crosses that its sheets are joined by"


# ---- lettering


def not_engraved(chars: str, instead: str) -> Says:
    """Characters of a name that no single stroke can write."""
    return Says(
        f"{' '.join(dict.fromkeys(chars))} cannot be engraved in single strokes",
        f"{instead} is cut instead",
        "name-not-engraved",
    )


def not_in_typeface(chars: str, instead: str) -> Says:
    """Characters of a name that the typeface lacks."""
    shown = " ".join(f"{char} (U+{ord(char):04X})" for char in dict.fromkeys(chars))
    return Says(f"the typeface lacks {shown}", f"{instead} is printed instead", "name-not-in-typeface")


def from_right_to_left() -> Says:
    """A name whose letters run leftward."""
    return Says(
        "letters that run from right to left may print in the wrong order",
        "give it a name in another script",
        "name-right-to-left",
    )
