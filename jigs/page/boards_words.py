"""What the page says of an old board: labels, what it still waits for, and what "Use this board" fills in."""

from collections.abc import Iterator, Sequence

from geometry.robust import LEAST_TO_WEIGH
from geometry.survey import RULE_READING_ERROR_MM, Estimate, Rule
from jigs.faults import Fault, Says, Words
from jigs.survey.words import RULE_WORDS, in_mm
from jigs.wording import as_sentence, listed

TEXT = ("Distances from the nut", "a line for each fret: its number, its distance, more readings if you like")
READING_ERROR = (
    "Reading error",
    f"how far off one reading may be; default: from repeated readings, else {RULE_READING_ERROR_MM:g} mm",
)
"""A field's label and hint, each."""

EXAMPLE = "1, 36.4\n2, 70.8\n3, 103.3, 103.4"
"""Lines as they are typed, the last with a second reading."""

TOO_FEW_TO_DRAW = "The picture takes three frets or more."
NUT_UNKNOWN = "Whether the nut is in its place is not known."


def in_line(line: int, what: Words) -> Words:
    """What is wrong, with its line before it.

    >>> in_line(3, '"x" is not a length')
    ('line 3: ', '"x" is not a length')
    """
    return (f"line {line}: ", *((what,) if isinstance(what, str) else what))


def more_faults(count: int) -> Says:
    """More faults than anybody reads."""
    lines = "1 more fault is" if count == 1 else f"{count} more faults are"
    return Says(f"{lines} not shown", "correct these first", "survey-more-faults")


def waits(fault: Fault) -> str:
    """What is missing before there is anything to find, as a sentence."""
    return as_sentence(fault.sentence())


def used(scale_mm: float, rule: Rule, listed_frets: int, guessed: Sequence[int], frets_before: str) -> Iterator[str]:
    """What was filled in, a sentence each. ``listed_frets``: how many are listed as measured, 0 if the rule has them.

    >>> list(used(650.3, Rule.EQUAL, 0, (), "22"))
    ['Filled in: scale length 650.30 mm, and frets in equal steps.']
    >>> list(used(650.3, Rule.EQUAL, 12, (3, 4), "22"))
    ['Filled in: scale length 650.30 mm, and the places of 12 frets from the nut.', \
'Frets 3 and 4 were not measured, so the rule places them.', 'The number of frets is now 12, the last that is listed.']
    """
    scale = f"scale length {in_mm(scale_mm)}"
    if not listed_frets:
        by_rule = "frets in equal steps" if rule is Rule.EQUAL else f"frets by {RULE_WORDS[rule]}"
        yield f"Filled in: {scale}, and {by_rule}."
        return
    yield f"Filled in: {scale}, and the places of {listed_frets} frets from the nut."
    if guessed:
        one = len(guessed) == 1
        frets = f"Fret{'' if one else 's'} {listed([str(fret) for fret in guessed])}"
        yield f"{frets} {'was' if one else 'were'} not measured, so the rule places {'it' if one else 'them'}."
    if frets_before != str(listed_frets):
        yield f"The number of frets is now {listed_frets}, the last that is listed."


def fewer_frets(listed_frets: int, frets: int) -> Says:
    """A note on a board that would leave the instrument with fewer frets than it has."""
    return Says(
        f"your instrument has {frets} frets, and these lines end at fret {listed_frets}",
        "measure the others too, before you use this board",
        "board-fewer-frets",
    )


def nut_kept(offset: Estimate) -> str:
    """A nut out of its place, which the listed distances hold.

    >>> nut_kept(Estimate(0.42, 0.1, 0.2))
    'The nut is 0.42 mm too far from the frets. The distances count from it as it is, so that is allowed for.'
    """
    return f"The nut is {_nut(offset)} the frets. The distances count from it as it is, so that is allowed for."


def nut_lost(offset: Estimate, frets: int) -> str:
    """A nut out of its place, of which too little is known to fill it in. ``frets``: how many were measured."""
    more = f"measure {LEAST_TO_WEIGH} frets or more" if frets < LEAST_TO_WEIGH else "measure all frets"
    return f"The nut seems {_nut(offset)} the frets. That is not filled in: {more}."


def frets_lost() -> str:
    """Frets out of place that cannot be listed, because others are missing."""
    return "Frets out of place are not filled in, because others were not measured: measure all of them."


def _nut(offset: Estimate) -> str:
    return f"{in_mm(abs(offset.mm))} too {'far from' if offset.mm > 0 else 'near'}"
