"""One table of a file that somebody wrote, checked against its keys, and its faults in sentences."""

from collections.abc import Mapping, Set
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ConfigDict, ValidationError

from jigs.faults import Fault, nearest
from jigs.input.quantities import shown


class Section(BaseModel):
    """A table of the file: unknown keys are faults, values are not guessed at."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


Part = TypeVar("Part", bound=Section)


def read_section(
    model: type[Part],
    given: object,
    defaults: Mapping[str, Any],
    where: str,
    source: str,
    faults: list[Fault],
    essential: Set[str] = frozenset(),
) -> Part | None:
    """Validate one table; its faults go to ``faults``.

    What comes back then serves the checks that are still to come: the table with its faulty keys left out, or None when
    it would be another thing without them, as it is without an ``essential`` one.
    """
    place = f"[{where}]" if where and " " not in where else where
    if not isinstance(given, Mapping):
        what = f"must be a table; write [{where}] on a line of its own and its keys below"
        faults.append(Fault(source, place, what))
        return None
    try:
        return model.model_validate({**defaults, **given})
    except ValidationError as error:
        wrong = set()
        for detail in error.errors(include_url=False):
            key = detail["type"] if detail["type"] in model.model_fields else str(detail["loc"][0])
            wrong.add(key)
            joint = ", " if place.startswith("string") else " "
            spot = f"{place}{joint}{key}" if place else key
            faults.append(Fault(source, spot, _in_words(model, key, detail)))
    if wrong & essential:
        return None
    try:
        return model.model_validate({**defaults, **{key: given[key] for key in given if key not in wrong}})
    except ValidationError:
        return None


def _in_words(model: type[Section], key: str, detail: Any) -> str:
    """A validation error as a sentence: what is wrong; what would be right."""
    kind, written = detail["type"], shown(detail["input"])
    field = model.model_fields.get(key)
    example = str(field.examples[0]) if field is not None and field.examples else "a value"
    limits = detail.get("ctx", {})
    match kind:
        case "value_error":
            return str(detail["ctx"]["error"])
        case "extra_forbidden":
            return f"unknown key; {nearest(key, model.model_fields)}"
        case "missing":
            return f"is missing; write for instance {key} = {example}"
        case "literal_error" | "enum":
            words = [str(word) for word in _choices(model, key)]
            return f"{written} is not known; {nearest(str(detail['input']), words)}"
        case "greater_than_equal":
            return f"{written} is too small; {limits['ge']:g} is the least"
        case "less_than_equal":
            return f"{written} is too large; {limits['le']:g} is the most"
        case "list_type":
            return f"{written} is not a list; write for instance {key} = {example}"
        case "bool_type":
            return f"{written} is neither true nor false; write true or false, without quotes"
        case "int_type" | "int_from_float":
            return f"{written} is not a whole number; write for instance {example}"
        case "float_type" | "finite_number":
            return f"{written} is not a number; write for instance {example}"
        case _:
            return str(detail["msg"])


def _choices(model: type[Section], key: str) -> tuple[Any, ...]:
    annotation: Any = model.model_fields[key].annotation
    if isinstance(annotation, type):
        return tuple(annotation)  # type: ignore[arg-type]  # an enumeration lists its members
    words: list[Any] = []
    for choice in get_args(annotation):
        words += get_args(choice) or ([] if choice is type(None) else [choice])
    return tuple(words)
