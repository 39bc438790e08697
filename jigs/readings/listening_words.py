"""Why a pluck is not used, what to do about it, and what this room says if none is."""

from collections.abc import Callable, Sequence

from jigs.faults import Key, Option, Says, Words, named_in_file, spoken
from jigs.wording import listed

_REFUSED: dict[str, tuple[str, Words]] = {
    "too-short": ("it rings too short", "let it ring for a second"),
    "too-quiet": ("it is too quiet", "pluck harder, or nearer to the microphone"),
    "clipped": ("it is too loud for the microphone", "pluck softer, or farther from it"),
    "other-string": ("another string rings", "damp the other strings"),
    "two-pitches": ("it has two pitches", "damp all other strings, and one string of a pair"),
    "wrong-string": ("it is another note", "tune the string first, and check string and fret"),
    "unsteady": ("its pitch wavers", "pluck once, and hold the string still"),
    "too-few-pairs": ("it has too few partials to compare", "pluck nearer to the bridge"),
    "which-string": (
        "its string is uncertain",
        ("record each string in a file of its own, or give ", Option("string")),
    ),
    "no-reference": ("there is no open string to compare it with", "pluck that first"),
    "no-pressed": ("there is no pressed note to compare it with", "press at the octave and pluck"),
    "spare": ("no pressed note could be compared with it", "pluck open and pressed by turns"),
    "not-open": ("this is the octave", "pluck the open string"),
    "not-pressed": ("this is the open string", "press at the octave and pluck"),
}
"""Why a pluck is not used and what to do, by its code."""

LACKS_THE_OTHER = ("no-reference", "no-pressed")
"""Codes of plucks that are sound themselves."""


def why_not(code: str, named: Callable[[Key | Option], str] = named_in_file) -> str:
    """Why a pluck is not used, and what to do; a code without a sentence, as it is.

    >>> why_not("unsteady"), why_not("of-tomorrow")
    ('its pitch wavers: pluck once, and hold the string still', 'of-tomorrow')
    >>> why_not("which-string")
    'its string is uncertain: record each string in a file of its own, or give --string'
    """
    if code not in _REFUSED:
        return code
    what, remedy = _REFUSED[code]
    return f"{what}: {spoken(remedy, named)}"


def not_partials() -> Says:
    """Something else where a pluck's partials are meant."""
    return Says("this is not a pluck that was heard", "pluck again", "partials-unread")


def no_pluck(octave_fret: int) -> Says:
    """A sound without a pluck."""
    remedy = f"record the open string, then the note pressed at fret {octave_fret}, one after the other"
    return Says("there is no pluck in this sound", remedy, "no-pluck")


def none_used(count: int, reasons: Sequence[tuple[str, int]]) -> Says:
    """Plucks of which none can be used; ``reasons``: their codes, each with how many have it."""
    whose = [(code, n) for code, n in reasons if code not in LACKS_THE_OTHER] or list(reasons)
    known = [(*_REFUSED.get(code, (code, "")), n) for code, n in whose]
    causes = listed([f"{what} ({n})" if count > 1 else what for what, _, n in known])
    first, *others = [remedy if isinstance(remedy, tuple) else (remedy,) for _, remedy, _ in known if remedy] or [()]
    remedies: tuple[str | Key | Option, ...] = first
    for remedy in others:
        remedies = (*remedies, "; ", *remedy)
    what = f"none of the {count} plucks can be used" if count > 1 else "the only pluck cannot be used"
    return Says(f"{what}: {causes}", remedies, "no-pluck-used")
