"""The user's settings for a cutter: they reach the files, and what is wrong with them is shown at once."""

import re
import tomllib

import pytest
from readers import UM, dxf_document, svg_loops
from samples import run
from working_edges import outline_and_windows, widest

from jigs.cutting.cutter import Cutter, Pen
from jigs.cutting.settings import cutter_for
from jigs.drawing.items import Layer

MANDOLIN_WIRE_MM = 1.6

PENS = """
[cutter.cut]
width = 0.05
colour = "#FF0000"
[cutter.score]
colour = "#0000ff"
[cutter.text]
width = "0.008 in"
colour = "#00aa00"
[cutter.guide]
colour = "#123456"
"""


@pytest.fixture
def own_settings(tmp_path, monkeypatch):
    """Write a settings file where the program looks for it."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))

    def written(text):
        file = tmp_path / "config" / "bridge-jigs" / "settings.toml"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(text if isinstance(text, bytes) else text.encode())
        return file

    return written


def drawn(tmp_path, *options, formats="svg,dxf"):
    out = tmp_path / "drawn"
    status, _, shown = run("draw", "mandolin", "gauge", "--format", formats, "--out", out, *options)
    assert status == 0, shown
    return {path.suffix[1:]: path.read_bytes() for path in out.iterdir()}


def notch_mm(svg):
    _, top, _, bottom = widest(outline_and_windows(svg_loops(svg))[1]).box
    return bottom - top


def test_without_settings_lines_are_black_hairlines_on_their_layers(tmp_path):
    files = drawn(tmp_path)
    text = files["svg"].decode()
    assert set(re.findall(r'stroke-width="([^"]*)"', text)) == {"0.1"}
    assert set(re.findall(r'stroke="([^"]*)"', text)) <= {"black", "#000000"}
    assert "dash" not in text
    for layer in ("CUT", "SCORE", "TEXT", "GUIDE"):
        assert dxf_document(files["dxf"]).layers.get(layer).rgb in (None, (0, 0, 0))
        assert dxf_document(files["dxf"]).layers.get(layer).dxf.lineweight == 9


def test_colours_and_widths_of_the_settings_reach_both_formats(tmp_path, own_settings):
    own_settings("[cutter]\nkerf = 0.2\n" + PENS)
    files = drawn(tmp_path)
    text = files["svg"].decode()
    wanted = {
        "cut": ("#ff0000", "0.05"),
        "score": ("#0000ff", "0.1"),
        "text": ("#00aa00", "0.2032"),
        "guide": ("#123456", "0.1"),
    }
    layers = dxf_document(files["dxf"]).layers
    for layer, (colour, width) in wanted.items():
        group = re.search(rf'<g [^>]*id="layer-{layer}".*?</g>', text, re.DOTALL)[0]
        lines = re.findall(r"<(?:path|line) [^>]*>", group)
        assert lines
        assert all(f'stroke="{colour}"' in line and f'stroke-width="{width}"' in line for line in lines), layer
        assert layers.get(layer.upper()).rgb == tuple(bytes.fromhex(colour[1:]))
        assert layers.get(layer.upper()).dxf.lineweight == pytest.approx(100 * float(width), abs=1.5)
    assert notch_mm(files["svg"]) == pytest.approx(MANDOLIN_WIRE_MM + 0.1 - 0.2, abs=2 * UM)


def test_paper_keeps_its_own_line_widths_whatever_the_cutter_wants(tmp_path, own_settings):
    before = drawn(tmp_path, formats="pdf")["pdf"]
    own_settings("[cutter]\n" + PENS)
    assert drawn(tmp_path, formats="pdf")["pdf"] == before


def test_what_is_asked_for_once_wins_over_the_settings(tmp_path, own_settings):
    own_settings("[cutter]\nkerf = 0.2\nclearance = 0.3\nweb = 4\ncorner = 2\nstock = 1.5\n")
    assert notch_mm(drawn(tmp_path)["svg"]) == pytest.approx(MANDOLIN_WIRE_MM + 0.3 - 0.2, abs=2 * UM)
    asked = drawn(tmp_path, "--kerf", "0.1", "--clearance", "0.004 in")
    assert notch_mm(asked["svg"]) == pytest.approx(MANDOLIN_WIRE_MM + 0.1016 - 0.1, abs=2 * UM)
    options = {"kerf": None, "clearance": "0.05", "corner": "0.5 mm", "web": None, "stock": "1/64 in"}
    assert cutter_for(options) == Cutter(0.2, 0.05, 0.5, 4.0, 25.4 / 64)


def test_every_length_of_the_settings_counts(own_settings):
    own_settings('[cutter]\nkerf = "0.2 mm"\nclearance = 0.3\ncorner = 2\nweb = 4\nstock = "1/16 in"\n')
    none = dict.fromkeys(("kerf", "clearance", "corner", "web", "stock"))
    assert cutter_for(none) == Cutter(0.2, 0.3, 2.0, 4.0, 1.5875)
    own_settings(PENS)
    assert cutter_for(none).pens[Layer.CUT] == Pen(0.05, "#ff0000")


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ("[cuter]\nkerf = 0.2\n", ["cuter", "[cutter]"]),
        ("[cutter]\nkurf = 0.2\n", ["[cutter] kurf", 'did you mean "kerf"']),
        ("[cutter]\nkerf = -0.1\n", ["[cutter] kerf", "negative"]),
        ("[cutter]\nkerf = 7\n", ["[cutter] kerf", "too wide"]),
        ("[cutter]\nclearance = -0.1\n", ["[cutter] clearance", "negative"]),
        ("[cutter]\nstock = 4\n", ["[cutter] stock", "too thick"]),
        ("[cutter]\nstock = 0.2\n", ["[cutter] stock", "too thin"]),
        ('[cutter]\nkerf = "wide"\n', ["[cutter] kerf"]),
        ("[cutter]\nweb = true\n", ["[cutter] web"]),
        ('[cutter.cut]\ncolour = "red"\n', ["[cutter.cut] colour", '"red" is not a colour', '"#ff0000"']),
        ('[cutter.cut]\ncolour = "#ff00"\n', ["[cutter.cut] colour"]),
        ('[cutter.cut]\ncolour = "#gg0000"\n', ["[cutter.cut] colour"]),
        ("[cutter.text]\ncolour = 3\n", ["[cutter.text] colour"]),
        ("[cutter.score]\nwidth = 0\n", ["[cutter.score] width"]),
        ("[cutter.score]\nwide = 1\n", ["[cutter.score] wide", 'did you mean "width"']),
        ("[cutter]\ncut = 3\n", ["[cutter.cut]"]),
        ("cutter = 3\n", ["[cutter]", "must be a table"]),
        ("[cutter\n", ["line 1"]),
        (b"[cutter]\nkerf = \xff\n", ["UTF-8"]),
        (
            '[cutter]\nkerf = -1\nstock = 9\nfoo = 1\n[cutter.cut]\ncolour = "red"\n[cutter.text]\nwidth = 50\n'
            "[other]\nx = 1\n",
            [
                "[cutter] kerf",
                "[cutter] stock",
                "[cutter] foo",
                "[cutter.cut] colour",
                "[cutter.text] width",
                "other: unknown",
            ],
        ),
    ],
)
def test_faults_of_the_settings_are_shown_with_file_place_and_remedy_all_at_once(
    tmp_path, own_settings, content, expected
):
    file, out = own_settings(content), tmp_path / "out"
    status, printed, shown = run("draw", "mandolin", "gauge", "--out", out)
    assert status == 2, printed
    assert not out.exists()
    for words in expected:
        assert words in shown, shown
    for line in shown.splitlines():
        assert line.startswith(f"{file}: ")
        assert "; " in line, f"no remedy: {line}"


def test_example_is_a_settings_file_that_holds_the_defaults(own_settings):
    status, printed, shown = run("settings", "--example")
    assert status == 0
    assert "settings.toml" in shown
    none = dict.fromkeys(("kerf", "clearance", "corner", "web", "stock"))
    before = cutter_for(none)
    own_settings(printed)
    after = cutter_for(none)
    assert (after.kerf_mm, after.clearance_mm, after.corner_mm, after.web_mm, after.stock_mm) == (
        0.0,
        0.1,
        1.0,
        3.0,
        0.5,
    )
    assert after.styles == before.styles == Cutter().styles
    data = tomllib.loads(printed)["cutter"]
    assert set(data) == {"kerf", "clearance", "corner", "web", "stock", "cut"}


def test_settings_are_shown_as_they_are_with_their_place(own_settings):
    status, _, shown = run("settings")
    assert status == 2
    assert "there are no settings yet; `jigs settings --example`" in shown
    file = own_settings("[cutter]\nkerf = 0.2 # mine\n")
    assert run("settings") == (0, "[cutter]\nkerf = 0.2 # mine\n", f"settings file: {file}\n")


def test_wrong_settings_are_refused_instead_of_shown(own_settings):
    file = own_settings("[cutter]\nkerf = 99\nfoo = 3\n")
    status, printed, shown = run("settings")
    assert (status, printed) == (2, "")
    assert f"{file}: [cutter] kerf: " in shown
    assert f"{file}: [cutter] foo: unknown key; " in shown
    assert run("settings", "--example")[0] == 0


def test_paper_fork_is_the_same_whatever_the_settings(tmp_path, own_settings):
    for stem, text in (("one", "[cutter]\nkerf = 0.2\n" + PENS), ("two", "[cutter]\n")):
        own_settings(text)
        assert run("draw", "mandolin", "--out", tmp_path / stem)[0] == 0
    for kind in ("pdf", "svg"):
        one, two = ((tmp_path / stem / f"mandolin-fork.{kind}").read_bytes() for stem in ("one", "two"))
        assert one == two


def test_settings_with_every_line_a_comment_are_the_defaults(own_settings):
    own_settings("# nothing of my own yet\n")
    assert cutter_for({}) == Cutter()
