"""What the press says of orders that it cannot fill, and of what it fills differently."""

from collections.abc import Sequence

from jigs.faults import Key, Option, Says, Words
from jigs.wording import listed

# ---- orders


def no_cut_file(template: str, formats: Sequence[str]) -> Says:
    """A cutter's format of a template for paper."""
    return Says(
        f"there is no {' or '.join(formats)} of the {template}, which is for paper",
        "for a cutter draw the gauge",
        "template-for-paper",
    )


def not_in_a_kit(templates: Sequence[str], parts: Sequence[str]) -> Says:
    """Templates for paper where parts to cut are meant."""
    verb = "are" if len(templates) > 1 else "is"
    what = f"{listed(templates)} {verb} not cut from stock"
    return Says(what, f"a kit takes {listed(parts)}", "kit-of-paper")


def nameless(parts: Sequence[str]) -> Says:
    """Parts of a kit without room for a name."""
    verb = "have" if len(parts) > 1 else "has"
    what = f"{listed(parts)} {verb} no room for the instrument's name"
    return Says(what, "write it on after cutting", "part-nameless")


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


# ---- how sure a place is

_ADDS = {
    "head": "adds the error of its distance to the tension hoop",
    "top": "adds the error of its distance to the end of the board",
}


def printed_part(template: str, fret: int) -> str:
    """A part that places the bridge from a fret.

    >>> printed_part("gauge", 22)
    'a printed gauge against fret 22'
    """
    return f"a printed {template if template == 'gauge' else f'{template} template'} against fret {fret}"


def fork_instead(fork: str, template: str) -> str:
    """A fork for a template that does not place the bridge from a fret.

    >>> fork_instead("a fork against fret 12", "spacing")
    'a fork against fret 12 (the spacing template does not place the bridge)'
    """
    return f"{fork} (the {template} template {_ADDS.get(template, 'does not place the bridge')})"


# ---- a kit

KIT_TITLE = "Kit: cut these parts"


def kit_datum(stock: str) -> str:
    """What the parts lie on."""
    return f"from stock of {stock}"


# ---- lettering


def not_engraved(chars: str, instead: str) -> Says:
    """A name with characters that no single stroke can write; ``instead`` is what the part says."""
    shown = " ".join(dict.fromkeys(chars))
    return Says(f"{shown} cannot be engraved in single strokes", f"parts say {instead}", "name-not-engraved")


def not_in_typeface(chars: str, instead: str) -> Says:
    """A name with characters that the typeface lacks; ``instead`` is what the sheets say."""
    shown = " ".join(f"{char} (U+{ord(char):04X})" for char in dict.fromkeys(chars))
    return Says(f"the typeface lacks {shown}", f"sheets say {instead}", "name-not-in-typeface")


def from_right_to_left(instead: str) -> Says:
    """A name whose letters run leftward; ``instead`` is what the sheets say."""
    what = "letters that run from right to left would be printed in the wrong order"
    return Says(what, f"sheets say {instead}", "name-right-to-left")


def subject(scale: str, paper: str, note: str) -> str:
    """What a file's properties say of its sheets."""
    return f"{scale} on {paper}{f'; {note}' if note else ''}"
