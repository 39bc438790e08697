"""Every field of the form, made from the keys of the instrument file, and what people call it."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from jigs.faults import Command, Key, Option
from jigs.input.gauges import GAUGES
from jigs.instrument.reference import ORDER, DeclaredKey, Kind, declared, default_of, keys_of, title_of
from jigs.page import bench_words, printing_words, words
from jigs.readings.advice import ENDS
from jigs.templates.catalogue import OPTIONS

_TICKED = "true"
_OF_A_STRING = re.compile(r"strings\.\d{1,2}\.(\w+)", re.ASCII)
_OF_A_ROW = re.compile(rf"readings\.rows\.(\d{{1,2}})\.({'|'.join(bench_words.ROW_LABELS)})", re.ASCII)
_STRINGS = "strings"


@dataclass(frozen=True)
class Field:
    """One field. ``blank`` is what a choice says when its key is not in the file; ``folded`` fields are out of view.

    ``unit`` stands beside a number in it. ``added``: it belongs to the value, so the page adds it to a plain number.
    """

    key: str
    label: str
    hint: str = ""
    kind: Kind = "length"
    choices: tuple[str, ...] = ()
    blank: str = ""
    folded: bool = False
    unit: str = ""
    added: bool = False


class Level(StrEnum):
    """What a group of fields is worth: nothing is drawn well without it, it makes the place surer, or neither."""

    MUST = "must"
    SHARPENS = "sharpens"
    HARDLY = "hardly"


@dataclass(frozen=True)
class Group:
    """Fields that belong together; ``folded`` away at first if most people can leave them as they are."""

    name: str
    title: str
    fields: tuple[Field, ...]
    level: Level
    folded: bool = True


_ACROSS_TABLES: tuple[tuple[str, str, Level, tuple[tuple[str, str], ...]], ...] = (
    (
        "instrument",
        title_of(""),
        Level.MUST,
        (("", "name"), ("", "kind"), ("", "hand"), ("", "frets"), ("", "scale"), ("", "nut_to_fret_12")),
    ),
    ("saddle", words.SADDLE, Level.MUST, (("bridge", "steps"),)),
    ("aids", words.AIDS, Level.SHARPENS, (("tolerance", "measured_with"),)),
    ("action", title_of("action"), Level.SHARPENS, (("action", "fret_12"),)),
    ("finger", words.FINGER, Level.SHARPENS, (("action", "finger"), ("action", "press"))),
    ("neck", words.NECK, Level.HARDLY, (("action", "nut"), ("action", "relief"), ("", "fret_crown_width"))),
    ("rule", words.UNEVEN_FRETS, Level.HARDLY, (("", "fret_rule"), ("", "frets_measured"), ("", "wanted_cents"))),
)
"""Groups of keys that people fill in together and the file keeps in several tables. Every other table is a group."""

_SHARPENS = ("bridge", "found")
"""Tables that place the bridge; the others hardly move it, or only other drawings use them."""

_UNFOLDED = ("instrument", "saddle", "aids", "action")
"""Groups that are not folded away at first."""

_IN_VIEW = ("note", "gauge", "core", "wrap", "pair")
"""The keys of a string that most strings need; the others are folded away."""


def _field(one: DeclaredKey, key: str, folded: bool = False) -> Field:
    """The field of a key."""
    choice = one.kind == "choice"
    blank = (words.DEFAULT if one.empty else f"{one.default} ({words.DEFAULT})") if choice else ""
    default = "" if choice or one.by_kind or one.kind == "check" else default_of(one)
    counts = f"if empty: {one.empty}" if one.empty else f"default {default}" if default else ""
    hint = "; ".join(part for part in (one.hint, counts) if part)
    unit = "" if one.table == _STRINGS and one.key in GAUGES else one.unit
    added = one.kind == "text" and unit != ""
    return Field(key, one.label, hint, one.kind, one.choices, blank, folded, unit, added)


def _groups() -> Iterable[Group]:
    for name, title, level, keys in _ACROSS_TABLES:
        fields = (declared(table, key) for table, key in keys)
        yield Group(name, title, tuple(_field(one, one.path) for one in fields), level, folded=name not in _UNFOLDED)
    across = {pair for *_, keys in _ACROSS_TABLES for pair in keys}
    for table in ORDER:
        rest = [one for one in keys_of(table) if (table, one.key) not in across]
        if rest and table != _STRINGS:
            name = table if table != "compensation" else "placing"
            level = Level.SHARPENS if table in _SHARPENS else Level.HARDLY
            yield Group(name, title_of(table), tuple(_field(one, one.path) for one in rest), level)


GROUPS = tuple(_groups())
"""The fields of an instrument except its strings, in the order in which people measure them."""

STRING_FIELDS = tuple(_field(one, one.key, one.key not in _IN_VIEW) for one in keys_of(_STRINGS))
"""The fields of one string."""

_DRAW_KINDS: dict[str, Kind] = {"fret": "whole", "flag": "check", "choice": "choice", "length": "length"}

DRAW_FIELDS = tuple(
    Field(
        option.name,
        option.label,
        option.hint,
        _DRAW_KINDS[option.kind],
        option.choices,
        option.default,
        unit="mm" if option.kind == "length" else "",
    )
    for option in OPTIONS
)
"""The fields of a drawing, as the catalogue declares its options."""

DRAW_KEYS = tuple(field.key for field in DRAW_FIELDS)


def _of_tables(fields: Iterable[Field]) -> dict[str, str]:
    firsts: dict[str, str] = {}
    for field in fields:
        table, dot, _ = field.key.partition(".")
        if dot:
            firsts.setdefault(table, field.key)
    return firsts


_OF_THE_INSTRUMENT = {field.key: field for group in GROUPS for field in group.fields}
_OF_ONE_STRING = {field.key: field for field in STRING_FIELDS}

BEGINS_WITH = _of_tables(_OF_THE_INSTRUMENT.values())
"""The first field of each table of the file, for a fault of a whole table."""


def in_the_file(key: str) -> str:
    """Table and key of an instrument's field: those of one string are the same for all.

    >>> in_the_file("strings.4.gauge"), in_the_file("action.nut"), in_the_file("scale")
    ('strings.gauge', 'action.nut', 'scale')
    """
    of_string = _OF_A_STRING.fullmatch(key)
    return f"{_STRINGS}.{of_string[1]}" if of_string else key


TEMPLATE = "template"
CHOICES = {TEMPLATE: words.TEMPLATE, "paper": words.PAPER, "printer": words.PRINTER}
"""Labels of what is chosen for every drawing."""

TONE_FIELDS = (
    Field("harmonic", *words.HARMONIC, "text"),
    Field("fretted", *words.FRETTED, "text"),
)
"""The fields of a reading, one of each for either end of the bridge. Their labels have ``{fret}`` for the octave's."""

BENCH_FIELDS = (
    Field("at", *words.PLACE, "text"),
    Field("tuner-error", *words.TUNER_ERROR, "text"),
    Field("touch-error", *words.TOUCH_ERROR, "text"),
)
"""What the user may know besides the readings."""

_OF_PRINTERS = {"reading-error": printing_words.READING_ERROR[0], "replace": printing_words.REPLACE}
_OF_PLACES = {
    "feet-from-fret": bench_words.HOW["feet"],
    "ticks": bench_words.HOW["ticks"],
    "wedges": bench_words.HOW["wedges"],
}
_OF_OPTIONS = CHOICES | _OF_PRINTERS | _OF_PLACES | {field.key: field.label for field in (*DRAW_FIELDS, *BENCH_FIELDS)}
_OF_TONES = {
    f"{end}-{tone.key}": f"{end.capitalize()} end, {tone.label.lower()}" for end in ENDS for tone in TONE_FIELDS
}


def _labels(groups: Sequence[Group]) -> dict[str, str]:
    """What each field is called in a sentence: its label, with its group where two have the same."""
    fields = [(field, group.title) for group in groups for field in group.fields]
    fields += [(field, title_of(_STRINGS)) for field in STRING_FIELDS]
    labels = [field.label for field, _ in fields]
    return {
        field.key: f"{title}: {field.label}" if labels.count(field.label) > 1 else field.label
        for field, title in fields
    }


_NAMED = _labels(GROUPS) | {"[[strings]]": title_of(_STRINGS)}


def label_of(name: Key | Option) -> str:
    """What the page calls a key or an option in a sentence, with a value for it as people type it.

    >>> label_of(Key("rim", "head", "280")), label_of(Key("nut", "spacing")), label_of(Option("kerf"))
    ('“Width of the head”: 280', '“Nut: Outer string spacing”', '“Kerf”')
    >>> label_of(Command("survey"))
    '“Old boards”'
    >>> label_of(Key("strings", "core", '"0.011 in"'))
    '“Core”: 0.011 in'
    >>> label_of(Key("found", "same_make", "true"))
    "a tick at “Today's strings are of the same make”"
    >>> label_of(Key("", "", '"nut and saddle"')), label_of(Key("", "", "[100, 200, …]"))
    ('nut and saddle', '100, 200, …')
    """
    if isinstance(name, Command):
        return f"“{words.name_of_view(words.VIEW_OF[name.name.split()[0]])}”"
    if isinstance(name, Option):
        label = _OF_OPTIONS.get(name.name, name.name.replace("-", " "))
    else:
        path = name.key if name.table in ("", _STRINGS) else f"{name.table}.{name.key}"
        label = _NAMED.get(path, name.key)
    example = name.example.strip('"[]')
    if isinstance(name, Key) and not name.key:
        return example
    if example == _TICKED:
        return f"a tick at “{label}”"
    return f"“{label}”: {example}" if example else f"“{label}”"


def name_of(key: str, octave_fret: int = 12) -> str:
    """What the page calls a field or a table, empty for neither: people find it by this name.

    ``octave_fret``: the instrument's own, which the fields of the readings name.

    >>> name_of("scale"), name_of("strings.4.gauge"), name_of("rim.head"), name_of("pitch.a4")
    ('Scale length', 'String 4, gauge', 'Width of the head (Banjo head)', 'A4 in Hz (Pitch)')
    >>> name_of("draw.kerf"), name_of("readings.bass-fretted"), name_of("strings"), name_of("colour")
    ('Kerf', 'Bass end, pressed at fret 12', 'Strings', '')
    """
    if key == _STRINGS or key in BEGINS_WITH:
        return title_of(key)
    part, _, rest = key.partition(".")
    if part == "draw":
        return _OF_OPTIONS.get(rest, "")
    of_row = _OF_A_ROW.fullmatch(key)
    if of_row:
        return bench_words.in_row(of_row[2], of_row[1])
    if part == "readings":
        return _OF_TONES.get(rest, _OF_OPTIONS.get(rest, "")).format(fret=octave_fret)
    of_string = _OF_A_STRING.fullmatch(key)
    if of_string:
        field = _OF_ONE_STRING.get(of_string[1])
        return "" if field is None else f"String {rest.partition('.')[0]}, {field.label[0].lower()}{field.label[1:]}"
    group = next((group for group in GROUPS if any(field.key == key for field in group.fields)), None)
    if group is None:
        return ""
    label = _OF_THE_INSTRUMENT[key].label
    return f"{label} ({group.title})" if group.folded else label
