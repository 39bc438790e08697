"""What keeping a found place says: faults, and what was kept."""

import datetime
from collections.abc import Callable, Sequence
from pathlib import PurePath

from geometry.lengths import format_mm
from jigs.faults import Command, Key, Option, Says, Words, named_in_file, spoken
from jigs.input.words import shown
from jigs.wording import some_of
from jigs.workup.found_words import day_in_words
from jigs.workup.words import headline, heights_in_words, own_correction
from jigs.workup.workup import FoundPlace, Workup

_WAYS = tuple(part for name in ("at", "feet-from-fret", "ticks", "wedges") for part in (Option(name), ", "))
_PLACES = (*_WAYS[:-1], " or ", Option("log"))


def one_place(given: Sequence[str]) -> Says:
    """No place, or several."""
    what = f"the place is given {len(given)} times" if given else "there is no place to keep"
    return Says(what, ("give one of ", *_PLACES), "keep-one-place")


def no_file_of_its_own(preset: str) -> Says:
    """A preset, which is nobody's instrument."""
    remedy = f"write your own file first: `jigs presets {preset} > mine.toml`; then keep the place in mine.toml"
    return Says("this is a preset, not a file of yours", remedy, "keep-in-preset")


def not_a_file() -> Says:
    """A pipe or a device."""
    return Says("this is not a regular file", "name your instrument file", "keep-not-a-file")


def no_fret(text: str, frets: int) -> Says:
    """Something else where a fret's number is meant."""
    return Says(f"{shown(text)} is not a fret of this neck", f"write 1 to {frets}", "keep-fret-unknown")


def no_ticks(text: str) -> Says:
    """Something else where two ticks are meant."""
    remedy = 'write treble and bass in cents, plus is away from the nut, as in "+3 / -5.5"'
    return Says(f"{shown(text)} is not a pair of ticks", remedy, "keep-ticks-unread")


def not_yet(day: datetime.date, today: datetime.date) -> Says:
    """A date to come."""
    return Says(f"{day} is to come", f"write the day of the last round, at the latest {today}", "keep-date-to-come")


def log_empty() -> Says:
    """A log without a step, or none at all."""
    remedy: Words = ("read and move with ", Command("readings"), ", and give it the same ", Option("log"))
    return Says("this log has no rounds", remedy, "keep-log-empty")


def log_of_another(name: str, names: Sequence[str]) -> Says:
    """A log of other instruments."""
    remedy = f"it has {some_of(names)}; name the log of this instrument"
    return Says(f"this log has no round of {shown(name)}", remedy, "keep-log-of-another")


def log_without_stop(step: int, verdict: str) -> Says:
    """A log whose last round says to go on."""
    said = f'says "{verdict}"' if verdict else "has no verdict"
    remedy: Words = ("go on until it says stop; or measure the place and give it with ", Option("at"))
    return Says(f"its last round, {step}, {said}", remedy, "keep-log-without-stop")


def log_half_read(string: str) -> Says:
    """A last round that says nothing of one end."""
    remedy = f"read {string} too, in a round of both outer strings"
    return Says(f"its last round did not read {string}", remedy, "keep-log-half-read")


def ticks_of_which_sheet() -> Says:
    """Ticks, where the file has a place already: they may be those of the sheet before it."""
    remedy: Words = ("measure it with ", Option("feet-from-fret"), "; or confirm with ", Option("sure"),
                     " that the sheet was drawn for the kept place")  # fmt: skip
    return Says("the file keeps a place, and ticks count from that", remedy, "keep-ticks-of-which-sheet")


def log_without_place(step: int) -> Says:
    """A log in which nobody said where the bridge stood."""
    remedy: Words = ("measure it, and give ", Option("feet-from-fret"), " or ", Option("at"))
    return Says(f"up to round {step} this log has only moves, and no place", remedy, "keep-log-without-place")


def far_from_computed(string: str, correction_mm: float, computed_mm: float) -> Says:
    """A place that is most likely not where the bridge stands."""
    way = "nut" if correction_mm < 0 else "tail"
    what = (
        f"at {string} the place lies {format_mm(abs(correction_mm), 1)} nearer the {way} than the computed"
        f" {format_mm(computed_mm, 1)}"
    )
    remedy: Words = ("check what it was measured from, scale and strings; or confirm with ", Option("sure"))
    return Says(what, remedy, "keep-far-from-computed")


MARKED_ON_PAPER: Words = (
    "The ± is that of a place on paper. With a caliper, ",
    Option("feet-from-fret"),
    ", it is 0.6 mm.",
)


def read_from(zero: str) -> Words:
    """The line that the wedges were read from."""
    if zero == "computed":
        return "The wedges count from the computed line."
    older = "The wedges count from the found line that the file had. If your gauge is older, keep the place with "
    return (older, Option("at"), ".")


def kept_in_words(
    workup: Workup,
    before: FoundPlace | None,
    on_paper: bool,
    file: str,
    zero: str = "",
    named: Callable[[Key | Option], str] = named_in_file,
) -> list[str]:
    """What was kept, what it replaces, and what counts from now on. ``zero``: the line that wedges were read from."""
    found = workup.found
    if found is None:
        return []
    given = workup.instrument.found
    day = "" if given.date is None else f" on {day_in_words(given.date)}"
    treble, bass = (format_mm(mm) for mm in found.places_mm)
    strings = "" if given.strings is None else f", with {given.strings.text}"
    return [
        f"kept in {PurePath(file)}: crown line at {treble} / {bass} from the nut, ± {given.plus_minus:g} mm (95%), found by"
        f" ear{day}{strings}",
        *([] if before is None else [_replaced(before)]),
        own_correction(workup),
        *([_SQUARE] if _is_square_unlike_computed(workup, found) else []),
        *([spoken(read_from(zero), named)] if zero else []),
        *([spoken(MARKED_ON_PAPER, named)] if on_paper and not zero else []),
        *filter(None, [heights_in_words(workup)]),
        *headline(workup),
    ]


_SQUARE = (
    "Both ends are kept at the same distance from the nut. If you measured one end only, measure both, and keep them as"
    " TREBLE / BASS."
)
_ALIKE_MM, _APART_MM = 0.05, 0.2


def _is_square_unlike_computed(workup: Workup, found: FoundPlace) -> bool:
    """Whether both ends are kept alike, as one measurement of both would be, where the computed line has them apart."""
    (treble, bass), (first, last) = found.places_mm, workup.computed_line.at(workup.outer_mm).tolist()
    return abs(treble - bass) < _ALIKE_MM and abs(first - last) > _APART_MM


def _replaced(before: FoundPlace) -> str:
    """The place that was kept before."""
    day = before.then.instrument.found.date
    treble, bass = (format_mm(mm) for mm in before.places_mm)
    return f"it replaces {treble} / {bass}{'' if day is None else f', found on {day_in_words(day)}'}"
