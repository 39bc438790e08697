"""What `jigs new` asks, how to measure each answer, and what an answer means."""

from collections.abc import Iterable, Sequence

from geometry.lengths import format_inches, format_mm
from jigs.faults import Says
from jigs.input.words import shown
from jigs.instrument.in_units import in_inches
from jigs.wording import in_a_shell, listed

FORWARD, BACK = "Enter", "<"

INTRODUCTION = (
    f"{FORWARD} takes the preset's value in brackets: common practice, not yours.",
    f"Type {BACK} to go back one question. Ctrl-C stops, and nothing is written.",
    'A bare number is millimetres. You can also write "26 1/4 in" or "1/8 in".',
)

WHICH = "Which instrument is it most like?"
WHICH_HOW = ("Type its number or its name.",)
HAND = "Right-handed or left-handed?"
HAND_HOW = ("Write right or left. Left-handed drawings are mirrored.",)
FRETS = "How many frets?"
FRETS_HOW = ("Count them, without a zero fret.",)
HEIGHT_HOW = ("Measure from the top of the fret to the open string, with an action rule.",)
SADDLE = "Is the saddle stepped?"
SADDLE_HOW = ("Look from above: does each string bear at its own distance? Write yes or no.",)
STEPS = "Steps of the saddle"
NAME = "What is it called?"
NAME_HOW = ("The name is printed on every sheet.",)
YES, NO = "yes", "no"

IN_SHORT = {
    "hand": "hand",
    "scale": "scale",
    "frets": "number of frets",
    "action": "action",
    "nut": "height at the nut",
    "strings": "strings",
    "saddle": "saddle",
    "steps": "steps",
    "thickness": "thickness of {feet}",
    "length": "width across {feet}",
    "name": "name",
}
"""What each question is about, in a list."""


def in_short(name: str, feet: str) -> str:
    """What a question is about.

    >>> in_short("thickness", "the feet"), in_short("scale", "the feet")
    ('thickness of the feet', 'scale')
    """
    return IN_SHORT[name].format(feet=feet)


def scale(fret: int) -> str:
    """The question for the scale, by the fret at the octave."""
    return f"How far is it from the nut to fret {fret}?"


def scale_how(example: str) -> tuple[str, ...]:
    """How to measure it, and the other way to answer."""
    return ("Measure to the middle of the wire.", f"Or write the scale, if you know it: scale {example}")


def action(fret: int) -> str:
    """The question for the height of the strings at the octave's fret."""
    return f"How high are the strings over fret {fret} (the action)?"


NUT = "How high are the strings at the nut?"


def nut_how(tenth_mm: float) -> tuple[str, ...]:
    """How to measure it, with the action that was given."""
    subtract = f"Subtract a tenth of the action, {format_mm(tenth_mm)}."
    return ("Measure the gap over fret 1, with the string open.", subtract)


def strings(count: int, pairs: bool) -> str:
    """The question for the strings."""
    return f"Which {count} {'pairs of strings' if pairs else 'strings'} are on it?"


def strings_how(first: Sequence[str]) -> tuple[str, ...]:
    """How to write the strings. ``first``: some of the preset's."""
    return (
        f"Begin at the treble side: {', '.join(first)}, … or the gauges alone.",
        "Write gauges as on the packet, with a w for a wound string: .022w",
    )


def steps_how(string: str) -> tuple[str, ...]:
    """How to measure the steps of a saddle."""
    where = f"Write where each {string} bears, + towards the tailpiece, - towards the nut."
    return ("Hold a rule along the crown.", where)


def thickness(feet: str) -> str:
    """The question for the feet along the strings.

    >>> thickness("the base")
    'How thick is the base of the bridge, along the strings?'
    """
    return f"How thick {'are' if feet == FEET else 'is'} {feet} of the bridge, along the strings?"


def length(feet: str) -> str:
    """The question for the feet along the bridge."""
    return f"How wide is the bridge across {feet}?"


FEET = "the feet"
THICKNESS_HOW = ("Measure where the bridge stands, from its nut side to its tail side.",)
LENGTH_HOW = ("Measure where the bridge stands, from its treble end to its bass end.",)


# ---- the way through the questions


def numbered(names: Sequence[str]) -> list[str]:
    """A list to choose from.

    >>> numbered(["Banjo", "Mandolin"])
    [' 1  Banjo', ' 2  Mandolin']
    """
    return [f"{n:>2}  {name}" for n, name in enumerate(names, 1)]


def prompt(default: str, own: bool) -> str:
    """Before what is typed. ``own``: the value was typed before.

    >>> prompt("3 mm", False), prompt("2.8", True)
    ('[preset: 3 mm] ', '[yours: 2.8] ')
    """
    return f"[{'yours' if own else 'preset'}: {default}] "


def still_the_presets(names: Sequence[str]) -> str:
    """What was not answered."""
    return f"Still the preset's, not yours: {listed(names)}."


def yours(names: Sequence[str]) -> tuple[str, ...]:
    """For the head of the file: which values the user gave, and what the others are.

    >>> yours(["scale", "strings"])
    ('Your own values, from `jigs new`: scale and strings.', "All others are the preset's.")
    """
    return (f"Your own values, from `jigs new`: {listed(names)}.", "All others are the preset's.")


def next_step(file: str) -> str:
    """What to do with the file."""
    return f"Next: draw the fork with `jigs draw {in_a_shell(file)}`. To change a value, open {file} in an editor."


def look_first(file: str) -> str:
    """What to do with a file whose bridge slants too steeply to be drawn without a question."""
    return f"Next: correct {file} in an editor, see the notes. Then draw the fork with `jigs draw {in_a_shell(file)}`."


STOPPED = "Stopped. Nothing was written."


# ---- what an answer means


def chosen(title: str, preset: str) -> str:
    """The instrument that the file starts from."""
    return f"The file starts from `jigs presets {preset}`, the {title[0].lower()}{title[1:]}."


def scale_means(scale_mm: float) -> str:
    """The scale.

    >>> scale_means(666.75)
    'Scale: 666.8 mm (26 1/4 in).'
    """
    return f"Scale: {format_mm(scale_mm)} ({format_inches(scale_mm)})."


def length_means(mm: float) -> str:
    """A length, in both units.

    >>> length_means(3.0), length_means(3.175)
    ('That is 3.00 mm (0.118 in).', 'That is 3.18 mm (1/8 in).')
    """
    return f"That is {format_mm(mm, 2)} ({in_inches(mm)} in)."


def tensions(strings: Iterable[tuple[str, float]], pairs: bool) -> str:
    """How hard each string pulls.

    >>> tensions([("D4 .010", 61.2)], False)
    'Tension: D4 .010 61 N.'
    """
    pulls = ", ".join(f"{name} {newtons:.0f} N" for name, newtons in strings)
    return f"Tension{' of each string of a pair' if pairs else ''}: {pulls}."


WOULD_BREAK = "most of the preset's strings would break on this scale"


def look_again(at: str, sentence: str) -> str:
    """A value that is more likely a slip than real. ``at``: which of several.

    >>> look_again("string 1, gauge", "26 N is slack; check its octave")
    'Look again: string 1, gauge: 26 N is slack; check its octave.'
    """
    return f"Look again: {at}{': ' if at else ''}{sentence}."


def read_as_plain(names: Sequence[str], wound: str) -> str:
    """Strings that are mostly wound at their gauge, and have no w.

    >>> read_as_plain(["D3 .024"], ".024w")
    'Read as plain wire: D3 .024. A wound string has a w: .024w.'
    """
    return f"Read as plain wire: {listed(names)}. A wound string has a w: {wound}."


# ---- what cannot be


def instrument_unknown(answer: str, remedy: str) -> Says:
    """An instrument that is not in the list."""
    return Says(f"{shown(answer)} is not in the list", remedy, "instrument-not-listed")


def choose_number(most: int) -> str:
    """The remedy for a number that is not in the list."""
    return f"choose 1 to {most}"


def neither_yes_nor_no(answer: str) -> Says:
    """An answer to a question that has only two."""
    return Says(f"{shown(answer)} is neither yes nor no", "write yes or no", "answer-not-yes-or-no")


def unprintable() -> Says:
    """A character that no file should have."""
    return Says("the answer has a character that cannot be printed", "type it again", "answer-unprintable")


def perhaps_the_scale(mm: float, answer: str) -> Says:
    """A distance to the octave that is more likely the whole scale."""
    what = f"{format_mm(mm)} ({format_inches(mm)}) looks like the whole scale"
    remedy = f"if it is, write: scale {answer}; if not, write: scale = {2 * mm:g} mm"
    return Says(what, remedy, "scale-perhaps-whole")


def perhaps_the_half(mm: float, answer: str) -> Says:
    """A scale that is more likely the distance to the octave."""
    what = f"{format_mm(mm)} ({format_inches(mm)}) looks like the distance from nut to fret 12"
    remedy = f"if it is, write: {answer}; if it is the whole scale, write: scale = {answer}"
    return Says(what, remedy, "scale-perhaps-octave")


def answers_end(question: str) -> Says:
    """The end of the input before the last answer."""
    what = f'the answers end at the question "{question}", so nothing was written'
    return Says(what, "answer every question, each on a line; an empty line takes the preset's value", "answers-end")


# ---- the file's name


def name_taken(other: str) -> Says:
    """A file that exists."""
    remedy = f"it is not touched; name another: `jigs new {in_a_shell(other)}`"
    return Says("this file already exists", remedy, "new-file-exists")


def folder_of_that_name() -> Says:
    """A folder that has the file's name."""
    return Says("this is a folder", "name a file in it, or another file", "new-file-is-folder")


def no_toml(name: str) -> Says:
    """A name that does not end as that of an instrument file.

    >>> no_toml("mine.toml").remedy
    'an instrument file ends in .toml: run `jigs new mine.toml`'
    """
    remedy = f"an instrument file ends in .toml: run `jigs new {in_a_shell(name)}`"
    return Says("this is not the name of an instrument file", remedy, "new-file-suffix")


def reserved(name: str) -> Says:
    """A name that some systems keep for a device."""
    return Says(f"some systems keep the name {name} for a device", "choose another name", "new-file-reserved")


def odd_character(character: str) -> Says:
    """A character that this system takes in no name of a file."""
    return Says(f"this system takes no {character} in the name of a file", "choose another name", "new-file-character")


def unwritable(reason: str) -> Says:
    """A place where no file can be made."""
    return Says(f"no file can be written there ({reason})", "name a file in a folder of yours", "new-file-unwritable")
