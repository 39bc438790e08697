"""What the files ask of printers, viewers and vector editors, and how they write a user's words."""

import io
import os
import subprocess
import sys
import xml.etree.ElementTree as ET

import pytest
from pypdf import PdfReader
from samples import SMALL_FILE, preset, sheet

from jigs.export.pdf import to_pdf
from jigs.export.svg import to_svg
from jigs.instrument.file import parse
from jigs.press import press
from jigs.press.order import Order
from jigs.workup.work_up import work_up

SVG = "{http://www.w3.org/2000/svg}"


def files_named(name):
    text = SMALL_FILE.replace("Test mandolin", name)
    workup = work_up(parse(text.encode(), "test.toml"))
    return press.prepare(workup, Order(), "test")


def both(printed):
    by_suffix = {name.rsplit(".", 1)[1]: content for name, content in printed.files.items()}
    return PdfReader(io.BytesIO(by_suffix["pdf"])), ET.fromstring(by_suffix["svg"])


def test_viewers_are_asked_not_to_scale_and_to_pick_the_tray_by_size():
    pdf = PdfReader(io.BytesIO(to_pdf([sheet("mandolin")], "t", "s")))
    preferences = pdf.trailer["/Root"]["/ViewerPreferences"]
    assert preferences["/PrintScaling"] == "/None"
    assert preferences["/PickTrayByPDFSize"] == True  # noqa: E712 - a PDF object, not a bool
    assert float(pdf.pdf_header.removeprefix("%PDF-")) >= 1.6


def test_document_says_what_it_is():
    pdf, svg = both(files_named("Loan mandolin 3"))
    assert pdf.metadata.title == "Placement fork, fret 12, right-handed: Loan mandolin 3"
    assert "1:1" in pdf.metadata.subject
    assert svg.find(f"{SVG}title").text == pdf.metadata.title


def test_every_font_that_a_page_uses_is_embedded():
    pdf, _ = both(files_named("Ωραία мандолина ♯♭ Ł"))
    for page in pdf.pages:
        fonts = page["/Resources"]["/Font"]
        assert len(fonts)
        for name, font in fonts.items():
            assert "/FontFile2" in font["/FontDescriptor"], name


@pytest.mark.parametrize("name", ["Ωραία λύρα", "Моя домра", "Nº 7 in B♭", "F♯ banjo", "Žluť ½ ß"])
def test_names_in_latin_greek_cyrillic_and_accidentals_come_out_in_both_formats(name):
    printed = files_named(name)
    pdf, svg = both(printed)
    assert not any("name:" in str(note) for note in printed.notes)
    assert name in pdf.pages[0].extract_text()
    assert name in "\n".join(text.text for text in svg.iter(f"{SVG}text"))


def test_character_that_the_typeface_lacks_is_warned_about_and_no_sheet_has_a_substitute():
    printed = files_named("琴 3")
    pdf, svg = both(printed)
    assert any("琴 (U+7434)" in str(note) for note in printed.notes)
    for said in (*(page.extract_text() for page in pdf.pages), "\n".join(text.text for text in svg.iter(f"{SVG}text"))):
        assert "�" not in said
        assert "琴" not in said


def test_letters_that_run_leftward_are_warned_about():
    assert any("right to left" in str(note) for note in files_named("בנג'ו 7").notes)


def test_markup_in_a_name_stays_words():
    pdf, svg = both(files_named("<b>&amp;</b> <script>"))
    assert "<b>&amp;</b> <script>" in pdf.pages[0].extract_text()
    assert "<b>&amp;</b> <script>" in [text.text for text in svg.iter(f"{SVG}text")]
    assert not list(svg.iter(f"{SVG}script"))


def test_vector_editors_find_the_layers():
    svg = ET.fromstring(to_svg(sheet("mandolin"), "t", "s"))
    layers = [group for group in svg if group.tag == f"{SVG}g"]
    assert [group.get("id") for group in layers] == ["layer-guide", "layer-score", "layer-cut", "layer-text"]
    assert all(any(key.endswith("groupmode") for key in group.attrib) for group in layers)
    cut = next(group for group in layers if group.get("id") == "layer-cut")
    assert {item.get("id") for item in cut} >= {"datum", "fork-outline"}


def test_every_id_names_one_thing():
    svg = ET.fromstring(to_svg(sheet("banjo"), "t", "s"))
    ids = [item.get("id") for item in svg.iter() if item.get("id")]
    assert len(ids) == len(set(ids))


def test_edges_to_cut_are_wide_and_black():
    svg = ET.fromstring(to_svg(sheet("mandolin"), "t", "s"))
    datum = next(item for item in svg.iter() if item.get("id") == "datum")
    assert float(datum.get("stroke-width")) >= 0.5


def test_numbers_of_the_sheet_are_those_of_the_workup():
    pdf = PdfReader(io.BytesIO(to_pdf([sheet("mandolin")], "t", "s")))
    treble, bass = preset("mandolin").outer_places_mm
    assert f"Crown line {treble:.1f} / {bass:.1f} mm" in pdf.pages[0].extract_text()


def test_cut_file_is_written_for_a_user_without_a_home(tmp_path):
    """As in a container: the library looks for settings of its own in the home folder, and ended the drawing."""
    without = "import pwd, sys; pwd.getpwuid = {}.__getitem__; from jigs.__main__ import main; main()"
    env = {key: text for key, text in os.environ.items() if key not in ("HOME", "XDG_CONFIG_HOME")}
    command = [sys.executable, "-c", without, "draw", "banjo", "gauge", "--format", "dxf", "--out", str(tmp_path)]
    ended = subprocess.run(command, env=env, capture_output=True, text=True, check=False)
    assert (ended.returncode, "Traceback" in ended.stderr) == (0, False), ended.stderr
    assert (tmp_path / "banjo-gauge.dxf").is_file()
