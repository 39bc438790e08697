"""A place that was found by ear, kept in a file and read back: the checks of that round trip."""

import datetime
import tomllib

import numpy as np
from hypothesis import assume
from hypothesis import strategies as st
from round_trips import people_s_files

from jigs.faults import InputFaults
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.readings.keep import keep
from jigs.readings.kept_place import Given
from jigs.workup.found import feet_from_fret_mm, line_at_ticks
from jigs.workup.work_up import work_up

TODAY = datetime.date(2026, 11, 27)
OLD_PLACE = "[found]  # by ear\ntreble = 300.0  # from the nut\nbass = 301.0\n"
AS_WRITTEN_MM, TURNED_MM = 1e-6, 0.011
"""How near a place comes back: the crown's line as it was given; feet and ticks within a hundredth, as a file has them."""

MEASURED = st.floats(-3, 3).map(lambda mm: round(mm, 2))
WAYS = st.sampled_from(["at", "feet_from_fret", "ticks"])


@st.composite
def files_and_places(draw):
    """A file, what is before and behind its place if it has one, how a place is given, and how far off the line it is."""
    text = draw(people_s_files())
    assume(is_solved(text))
    way, off_mm, start = draw(WAYS), (draw(MEASURED), draw(MEASURED)), text.find("[tail]")
    if start < 0 or draw(st.booleans()):
        return text, text, "", way, off_mm
    end = "\r\n" if "\r\n" in text else "\n"
    before, behind = text[:start], text[start:]
    return before + OLD_PLACE.replace("\n", end) + behind, before, behind, way, off_mm


def is_solved(text):
    """Whether the numbers of a file can be worked out."""
    try:
        work_up(parse(text.encode(), "mine.toml"))
    except InputFaults:
        return False
    return True


def preset_with_a_place(way):
    """The preset of a mandolin as an editor of Windows saves it, with a measured core, counted turns and an old place."""
    lines = (
        preset_text("mandolin").replace("# core = ", "core = ", 1).replace("# core = ", "turns = 37 # ", 1).split("\n")
    )
    before, tail, behind = "\r\n".join(lines).partition("[tail]")
    assert "turns = 37" in before
    return before + OLD_PLACE.replace("\n", "\r\n") + tail + behind, before, tail + behind, way, (-1.25, 0.75)


def given_as(way, workup, off_mm):
    """What a user types for a place so far from the computed line, and the crown that this means at the outer strings."""
    ends = off_mm if workup.outer_strings[0] != workup.outer_strings[1] else (off_mm[0], off_mm[0])
    crown = np.array([round(place + off, 2) for place, off in zip(workup.outer_places_mm, ends, strict=True)])
    line = workup.line_through(*crown.tolist())
    single = ends is not off_mm
    if way == "at":
        return {"at": f"{crown[0]}" if single else f"{crown[0]} / {crown[1]}"}, crown
    if way == "feet_from_fret":
        fret = min(9, workup.instrument.head.frets)
        feet = [round(mm, 2) for mm in feet_from_fret_mm(workup, line, fret)]
        return {"feet_from_fret": (str(fret), f"{feet[0]}" if single else f"{feet[0]} / {feet[1]}")}, crown
    ticks = off_mm if not single else (off_mm[0], off_mm[0])
    return {"ticks": f"{ticks[0]} / {ticks[1]}"}, line_at_ticks(workup, ticks).at(workup.outer_mm)


def assert_kept_place_comes_back(folder, case):
    """As it was given, with today's strings; and not another byte of the file changes, also if it is kept again."""
    text, before, behind, way, off_mm = case
    path = folder / "mine.toml"
    path.write_bytes(text.encode())
    workup = work_up(parse(text.encode(), "mine.toml", computed=True))
    typed, crown = given_as(way, workup, off_mm)
    given = Given(**typed, plus_minus="0.45", date="2026-11-25", sure=True)
    keep(str(path), given, TODAY)
    after = path.read_bytes().decode()
    assert after.startswith(before)
    assert after.endswith(behind)
    assert after.count("\r\n") == (after.count("\n") if "\r\n" in text else 0)
    data = tomllib.loads(after)
    kept = data.pop("found")
    assert data == {key: value for key, value in tomllib.loads(text).items() if key != "found"}
    assert (kept["plus_minus"], kept["date"]) == (0.45, datetime.date(2026, 11, 25))
    read = work_up(parse(after.encode(), "mine.toml"))
    near = AS_WRITTEN_MM if way == "at" else TURNED_MM
    np.testing.assert_allclose(read.outer_places_mm, crown, rtol=0, atol=near)
    assert read.found is not None
    assert (read.found.same_strings, read.found.same_pitch) == (True, True)
    assert read.found.moved_mm == (0.0, 0.0)
    if way != "ticks":  # which count from the line that was drawn last, now the found one
        keep(str(path), given, TODAY)
        assert path.read_bytes().decode() == after
