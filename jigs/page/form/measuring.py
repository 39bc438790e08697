"""The form laid out for measuring: groups by what they are worth, each field with its picture and its part of the ±."""

from collections.abc import Iterable, Mapping
from typing import Any

from jigs.instrument.set_keys import FOUND_WAYS
from jigs.page.form.fields import GROUPS, STRING_FIELDS, Group, Level
from jigs.page.form.worth import OF_FIELD, WITHOUT_FIELD, WORTH, Worth, of_group
from jigs.page.how_to_measure import PICTURES, Picture

QUESTIONS = "saddle"
"""The group that is shown with the questions on top."""

OTHER_WAY = frozenset(f"found.{way[0]}" for way in FOUND_WAYS[1:])
"""Fields that begin another way to say what the fields before them say."""


_OF_A_STRING = {field.key for field in STRING_FIELDS}


def for_the_view() -> dict[str, Any]:
    """What the view of measuring is made of."""
    return {
        "levels": {level.value: [g for g in GROUPS if g.level is level and g.name != QUESTIONS] for level in Level},
        "saddle": next(group for group in GROUPS if group.name == QUESTIONS),
        "pictures": {one.key: one for one in PICTURES},
        "picture_after": {key: one for group in GROUPS for key, one in pictures_after(group).items()},
        "worth_after": {key: source for group in GROUPS for key, source in _worth_after(group).items()},
        "worth_of": {group.name: of_group(group) for group in GROUPS},
        "worth_of_strings": _helped(one for one in WORTH if one.fields and set(one.fields) <= _OF_A_STRING),
        "helps": _helps(),
        "other_way": OTHER_WAY,
    }


def pictures_after(group: Group) -> Mapping[str, Picture]:
    """The pictures of a group, each at the last field that it is for."""
    last = {one.key: field.key for field in group.fields for one in PICTURES if field.key in one.fields}
    return {last[one.key]: one for one in PICTURES if one.key in last}


def _worth_after(group: Group) -> Mapping[str, str]:
    """The parts of the ± of a group in view, each at the last field that makes it smaller; a folded one says it on top."""
    if group.folded:
        return {}
    last = {OF_FIELD[field.key]: field.key for field in group.fields if field.key in OF_FIELD}
    return {key: source for source, key in last.items()}


def _helps() -> list[dict[str, Any]]:
    """What helps besides a field, each with the parts that it makes smaller."""
    by_words: dict[str, dict[str, Any]] = {}
    for one in WITHOUT_FIELD:
        helps = by_words.setdefault(one.helps, {"words": one.helps, "leads_to": one.leads_to, "parts": []})
        helps["parts"] += _helped([one])
    return list(by_words.values())


def _helped(parts: Iterable[Worth]) -> list[dict[str, str]]:
    """Parts of the ±, by their sources and their names."""
    return [{"source": one.source.value, "name": one.name} for one in parts]
