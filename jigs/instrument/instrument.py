"""A checked instrument, in millimetres, with the defaults of its kind filled in."""

from collections.abc import Iterator
from dataclasses import dataclass

from geometry.lengths import format_inches, format_mm, round_half_up
from jigs.faults import Note, Says
from jigs.instrument import usual
from jigs.instrument.body import Rim, Top
from jigs.instrument.keys import Action, Board, Bridge, Compensation, Head, Nut, Pitch, StringEntry, Tail
from jigs.instrument.stringing import Stringing
from jigs.instrument.tolerance import Tolerance
from jigs.wording import in_inches


@dataclass(frozen=True)
class Instrument:
    """A checked instrument, in millimetres, defaults filled in.

    ``source`` is where it was read from; ``assumed`` says which measurements are its kind's, not its own.
    """

    source: str
    head: Head
    pitch: Pitch
    action: Action
    compensation: Compensation
    strings: tuple[StringEntry, ...]
    nut: Nut
    board: Board
    bridge: Bridge
    tail: Tail
    rim: Rim
    top: Top
    tolerance: Tolerance
    stringing: Stringing
    assumed: tuple[str, ...]

    @property
    def name(self) -> str:
        """What the owner calls it."""
        return self.head.name

    def string_in_words(self, index: int) -> str:
        """A string as the owner speaks of it: ``string 4 G3``, ``pair 4 G3``."""
        entry = self.strings[index]
        return f"{'pair' if entry.pair else 'string'} {index + 1} {entry.note}"

    @property
    def notes(self) -> tuple[Note, ...]:
        """What is possible but unlikely: worth a second look, no reason to stop."""
        return tuple(Says(text, "", "old").note() for text in _warnings(self))


def pull_in_words(entry: StringEntry, tension_n: float) -> str:
    """A string's pull against what is usual."""
    return f"{in_inches(entry.gauge)} at {entry.note} would pull {round_half_up(tension_n, 0)} N, and 30 to 150 N are usual"


def _warnings(instrument: Instrument) -> Iterator[str]:
    head, strings = instrument.head, instrument.strings
    if instrument.assumed:
        of_kind = "" if head.kind == "other" else f" for a {head.kind}"
        yield f"not in the file, taken as usual{of_kind}: {', '.join(instrument.assumed)}; better measure them"
    common = usual.USUAL_SCALES_MM.get(head.kind)
    if common and not common[0] <= head.scale_mm <= common[1]:
        yield (
            f"scale: {format_mm(head.scale_mm)} is unusual for a {head.kind}"
            f" ({format_inches(common[0])} to {format_inches(common[1])} are common); measure nut to fret 12 again"
        )
    yield from _order_warnings(instrument)
    for n, tension in enumerate(instrument.stringing.tension_n):
        if tension > usual.WARN_AT_TENSION_N:
            yield f"{instrument.string_in_words(n)}: {pull_in_words(strings[n], tension)}; check gauge, note and octave"
    for n, ratio in enumerate(instrument.stringing.strength_ratio):
        if ratio is not None and ratio > usual.WARN_AT_STRENGTH_RATIO:
            load = round_half_up(100 * ratio, 0)
            yield (
                f"{instrument.string_in_words(n)} of {in_inches(strings[n].gauge)} carries {load} % of what its wire bears;"
                " keep eyes away while tuning, or take a thinner string"
            )


def _order_warnings(instrument: Instrument) -> Iterator[str]:
    """Strings that look as if they were listed from the wrong side, or as if a short one were not said to be short."""
    pitch, full = instrument.stringing.pitch_hz, instrument.stringing.full_length
    full_pitch = pitch[full]
    last_is_high = len(full_pitch) > 2 and full_pitch[-1] > full_pitch[-2] and full[-1]
    if full_pitch[0] < full_pitch[-1] and not last_is_high:
        yield "string 1 is lower than the last; string 1 is the treble side: list the strings from treble to bass"
    if last_is_high and instrument.head.kind == "banjo":
        yield (
            f"{instrument.string_in_words(len(pitch) - 1)} is higher than its neighbour and starts at the nut;"
            " a short fifth string needs starts_at_fret = 5"
        )
