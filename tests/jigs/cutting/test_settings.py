"""The user's settings for a cutter: they reach the files, and what is wrong with them is shown at once."""

import re
import tomllib
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from readers import UM, dxf_document, svg_loops
from samples import run
from working_edges import outline_and_windows, widest

from jigs.cutting.cutter import COLOURS, Cutter, Pen
from jigs.cutting.settings import cutter_for
from jigs.drawing.items import Layer, Line, Role, drawing
from jigs.export.dxf import to_dxf
from jigs.sheets.paper import Paper, Sheet
from jigs.sheets.title import Title

MANDOLIN_WIRE_MM = 1.6

PENS = """
[cutter.cut]
width = 0.05
colour = "#FF0000"
[cutter.score]
colour = "#0000ff"
[cutter.engrave]
width = "0.008 in"
colour = "#00aa00"
[cutter.drill]
colour = "#00ffff"
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


LAYERS = ("cut", "score", "engrave", "drill", "guide")


def test_without_settings_lines_are_thin_and_each_layer_has_its_colour_in_both_formats(tmp_path):
    files = drawn(tmp_path)
    text, document = files["svg"].decode(), dxf_document(files["dxf"])
    assert set(re.findall(r'stroke-width="([^"]*)"', text)) == {"0.1"}
    assert "dash" not in text
    assert set(re.findall(r'id="layer-(\w+)"', text)) == set(LAYERS)
    assert {layer.dxf.name for layer in document.layers} == {"0", "Defpoints", *map(str.upper, LAYERS)}
    for name in LAYERS:
        layer = document.layers.get(name.upper())
        assert layer.dxf.lineweight == 9
        assert layer.dxf.plot == (name != "guide")
        colours = set(re.findall(r'<(?:path|line) [^>]*stroke="([^"]*)"', lines_of(text, name)))
        assert colours <= {"#{:02x}{:02x}{:02x}".format(*layer.rgb)}, name
        assert colours or name == "drill", "a gauge has nothing to drill"


def lines_of(text, layer):
    return re.search(rf'<g [^>]*id="layer-{layer}".*?(?:</g>|/>)', text, re.DOTALL)[0]


SEEN_BY = {
    "everybody": np.eye(3),
    "no red": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "no green": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "no blue": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
}
"""Machado, Oliveira and Fernandes, A Physiologically-based Model for Simulation of Color Vision Deficiency (2009), severity
1.0, for linear red, green and blue; from memory."""


def in_lab(linear):
    """Lightness and two colour differences of CIE 1976, of linear sRGB (IEC 61966-2-1), under its white."""
    to_xyz = [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
    x, y, z = np.cbrt(np.clip(linear, 1e-3, 1) @ np.transpose(to_xyz) / [0.95047, 1, 1.08883]).T
    return np.transpose([116 * y - 16, 500 * (x - y), 200 * (y - z)])


def test_default_colours_are_dark_on_white_and_apart_for_every_eye_and_in_old_programs():
    shares = np.array([list(bytes.fromhex(colour[1:])) for colour in COLOURS.values()]) / 255
    linear = np.where(shares <= 0.04045, shares / 12.92, ((shares + 0.055) / 1.055) ** 2.4)
    assert (1.05 / (linear @ [0.2126, 0.7152, 0.0722] + 0.05)).min() > 4.5, "WCAG 2.1, 1.4.3"
    for eye, sees in SEEN_BY.items():
        seen = in_lab(linear @ np.transpose(sees))
        apart = [np.linalg.norm(one - other) for one, other in combinations(seen, 2)]
        assert min(apart) > 25, eye
    indexed = [rgb2aci(colour) for colour in COLOURS.values()]
    assert len(set(indexed)) == len(COLOURS)
    assert 7 not in indexed, "black or white, as the background is not"


def rgb2aci(colour):
    """The indexed colour of the layer that a DXF has for a colour of the settings."""
    styles = {role: replace(style, colour=colour) for role, style in Cutter().styles.items()}
    line = drawing(Line((0, 0), (1, 1), Role.CUT))
    sheet = Sheet(Paper("small", 10.0, 10.0), line, Title("", "", ""))
    return dxf_document(to_dxf(sheet, styles)).layers.get("CUT").dxf.color


def test_an_old_program_gets_the_colour_that_is_nearest_to_the_users_own():
    assert [rgb2aci(colour) for colour in ("#ff0000", "#fe0101", "#0000ff", "#000000")] == [1, 1, 5, 7]


def test_a_layer_with_a_width_of_its_own_keeps_its_colour(own_settings):
    own_settings("[cutter.drill]\nwidth = 0.3\n")
    assert cutter_for({}).pens[Layer.DRILL] == Pen(0.3, COLOURS[Layer.DRILL])


def test_colours_and_widths_of_the_settings_reach_both_formats(tmp_path, own_settings):
    own_settings("[cutter]\nkerf = 0.2\n" + PENS)
    files = drawn(tmp_path)
    text = files["svg"].decode()
    wanted = {
        "cut": ("#ff0000", "0.05"),
        "score": ("#0000ff", "0.1"),
        "engrave": ("#00aa00", "0.2032"),
        "guide": ("#123456", "0.1"),
    }
    layers = dxf_document(files["dxf"]).layers
    for layer, (colour, width) in wanted.items():
        lines = re.findall(r"<(?:path|line) [^>]*>", lines_of(text, layer))
        assert lines
        assert all(f'stroke="{colour}"' in line and f'stroke-width="{width}"' in line for line in lines), layer
        assert layers.get(layer.upper()).rgb == tuple(bytes.fromhex(colour[1:]))
        assert layers.get(layer.upper()).dxf.lineweight == pytest.approx(100 * float(width), abs=1.5)
    assert layers.get("DRILL").rgb == (0, 255, 255)
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
        ("[cutter.engrave]\ncolour = 3\n", ["[cutter.engrave] colour"]),
        ("[cutter.drill]\ncolour = 3\n", ["[cutter.drill] colour"]),
        ("[cutter.text]\nwidth = 0.2\n", ["[cutter] text", "is now called engrave", "write [cutter.engrave]"]),
        ("[cutter.score]\nwidth = 0\n", ["[cutter.score] width"]),
        ("[cutter.score]\nwide = 1\n", ["[cutter.score] wide", 'did you mean "width"']),
        ("[cutter]\ncut = 3\n", ["[cutter.cut]"]),
        ("cutter = 3\n", ["[cutter]", "must be a table"]),
        ("[cutter\n", ["line 1"]),
        (b"[cutter]\nkerf = \xff\n", ["UTF-8"]),
        (
            '[cutter]\nkerf = -1\nstock = 9\nfoo = 1\n[cutter.cut]\ncolour = "red"\n[cutter.engrave]\nwidth = 50\n'
            "[other]\nx = 1\n",
            [
                "[cutter] kerf",
                "[cutter] stock",
                "[cutter] foo",
                "[cutter.cut] colour",
                "[cutter.engrave] width",
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
