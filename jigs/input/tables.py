"""One table of a file that a user wrote, checked against its keys."""

from collections.abc import Callable, Iterable, Mapping, Set
from dataclasses import replace
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ConfigDict, ValidationError

from jigs.faults import Fault, Key, Place, Says, Wrong
from jigs.input import words


class Section(BaseModel):
    """A table of the file: an unknown key is a fault, and no value is guessed."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


Table = TypeVar("Table", bound=Section)

_UNKNOWN = "extra_forbidden"
MOST_NAMED = 10
"""Unknown keys of a table that are named; more of them are counted, because it is another kind of file."""


def unknown_keys(keys: Iterable[str], says: Callable[[str], Says], place: Place) -> list[Fault]:
    """A fault for each of the first unknown keys, and one for all others; ``says``: what to say of one."""
    unknown = list(keys)
    more = len(unknown) - MOST_NAMED
    named = [says(key).at(replace(place, key=key)) for key in unknown[:MOST_NAMED]]
    return [*named, *([words.more_unknown_keys(more).at(place)] if more > 0 else [])]


def read_section(
    model: type[Table],
    given: object,
    defaults: Mapping[str, Any],
    place: Place,
    faults: list[Fault],
    essential: Set[str] = frozenset(),
) -> Table | None:
    """Validate one table; its faults go to ``faults``, each at its key below ``place``.

    The result then serves the checks that follow: the table without its faulty keys. It is None where that makes no sense,
    as without an ``essential`` key.
    """
    if not isinstance(given, Mapping):
        faults.append(words.no_table(place.table).at(place))
        return None
    try:
        return model.model_validate({**defaults, **given})
    except ValidationError as error:
        details = error.errors(include_url=False)
        unknown = [str(detail["loc"][0]) for detail in details if detail["type"] == _UNKNOWN]
        wrong = set(unknown)
        for detail in details:
            if detail["type"] != _UNKNOWN:
                key, says = _says(model, detail, place.table)
                wrong.add(key)
                faults.append(says.at(replace(place, key=key)))
        faults += unknown_keys(unknown, lambda key: words.unknown_key(key, model.model_fields), place)
    if wrong & essential:
        return None
    try:
        return model.model_validate({**defaults, **{key: given[key] for key in given if key not in wrong}})
    except ValidationError:
        return None


def _says(model: type[Section], detail: Any, table: str) -> tuple[str, Says]:
    """The key at fault, and its sentence, for a validation error in a ``table``."""
    kind, given, key = detail["type"], detail["input"], str(detail["loc"][0])
    field = model.model_fields.get(key)
    example = str(field.examples[0]) if field is not None and field.examples else "a value"
    limits = detail.get("ctx", {})
    match kind:
        case "value_error":
            error = limits["error"]
            return (
                (error.key or key, error.says) if isinstance(error, Wrong) else (key, words.otherwise_wrong(str(error)))
            )
        case "missing":
            return key, words.missing(Key(table, key, example))
        case "literal_error" | "enum":
            return key, words.unknown_choice(given, [str(word) for word in _choices(model, key)])
        case "greater_than_equal":
            return key, words.too_small(given, limits["ge"])
        case "less_than_equal":
            return key, words.too_large(given, limits["le"])
        case "list_type" | "too_short" | "too_long":
            return key, _says_of_list(given, limits.get("max_length"), Key(table, key, example))
        case "bool_type":
            return key, words.no_truth(given)
        case "int_type" | "int_from_float":
            return key, words.no_whole_number(given, example)
        case "string_type":
            return key, words.no_quoted_text(given, example)
        case "float_type" | "finite_number":
            return key, words.no_number(given, example)
        case _:
            return key, words.otherwise_wrong(str(detail["msg"]))


def _says_of_list(given: object, most: int | None, key: Key) -> Says:
    """What is wrong with a value that is not a list, or with a list's length: it has more than ``most``, or nothing."""
    if not isinstance(given, list):
        return words.no_list(given, key)
    return words.empty_list(key) if most is None else words.long_list(len(given), most)


def _choices(model: type[Section], key: str) -> tuple[Any, ...]:
    annotation: Any = model.model_fields[key].annotation
    if isinstance(annotation, type):
        return tuple(annotation)  # type: ignore[arg-type]  # an enumeration lists its members
    words: list[Any] = []
    for choice in get_args(annotation):
        words += get_args(choice) or ([] if choice is type(None) else [choice])
    return tuple(words)
