"""What the page itself says, besides the sentences of the other rooms."""

from collections.abc import Callable, Iterator, Sequence

from geometry.lengths import format_mm
from geometry.readings import NORMAL_QUANTILE, TOUCH_ERROR_CENTS, TUNER_ERROR_CENTS
from jigs.faults import Fault, Key, Says, Words
from jigs.input.words import shown
from jigs.page.rounds import Ends, Round
from jigs.readings.advice import ENDS
from jigs.readings.listening_words import why_not
from jigs.readings.rounds import ON_THE_LINE
from jigs.readings.words import LEAST_MOVE_MM, VERDICTS, AdviceLine, sharp_or_flat
from jigs.wording import round_up, signed

# ---- views

STEPS = (("measure", "Measure"), ("print", "Print"), ("listen", "Listen"))
"""The three steps of the job, in their order."""

BESIDES = (("shelf", "Shelf"), ("strings", "Other strings"), ("boards", "Old boards"), ("help", "Help"))
"""What is besides them."""

VIEW_OF = {"printer": "print", "readings": "listen", "listen": "listen", "survey": "boards", "compare": "strings"}
"""The view that does what a command does."""


def name_of_view(view: str) -> str:
    """What a view is called.

    >>> name_of_view("boards"), name_of_view("print")
    ('Old boards', 'Print')
    """
    return dict((*STEPS, *BESIDES))[view]


def glance(treble: str, bass: str, slant: str) -> str:
    """The figures in one short line, for the foot of a narrow window."""
    return f"treble {treble} · bass {bass} · slant {slant}"


# ---- labels of the form that no key or option of a drawing declares

DEFAULT = "default"
TABLE = "Table"
NECK = "Neck"
AIDS, FINGER, SADDLE = "Measuring aids", "Your finger", "Saddle or crown"
UNEVEN_FRETS = "Old or uneven frets"
TEMPLATE, PAPER, PRINTER = "Template", "Paper", "Printer"
HARMONIC = ("Octave harmonic", "three times: +2 / +1 / +2; or in Hz")
FRETTED = ("Pressed at fret {fret}", "three times: -4 / -5 / -4.5; or in Hz")
PLACE = (
    "Where the bridge is",
    f"its crown, from the nut, in mm: 669.5, or 669.7 / 670.0; {ON_THE_LINE}: where the sheet put it",
)
TUNER_ERROR = ("Error of the tuner, in cents", f"default {TUNER_ERROR_CENTS:g}")
TOUCH_ERROR = (
    "Error of the touch, in cents",
    f"how much one press differs from the next; default {TOUCH_ERROR_CENTS:g}",
)
"""A reading's label and hint, each; ``fret`` is the one at the octave."""


# ---- faults and notes


def no_reading(octave_fret: int) -> Says:
    """A request for advice without a whole reading."""
    remedy = f"on each outer string, read the octave harmonic and the note at fret {octave_fret}"
    return Says("there is no complete reading", remedy, "readings-missing-on-page")


def counts_differ(harmonics: int, fretted: int) -> Says:
    """Fields of an end that do not make pairs."""
    notes = "1 fretted note" if fretted == 1 else f"{fretted} fretted notes"
    remedy = "write as many of each, with a slash between two, or one harmonic for all fretted notes"
    return Says(f"there are {harmonics} harmonics and {notes}", remedy, "readings-counts-differ")


def no_pdf(fault: Fault) -> Says:
    """A note on a part whose page does not fit."""
    return Says(("there is no PDF of it: ", *_parts(fault.what)), fault.remedy, "part-without-page")


def _parts(words: Words) -> Words:
    return (words,) if isinstance(words, str) else words


def from_the_preset(untouched: Sequence[str]) -> Says:
    """A note on values that the user has not measured."""
    what = f"these come from the preset, not from your instrument: {', '.join(untouched)}"
    return Says(what, "measure and fill in your own", "values-from-preset")


def counts_instead(name: str) -> str:
    """At a field that does not count, because another says the same.

    >>> counts_instead("Nut to fret 12")
    '“Nut to fret 12” counts'
    """
    return f"“{name}” counts"


def core_of_old_string(core: object) -> Says:
    """A note on a core that was not changed with its gauge."""
    what = ("the gauge has changed, but ", Key("strings", "core"), f" is still {core}")
    return Says(what, "fill in the new string's core too", "core-of-old-string")


def no_field(key: str) -> Says:
    """A field that the form does not have."""
    return Says(f'there is no field "{key}"', "load the page again", "field-unknown")


def no_count_of_strings(value: str, most: int) -> Says:
    """Something else where the number of strings is meant."""
    return Says(f"{shown(value)} is not a number of strings", f"the most is {most}", "string-count")


def in_your_file(parts: Sequence[str]) -> str:
    """A place in the file that was opened, which no field of the page has.

    >>> in_your_file(["line 3"])
    'Your file, line 3'
    """
    return ", ".join(("Your file", *parts))


# ---- rounds


def round_lines(number: int, one: Round) -> tuple[AdviceLine, ...]:
    """A round that is done, line by line: what each end read, what was moved, where that left the bridge, the verdict.

    Kinds: round, round-read, round-moved, round-left if the place is known, round-verdict.
    """
    return tuple(_round_in_words(number, one))


def _round_in_words(number: int, one: Round) -> Iterator[AdviceLine]:
    yield AdviceLine("round", f"Round {number}")
    yield AdviceLine("round-read", f"Read: {_by_end(one.read_cents, sharp_or_flat)}")
    yield AdviceLine("round-moved", f"Moved: {_by_end(one.moved_mm, moved_in_words)}")
    if one.next is not None:
        places = " / ".join(map(format_mm, one.next.places_mm))
        yield AdviceLine("round-left", f"Left the bridge at: {places} from the nut")
    yield AdviceLine("round-verdict", f"Verdict: {VERDICTS[one.verdict]}")


def _by_end(values: Ends, in_words: Callable[[float], str]) -> str:
    known = zip(ENDS, values, strict=True)
    return "; ".join(f"{end} end {in_words(value)}" for end, value in known if value is not None)


def moved_in_words(mm: float) -> str:
    """How far an end was moved; away from the nut is positive.

    >>> moved_in_words(-1.24), moved_in_words(0.8), moved_in_words(0.001)
    ('1.2 mm towards the nut', '0.8 mm towards the tail', 'not moved')
    """
    if abs(mm) < LEAST_MOVE_MM:
        return "not moved"
    return f"{format_mm(abs(mm), 1)} towards the {'nut' if mm < 0 else 'tail'}"


# ---- listening

BY_MICROPHONE, BY_TUNER = "By microphone", "With a tuner"
STILL_PROCESSED = "The browser still changes the microphone's sound. The ± may be larger than it says."


def asked(string: str, end: str, is_pair: bool, octave_fret: int | None) -> tuple[AdviceLine, ...]:
    """What to pluck next: the open string, or the note at the octave's fret. Kinds: listen-string, listen-do.

    >>> for line in asked("pair 4 G3", "bass", True, None):
    ...     print(line.text)
    Pair 4 G3, bass end
    Damp the other strings, and one string of the pair. Pluck the open string.
    >>> asked("string 1 D4", "treble", False, 12)[1].text
    'Press at fret 12 and pluck.'
    """
    damp = f"Damp the other strings{', and one string of the pair' if is_pair else ''}. Pluck the open string."
    do = damp if octave_fret is None else f"Press at fret {octave_fret} and pluck."
    return AdviceLine("listen-string", f"{string[:1].upper()}{string[1:]}, {end} end"), AdviceLine("listen-do", do)


HEARD_ON_SCALE = "What was heard, in cents as on the fork"


def heard_in_words(end: str, pairs: Sequence[tuple[float, float]]) -> str:
    """The differences that were heard at an end, from cents and their standard errors, each with its ± (95%).

    >>> heard_in_words("treble", [(-3.21, 0.25), (-2.96, 0.3)])
    'treble end: −3.2 ± 0.5, −3.0 ± 0.6'
    """
    each = (f"{signed(cents, 1)} ± {round_up(NORMAL_QUANTILE * error, 1)}" for cents, error in pairs)
    return f"{end} end: {', '.join(each)}"


def heard_line(end: str, pairs: Sequence[tuple[float, float]]) -> AdviceLine:
    """The same as a line of its own."""
    return AdviceLine("listen-heard", f"{heard_in_words(end, pairs)} cents".capitalize())


def last_three_count(end: str) -> AdviceLine:
    """A string whose last three differences agree, after others that do not count."""
    return AdviceLine("listen-counted", f"{end.capitalize()} end: the last three agree, and only they count.")


def do_not_agree(end: str, pairs: int) -> AdviceLine:
    """A string whose last three differences differ, after the most plucks that are asked for."""
    text = f"{end.capitalize()} end: {pairs} pairs of plucks, and the last three differ. They count all the same."
    return AdviceLine("listen-unlike", text)


def refused_pluck(code: str) -> str:
    """Why a pluck does not count, and what to do; nothing for no code.

    >>> refused_pluck("clipped"), refused_pluck("")
    ('It is too loud for the microphone: pluck softer, or farther from it.', '')
    """
    why = why_not(code)
    return f"{why[:1].upper()}{why[1:]}." if why else ""


# ---- requests


def not_from_the_page() -> Says:
    """A request that the page would not send."""
    return Says("the page does not send such a request", "load the page again", "request-malformed")


def foreign() -> Says:
    """A request from elsewhere."""
    remedy = "open it at the address that was printed when it started"
    return Says("this page answers only at its own address on this computer", remedy, "request-foreign")


def nothing_here() -> Says:
    """An unknown address."""
    return Says("there is nothing at this address", "the page is at /", "request-not-found")


def too_large(kib: int) -> Says:
    """A request beyond its bound."""
    return Says(f"this is more than {kib} KiB", "an instrument file is a page of text", "request-too-large")


def stopped() -> Says:
    """A process that ended by itself."""
    return Says("the drawing program stopped", "try again", "answer-stopped")


def sound_too_large(kib: int) -> Says:
    """A sound beyond its bound."""
    return Says(f"this sound is more than {kib} KiB", "load the page again", "sound-too-large-for-page")


def hearing_took_too_long(seconds: float) -> Says:
    """A sound that was given up."""
    what = f"listening to this pluck took longer than {seconds:g} seconds and was stopped"
    return Says(what, "pluck again", "hearing-slow")


def took_too_long(seconds: float) -> Says:
    """An answer that was given up."""
    what = f"this drawing took longer than {seconds:g} seconds and was stopped"
    return Says(what, "undo the last change", "answer-slow")


def longer_took_too_long(seconds: float) -> Says:
    """An answer that was given up although it may take longer than others."""
    return Says(
        f"this took longer than {seconds:g} seconds and was stopped", "ask for less at once", "answer-longer-slow"
    )


def busy() -> Says:
    """More requests than can be answered."""
    return Says("too many requests are waiting", "try again in a moment", "answer-busy")
