"""Slips of the pen in an instrument file: one value ten times off, halved or doubled, in the other unit, an octave off.

Also instruments that are sound: as they come into a workshop, within what is usual. All ranges are common practice, from
memory, without a source.
"""

import copy
import re
import tomllib
from fractions import Fraction

import numpy as np

from jigs.faults import InputFaults
from jigs.instrument.file import from_data
from jigs.instrument.opening import preset_text
from jigs.workup.work_up import work_up

FACTORS = {"ten times": 10, "a tenth": 0.1, "twice": 2, "half": 0.5, "inches": 25.4, "millimetres": 1 / 25.4}
COUNTS = ("frets", "starts_at_fret", "feet")
MOVED_MM = 1.0
_NUMBER = re.compile(r"(\d+(?: \d+/\d+)?|\d*\.\d+|\d+/\d+)(.*)")
_MEASURED_TOO = re.compile(r"# (core|face|finger|press|height)(\s*=)", re.MULTILINE)


def preset_data(name, measured=False):
    """A preset as data; ``measured``: with the values that its file offers for what only some people measure."""
    text = preset_text(name)
    text = text if isinstance(text, str) else text.decode()
    return tomllib.loads(_MEASURED_TOO.sub(r"\1\2", text) if measured else text)


def leaves(data, path=()):
    """Every value of a file, and the way to it."""
    for key, value in data.items() if isinstance(data, dict) else enumerate(data):
        if isinstance(value, dict | list):
            yield from leaves(value, (*path, key))
        else:
            yield (*path, key), value


def slips(path, value):
    """What a value may become by one slip, each with the slip's name."""
    if path[-1] == "note":
        name, octave = value[:-1], int(value[-1])
        yield from ((f"octave {step:+d}", f"{name}{octave + step}") for step in (1, -1))
    elif isinstance(value, bool):
        return
    elif path[-1] in COUNTS:
        yield from ((name, round(factor * value)) for name, factor in list(FACTORS.items())[:4])
    elif isinstance(value, int | float):
        yield from ((name, round(factor * value, 4)) for name, factor in FACTORS.items())
    elif isinstance(value, str) and (number := _NUMBER.fullmatch(value)):
        whole = float(sum(map(Fraction, number[1].split())))
        yield from ((name, f"{factor * whole:.5f}{number[2]}") for name, factor in FACTORS.items())


def with_value(data, path, value):
    """The data with another value at a place."""
    changed = copy.deepcopy(data)
    at = changed
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] = value
    return changed


def worked_up(data):
    """All numbers of an instrument; `InputFaults` if it is refused."""
    return work_up(from_data(data, "mine.toml"))


def places(workup):
    """Both ends of the crown line, and of the nut side of the feet."""
    return np.array([*workup.outer_places_mm, *workup.face_line.at(workup.outer_mm)])


def what_becomes_of(data):
    """For every slip of a file: its name, "refused", "noted" or "silent", and how far an end moves where it is drawn."""
    before = worked_up(data)
    known = {(note.code, note.place) for note in before.notes}
    for path, value in leaves(data):
        for name, slipped in slips(path, value):
            slip = f"{'.'.join(map(str, path))} {value} as {slipped} ({name})"
            try:
                workup = worked_up(with_value(data, path, slipped))
            except InputFaults:
                yield slip, "refused", 0.0
                continue
            new = [note for note in workup.notes if (note.code, note.place) not in known]
            yield slip, "noted" if new else "silent", float(np.max(np.abs(places(workup) - places(before))))


MEASURES = {
    ("action", "fret_12"): 0.87, ("action", "nut"): 0.7, ("bridge", "thickness"): 0.8, ("bridge", "spacing"): 0.92,
    ("nut", "spacing"): 0.92, ("tail", "afterlength"): 0.7, ("tail", "headlength"): 0.7,
}  # fmt: skip
"""From this share of a preset's value up to the same share beyond it, another instrument of the kind measures."""
A_SEMITONE_DOWN = 0.2


def sound_instrument(data, random):
    """An instrument like a preset's, as another owner might measure it: strings of another set, heights, bridge, tail."""
    one = copy.deepcopy(data)
    one["scale"] = f"{_inches(one['scale']) * random.uniform(0.98, 1.02):.2f} mm"
    for (table, key), share in MEASURES.items():
        one[table][key] = float(one[table][key] * random.uniform(share, 1 / share))
    if "steps" in one["bridge"]:
        one["bridge"]["steps"] = [round(step + random.uniform(-0.2, 0.2), 1) for step in one["bridge"]["steps"]]
    if "nut_width" in one.get("board", {}):
        one["board"]["nut_width"] *= one["nut"]["spacing"] / data["nut"]["spacing"]
    tuned = -1 if random.random() < A_SEMITONE_DOWN else 0
    for string in one["strings"]:
        _restring(string, random, tuned)
    return one


def _inches(text):
    return 25.4 * float(sum(map(Fraction, text.removesuffix("in").split())))


_NOTES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")


def _restring(string, random, tuned):
    """The gauge of another set, perhaps tuned lower; of some wound strings the core, as its share is in use."""
    thousandths = round(1000 * float(string["gauge"].rstrip("w")) * random.uniform(0.95, 1.05))
    wound = string["gauge"].endswith("w")
    string["gauge"] = f".{thousandths:03d}{'w' if wound else ''}"
    if wound and random.random() < 0.3:
        string["core"] = f"{thousandths / 1000 * random.uniform(0.45, 0.55):.4f} in"
    steps = _NOTES.index(string["note"][:-1]) + 12 * int(string["note"][-1]) + tuned
    string["note"] = f"{_NOTES[steps % 12]}{steps // 12}"
