"""A builder's sheets together, and boards whose frets follow other rules."""

import json

import numpy as np
import pytest
from boards import level, new_mandolin, piece, without_board
from samples import PRESETS, ROOT, assert_clear, named, preset, run

from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.press.layout import lay_out
from jigs.sheets.paper import PAPERS
from jigs.templates.catalogue import CUT_FROM_STOCK
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.work_up import work_up

UM = 1e-3
OCTAVE = 2 ** (1 / 12)


@pytest.mark.slow
@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("name", PRESETS)
def test_every_id_on_a_sheet_names_one_thing(name, paper):
    workup = preset(name)
    drawn = [(workup, template, paper) for template in templates().values() if template.name not in CUT_FROM_STOCK]
    if workup.instrument.head.kind == "banjo":
        measured = f"{preset_text(name)}\n[rim]\nfret_12_to_near_edge = {workup.scale_mm / 2 - 176}\n"
        drawn.append((work_up(parse(measured.encode(), name)), templates()["head"], paper))
    else:
        drawn.append((workup, templates()["top"], "a3"))
    drawn.append((workup, templates()["gauge"], "a3"))
    for of, template, on in drawn:
        for sheet in lay_out(of, template, PAPERS[on], Options(to_bridge=True)):
            ids = [item.id for item in sheet.drawing if item.id]
            assert len(ids) == len(set(ids))


@pytest.mark.slow
@pytest.mark.parametrize("name", PRESETS)
@pytest.mark.parametrize("template", ["fretboard", "spacing", "crown"])
@pytest.mark.parametrize("hand", ["right", "left"])
def test_words_are_clear_of_marks_and_of_each_other(name, template, hand):
    for sheet in lay_out(preset(name, hand), templates()[template], PAPERS["a4"], Options(to_bridge=True)):
        assert_clear(sheet.drawing)


def test_words_are_clear_on_the_new_mandolin():
    for template in ("fretboard", "spacing", "crown"):
        for sheet in lay_out(new_mandolin(), templates()[template], PAPERS["letter"], Options()):
            assert_clear(sheet.drawing)


# other fret rules

EIGHTEEN = 'fret_rule = "eighteen"\n'


def numbers(tmp_path, text):
    path = tmp_path / "mine.toml"
    path.write_text(text)
    status, printed, shown = run("numbers", path, "--json")
    assert status == 0, shown
    return json.loads(printed)


def with_head(name, lines):
    text = preset_text(name)
    return text.replace("\nfrets = ", f"\n{lines}frets = ", 1)


def test_frets_by_the_rule_of_eighteen_are_where_it_puts_them(tmp_path):
    found = numbers(tmp_path, with_head("banjo", EIGHTEEN))
    places = [fret["to_bridge_mm"] for fret in found["frets"]]
    assert places == pytest.approx([666.75 * (17 / 18) ** n for n in range(1, 23)])


def test_board_by_the_rule_of_eighteen_has_a_best_bridge_line_and_what_it_leaves(tmp_path):
    text = with_head("banjo", EIGHTEEN).replace('"octave" ', '"all frets" ')
    best = numbers(tmp_path, text)
    octave = numbers(tmp_path, with_head("banjo", EIGHTEEN))
    for all_frets, one in zip(best["strings"], octave["strings"], strict=True):
        assert all_frets["rms_cents"] < one["rms_cents"]
    even = numbers(tmp_path, preset_text("banjo").replace('"octave" ', '"all frets" '))
    assert abs(best["strings"][0]["rms_cents"] - even["strings"][0]["rms_cents"]) > 0.1


def test_frets_by_a_list_of_cents_are_where_it_puts_them(tmp_path):
    cents = [100.0 * n for n in range(1, 13)]
    cents[3] = 386.3
    text = preset_text("mandolin").replace("frets = 20", f"frets = 12\nfret_rule = {cents}")
    found = numbers(tmp_path, text)
    assert found["frets"][3]["to_bridge_mm"] == pytest.approx(352.425 * 2 ** (-386.3 / 1200))
    assert found["strings"][0]["cents"][3] < found["strings"][0]["cents"][2] - 10
    wanted = numbers(tmp_path, text.replace("fret_rule", "wanted_cents"))
    assert wanted["strings"][0]["cents"][3] > wanted["strings"][0]["cents"][2] + 10
    both = numbers(tmp_path, text.replace("\nfret_rule", f"\nwanted_cents = {cents}\nfret_rule"))
    assert abs(both["strings"][0]["cents"][3] - both["strings"][0]["cents"][2]) < 2


def test_measured_frets_are_used_wherever_pitch_is_computed(tmp_path):
    places = [round(352.425 * (1 - OCTAVE**-n), 3) for n in range(1, 21)]
    even = numbers(tmp_path, with_head("mandolin", f"frets_measured = {places}\n"))
    usual = numbers(tmp_path, preset_text("mandolin"))
    assert even["bridge"]["treble_mm"] == pytest.approx(usual["bridge"]["treble_mm"], abs=0.003)
    places[6] += 1.0
    strayed = numbers(tmp_path, with_head("mandolin", f"frets_measured = {places}\n"))
    sharper = strayed["strings"][0]["cents"][6] - even["strings"][0]["cents"][6]
    assert sharper == pytest.approx(1200 / np.log(2) / (352.425 * OCTAVE**-7 + 1.6), rel=0.02)


def test_number_of_frets_follows_from_a_list(tmp_path):
    places = [round(352.425 * (1 - OCTAVE**-n), 2) for n in range(1, 18)]
    text = preset_text("mandolin").replace("frets = 20", f"frets_measured = {places}")
    assert len(numbers(tmp_path, text)["frets"]) == 17


def test_nut_to_fret_12_gives_the_scale_by_the_rule_of_the_frets(tmp_path):
    text = with_head("banjo", EIGHTEEN).replace('scale = "26 1/4 in"', 'nut_to_fret_12 = "333.4 mm"')
    assert numbers(tmp_path, text)["scale_mm"] == pytest.approx(333.4 / (1 - (17 / 18) ** 12))


def test_fretboard_and_fork_stand_on_the_measured_frets():
    places = [round(352.425 * (1 - OCTAVE**-n), 3) for n in range(1, 21)]
    places[11] += 0.7
    text = with_head("mandolin", f"frets_measured = {places}\n")
    workup = work_up(parse(text.encode(), "x"))
    assert level(named(piece(workup, "fretboard"), "fret-12")) == pytest.approx(places[11])
    fork = piece(workup, "fork", datum_fret=12)
    usual = piece(preset("mandolin"), "fork", datum_fret=12)
    gaps = [
        np.mean([p[1] for r in named(d, "bridge-line").runs for p in r]) - named(d, "datum").start[1]
        for d in (usual, fork)
    ]
    place = workup.line.centre_mm - preset("mandolin").line.centre_mm
    assert gaps[1] - gaps[0] == pytest.approx(place - 0.7, abs=0.01)


RISING = [round(352.425 * (1 - OCTAVE**-n), 2) for n in range(1, 21)]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ('fret_rule = "eigteen"\n', ["fret_rule", 'did you mean "eighteen"']),
        ("fret_rule = 18\n", ["fret_rule", "not a list"]),
        ("fret_rule = [100, 200]\n", ["fret_rule", "2 frets are listed", "frets = 20"]),
        (f"fret_rule = {[100, 90, *range(300, 2100, 100)]}\n", ["fret_rule", "fret 2", "does not lie beyond"]),
        (f"fret_rule = {[0, *range(200, 2100, 100)]}\n", ["fret_rule", "fret 1", "not an interval"]),
        (f"frets_measured = {[*RISING, 250]}\n", ["frets_measured", "21 frets are listed", "frets = 20"]),
        (
            f"frets_measured = {[*RISING[:7], RISING[7] - 30, *RISING[8:]]}\n",
            ["frets_measured", "fret 8", "beyond fret 7"],
        ),
        (f"frets_measured = {[*RISING[:-1], 360]}\n", ["frets_measured", "fret 20 lies behind the bridge"]),
        (
            f"frets_measured = {[*RISING[:-1], '9.5 furlong']}\n".replace("'", '"'),
            ["frets_measured", "fret 20", "furlong"],
        ),
        ("frets_measured = 33.7\n", ["frets_measured", "not a list"]),
        (
            f'frets_measured = {RISING}\nfret_rule = "eighteen"\n',
            ["frets_measured", "both fret_rule and"],
        ),
        ("wanted_cents = [true]\n", ["wanted_cents", "not an interval"]),
    ],
)
def test_slip_in_a_list_of_frets_is_named_with_its_fret(tmp_path, lines, expected):
    path = tmp_path / "mine.toml"
    path.write_text(with_head("mandolin", lines))
    status, _, shown = run("draw", path, "fretboard", "--out", tmp_path / "out")
    assert status == 2
    assert not (tmp_path / "out").exists()
    for words_ in expected:
        assert words_ in shown, shown
    assert "; " in shown


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("[board]\nnut_width = 29\nend = 200\n", ["[board] end", "before the last fret"]),
        ("[board]\nnut_width = 29\ndots = [3, 30]\n", ["[board] dots", "no fret 30"]),
        ("[board]\nnut_width = 29\njoint_fret = 25\n", ["[board] joint_fret", "no fret 25"]),
        (
            "[board]\nnut_width = 29\nend_width = 40\nfret_12_width = 36\n",
            ["[board] fret_12_width", "both [board] end_width and"],
        ),
        ("[board]\nnut_width = 29\nslots = 0.5\n", ["[board] slots", 'did you mean "slot"']),
    ],
)
def test_slip_in_the_board_is_named(tmp_path, lines, expected):
    path = tmp_path / "mine.toml"
    path.write_text(without_board("mandolin") + lines)
    status, _, shown = run("draw", path, "fretboard", "--out", tmp_path / "out")
    assert status == 2
    for words_ in expected:
        assert words_ in shown, shown


def test_tables_of_the_builders_guide_go_into_a_preset(tmp_path):
    """What a builder writes, after the guide, instead of the preset's own tables."""
    guide = (ROOT / "jigs" / "guide" / "builder.md").read_text(encoding="utf-8")
    block = next(part for part in guide.split("```toml")[1:] if "[board]" in part).partition("```")[0]
    own = "\n".join(line.strip() for line in block.splitlines())
    text = preset_text("mandolin")
    head, tail = text.partition("[nut]")[0], "[bridge]" + text.partition("[bridge]")[2]
    path = tmp_path / "mine.toml"
    path.write_text(head + own + "\n" + tail)
    status, _, shown = run("draw", path, "--all", "--out", tmp_path / "out")
    flat = (
        "the top counts as flat and level with the board; measure how far the top lies below the board: a step of 10 mm"
    )
    assert (status, shown) == (0, f"note: [board] over_top: {flat} costs half a millimetre\n")
