"""What a player may take for measured and has not measured: values of a preset, and a core that is not the new string's."""

from collections.abc import Iterator, Mapping
from typing import Any

from jigs.faults import Note, Place
from jigs.instrument.filled import STRINGS
from jigs.page import words

FROM_A_PRESET = {
    "scale length": (("scale", "nut_to_fret_12"), "scale"),
    "string heights": (("action.nut", "action.fret_12"), "action.fret_12"),
    "strings": ((f"{STRINGS}.",), f"{STRINGS}.1.gauge"),
    "bridge": (("bridge.thickness", "bridge.face"), "bridge.thickness"),
}
"""What places the bridge, the fields that show that it was measured, and the field to begin with."""


def from_a_preset(fields: Mapping[str, str], of_preset: bool) -> dict[str, str]:
    """What is still the preset's of what places the bridge, each with the field to begin with.

    >>> from_a_preset({"scale": "26 in", "action.nut": "0.5", "bridge.face": "4"}, True)
    {'strings': 'strings.1.gauge'}
    """
    if not of_preset:
        return {}
    return {
        name: field for name, (keys, field) in FROM_A_PRESET.items() if not any(one.startswith(keys) for one in fields)
    }


def doubts(data: Mapping[str, Any], fields: Mapping[str, str], of_preset: bool) -> Iterator[Note]:
    """Notes on what a form was left at: ``data`` is what it began with, ``fields`` what was filled in since.

    >>> [str(note) for note in doubts({}, {"scale": "26 in", "action.nut": "0.5", "bridge.face": "4"}, True)]
    ['these come from the preset, not from your instrument: strings; measure and fill in your own']
    """
    untouched = from_a_preset(fields, of_preset)
    if untouched:
        yield words.from_the_preset(list(untouched)).note()
    listed = data.get(STRINGS)
    for n, entry in enumerate(listed if isinstance(listed, list) else [], 1):
        core = entry.get("core") if isinstance(entry, Mapping) else None
        gauge, left = fields.get(f"{STRINGS}.{n}.gauge"), f"{STRINGS}.{n}.core" not in fields
        if core is not None and gauge and left:
            yield words.core_of_old_string(core).note(Place(table=STRINGS, key="core", string=n))
