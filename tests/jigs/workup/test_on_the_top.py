"""Paper that climbs from board to top: the fork's line allows for it, and only where heights are in the file."""

import numpy as np
import pytest
from samples import ARCHED, HANDS, WALL, filed, measured, named, preset, run, words_of
from scipy.optimize import brentq
from working_edges import lean

from geometry.surface import height_mm
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.press.layout import lay_out
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.on_the_top import feet_before_crown_mm, laid_from_end_mm, laid_mm, surface_of
from jigs.workup.work_up import work_up


def fork(workup, fret=15):
    (drawn,) = lay_out(workup, templates()["fork"], WALL, Options(datum_fret=fret))
    return drawn.drawing


def line_mm(workup):
    """From the fork's edge to its line, on the centreline."""
    drawn = fork(workup)
    (x1, y1), (x2, y2) = (named(drawn, "bridge-line").runs[n][n] for n in (0, 1))
    middle = (x1 + x2) / 2
    return y1 + (y2 - y1) * (middle - x1) / (x2 - x1) - named(drawn, "datum").start[1]


def of(text):
    return work_up(parse(text.encode(), "mine.toml"))


def stepped(name, over_top, before_mm, *more, **values):
    """A preset with 18 frets whose board ends so far before the feet's nut side, so high over the top."""
    plain = preset(name, frets=18)
    end = plain.face_line.centre_mm - before_mm
    return measured(name, "board-height", *more, end=end, over_top=over_top, frets=18, **values)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", ["mandolin", "octave-mandolin"])
def test_board_ten_millimetres_over_the_top_costs_the_fork_half_a_millimetre(name, hand):
    """√(110² + 10²) − 110 = 0.4536 (Pythagoras), on a slanted line the mean of both sides; over two cents on a mandolin.

    The line is exact 50 mm either side of the centreline.
    """
    workup = stepped(name, 10.0, 110.0, hand=hand)
    moved = line_mm(workup) - line_mm(preset(name, hand=hand, frets=18))
    sides = 110.0 + 50 * workup.line.slope * np.array([-1.0, 1.0])
    assert moved == pytest.approx(np.mean(np.hypot(sides, 10.0) - sides), abs=0.0002)
    assert moved == pytest.approx(0.4536, abs=0.002)
    if name == "mandolin":
        per_mm = abs(workup.cents_per_mm[workup.outer_strings[0]])
        assert per_mm == pytest.approx(4.9, abs=0.1)
        assert moved * per_mm > 2


@pytest.mark.parametrize("tables", [("end-alone",), ("height-alone",), ("notches",)])
def test_without_the_height_of_the_board_nothing_changes(tables):
    from jigs.export.svg import to_svg

    def content(workup):
        (drawn,) = lay_out(workup, templates()["fork"], WALL, Options())
        return to_svg(drawn, "t", "s")

    assert content(measured("mandolin", *tables)) == content(measured("mandolin"))


def test_measured_rim_leaves_the_fork_alone(tmp_path):
    for stem, text in (("one", filed("banjo")), ("two", filed("banjo", "head", "feet"))):
        (tmp_path / stem).mkdir()
        (tmp_path / stem / "mine.toml").write_text(text)
        assert run("draw", tmp_path / stem / "mine.toml", "--out", tmp_path / stem)[0] == 0
    for kind in ("pdf", "svg"):
        one, two = ((tmp_path / stem / f"mine-fork.{kind}").read_bytes() for stem in ("one", "two"))
        assert one == two


def test_level_board_without_a_step_changes_nothing_and_claims_nothing():
    workup, plain = measured("mandolin", "board-height", over_top=0), preset("mandolin")
    assert line_mm(workup) == pytest.approx(line_mm(plain), abs=1e-9)
    assert "climbs" not in words_of(fork(workup))
    assert words_of(fork(workup)) == words_of(fork(plain))


def test_fork_says_that_it_climbs_and_by_how_much():
    workup = stepped("mandolin", 10.0, 110.0)
    climb = float(laid_mm(workup.instrument, np.array(workup.line.centre_mm))) - workup.line.centre_mm
    assert f"Allowed for: the way from board to top, {climb:.1f} mm longer than straight." in words_of(fork(workup))
    assert "Allowed for" not in words_of(fork(preset("mandolin")))


@pytest.mark.parametrize("tables", [("heights",), ("heights", "arch"), ("heights", "arch", "parabolic")])
@pytest.mark.parametrize("name", [*ARCHED, "banjo"])
def test_top_lies_under_the_bridge_as_deep_as_its_height_says(name, tables):
    """The crown stands the bridge's height over the top, square to it, and nut height and rise over the frets' plane."""
    if name == "banjo" and "arch" in tables:
        tables = ("heights",)
    values = {"arch": '"parabolic"'} if "parabolic" in tables else {}
    workup = measured(name, *(table for table in tables if table != "parabolic"), **values)
    instrument = workup.instrument
    action = instrument.action
    strings = action.nut + 2 * (action.fret_12 - action.nut - action.relief)
    angle = lean(workup)
    foot = instrument.head.scale_mm - instrument.board.end - instrument.bridge.height * np.sin(angle)
    surface = surface_of(instrument)
    under = strings - instrument.bridge.height * np.cos(angle)
    assert height_mm(surface, np.array(foot)) == pytest.approx(under, abs=1e-9)
    assert height_mm(surface, np.array(0.0)) == pytest.approx(-instrument.board.over_top, abs=1e-9)


def test_without_the_bridge_height_the_top_is_taken_as_level():
    surface = surface_of(measured("mandolin", "board-height").instrument)
    assert height_mm(surface, np.array([0.0, 50.0, 110.0])) == pytest.approx([-10.0] * 3)


def test_arch_is_highest_at_the_bridge_or_where_it_was_measured():
    at_bridge = measured("mandolin", "board-height", "arch").instrument
    assert surface_of(at_bridge).arch.crest_mm == pytest.approx(at_bridge.head.scale_mm - at_bridge.board.end)
    before = measured("mandolin", "board-height", "arch", "arch-middle", arch_middle=150.0).instrument
    fret_12 = at_bridge.head.scale_mm / 2
    assert surface_of(before).arch.crest_mm == pytest.approx(fret_12 + 150.0 - before.board.end)


@pytest.mark.parametrize("name", ["mandolin", "banjo"])
def test_what_lies_on_the_board_is_where_it_is(name):
    """Every fret, and the end itself; beyond it the sheet only grows."""
    workup = measured(name, "heights")
    end = workup.instrument.board.end
    on_board = np.append(workup.from_nut_mm[workup.from_nut_mm < end], end)
    assert laid_mm(workup.instrument, on_board).tolist() == on_board.tolist()
    beyond = np.linspace(end, workup.scale_mm, 20)
    for lay in (laid_mm, laid_from_end_mm):
        assert (np.diff(lay(workup.instrument, beyond)) > 0).all()
    assert float(laid_from_end_mm(workup.instrument, np.array(end))) == end
    assert float(laid_mm(workup.instrument, np.array(end + 1e-9))) == pytest.approx(
        end + workup.instrument.board.over_top
    )


def test_end_of_the_board_is_guessed_half_a_step_behind_the_last_fret_where_it_was_not_measured():
    workup = measured("mandolin", "board-height-alone")
    last, before = workup.from_nut_mm[-1], workup.from_nut_mm[-2]
    end = last + (last - before) / 2
    beyond = workup.face_line.centre_mm - end
    moved = line_mm(workup) - line_mm(preset("mandolin"))
    assert moved == pytest.approx(np.hypot(beyond, 10.0) - beyond, abs=0.001)


def test_feet_stand_where_a_bridge_square_to_a_leaning_top_puts_them():
    """Drawn in a plain frame: a top through the board's end, a perpendicular of the bridge's height up to the crown."""
    text = preset_text("mandolin").replace("nut_width = 30.0", "nut_width = 30.0\nend = 250.0\nover_top = 14.0")
    text = text.replace("thickness = 11.0", "height = 19.0\nthickness = 11.0")
    workup = work_up(parse(text.encode(), "lean.toml"))
    instrument, scale = workup.instrument, workup.scale_mm
    crown = np.array([scale, instrument.action.nut + instrument.action.rise_mm])
    corner = np.array([250.0, -14.0])

    def off(lean):
        along, up = np.array([np.cos(lean), -np.sin(lean)]), np.array([np.sin(lean), np.cos(lean)])
        foot = crown - 19.0 * up
        away = foot - corner
        return float(along[0] * away[1] - along[1] * away[0]), foot

    lean = brentq(lambda angle: off(angle)[0], -0.3, 0.3)
    foot = off(lean)[1]
    assert 0.005 < lean < 0.2
    assert scale - foot[0] == pytest.approx(feet_before_crown_mm(instrument)[0], abs=1e-6)
    nut_side = foot - instrument.bridge.face_mm * np.array([np.cos(lean), -np.sin(lean)])
    tilt = np.cos(np.radians(workup.line.slant_deg))
    assert (workup.line.centre_mm - workup.face_line.centre_mm) * tilt == pytest.approx(scale - nut_side[0], abs=1e-6)


def test_higher_bridge_on_a_leaning_top_moves_the_feet_towards_the_nut():
    def face(height):
        text = preset_text("mandolin").replace("nut_width = 30.0", "nut_width = 30.0\nend = 250.0\nover_top = 12.0")
        text = text.replace("thickness = 11.0", f"height = {height}\nthickness = 11.0")
        return work_up(parse(text.encode(), "x")).face_line.centre_mm

    assert face(22.0) < face(18.0) - 0.3
