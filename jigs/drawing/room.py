"""The room that a drawing has, and the refusal of one that is too small."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Room:
    """What a template may fill: ``width`` by ``height`` mm, less a corner at the top right for a ruler."""

    width: float
    height: float
    corner_width: float
    corner_height: float


class DoesNotFit(Exception):
    """The room is too small; the message says what does not fit."""
