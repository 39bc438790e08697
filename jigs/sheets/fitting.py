"""A drawing fitted to its paper, or refused with the papers that it fits."""

from collections.abc import Callable
from typing import TypeVar

from jigs.drawing.room import DoesNotFit
from jigs.faults import Place, Words
from jigs.sheets import words
from jigs.sheets.paper import PAPERS, Paper, size_in_words

Laid = TypeVar("Laid")


def fitted(
    lay: Callable[[Paper], Laid],
    paper: Paper,
    what: str,
    source: str = "",
    also: Callable[[], Words] = lambda: "",
    probe: Callable[[Paper], object] | None = None,
) -> Laid:
    """What ``lay`` makes of the paper. Raises `InputFaults`, which names the papers of `PAPERS` that it fits.

    ``what`` is the drawing's name in the refusal; ``also`` gives a further remedy; it is called only for a refusal.
    ``probe``: raises `DoesNotFit` as ``lay`` does, and is quicker.
    """
    try:
        return lay(paper)
    except DoesNotFit as reason:
        papers = [size_in_words(other) for other in PAPERS.values() if fits(probe or lay, other)]
        says = words.does_not_fit(what, size_in_words(paper), str(reason), papers, also())
        raise says.refusal(Place(source, option="paper")) from None


def fits(lay: Callable[[Paper], object], paper: Paper) -> bool:
    """Whether ``lay`` finds room on the paper."""
    try:
        lay(paper)
    except DoesNotFit:
        return False
    return True
