"""The crown's pattern: where each string should bear, at 1:1 and enlarged, and whether the crown has the wood."""

import re

import numpy as np
import pytest
from boards import piece, words
from instruments import edited
from samples import PRESETS, assert_clear, named, preset

from jigs.drawing.items import Role, Text
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.press.layout import lay_out
from jigs.sheets.paper import PAPERS
from jigs.templates.crown_plan import break_points_mm, middle_mm, outside_crown
from jigs.templates.crown_words import crown_words, gluing_step, spread_in_words
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.work_up import work_up

UM = 1e-3
TIMES = 3
"""How large the enlarged plan of a mandolin's or a banjo's crown is on A4: the largest that goes across."""

BOTH = (("", 1), (f"at-{TIMES}-", TIMES))


def laid(workup, paper="a4"):
    (sheet,) = lay_out(workup, templates()["crown"], PAPERS[paper], Options())
    return sheet.drawing


def words_at(drawn, text):
    return [item.at for item in drawn if isinstance(item, Text) and item.text == text]


def middle(mark):
    return (mark.start[0] + mark.end[0]) / 2


def test_steps_that_are_there_are_drawn_and_listed_beside_those_that_are_wanted():
    steps = (-1.2, 1.2, -0.6, 1.0)
    for hand in ("right", "left"):
        text = re.sub(r"(?m)^steps *=.*\n", "", preset_text("mandolin"))
        text = re.sub(r"(?m)^(hand *=) .*", rf'\1 "{hand}"', text).replace(
            "[bridge]", f"[bridge]\nsteps = {list(steps)}", 1
        )
        workup = work_up(parse(text.encode(), "mine.toml"))
        drawn, tilt = piece(workup, "crown"), np.cos(np.radians(workup.line.slant_deg))
        wanted = workup.setbacks.setback_mm - (workup.line.at(workup.across_mm) - workup.scale_mm)
        for prefix, times in BOTH:
            straight = named(drawn, f"{prefix}straight-crown").start[1]
            for name, offsets in (("steps-there", np.array(steps)), ("break-line", wanted)):
                corners = named(drawn, f"{prefix}{name}").runs[0]
                back = [y for _, y in corners[::2]][:: -1 if hand == "right" else 1]
                assert (np.array(back) - straight) / times == pytest.approx(offsets * tilt, abs=UM)
        shown = words(laid(workup))
        for n, entry in enumerate(workup.instrument.strings):
            row = f"{n + 1} {entry.note} {workup.setbacks.setback_mm[n]:.2f} mm {wanted[n]:+.2f} mm {steps[n]:+.2f} mm"
            assert row.replace("-", "−") in shown
        assert "where they bear now" in shown
        assert_clear(drawn)
    straight = piece(preset("banjo"), "crown")
    assert "where they bear now" not in words(laid(preset("banjo")))
    assert not [item for item in straight if item.id.endswith("steps-there")]


def test_mandolin_crown_is_stepped_with_the_plain_a_pair_behind_the_wound_d_pair():
    """Common practice, no source."""
    points = break_points_mm(preset("mandolin"))
    assert points[1] > points[2] + 1


@pytest.mark.parametrize(("prefix", "times"), BOTH)
@pytest.mark.parametrize("name", ["mandolin", "tenor-banjo"])
def test_break_points_stand_off_the_straight_crown_by_their_setbacks(name, prefix, times):
    workup, drawn = preset(name), piece(preset(name), "crown")
    straight = named(drawn, f"{prefix}straight-crown").start[1]
    tilt = np.cos(np.radians(workup.line.slant_deg))
    for n, back in enumerate(workup.setbacks.setback_mm):
        off = (back - (float(workup.line.at(workup.across_mm[n])) - workup.scale_mm)) * tilt
        assert (named(drawn, f"{prefix}break-{n + 1}").start[1] - straight) / times == pytest.approx(off, abs=UM)


def test_strings_lie_along_the_crown_as_far_apart_as_on_the_bridge():
    workup, drawn = preset("mandolin"), piece(preset("mandolin"), "crown")
    middles = [middle(named(drawn, f"break-{n}")) for n in (1, 4)]
    assert middles[0] - middles[1] == pytest.approx(workup.instrument.bridge.spacing, abs=UM)


def test_left_handed_crown_has_its_treble_end_at_the_left_and_says_so():
    for hand, treble in (("right", 1), ("left", -1)):
        drawn = piece(preset("mandolin", hand), "crown")
        for prefix, _ in BOTH:
            assert treble * (middle(named(drawn, f"{prefix}break-1")) - middle(named(drawn, f"{prefix}break-4"))) > 0
        for bass, end in zip(words_at(drawn, "bass"), words_at(drawn, "treble"), strict=True):
            assert treble * (end[0] - bass[0]) > 0


def test_crown_that_is_too_thin_is_called_so():
    assert "they fit on this crown of 6 mm" in spread_in_words(preset("mandolin"))
    assert "more than this crown of 2.5 mm" in spread_in_words(preset("banjo"))
    assert "more than this crown of 2.5 mm" in words(laid(preset("banjo")))


def test_crown_says_what_a_straight_one_would_leave():
    workup, shown = preset("mandolin"), words(piece(preset("mandolin"), "crown"))
    for cents in workup.left_cents:
        assert f"{abs(cents):.1f} c" in shown


def test_crown_steps_between_the_strings_and_its_cents_have_the_sign_of_the_numbers():
    workup, drawn = preset("mandolin"), piece(preset("mandolin"), "crown")
    corners = named(drawn, "break-line").runs[0]
    ticks = [named(drawn, f"break-{n}") for n in (4, 3, 2, 1)]
    assert [y for _, y in corners[::2]] == pytest.approx([tick.start[1] for tick in ticks])
    for n in (0, 1, 2):
        turn = corners[1 + 2 * n][0]
        assert ticks[n].end[0] < turn < ticks[n + 1].start[0]
        assert turn == pytest.approx((ticks[n].end[0] + ticks[n + 1].start[0]) / 2)
    shown = words(drawn)
    for n, cents in enumerate(workup.left_cents):
        if abs(cents) > 0.05:
            assert f"{'+' if cents > 0 else '−'}{abs(cents):.1f} c" in shown, n


def test_pattern_lies_with_the_nut_up_and_says_nut_and_tail():
    drawn = piece(preset("mandolin"), "crown")
    for (nut, tail), prefix in zip(
        zip(words_at(drawn, "nut"), words_at(drawn, "tail"), strict=True), ("", f"at-{TIMES}-"), strict=True
    ):
        levels = [y for _, y in named(drawn, f"{prefix}crown").runs[0]]
        assert nut[1] < min(levels) < max(levels) < tail[1]
    behind = [named(drawn, f"at-{TIMES}-break-{n}").start[1] for n in (2, 3)]
    assert behind[0] > behind[1], "the pair with the larger setback is nearer the tail"


def test_grey_is_what_to_file_from_the_crowns_nut_edge_to_the_line_within_the_crown():
    for name in ("mandolin", "banjo"):
        drawn = piece(preset(name), "crown")
        outline, (grey,) = named(drawn, "crown"), named(drawn, "filed").runs
        top, foot = (way(y for _, y in outline.runs[0]) for way in (min, max))
        assert named(drawn, "filed").role is Role.BAND
        line = named(drawn, "break-line").runs[0]
        assert grey[:2] == outline.runs[0][:2]
        assert [(x, pytest.approx(min(max(y, top), foot))) for x, y in line] == list(grey[:1:-1])


def test_pattern_is_glued_so_far_behind_the_feet_that_the_line_is_where_it_is_computed():
    """The crown line is 5.5 mm behind the mandolin's base; from it the pattern goes by the middle of the break points."""
    for name, face, on in (("mandolin", 5.5, "base"), ("banjo", 3.75, "feet")):
        workup = preset(name)
        drawn = piece(workup, "crown")
        straight, edge = named(drawn, "straight-crown").start[1], named(drawn, "crown").runs[0][0][1]
        behind = face - (straight - edge)
        assert f"its nut edge {behind:.1f} mm behind the {on}'s nut side" in gluing_step(workup)
    before = edited("mandolin", bridge={"face": 0.0})
    assert "before the base's nut side" in gluing_step(before)


def test_a_line_that_leaves_the_crown_is_explained_with_its_strings():
    workup = preset("banjo")
    beyond = np.abs(break_points_mm(workup) - middle_mm(workup)) > 1.25
    assert outside_crown(workup) == tuple(np.flatnonzero(beyond)) != ()
    said = words(laid(workup))
    assert "For strings 1, 3, 4 and 5 the wide line is outside it." in said
    assert "outside the outline this crown has no wood" in said
    assert "outside" not in words(laid(preset("mandolin")))


def test_crown_that_is_thicker_than_its_feet_is_noted():
    thick = edited("archtop-guitar", bridge={"thickness": 6.0, "crown": 7.0})
    (note,) = [note for note in thick.notes if note.code == "crown-over-feet"]
    assert "a crown of 7 mm is thicker than the feet or base below it" in note.sentence()
    even = edited("archtop-guitar", bridge={"thickness": 7.0, "crown": 7.0})
    assert "crown-over-feet" not in [note.code for note in even.notes]


@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("name", PRESETS)
def test_crown_is_enlarged_on_every_paper_with_its_steps_and_words_clear(name, paper):
    workup = preset(name)
    drawn = laid(workup, paper)
    assert_clear(drawn)
    assert any(item.id.endswith("-break-line") for item in drawn)
    said = crown_words(workup)
    for step in said.steps:
        assert len(step.split()) <= 15
        assert step in words(drawn)


def test_crown_too_long_to_be_enlarged_still_has_its_pattern_and_table():
    workup = edited("flat-top-guitar", bridge={"spacing": 140.0, "length": 160.0})
    for paper in ("a4", "letter"):
        drawn = laid(workup, paper)
        assert named(drawn, "break-line")
        assert not any(item.id.startswith("at-") for item in drawn)
        assert_clear(drawn)


def test_strings_close_together_are_named_by_number_or_not_at_all():
    strings = "".join(f'[[strings]]\nnote = "A{3 if n else 4}"\ngauge = 0.3\n' for n in range(12))
    for spacing in (14, 20, 40):
        text = f'name = "x"\nscale = 600\n{strings}[nut]\nspacing = 20\n[bridge]\nspacing = {spacing}\nlength = 60\n'
        assert_clear(laid(work_up(parse(text.encode(), "x"))))


@pytest.mark.parametrize("template", ["crown", "spacing", "blank"])
@pytest.mark.parametrize(
    ("steps", "leave"), [({}, "straight"), ({"steps": [0, 1.0, 3.0, 0, 0]}, "as it is")], ids=["straight", "stepped"]
)
def test_a_crown_without_the_wood_for_it_is_not_filed_to_steps(template, steps, leave):
    """Its strings would bear on nothing, and the wood that is there would be gone."""
    for crown, filed in ((2.5, False), (4.5, True)):
        workup = edited("banjo", bridge={"crown": crown, **steps})
        sheets = lay_out(workup, templates()[template], PAPERS["a4"], Options())
        said = " ".join(words(one.drawing) for one in sheets)
        old, new = f"Leave this crown {leave}: steps would need one", "Leave the top straight: steps would need a crown"
        assert (f"{new if template == 'blank' else old} of 4.5 mm." in said) is not filed
        assert ("File the grey lower" in said or "until only the stepped line" in said) is filed
