"""Two sets of strings on one instrument: how far the bridge moves from one to the other, and what changes if it does not.

The bridge plays in tune with the old strings where it stands: where it was found by ear, or on the computed line. The line
for the new strings is that one, moved by the difference between both computed lines, so the instrument's own correction is
in both (see `geometry.found.moved_line`).
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import BridgeLine
from geometry.found import moved_line
from jigs.faults import Place, Wrong
from jigs.instrument.found import Found
from jigs.instrument.instrument import Instrument
from jigs.instrument.packets import read_strings
from jigs.instrument.restring import restrung
from jigs.workup import compare_words as words
from jigs.workup.sureness import sure_of_move
from jigs.workup.work_up import without_found
from jigs.workup.workup import Workup, computed

MUCH_HARDER = 1.1
"""New strings that pull more than this many times as hard in all call for a repairer's word first. Our own bound."""

LEAST_MOVE_MM = 0.05
"""A smaller move is none: it would be printed as 0.0 mm."""

_ALIKE_MM = 0.1
"""Places that differ by less are the same: nobody sets a bridge more exactly."""


@dataclass(frozen=True, eq=False)
class Comparison:
    """The old strings and the new ones; ends are the outer full-length strings of ``new``, treble first.

    ``old`` with its line as it is drawn; ``new`` as it is computed, without a place that was found; ``line`` where the
    bridge belongs with the new strings. ``moves_mm`` from ``old.line`` to it, + towards the tail; ``same_make_mm`` and
    ``other_make_mm`` how sure they are (95%), for sets of one make and of two. ``if_it_stays_cents`` and ``after_cents``:
    what each string reads at the octave against its harmonic, with the bridge where it is and with it moved, + is sharp;
    the nut as it is. ``own_place_mm``: how far behind ``line`` the new file's own place lies that was found by ear, None
    without one, or if it is the same.
    """

    old: Workup
    new: Workup
    line: BridgeLine
    moves_mm: tuple[float, float]
    same_make_mm: tuple[float, float]
    other_make_mm: tuple[float, float]
    if_it_stays_cents: FloatArray
    after_cents: FloatArray
    own_place_mm: tuple[float, float] | None

    @property
    def places_mm(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The line at the ends from the nut, with the old strings and with the new ones."""
        return _ends(self.old.line, self.new), _ends(self.line, self.new)

    @property
    def end_moves_mm(self) -> tuple[float, ...]:
        """The moves of the bridge: of both ends, or one where a single string is all there is."""
        first, last = self.new.outer_strings
        return self.moves_mm if first != last else self.moves_mm[:1]

    @property
    def pulls_n(self) -> tuple[float, float]:
        """What all strings pull together, old and new; a pair is two strings."""
        return _pull_n(self.old), _pull_n(self.new)

    @property
    def pulls_much_harder(self) -> bool:
        """Whether the new strings pull so much harder that the instrument may not bear it."""
        old, new = self.pulls_n
        return new > MUCH_HARDER * old

    @property
    def moves(self) -> bool:
        """Whether any end moves so far that it is printed."""
        return any(abs(mm) >= LEAST_MOVE_MM for mm in self.end_moves_mm)

    @property
    def within_doubt(self) -> bool:
        """Whether the bridge moves, and no end by more than its ± for sets of one make."""
        return self.moves and all(abs(mm) <= sure for mm, sure in zip(self.moves_mm, self.same_make_mm, strict=True))


def compare(old: Workup, new: Workup, of_other_make: Workup | None = None) -> Comparison:
    """Both sets of strings against each other. Raises `InputFaults` if one has more strings than the other.

    ``of_other_make``: ``new`` as it is computed if its strings are of another make, default: the same.
    """
    here, there = (len(one.instrument.strings) for one in (new, old))
    if here != there:
        raise words.other_count(here, there, old.instrument.source).refusal(Place(new.instrument.source, "strings"))
    plain = without_found(new)
    line = moved_line(old.line, old.computed_line, plain.line)
    treble, bass = (line.at(plain.outer_mm) - old.line.at(plain.outer_mm)).tolist()
    own = None
    if new.found is not None:
        behind = (new.line.at(plain.outer_mm) - line.at(plain.outer_mm)).tolist()
        own = None if np.abs(behind).max() < _ALIKE_MM else (behind[0], behind[1])
    return Comparison(
        old=old,
        new=plain,
        line=line,
        moves_mm=(treble, bass),
        same_make_mm=sure_of_move(old, plain, same_make=True),
        other_make_mm=_other_make_mm(old, plain, plain if of_other_make is None else of_other_make),
        if_it_stays_cents=plain.cents_with_bridge_at(*_ends(old.computed_line, plain))[1],
        after_cents=plain.cents_with_bridge_at(*_ends(plain.line, plain))[1],
        own_place_mm=own,
    )


def _other_make_mm(old: Workup, new: Workup, of_other_make: Workup) -> tuple[float, float]:
    """How far off the moves may be for strings of another make: beside their ±, how far these may lie from ``new``."""
    aside = abs(of_other_make.line.at(new.outer_mm) - new.line.at(new.outer_mm))
    treble, bass = (aside + np.array(sure_of_move(old, of_other_make, same_make=False))).tolist()
    return treble, bass


def with_strings(old: Workup, text: str, place: Place) -> tuple[Workup, Workup]:
    """The instrument with another set of strings, as text (see packets.py): of the same make, and of another.

    Cores that the text does not give have the same share of the gauge as before, if the make is the same. Those of another
    make may be any. Raises `InputFaults` at ``place``.
    """
    try:
        other = read_strings(text)
    except Wrong as wrong:
        raise wrong.says.refusal(place) from None
    same, unlike = (
        computed(replace(restrung(old.instrument, other, place, of_one), found=Found())) for of_one in (True, False)
    )
    return same, unlike


def _ends(line: BridgeLine, workup: Workup) -> tuple[float, float]:
    treble, bass = line.at(workup.outer_mm).tolist()
    return treble, bass


def _pull_n(workup: Workup) -> float:
    each = (2 if entry.pair else 1 for entry in workup.instrument.strings)
    return sum(count * float(n) for count, n in zip(each, workup.instrument.stringing.tension_n, strict=True))


def other_tables(old: Instrument, new: Instrument) -> Iterator[str]:
    """Tables of two files that differ, though they count for the line; the strings aside, and the scale."""
    for table in ("pitch", "action", "compensation", "nut", "bridge", "tail"):
        if getattr(old, table) != getattr(new, table):
            yield table
