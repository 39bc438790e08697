"""The picture of a fork in use: everything is where the instrument's numbers put it, and one can read it."""

import re
import xml.etree.ElementTree as ET
from functools import cache
from itertools import combinations

import numpy as np
import pytest
from readers import svg_pieces
from samples import ROOT
from shapely.geometry import LineString, Point, box
from validity import assert_svg_is_valid

from jigs.demo import fork_in_use
from jigs.demo.fork_in_use import INSTRUMENT, STEM
from jigs.demo.paint import within
from jigs.drawing.items import Anchor, Line, Path, Role, Text, bounds, drawing
from jigs.drawing.lettering import CAPITAL_PER_EM
from jigs.instrument.file import parse
from jigs.workup.work_up import work_up

SVG = "{http://www.w3.org/2000/svg}"
FRET, STRINGS = 19, 5
README_PX, LEAST_LETTERS_PX, MOST_LABELS = 800, 11, 6
CLOSE_MM = 0.01
GAP_MM = 1.0


@cache
def workup():
    return work_up(parse((ROOT / "jigs" / "demo" / INSTRUMENT).read_bytes(), INSTRUMENT))


@cache
def picture():
    return fork_in_use.files(workup())[f"{STEM}.svg"]


@cache
def pieces():
    """Straight pieces by id, as (x, y, x, y)."""
    return svg_pieces(picture())


def groups():
    return [each for each in ET.fromstring(picture()) if each.tag == f"{SVG}g"]


def shapes(name):
    """The corners of each path of a coat."""
    group = next(each for each in groups() if each.get("id") == name)
    ways = [re.findall(r"M ([^MZ]*)", path.get("d")) for path in group.iter(f"{SVG}path")]
    return [np.array([place.split() for place in run.split(" L ")], float) for runs in ways for run in runs]


def words():
    """Every text with the box that it takes."""
    for each in ET.fromstring(picture()).iter(f"{SVG}text"):
        at, em = (float(each.get("x")), float(each.get("y"))), float(each.get("font-size"))
        taken = bounds(Text(at, each.text, em * CAPITAL_PER_EM, Anchor(each.get("text-anchor", "start"))))
        yield each.text, em, box(taken.left, taken.top, taken.right, taken.bottom)


def off_the_line(places, line):
    """How far places lie beside the straight line through two others."""
    (x, y), (u, v) = line
    along = np.array([u - x, v - y]) / np.hypot(u - x, v - y)
    return abs((places - line[0]) @ np.array([-along[1], along[0]]))


def from_nut(x):
    """From the nut to a place in the picture, which has a millimetre of the instrument in a millimetre."""
    return x - pieces()["fret-22"][0][0] + workup().from_nut_mm[21]


def test_the_feet_meet_the_line_on_both_legs():
    feet, (treble, bass) = pieces()["feet"], pieces()["bridge-line"]
    nut_side = feet[0].reshape(2, 2)
    for leg in (treble, bass):
        assert off_the_line(leg.reshape(2, 2), nut_side).max() < CLOSE_MM
    assert max(leg[[0, 2]].max() for leg in (treble, bass)) < feet[:, [0, 2]].mean(), "on the nut side of the feet"
    middle = nut_side.mean(axis=0)[0]
    assert from_nut(middle) == pytest.approx(workup().face_line.centre_mm, abs=CLOSE_MM)


def test_the_loupe_shows_the_same_line_and_the_same_feet():
    line = np.concatenate(shapes("loupe-fork-line"))
    feet = shapes("loupe-bridge")[0]
    nut_side = feet[np.argsort(feet[:, 0])[:2]]
    assert off_the_line(nut_side, (line[0], line[np.argmax(abs(line - line[0]).sum(axis=1))])).max() < CLOSE_MM
    assert {text for text, _, _ in words()} >= {"−10", "0", "+10"}


def test_the_top_edge_is_against_the_bridge_side_of_its_fret():
    fret = pieces()[f"fret-{FRET}"][0]
    wide = workup().instrument.head.fret_crown_width
    assert pieces()["fork-outline"][:, [0, 2]].min() == pytest.approx(fret[0] + wide / 2, abs=CLOSE_MM)
    assert any(str(FRET) in text for text, _, _ in words())
    assert from_nut(fret[0]) == pytest.approx(workup().from_nut_mm[FRET - 1], abs=CLOSE_MM)


def test_the_fork_lies_over_the_head_and_under_strings_and_bridge():
    names = [each.get("id") for each in groups()]
    strings = [names.index(f"string-{n}-wire") for n in range(1, STRINGS + 1)]
    assert names.index("head") < names.index("fork") < names.index("bridge") < min(strings)
    assert names.index("board") < names.index("frets") < names.index("fork") < names.index("fork-line") < min(strings)
    stem = pieces()["fork-outline"]
    for n in range(1, STRINGS + 1):
        x, y, u, v = pieces()[f"string-{n}"][0]
        assert min(x, u) < stem[:, [0, 2]].min()
        assert max(x, u) > stem[:, [0, 2]].max()
        assert stem[:, [1, 3]].min() < min(y, v)
        assert max(y, v) < stem[:, [1, 3]].max()


def test_no_word_lies_over_another_or_leaves_the_picture():
    root = ET.fromstring(picture())
    width, height = (float(root.get(side).removesuffix("mm")) for side in ("width", "height"))
    card = box(0, 0, width, height).buffer(-3 * GAP_MM)
    for (one, _, taken), (other, _, room) in combinations(words(), 2):
        assert taken.distance(room) > GAP_MM, f"{one} and {other}"
    for text, em, taken in words():
        assert card.contains(taken), text
        assert em * README_PX / width >= LEAST_LETTERS_PX, text


def test_no_line_runs_through_a_word():
    lines = [LineString([piece[:2], piece[2:]]) for found in pieces().values() for piece in found]
    circles = [
        Point(float(each.get("cx")), float(each.get("cy"))).buffer(float(each.get("r")), 64).exterior
        for each in ET.fromstring(picture()).iter(f"{SVG}circle")
    ]
    assert len(circles) > MOST_LABELS
    for text, _, taken in words():
        assert min(taken.distance(line) for line in (*lines, *circles)) > GAP_MM / 2, text


def test_few_things_are_named_and_each_leader_ends_there():
    leaders = next(each for each in groups() if each.get("id") == "leaders")
    ends = [(float(each.get("x2")), float(each.get("y2"))) for each in leaders]
    assert len(ends) <= MOST_LABELS
    fret, line = pieces()[f"fret-{FRET}"][0].reshape(2, 2), pieces()["bridge-line"].reshape(-1, 2)
    for named in (fret, line):
        assert min(np.hypot(*(named - end).T).min() for end in ends) < CLOSE_MM


def test_it_says_what_it_is_and_that_nothing_is_to_be_measured():
    root = ET.fromstring(picture())
    assert "fork in use" in root.find(f"{SVG}title").text
    said = root.find(f"{SVG}desc").text
    assert all(words in said for words in ("Loan banjo 7", "not at true size", f"fret {FRET}"))


def test_it_is_a_valid_file_with_the_same_bytes_each_time():
    assert_svg_is_valid(picture())
    assert fork_in_use.files(work_up(parse((ROOT / "jigs" / "demo" / INSTRUMENT).read_bytes(), INSTRUMENT))) == {
        f"{STEM}.svg": picture()
    }


def test_through_a_hole_one_sees_what_is_in_it():
    hole = (0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)
    across = Line((-5.0, 2.0), (20.0, 2.0), Role.MARK)
    beside = Line((-5.0, 12.0), (20.0, 12.0), Role.MARK)
    corner = Path((((5.0, 5.0), (15.0, 5.0), (15.0, 15.0), (5.0, 15.0)),), Role.MARK, closed=True)
    line, square = within(drawing(across, beside, corner), hole)
    assert (bounds(line).left, bounds(line).right, bounds(line).top, bounds(line).bottom) == (0.0, 10.0, 2.0, 2.0)
    assert sorted(square.runs[0]) == [(5.0, 5.0), (5.0, 10.0), (10.0, 5.0), (10.0, 10.0)]
