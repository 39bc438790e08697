"""Every key of the instrument file as it is declared: for the page's form, and for the table that `jigs keys` prints."""

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from enum import Enum
from functools import cache
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from jigs.faults import Place
from jigs.input.quantities import Length, Quantity
from jigs.input.tables import Section
from jigs.instrument import usual, words
from jigs.instrument.keys import Head, StringEntry
from jigs.instrument.lists import Cents, ForEachFret, ForEachString
from jigs.instrument.tables import TABLES
from jigs.instrument.tolerance import default_doubt
from jigs.wording import in_columns

Kind = Literal["text", "length", "number", "whole", "list", "choice", "check"]

MODELS: Mapping[str, type[Section]] = {"": Head, "strings": StringEntry, **TABLES}
"""Every table of the file. "" is the top of the file, above all tables."""

ORDER = (
    "",
    "action",
    "compensation",
    "strings",
    "nut",
    "board",
    "bridge",
    "tail",
    "rim",
    "top",
    "found",
    "tolerance",
    "pitch",
)
"""The tables in the order of the presets."""

_OF_A_STRING = re.compile(r"strings\.\d{1,2}\.(\w+)", re.ASCII)

TOP = "instrument"
"""What the top of the file is called where a table has to have a name."""


@dataclass(frozen=True)
class DeclaredKey:
    """A key of the instrument file: what it is, what it may hold, and what counts without it.

    ``within`` are its bounds or choices as text, ``low`` and ``high`` its bounds as numbers, in ``unit``. ``default`` is the
    value that counts without the key; ``empty`` says it in words where it is not one value; ``by_kind`` has one for each
    kind of instrument. ``example`` is a value as the file has it.
    """

    table: str
    key: str
    label: str
    hint: str
    kind: Kind
    unit: str
    within: str
    low: float | None
    high: float | None
    choices: tuple[str, ...]
    default: str
    empty: str
    by_kind: tuple[str, ...]
    required: bool
    example: str

    @property
    def path(self) -> str:
        """Table and key, as the page names its fields."""
        return f"{self.table}.{self.key}" if self.table else self.key


def declared(table: str, key: str) -> DeclaredKey:
    """A key of a table.

    >>> one = declared("bridge", "face")
    >>> one.label, one.unit, one.within, one.empty, one.example
    ('Crown line to the nut side of feet or base', 'mm', '0 to 60', 'half the thickness', '3.75')
    """
    info = MODELS[table].model_fields[key]
    marks = list(_marks(info))
    extra: Any = info.json_schema_extra
    unit, low, high = _measured_in(marks)
    choices = tuple(word for mark in marks for word in _choices(mark))
    unit = extra["unit"] or unit
    by_kind = _by_kind(table, key)
    return DeclaredKey(
        table,
        key,
        label=str(info.title),
        hint=info.description or "",
        kind=_kind(marks),
        unit=unit,
        within=extra["within"] or _within(marks, choices, low, high),
        low=low,
        high=high,
        choices=() if _kind(marks) == "list" else choices,
        default=_default(table, key, info),
        empty=extra["empty"],
        by_kind=by_kind,
        required=info.is_required() and not by_kind,
        example=(info.examples or [""])[0],
    )


@cache
def kind_of(path: str) -> Kind | None:
    """The kind of a key, that of a string with its number; None if there is no such key.

    >>> kind_of("action.nut"), kind_of("strings.4.pair"), kind_of("strings.4"), kind_of("colour")
    ('length', 'check', None, None)
    """
    of_string = _OF_A_STRING.fullmatch(path)
    table, key = ("strings", of_string[1]) if of_string else path.rpartition(".")[::2]
    if table not in MODELS or key not in MODELS[table].model_fields or (table == "strings" and not of_string):
        return None
    return declared(table, key).kind


def keys_of(table: str) -> Iterator[DeclaredKey]:
    """The keys of a table, in its order."""
    return (declared(table, key) for key in MODELS[table].model_fields)


def title_of(table: str) -> str:
    """What a table is called by people.

    >>> title_of("rim"), title_of("")
    ('Banjo head', 'Instrument')
    """
    return str(MODELS[table].model_config["title"])


def chosen_tables(name: str | None) -> tuple[str, ...]:
    """The table of a name, or all tables without one. Raises `InputFaults` for an unknown name."""
    if name is None:
        return ORDER
    plain = name.strip().strip("[]").lower()
    known = [table or TOP for table in ORDER]
    if plain not in known:
        raise words.none_called("table", name, known).refusal(Place(option="table"))
    return ("" if plain == TOP else plain,)


@cache
def measure_of(path: str) -> Length | ForEachString | ForEachFret | Quantity | None:
    """How a key with a length or a unit is declared, by its table and key; None for any other key. As `DeclaredKey.path`.

    >>> measure_of("strings.peg"), measure_of("frets"), measure_of("strings.mass")
    (Length(low=3, high=80, of='', small='short', large='long', usual=(12, 40), listed=False), None, None)
    """
    table, _, key = path.rpartition(".")
    info = MODELS[table].model_fields.get(key) if table in MODELS else None
    for mark in () if info is None else _marks(info):
        if isinstance(mark, Length | ForEachString | Quantity):
            return mark
        if isinstance(mark, ForEachFret) and isinstance(mark.one, Length):
            return mark
    return None


def _marks(info: FieldInfo) -> Iterator[Any]:
    """The types of a key and the markers on them, out of unions and ``Annotated``."""
    yield from info.metadata
    waiting: list[Any] = [info.annotation]
    while waiting:
        one = waiting.pop()
        if get_origin(one) is Annotated:
            yield from one.__metadata__
            waiting.append(get_args(one)[0])
        elif get_origin(one) in (Union, UnionType):
            waiting += get_args(one)
        else:
            yield one


def _choices(mark: Any) -> tuple[str, ...]:
    """The words to choose from, where a type or a marker has any."""
    if get_origin(mark) is Literal:
        return get_args(mark)
    if isinstance(mark, type) and issubclass(mark, Enum):
        return tuple(str(member.value) for member in mark)
    return mark.named if isinstance(mark, ForEachFret) else ()


def _kind(marks: list[Any]) -> Kind:
    if any(isinstance(mark, ForEachFret | ForEachString) or get_origin(mark) is list for mark in marks):
        return "list"
    if any(isinstance(mark, Length) for mark in marks):
        return "length"
    if any(isinstance(mark, Quantity) for mark in marks):
        return "text"
    if any(_choices(mark) for mark in marks):
        return "choice"
    kinds: dict[Any, Kind] = {bool: "check", int: "whole", float: "number"}
    return next((kind for python, kind in kinds.items() if python in marks), "text")


def _measured_in(marks: list[Any]) -> tuple[str, float | None, float | None]:
    """Unit, least and most, as far as the type says them."""
    low = high = None
    for mark in marks:
        one = mark.one if isinstance(mark, ForEachFret) else mark
        if isinstance(one, Length | ForEachString):
            return "mm", one.low, one.high
        if isinstance(one, Cents):
            return "cents", one.low, one.high
        if isinstance(one, Quantity):
            return one.units[0], one.low, one.high
        low, high = getattr(one, "ge", low), getattr(one, "le", high)
    return "", low, high


def _within(marks: list[Any], choices: tuple[str, ...], low: float | None, high: float | None) -> str:
    """Bounds and choices as text."""
    bounds = "" if low is None or high is None else f"{low:g} to {high:g}"
    if any(isinstance(mark, ForEachFret | ForEachString) for mark in marks):
        bounds = f"a list of {bounds}"
    truth = "true, false" if _kind(marks) == "check" else ""
    return " or ".join(part for part in (", ".join(choices), bounds, truth) if part)


def _by_kind(table: str, key: str) -> tuple[str, ...]:
    """What is usual for each kind of instrument, where the key's default depends on it."""
    tables = usual.KIND_DEFAULTS.values()
    values = [of.get(key) if not table else of.get(table, {}).get(key) for of in tables]
    return tuple(f"{value:g}" for value in values if isinstance(value, int | float))


def _default(table: str, key: str, info: FieldInfo) -> str:
    """The value that counts without the key, empty where there is none."""
    value = None if info.is_required() else info.default
    if table == "tolerance" and value is None:
        value = default_doubt(key)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value:g}"
    return "" if value is None else str(value)


# ---- the tables that people and programs read

_HEADS = ("key", "range", "default", "example", "what it is")
_LONGEST_EXAMPLE = 22


def row(one: DeclaredKey) -> tuple[str, ...]:
    """A key as a line of the table: key, range, default, example, what it is.

    >>> row(declared("action", "relief"))
    ('relief', '0 to 3 mm', '0 mm', '0.1', 'Relief: hollow of the neck at fret 12')
    """
    return (
        one.key,
        with_unit(one.within, one),
        one.empty or default_of(one) or (words.REQUIRED if one.required else words.NO_DEFAULT),
        _short(one.example),
        f"{one.label}: {one.hint}" if one.hint else one.label,
    )


def with_unit(text: str, one: DeclaredKey) -> str:
    """A number of a key with its unit, which a percent sign follows at once."""
    return f"{text}{one.unit}" if one.unit == "%" else f"{text} {one.unit}".strip()


def default_of(one: DeclaredKey) -> str:
    """The default of a key with its unit, one for each kind of instrument where it depends on that; empty for none.

    >>> default_of(declared("rim", "head")), default_of(declared("action", "nut")), default_of(declared("", "hand"))
    ('279.4 mm', '0.5 / 0.4 / 0.5 mm', 'right')
    """
    default = " / ".join(one.by_kind) or one.default
    return with_unit(default, one) if default and not one.choices and one.kind != "list" else default


def _heading(table: str) -> str:
    """How a table begins in the file."""
    if not table:
        return "above all tables"
    return "[[strings]]" if table == "strings" else f"[{table}]"


def _short(example: str) -> str:
    """An example, the end of a long list cut off."""
    if len(example) <= _LONGEST_EXAMPLE or not example.startswith("["):
        return example
    return f"{', '.join(example.split(', ')[:3])}, …]"


def as_table(tables: Iterable[str]) -> str:
    """The keys of some tables in aligned columns, a heading over each table."""
    lines: list[str] = []
    by_kind = False
    for table in tables:
        rows = [_HEADS, *(row(one) for one in keys_of(table))]
        by_kind = by_kind or any(one.by_kind for one in keys_of(table))
        lines += ["" for _ in lines[:1]]
        lines.append(f"{_heading(table)}: {title_of(table)}")
        lines += [f"  {line}" for line in in_columns(rows, "<")]
    if by_kind:
        lines += ["", words.by_kind(usual.KIND_DEFAULTS)]
    return "\n".join(lines) + "\n"


def as_json(tables: Iterable[str]) -> str:
    """The same for programs."""
    keys = [asdict(one) | {"table": one.table or TOP} for table in tables for one in keys_of(table)]
    return json.dumps({"keys": keys}, indent=2, ensure_ascii=False) + "\n"
