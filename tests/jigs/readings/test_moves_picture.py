"""The bridge before and after, as a player sees it: which end goes which way, how far, and how much larger it is drawn."""

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from readers import svg_pieces
from samples import HANDS, PRESETS, SMALL_FILE, assert_clear, named, preset

from jigs.drawing.items import Circle, Text, bounds
from jigs.drawing.lettering import CAPITAL_PER_EM, LARGEST
from jigs.faults import InputFaults
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.readings import moves_picture
from jigs.readings.moves_picture import as_svg, draw, on_own_sheet
from jigs.readings.run import advice
from jigs.workup.work_up import work_up

pytestmark = pytest.mark.slow

UM = 1e-3
PHONE_PX = 320
"""A telephone 360 px wide, less the page's own margins."""

SHORT_BRIDGE_MM = 50.0
"""The words at the ends of a shorter bridge need as much room as those of one so long."""

WAYS = {"opposite": (3, -5), "to the tail": (6, 9), "to the nut": (-9, -4), "one alone": (0, -6), "far": (17, 15)}


def advised(workup, treble=None, bass=None, at=None, inner=None, **options):
    """Advice on how many cents sharp the outer strings read, and perhaps one between them."""
    read = {workup.outer_strings[0]: treble, 1: inner, workup.outer_strings[1]: bass}
    given_ = [
        pair
        for string, cents in read.items()
        if cents is not None
        for pair in (("string", str(string + 1)), ("harmonic", "0"), ("fretted", f"{cents:.6f}"))
    ]
    return advice(workup, given_, None, at, (options.get("tuner_error"), None), options.get("diagnose", False))


def place(workup, treble=0.0, bass=0.0):
    """A place of the bridge so far from the line, as --at takes it."""
    there = workup.outer_places_mm
    return f"{there[0] + treble:.3f} / {there[1] + bass:.3f}"


def svg_words(content):
    """What is written in an SVG file, in its order."""
    return [item.text for item in ET.fromstring(content).iter() if item.tag.endswith("}text")]


def said_times(content):
    """How much larger along the neck the picture says it is."""
    (times,) = re.findall(r"Along the neck (?:(\d+) times )?as large as across", " ".join(svg_words(content)))
    return int(times or 1)


def level(line, x):
    """How far down the first piece of a bridge is at x."""
    x1, y1, x2, y2 = line[0]
    return y1 + (y2 - y1) * (x - x1) / (x2 - x1)


def string_x(seen, string):
    return float(seen[f"string-{string + 1}"][:, 0].mean())


@pytest.mark.parametrize("stands", [None, (0.4, -0.3)])
@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", [name for name in PRESETS if name != "cello-banjo"])
def test_bridge_afterwards_lies_as_far_from_before_as_the_advice_says(name, hand, way, stands):
    workup = preset(name, hand)  # a cello banjo's line slants by 7° already: a turn more is refused
    found = advised(workup, *WAYS[way], at=place(workup, *stands) if stands else None)
    assert found.verdict in ("move", "check first string again")
    content = as_svg(found)
    seen, times = svg_pieces(content), said_times(content)
    moved = found.after.treble_mm - found.before.treble_mm, found.after.bass_mm - found.before.bass_mm
    for string, mm in zip(workup.outer_strings, moved, strict=True):
        x = string_x(seen, string)
        down = level(seen["bridge-after"], x) - level(seen["bridge-before"], x)
        assert down / times == pytest.approx(mm, abs=UM)
    slants = np.array([level(seen[f"bridge-{when}"], string_x(seen, workup.outer_strings[0]))
                       - level(seen[f"bridge-{when}"], string_x(seen, workup.outer_strings[1]))
                       for when in ("before", "after")]) / times  # fmt: skip
    expected = [each.treble_mm - each.bass_mm for each in (found.before, found.after)]
    np.testing.assert_allclose(slants, expected, atol=UM)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", PRESETS)
def test_across_the_strings_nothing_is_enlarged(name, hand):
    workup = preset(name, hand)
    seen = svg_pieces(as_svg(advised(workup, 3.5, -6.5)))
    x1, _, x2, _ = seen["bridge-before"][0]
    assert abs(x1 - x2) == pytest.approx(workup.instrument.bridge.length, abs=UM)
    sign = 1 if hand == "right" else -1
    for string, across in enumerate(workup.across_mm):
        assert string_x(seen, string) - (x1 + x2) / 2 == pytest.approx(sign * across, abs=UM)
    pairs = {string: len(seen[f"string-{string + 1}"]) for string in range(len(workup.across_mm))}
    assert pairs == {n: 2 if entry.pair else 1 for n, entry in enumerate(workup.instrument.strings)}


@pytest.mark.parametrize("hand", HANDS)
def test_arrow_to_the_nut_points_up_and_stands_on_its_own_string(hand):
    workup = preset("banjo", hand)
    seen = svg_pieces(as_svg(advised(workup, 3.5, -6.5)))
    for end, string, towards in (("treble", 0, 1), ("bass", 3, -1)):
        arrow, x = seen[f"move-{end}"], string_x(seen, string)
        tip, base = arrow[0][:2], arrow[3][:2]
        assert tip[0] == pytest.approx(x, abs=UM)
        assert np.sign(tip[1] - base[1]) == towards
        assert tip[1] == pytest.approx(level(seen["bridge-after"], x), abs=UM)
        assert base[1] == pytest.approx(level(seen["bridge-before"], x), abs=UM)
    nut = seen["to-nut"][0]
    assert nut[3] < nut[1]
    assert nut[3] < min(seen["string-1"][0][[1, 3]])


def test_left_handed_player_sees_the_mirror_image_with_readable_words():
    right, left = (draw(advised(preset("banjo", hand), 3.5, -6.5)) for hand in HANDS)
    for name in ("bridge-before", "bridge-after", "move-treble", "move-bass", "string-5"):
        mirrored = [[(-x, y) for x, y in run] for run in named(left, name).runs]
        np.testing.assert_allclose(
            np.concatenate(mirrored), np.concatenate([list(run) for run in named(right, name).runs]), atol=1e-9
        )
    words = [[item.text for item in seen if isinstance(item, Text)] for seen in (right, left)]
    assert words[0] == words[1]
    for seen, side in ((right, 1), (left, -1)):
        assert all(side * bounds(item).left >= 0 for item in seen if getattr(item, "text", "") == "string 1 D4")


def test_each_end_shows_its_string_how_far_it_goes_and_which_way():
    words = svg_words(as_svg(advised(preset("banjo"), 3.5, -6.5)))
    for run in (["string 1 D4", "1.3 mm", "towards the tail"], ["string 4 D3", "2.5 mm", "towards the nut"]):
        assert words[words.index(run[0]) :][:3] == run
    assert "from the nut" not in words


def test_end_that_stays_has_a_ring_and_no_arrow():
    drawn = draw(advised(preset("banjo"), 0, -7))
    assert isinstance(named(drawn, "move-treble"), Circle)
    words = [item.text for item in drawn if isinstance(item, Text)]
    assert words[words.index("string 1 D4") + 1] == "stays"


@pytest.mark.parametrize("end", ["treble", "bass"])
def test_end_that_was_not_read_is_held_while_the_other_moves(end):
    other = {"treble": "bass", "bass": "treble"}[end]
    drawn = draw(advised(preset("mandolin"), **{end: 6}))
    assert named(drawn, f"move-{end}")
    assert isinstance(named(drawn, f"held-{other}"), Circle)
    assert not [item for item in drawn if item.id == f"move-{other}"]
    words = [item.text for item in drawn if isinstance(item, Text)]
    held = {"treble": "pair 1 E5", "bass": "pair 4 G3"}[other]
    assert words[words.index(held) + 1] == "hold it still"
    assert "the crown after the move" in words


def test_with_a_known_place_each_end_shows_its_distance_from_the_nut():
    workup = preset("banjo")
    found = advised(workup, 3.5, -6.5, at="669.7 / 670.0")
    words = svg_words(as_svg(found))
    for string, place_mm in (("string 1 D4", found.after.treble_mm), ("string 4 D3", found.after.bass_mm)):
        assert words[words.index(string) :][3:5] == [f"to {place_mm:.1f} mm", "from the nut"]
    assert "the crown now" in words


def test_bridge_of_unknown_place_is_said_to_be_drawn_square():
    assert "the crown now, drawn square" in svg_words(as_svg(advised(preset("banjo"), 3.5, -6.5)))


@pytest.mark.parametrize("at", [None, "585 / 587"])
def test_bridge_that_is_right_is_left_alone(at):
    drawn = draw(advised(preset("tenor-banjo"), 1, -1, at=at))
    assert isinstance(named(drawn, "move-treble"), Circle)
    assert isinstance(named(drawn, "move-bass"), Circle)
    assert not [item for item in drawn if item.id == "bridge-before"]
    words = [item.text for item in drawn if isinstance(item, Text)]
    assert words.count("stays") == 2
    assert "Retune everything and play." in " ".join(words)
    assert ("585.0 mm" in words) is (at is not None)


def test_bridge_is_not_sent_anywhere_when_something_else_is_wrong():
    for found in (advised(preset("banjo"), -22, -23), advised(preset("banjo"), -3, 3, at="676 / 669")):
        drawn = draw(found)
        assert {item.id for item in drawn if item.id.startswith(("move", "bridge"))} == {"bridge-before"}
        words = " ".join(item.text for item in drawn if isinstance(item, Text))
        assert "something else is wrong" in words
        assert "towards" not in words


def test_readings_that_place_no_bridge_move_none():
    drawn = draw(advised(preset("banjo"), inner=5, diagnose=True))
    assert {item.id for item in drawn if item.id.startswith(("move", "bridge"))} == {"bridge-before"}
    assert "do not place the bridge" in " ".join(item.text for item in drawn if isinstance(item, Text))


def test_bridge_of_a_single_string_moves_as_a_whole():
    text = SMALL_FILE.split("[[strings]]\n")
    workup = work_up(parse("[[strings]]\n".join(text[:2]).encode(), "x"))
    found = advised(workup, bass=5)
    content = as_svg(found)
    seen = svg_pieces(content)
    for x in seen["bridge-before"][0][[0, 2]]:
        down = level(seen["bridge-after"], x) - level(seen["bridge-before"], x)
        assert down / said_times(content) == pytest.approx(found.moves[0].mm, abs=UM)
    assert svg_words(content).count("string 1 E5") == 1
    assert_clear(draw(found))


def test_before_and_after_differ_without_colour():
    svg = ET.fromstring(as_svg(advised(preset("banjo"), 3.5, -6.5)))
    before, after = (svg.find(f".//*[@id='bridge-{when}']") for when in ("before", "after"))
    assert before.get("stroke-dasharray")
    assert after.get("stroke-dasharray") is None
    assert float(after.get("stroke-width")) > 2 * float(before.get("stroke-width"))


@pytest.mark.parametrize("name", PRESETS)
def test_words_can_be_read_on_a_telephone(name):
    sheet = on_own_sheet(advised(preset(name), 3.5, -6.5, at=place(preset(name))))
    per_mm = PHONE_PX / sheet.paper.width_mm
    smallest = min(item.height_mm for item in sheet.drawing if isinstance(item, Text))
    assert smallest * per_mm / CAPITAL_PER_EM >= 12


def test_same_readings_make_the_same_picture():
    assert as_svg(advised(preset("mandolin"), 4, -3)) == as_svg(advised(preset("mandolin"), 4, -3))


cents = st.floats(-30, 30) | st.floats(-2, 2) | st.just(0.0)
offset = st.floats(-4, 4)


@settings(max_examples=250, deadline=None)
@given(
    name=st.sampled_from(PRESETS),
    hand=st.sampled_from(HANDS),
    treble=cents | st.none(),
    bass=cents | st.none(),
    inner=cents | st.none(),
    stands=st.tuples(offset, offset) | st.none() | st.tuples(st.floats(-30, 30), st.floats(-30, 30)),
    tuner_error=st.sampled_from([None, "0.01", "3"]),
)
def test_whatever_was_read_the_words_are_legible_and_nothing_is_cut_off(
    name, hand, treble, bass, inner, stands, tuner_error
):
    workup = preset(name, hand)
    try:
        at = place(workup, *stands) if stands else None
        found = advised(workup, treble, bass, at, inner, tuner_error=tuner_error)
    except InputFaults:
        assume(False)
    sheet = on_own_sheet(found)
    assert_clear(sheet.drawing)
    box, paper = sheet.drawing.bounds(), sheet.paper
    assert min(box.left, box.top, paper.width_mm - box.right, paper.height_mm - box.bottom) >= (
        moves_picture.MARGIN_MM - 1e-9
    )
    assert paper.width_mm <= max(workup.instrument.bridge.length, SHORT_BRIDGE_MM) + 115
    assert paper.height_mm < 230
    if any(item.id.startswith("move") and not isinstance(item, Circle) for item in sheet.drawing):
        assert "towards the" in " ".join(item.text for item in sheet.drawing if isinstance(item, Text))


@settings(max_examples=100, deadline=None)
@given(name=st.sampled_from(PRESETS), treble=st.floats(-9, 9), bass=st.floats(-9, 9))
def test_larger_move_is_seen_and_no_move_leaves_the_picture(name, treble, bass):
    found = advised(preset(name), treble, bass)
    assume(found.verdict not in ("stop", "something else"))
    content = as_svg(found)
    seen, times = svg_pieces(content), said_times(content)
    ends = np.concatenate([seen["bridge-before"][0], seen["bridge-after"][0]])[1::2]
    moved = times * max(abs(move.mm) for move in found.moves)
    assert times == 1 or (moved <= 30 and np.ptp(ends) <= 70 + UM)
    assert moved >= 12 or np.ptp(ends) > 28 - UM, "a larger scale would have had room"


@settings(max_examples=60, deadline=None)
@given(
    name=st.sampled_from([name for name in PRESETS if "banjo" in name]),
    length=st.floats(20, 300),
    share=st.floats(0.1, 1.0),
    treble=st.floats(-8, 8),
    bass=st.floats(-8, 8),
)
def test_bridge_of_any_size_keeps_its_words_legible(name, length, share, treble, bass):
    text = preset_text(name)
    spacing = min(max(length * share * 0.95, 7.0), 150.0, length - 2)
    for key, value in (("length", length), ("spacing", spacing)):
        start, line = re.search(rf"(?s)(^.*\[bridge\].*?)(\n{key} += [^\n]*)", text).span(2)
        text = f"{text[:start]}\n{key} = {value:.2f}{text[line:]}"
    sheet = on_own_sheet(advised(work_up(parse(text.encode(), "x")), treble, bass))
    assert_clear(sheet.drawing)
    box = sheet.drawing.bounds()
    assert box.left >= moves_picture.MARGIN_MM - 1e-9
    assert box.right <= sheet.paper.width_mm - moves_picture.MARGIN_MM + 1e-9


@pytest.mark.parametrize(
    ("found", "title"),
    [
        ({"treble": 3.5, "bass": -6.5}, "Move both ends"),
        ({"treble": 0, "bass": -7}, "Move the bass end"),
        ({"treble": 1, "bass": -1}, "Stop. Leave the bridge here"),
        ({"treble": -22, "bass": -23}, "Something else is wrong"),
        ({"inner": 5, "diagnose": True}, "What was read"),
    ],
)
def test_job_is_read_from_afar(found, title):
    drawn = draw(advised(preset("banjo"), **found))
    (first, *rest) = [item for item in drawn if isinstance(item, Text) and item.height_mm == LARGEST]
    assert " ".join(item.text for item in (first, *rest)) == title
    assert bounds(first).top == min(bounds(item).top for item in drawn)
