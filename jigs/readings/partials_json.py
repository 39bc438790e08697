"""Partials of a pluck as lists and numbers, for a program that keeps them, and back; what comes back is checked."""

from dataclasses import fields
from typing import Any

import numpy as np

from geometry.partials import Partials
from jigs.faults import Place
from jigs.readings import listening_words as words

_LISTS = ("hz", "standard_error_cents", "level_db", "decay_per_s")
_SINGLE = tuple(field.name for field in fields(Partials) if field.name not in ("number", *_LISTS))
_MOST_PARTIALS, _LARGEST, _LOWEST_HZ, _LEAST_CENTS = 100, 1e5, 1.0, 1e-6


def as_numbers(partials: Partials) -> dict[str, Any]:
    """Partials as lists and numbers."""
    lists = {name: getattr(partials, name).tolist() for name in ("number", *_LISTS)}
    return {**lists, **{name: float(getattr(partials, name)) for name in _SINGLE}}


def from_numbers(data: object) -> Partials:
    """Partials that `as_numbers` wrote. Raises `InputFaults` for anything else."""
    partials = _partials(data) if isinstance(data, dict) else None
    if partials is None:
        raise words.not_partials().refusal(Place())
    return partials


def _partials(data: dict[str, Any]) -> Partials | None:
    number = data.get("number")
    if not isinstance(number, list) or not 2 <= len(number) <= _MOST_PARTIALS:
        return None
    whole = all(isinstance(n, int) and not isinstance(n, bool) and 0 < n <= _MOST_PARTIALS for n in number)
    if not whole or sorted(set(number)) != number:
        return None
    columns = {name: _numbers(data.get(name), len(number)) for name in _LISTS}
    single = {name: _numbers([data.get(name)], 1) for name in _SINGLE}
    if any(each is None for each in (*columns.values(), *single.values())):
        return None
    if min(columns["hz"] or ()) < _LOWEST_HZ or min(columns["standard_error_cents"] or ()) < _LEAST_CENTS:
        return None
    read: dict[str, Any] = {name: np.array(each) for name, each in columns.items()}
    read |= {name: each[0] for name, each in single.items() if each}
    return Partials(number=np.array(number, dtype=int), **read)


def _numbers(values: object, count: int) -> list[float] | None:
    """So many finite numbers of a size that something heard can have; None for anything else."""
    if not isinstance(values, list) or len(values) != count:
        return None
    if not all(isinstance(n, int | float) and not isinstance(n, bool) and abs(n) < _LARGEST for n in values):
        return None
    return [float(n) for n in values]
