"""What the press says of orders that it cannot fill, and of what it fills differently."""

from collections.abc import Iterable, Sequence

from jigs.faults import Key, Note, Option, Says, Words, either, nearest
from jigs.sheets.paper import Paper, size_in_words

# ---- orders


def unknown_printer(name: str, known: Sequence[str]) -> Says:
    """A printer that was not measured."""
    start = "`jigs printer sheet` prints what to measure, then `jigs printer add`"
    return Says(f'there is no printer "{name}"', nearest(name, known) if known else start, "printer-unknown")


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


def does_not_fit(
    template: str, paper: Paper, reason: str, enough: Iterable[Paper], other_fret: bool, unjoined: bool
) -> Says:
    """A template on paper that is too small for it.

    ``enough``: papers that it fits on. ``other_fret``: it fits with the fret that it would choose itself. ``unjoined``: it
    fits as one long sheet.
    """
    papers = [size_in_words(other) for other in enough]
    remedy: list[str | Option] = [f"choose {either(papers)}"] if papers else ["give a larger ", Option("paper", "WxH")]
    if unjoined:
        remedy += [", or one long sheet with ", Option("untiled")]
    if other_fret:
        remedy += [", or draw without ", Option("datum-fret")]
    what = f"the {template} does not fit on {size_in_words(paper)}: {reason}"
    return Says(what, tuple(remedy), "sheet-too-small")


def not_to_be_joined(width_mm: float) -> str:
    """Why a long drawing cannot be cut for a paper, as `does_not_fit` takes it."""
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


# ---- until every room hands over its notes as values


def old_note(note: Note | str) -> Note:
    """Migration only."""
    return note if isinstance(note, Note) else Says(note, "", "old").note()
