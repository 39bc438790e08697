"""An instrument file by questions and answers: each answer is checked at once, as the file would be.

Questions are values, and so is what was answered: `answered` gives a new `Answers`. Nobody is asked here; `jigs new` asks.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from typing import Any

from geometry.lengths import format_mm
from jigs.faults import Fault, InputFaults, Key, Option, Place, Wrong, close_to, did_you_mean, named_in_file
from jigs.input.gauges import with_w
from jigs.input.quantities import Length
from jigs.input.toml import data_of
from jigs.instrument import asking_words as words
from jigs.instrument.cross_checks import looks_like_a_scale
from jigs.instrument.file import parse
from jigs.instrument.filled import filled_in
from jigs.instrument.in_units import is_read_as_inches
from jigs.instrument.instrument import Instrument
from jigs.instrument.opening import preset_names, preset_text
from jigs.instrument.packets import as_printed, in_short, read_strings, written
from jigs.instrument.reference import measure_of
from jigs.instrument.restring import changes, other_entries
from jigs.instrument.saddle import STEPS, Stepped, saddle
from jigs.instrument.typed import bare

USUAL_PRESET = "banjo"
_KEYS = {
    "hand": "hand",
    "scale": "nut_to_fret_12",
    "frets": "frets",
    "action": "action.fret_12",
    "nut": "action.nut",
    "steps": STEPS,
    "thickness": "bridge.thickness",
    "length": "bridge.length",
    "name": "name",
}
"""The key of the file that each question fills in. The strings and the saddle fill in several, or none."""

_LENGTHS = ("action", "nut", "thickness", "length")
_BEFORE_THE_STRINGS = ("hand", "scale", "frets", "action", "nut")
_HANDS = {"r": "right", "l": "left"}
_TRUE = {"y": True, "yes": True, "n": False, "no": False}
_TENTH = 0.1
"""Of the height at fret 12: what fret 1 adds to the height at the nut, as the file's own comment has it."""

_HALF, _NEAR = 0.5, 0.05
"""Scales of an instrument differ by less from its preset's."""


@dataclass(frozen=True)
class Question:
    """A question: what is asked, how to measure it, and the value that an empty answer takes. ``own``: typed before."""

    name: str
    title: str
    how: tuple[str, ...]
    default: str
    own: bool = False


@dataclass(frozen=True)
class _Given:
    """An answer: the text, and the keys that it fills in; no text if the preset's value was taken."""

    text: str = ""
    fields: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Answers:
    """What was answered so far for the file ``source``: the preset to start from, and each question's answer."""

    source: str
    preset: str = ""
    given: Mapping[str, _Given] = field(default_factory=dict)

    @property
    def fields(self) -> dict[str, str]:
        """What the answers fill in."""
        asked = {one.name for one in questions(self)}
        return {key: text for name, one in self.given.items() if name in asked for key, text in one.fields.items()}

    @property
    def own(self) -> list[str]:
        """What was answered with something else than the preset's value, in short."""
        return [words.in_short(name, self.feet) for name in self._names if self._is_own(name)]

    @property
    def not_own(self) -> list[str]:
        """What was left as the preset has it, in short."""
        return [words.in_short(name, self.feet) for name in self._names if not self._is_own(name)]

    @property
    def _names(self) -> list[str]:
        return [one.name for one in questions(self)][1:]

    def _is_own(self, name: str) -> bool:
        return name in self.given and bool(self.given[name].text)

    @cached_property
    def of_preset(self) -> Instrument:
        """The preset's instrument."""
        return parse(preset_text(self.preset).encode(), self.source)

    @cached_property
    def data(self) -> Mapping[str, Any]:
        """What the preset's file says."""
        return data_of(preset_text(self.preset))

    @property
    def feet(self) -> str:
        """What the bridge stands on."""
        return f"the {self.of_preset.stands_on}"

    @property
    def text(self) -> str:
        """The instrument file: the preset's text with the answers in their places, comments and all."""
        return filled_in(preset_text(self.preset), self.data, self.fields, self.source)

    @property
    def file_text(self) -> str:
        """The same, and in its head which values are the user's own."""
        own = self.own
        lines = self.text.split("\n")
        head = next(n for n, line in enumerate(lines) if not line.startswith("#"))
        yours = ["#", *(f"# {line}" for line in words.yours(own))] if own else []
        return "\n".join([*lines[:head], *yours, *lines[head:]])

    def instrument(self) -> Instrument:
        """The instrument of that file. Raises `InputFaults`."""
        return parse(self.text.encode(), self.source)

    def saddles(self) -> dict[str, str]:
        """The steps that each answer to "is the saddle stepped?" fills in, and the preset's own answer."""
        return saddle(self.data, {}, of_preset=False)


def questions(answers: Answers) -> list[Question]:
    """Every question that is to be asked, as far as the answers so far decide it, in the order of the hands."""
    first = _which(answers)
    return [first] if not answers.preset else [first, *_of_the_instrument(answers)]


@cache
def titles() -> dict[str, str]:
    """What each preset is called, in the order of the list to choose from."""
    names = {name: str(data_of(preset_text(name))["name"]) for name in preset_names()}
    return dict(sorted(names.items(), key=lambda one: one[1]))


def _which(answers: Answers) -> Question:
    listed, preset = titles(), answers.preset or USUAL_PRESET
    default = f"{list(listed).index(preset) + 1}, {listed[preset]}"
    how = (*words.numbered(list(listed.values())), *words.WHICH_HOW)
    return Question("instrument", words.WHICH, how, default, bool(answers.preset))


def _of_the_instrument(answers: Answers) -> Iterator[Question]:
    own = answers.of_preset
    head, feet, fret = own.head, answers.feet, own.octave_fret
    pairs = all(entry.pair for entry in own.strings)
    action = _now(answers, "action", own.action.fret_12)

    def ask(name: str, title: str, how: tuple[str, ...], default: str) -> Question:
        before = answers.given[name].text if name in answers.given else ""
        return Question(name, title, how, before or default, bool(before))

    yield ask("hand", words.HAND, words.HAND_HOW, head.hand)
    example = str(answers.data.get("scale", format_mm(head.scale_mm)))
    yield ask("scale", words.scale(fret), words.scale_how(example), format_mm(head.from_nut_to_octave_mm))
    if isinstance(head.fret_rule, str):
        yield ask("frets", words.FRETS, words.FRETS_HOW, str(head.frets))
    yield ask("action", words.action(fret), words.HEIGHT_HOW, _mm(own.action.fret_12))
    yield ask("nut", words.NUT, words.nut_how(_TENTH * action), _mm(own.action.nut))
    strings = written(own.strings)
    how = words.strings_how([in_short(one) for one in own.strings[:2]])
    yield ask("strings", words.strings(len(own.strings), pairs), how, strings)
    is_stepped = answers.saddles()["answer"] == Stepped.YES
    yield ask("saddle", words.SADDLE, words.SADDLE_HOW, words.YES if is_stepped else words.NO)
    said = answers.given["saddle"].text if "saddle" in answers.given else ""
    if _TRUE.get(said.lower(), is_stepped):
        usual_steps = answers.saddles()[Stepped.YES] or ", ".join("0" * len(own.strings))
        yield ask("steps", words.STEPS, words.steps_how("pair" if pairs else "string"), usual_steps)
    yield ask("thickness", words.thickness(feet), words.THICKNESS_HOW, _mm(own.bridge.thickness))
    yield ask("length", words.length(feet), words.LENGTH_HOW, _mm(own.bridge.length))
    yield ask("name", words.NAME, words.NAME_HOW, own.name)


def _mm(mm: float) -> str:
    return f"{mm:g} mm"


def _now(answers: Answers, name: str, of_preset: float) -> float:
    """A length as it was answered, or the preset's, also while the answer is one that will be refused."""
    typed = answers.given[name].text if name in answers.given else ""
    try:
        return _length(_KEYS[name], typed) if typed else of_preset
    except Wrong:
        return of_preset


def _length(key: str, typed: str) -> float:
    """A length in mm. Raises `Wrong`."""
    measure = measure_of(key)
    assert isinstance(measure, Length)
    return measure.read(bare(typed, key))


# ---- answers


def answered(answers: Answers, question: Question, typed: str) -> Answers:
    """The answers with one more; an empty one takes the value in brackets. Raises `InputFaults` if it cannot be."""
    plain = typed.replace("\t", " ").strip()
    if not plain.isprintable():
        raise words.unprintable().refusal(Place())
    if question.name == "instrument":
        return answers if question.own and not plain else Answers(answers.source, _preset(plain))
    if not bare(plain) and question.own:
        plain = answers.given[question.name].text
    given = _Given(plain, _fields(answers, question, plain)) if bare(plain) else _Given()
    later = replace(answers, given={**answers.given, question.name: given})
    try:
        later.instrument()
    except InputFaults as wrong:
        # The preset's strings may break on this scale; the strings on the instrument come later.
        too_early = question.name in _BEFORE_THE_STRINGS
        faults = [one for one in wrong.faults if not (too_early and (one.place.table, one.place.key) == _GAUGE)]
        if faults:
            raise InputFaults(faults) from None
    return later


_GAUGE = ("strings", "gauge")


def _preset(plain: str) -> str:
    """The preset that is meant by a number in the list, by its own name or by its instrument's."""
    listed = titles()
    if not plain:
        return USUAL_PRESET
    if plain.isascii() and plain.isdecimal() and 1 <= int(plain[:3]) <= len(listed):
        return list(listed)[int(plain[:3]) - 1]
    low = " ".join(plain.lower().split())
    by_name = {title.lower(): preset for preset, title in listed.items()} | {preset: preset for preset in listed}
    if low not in by_name:
        near = None if plain.lstrip("-").isdecimal() else close_to(low, by_name)
        remedy = did_you_mean(near) if near else words.choose_number(len(listed))
        raise words.instrument_unknown(plain, remedy).refusal(Place())
    return by_name[low]


def _fields(answers: Answers, question: Question, plain: str) -> dict[str, str]:
    """The keys that an answer fills in. Raises `InputFaults`."""
    match question.name:
        case "strings":
            return _strings(answers, plain)
        case "saddle":
            if plain.lower() not in _TRUE:
                raise words.neither_yes_nor_no(plain).refusal(Place())
            return {} if _TRUE[plain.lower()] else {STEPS: answers.saddles()[Stepped.NO]}
        case "scale":
            return _scale(answers, plain)
        case "hand":
            return {"hand": _HANDS.get(plain.lower(), plain.lower())}
    return {_KEYS[question.name]: _as_written(_KEYS[question.name], plain)}


def _scale(answers: Answers, plain: str) -> dict[str, str]:
    """The scale, or nut to octave, which is not taken for what is more likely a scale."""
    key = _KEYS["scale"]
    for other in ("scale", key):
        if plain.lower().startswith(other):
            answer = plain[len(other) :].strip(" :")
            if other == "scale" and not answer.startswith("="):
                _refuse_half(answers, answer)
            return {other: _as_written(other, answer.strip(" ="))}
    try:
        mm = _length(key, plain)
    except Wrong:
        return {key: plain}
    head = answers.of_preset.head
    is_the_presets = abs(mm / head.scale_mm - 1) <= _NEAR
    if is_the_presets or looks_like_a_scale(head.kind, mm, head.octave_share):
        raise words.perhaps_the_scale(mm, bare(plain, key)).refusal(Place())
    return {key: _as_written(key, plain)}


def _refuse_half(answers: Answers, answer: str) -> None:
    """Raises `InputFaults` for a scale that is about half of the preset's, which is where fret 12 is."""
    try:
        mm = _length("scale", answer)
    except Wrong:
        return
    if abs(mm / answers.of_preset.head.scale_mm - _HALF) <= _NEAR:
        raise words.perhaps_the_half(mm, answer).refusal(Place())


def _as_written(key: str, plain: str) -> str:
    """An answer as the file has it: a bare number that can only be inches has its unit there.

    >>> _as_written("scale", "26 1/4"), _as_written("scale", "666.8"), _as_written("name", "7")
    ('26 1/4 in', '666.8', '7')
    """
    measure = measure_of(key)
    return f"{bare(plain, key)} in" if measure is not None and is_read_as_inches(plain, measure) else plain


def _strings(answers: Answers, plain: str) -> dict[str, str]:
    own = answers.of_preset
    try:
        entries = other_entries(own, read_strings(plain), Place(), same_make=None)
    except Wrong as wrong:
        raise wrong.says.refusal(Place()) from None
    return dict(changes(own.strings, entries))


def means(answers: Answers, question: Question) -> list[str]:
    """What an answer means, in lines, and what is worth another look; none if it says that itself."""
    said = _means(answers, question)
    return [*([said] if said else []), *_looks_odd(answers, question)]


def _looks_odd(answers: Answers, question: Question) -> Iterator[str]:
    """What a second look finds at the value that was just answered, if it is the user's own."""
    if question.name == "instrument" or not answers.given[question.name].text:
        return
    try:
        own = answers.instrument()
    except InputFaults as wrong:  # strings that would break on this scale; theirs come later
        would_break = {one.place.string for one in wrong.faults}
        if question.name == "scale" and 2 * len(would_break) > len(answers.of_preset.strings):
            yield words.look_again("", words.WOULD_BREAK)
        return
    for check in own.checks:
        if _question_of(check.place) == question.name:
            yield words.look_again(check.place.where if check.place.string else "", check.sentence(_as_typed))
    plain = [entry for entry in own.strings if question.name == "strings" and entry.is_thick_and_plain]
    if plain:
        yield words.read_as_plain(list(map(in_short, plain)), with_w(as_printed(plain[0].gauge)))


def _question_of(place: Place) -> str:
    """The question that fills in a key of the file; empty for none."""
    if place.table == "strings":
        return "strings"
    path = ".".join(part for part in (place.table, place.key) if part)
    return "scale" if path == "scale" else next((name for name, key in _KEYS.items() if key == path), "")


def first_to_answer_again(answers: Answers, faults: Sequence[Fault]) -> int:
    """The place of the first question that these faults are about; of the first about the instrument if there is none."""
    about = {_question_of(fault.place) for fault in faults}
    return next((n for n, one in enumerate(questions(answers)) if one.name in about), 1)


def _means(answers: Answers, question: Question) -> str:
    if question.name == "instrument":
        return words.chosen(titles()[answers.preset], answers.preset)
    if question.name == "scale":
        return words.scale_means(_scale_mm(answers))
    if question.name == "strings":
        own = answers.instrument()
        pulls = zip(map(in_short, own.strings), own.stringing.tension_n.tolist(), strict=True)
        return words.tensions(pulls, all(entry.pair for entry in own.strings))
    typed = answers.given[question.name].text
    return words.length_means(_length(_KEYS[question.name], typed)) if typed and question.name in _LENGTHS else ""


def _scale_mm(answers: Answers) -> float:
    filled = answers.given["scale"].fields
    head = answers.of_preset.head
    if "scale" in filled:
        return _length("scale", filled["scale"])
    return _length("nut_to_fret_12", filled[_KEYS["scale"]]) / head.octave_share if filled else head.scale_mm


# ---- faults of answers


def in_words(fault: Fault, question: Question) -> str:
    """A fault as it is shown below an answer: with its place only if that is another key than the one that was asked for."""
    of_string = fault.place.table == "strings"
    path = ".".join(part for part in (fault.place.table, fault.place.key) if part)
    other = of_string or (path not in ("", "scale") and path != _KEYS.get(question.name))
    sentence = fault.sentence(_as_typed)
    return f"{fault.place.where}: {sentence}" if other else sentence


def _as_typed(name: Key | Option) -> str:
    """A value without the quotes that it has in a file."""
    return name.example.strip('"') if isinstance(name, Key) and not name.key else named_in_file(name)
