"""What each part of the ± is worth: the fields that make it smaller, what helps besides, and its share in words."""

from dataclasses import dataclass
from typing import Any

from geometry.tolerance import Source
from jigs.page import measure_words as words
from jigs.page.form.fields import Group
from jigs.workup.sureness import EndSureness
from jigs.workup.table_words import SOURCES


@dataclass(frozen=True)
class Worth:
    """A part of the ±: ``fields`` make it smaller, those of a string without its number.

    ``helps`` says what to do where no field of it is near, and ``leads_to`` is the element of the page for that.
    """

    source: Source
    fields: tuple[str, ...] = ()
    helps: str = ""
    leads_to: str = ""

    @property
    def name(self) -> str:
        """What people call it, as the ± of the figures does."""
        return SOURCES[self.source]


WORTH = (
    Worth(Source.PRINT, (), words.MEASURE_THE_PRINTER, "f-draw.printer"),
    Worth(Source.CORE, ("turns", "core"), words.COUNT_THE_TURNS, "f-strings"),
    Worth(Source.TOUCH, ("action.finger", "action.press")),
    Worth(Source.ENDS, (), words.FIND_BY_EAR, "readings"),
    Worth(Source.ACTION, ("action.fret_12",)),
    Worth(Source.LAYING, (), words.CUT_A_GAUGE, "f-draw.template"),
    Worth(Source.SLIP, (), words.FIND_BY_EAR, "readings"),
    Worth(Source.FOUND, ("found.plus_minus",)),
    Worth(Source.SCALE, ("scale", "nut_to_fret_12")),
    Worth(Source.DATUM, (), words.CUT_A_GAUGE, "f-draw.template"),
    Worth(Source.MODULUS, ("tolerance.modulus_percent",)),
    Worth(Source.GAUGE, ("gauge",)),
    Worth(Source.NUT_HEIGHT, ("action.nut",)),
)
"""Every part of the ±, the largest first on most instruments: this order stays while the figures change."""

OF_FIELD = {key: one.source.value for one in WORTH for key in one.fields}
"""The part of the ± that a field makes smaller."""

WITHOUT_FIELD = tuple(one for one in WORTH if one.helps)
"""Parts that something else makes smaller than a field that is beside them."""


def of_group(group: Group) -> tuple[str, ...]:
    """The parts that the fields of a group make smaller."""
    return tuple(dict.fromkeys(OF_FIELD[field.key] for field in group.fields if field.key in OF_FIELD))


def as_shown(sure: EndSureness) -> dict[str, Any]:
    """Every part of the ± at the less sure end, in words, and what they are parts of."""
    return {
        "whole": words.whole(sure.end, sure.whole),
        "parts": {source.value: words.part(text, sure.whole) for source, _, text in sure.parts},
    }
