"""A newcomer who opens no terminal: from the page's address to a fork on paper that is right."""

import io
import json
import re
import tomllib

import numpy as np
import pytest
from playwright.sync_api import expect
from readers import UM, farthest_mm, pdf_pieces_by_pdfium, pdf_pieces_by_pdfminer, svg_pieces
from samples import run

TYPED = {"scale": "26 3/8 in", "action.fret_12": "2.7", "strings.4.gauge": "0.024 in", "strings.4.core": "0.011 in"}


def nearest(piece, found):
    """The piece that a PDF reader finds where one should be."""
    assert farthest_mm([piece], found) < UM
    apart = np.minimum(np.abs(found - piece).max(axis=1), np.abs(found - piece[[2, 3, 0, 1]]).max(axis=1))
    return found[apart.argmin()]


def datum_to_mark_mm(found, ids):
    """On a fork, from the edge that lies against its fret to the line for the bridge's feet, in the middle, mm."""
    datum = nearest(ids["datum"][0], found)
    assert datum[1] == pytest.approx(datum[3], abs=UM)
    ends = np.array([nearest(piece, found).reshape(2, 2) for piece in ids["bridge-line"]]).reshape(-1, 2)
    (left, top), (right, foot) = ends[ends[:, 0].argmin()], ends[ends[:, 0].argmax()]
    middle = (datum[0] + datum[2]) / 2
    return top + (foot - top) * (middle - left) / (right - left) - datum[1]


def words_of_pdf(content):
    import pdfplumber

    with pdfplumber.open(io.BytesIO(content)) as pdf:
        return pdf.pages[0].extract_text()


def test_fork_that_a_newcomer_downloads_measures_what_the_numbers_say(visit, tmp_path):
    here = visit()
    for key, text in TYPED.items():
        drawn = here.fill(key, text)
    (name, pdf), (_, svg), (toml, file) = here.take("PDF"), here.take("SVG"), here.take("Instrument file")
    assert (name, toml) == ("banjo-fork.pdf", "banjo.toml")
    (tmp_path / toml).write_bytes(file)

    numbers = json.loads(run("numbers", tmp_path / toml, "--json")[1])
    assert numbers["scale_mm"] == pytest.approx(26.375 * 25.4)
    fret = int(re.search(r"Placement fork, fret (\d+)", words_of_pdf(pdf))[1])
    kept = tomllib.loads(file.decode())
    feet = kept["bridge"]["thickness"] / 2 / np.cos(np.radians(numbers["bridge"]["slant_deg"]))
    wire = numbers["frets"][fret - 1]["from_nut_mm"] + kept["fret_crown_width"] / 2
    expected = numbers["bridge"]["centre_mm"] - feet - wire
    for reader in (pdf_pieces_by_pdfminer, pdf_pieces_by_pdfium):
        assert datum_to_mark_mm(reader(pdf), svg_pieces(svg)) == pytest.approx(expected, abs=UM)

    assert run("draw", tmp_path / toml, "--out", tmp_path)[0] == 0
    assert (tmp_path / "banjo-fork.svg").read_bytes() == svg
    assert (tmp_path / "banjo-fork.pdf").read_bytes() == pdf
    assert drawn["headline"][0]["figure"] in here.page.locator("#headline").inner_text()


def test_picture_follows_every_key(visit):
    here = visit()
    before = here.page.locator("#headline").inner_text()
    field = here.field("scale")
    field.fill("")
    with here.page.expect_response(lambda answer: here._is_about(answer, "scale", "27 1/4 in")) as answer:
        field.press_sequentially("27 1/4 in")
    data = here.settled(answer.value)
    assert data["faults"] == []
    assert here.page.locator("#headline").inner_text() != before


def test_another_instrument_brings_its_own_values(visit):
    here = visit()
    here.show("measure")
    with here.page.expect_response("**/draw") as answer:
        here.page.locator("#preset").select_option("mandolin")
    here.settled(answer.value)
    expect(here.field("scale")).to_have_value("352.425")
    assert here.field("strings.1.pair").is_checked()
    assert here.field("strings.4.note").input_value() == "G3"
    assert here.field("strings.5.note").count() == 0


def test_what_is_typed_while_another_instrument_is_being_opened_is_not_lost(visit):
    here = visit()
    here.show("measure")
    opened = []
    here.page.route("**/open", lambda one: opened.append(one))  # noqa: PLW0108 (Playwright takes functions only)
    with here.page.expect_request("**/open"):
        here.page.locator("#preset").select_option("mandolin")
    here.field("nut_to_fret_12").fill("177.5")
    here.field("strings.1.gauge").fill(".010")
    here.field("draw.template").select_option("setup-card")
    with here.page.expect_response("**/draw") as answer:
        opened[0].continue_()
    drawn = here.settled(answer.value)
    assert drawn["names"][0].startswith("mandolin-setup-card")
    here.show("measure")
    for key, text in {"nut_to_fret_12": "177.5", "strings.1.gauge": ".010", "strings.1.note": "E5"}.items():
        expect(here.field(key)).to_have_value(text)
    _, file = here.take("Instrument file")
    assert tomllib.loads(file.decode())["nut_to_fret_12"] == 177.5


def test_view_that_is_chosen_while_the_page_begins_stays(visit):
    here = visit()
    opened = []
    here.page.route("**/open", lambda one: opened.append(one))  # noqa: PLW0108 (Playwright takes functions only)
    with here.page.expect_request("**/open"):
        here.page.reload()
    here.show("print")
    with here.page.expect_response("**/draw") as answer:
        opened[0].continue_()
    here.settled(answer.value)
    expect(here.page.locator("#print")).to_be_visible()


def test_string_that_is_added_or_removed_changes_the_file(visit):
    here = visit()
    page = here.page
    with page.expect_response("**/draw"):
        page.get_by_role("button", name="Add a string").click()
    here.fill("strings.6.note", "C3")
    assert here.fill("strings.6.gauge", ".026w")["faults"] == []
    with page.expect_response("**/draw") as answer:
        page.get_by_role("button", name="Remove string 5").click()
    here.settled(answer.value)
    _, file = here.take("Instrument file")
    strings = tomllib.loads(file.decode())["strings"]
    assert [string["note"] for string in strings] == ["D4", "B3", "G3", "D3", "C3"]
    assert "starts_at_fret" not in strings[4]


def test_every_template_can_be_looked_at_and_its_sheets_turned(visit):
    here = visit()
    data = here.fill("draw.template", "fretboard")
    assert len(data["sheets"]) > 1
    here.page.get_by_role("button", name="Next sheet").click()
    here.shows(data["sheets"][1])
    name, svg = here.take("SVG")
    assert name == data["names"][1]
    assert svg.decode() == data["sheets"][1]
    assert len(here.fill("draw.untiled", "true")["sheets"]) == 1


def test_own_file_is_opened_changed_and_downloaded_with_its_comments(visit, tmp_path):
    from jigs.instrument.opening import preset_text

    text = preset_text("tenor-banjo").replace("# Tenor banjo", "# My own tenor, measured in the kitchen", 1)
    (tmp_path / "My tenor.toml").write_text(text)
    here = visit()
    with here.page.expect_response("**/draw") as answer:
        here.page.locator("#open").set_input_files(tmp_path / "My tenor.toml")
    here.settled(answer.value)
    here.fill("action.fret_12", "2.25")
    name, file = here.take("Instrument file")
    assert name == "my-tenor.toml"
    kept = [pair for pair in zip(text.splitlines(), file.decode().splitlines(), strict=True) if pair[0] != pair[1]]
    assert [new.split("#")[0].split() for _, new in kept] == [["fret_12", "=", "2.25"]]


def test_readings_typed_in_become_a_move(visit, application):
    readings = {"treble-harmonic": "+1", "treble-fretted": "+4.5", "bass-harmonic": "-2", "bass-fretted": "-8.5"}
    from served import state

    here = visit()
    for key, text in readings.items():
        here.fill(f"readings.{key}", text)
    expected = application.post("/readings", state("banjo", readings=readings)).data
    to_do, why = here.page.locator("#advice-lines"), here.page.locator("#advice-rest")
    expect(why).to_contain_text(expected["lines"][0]["text"])
    shown = " ".join(one.text_content() for one in (to_do, why)).split()
    other_numbers = [line["text"] for line in expected["lines"] if line["kind"] == "shift"]
    assert sorted([*shown, *" ".join(other_numbers).split()]) == sorted(
        " ".join(line["text"] for line in expected["lines"]).split()
    )
    assert "To move one end alone" not in " ".join(shown)
    assert "before:" not in to_do.text_content()


def test_several_readings_of_a_note_are_typed_with_slashes(visit):
    here = visit()
    here.field("readings.treble-harmonic")
    text = here.page.locator("#tones").inner_text()
    assert "Read each note three times, and type a slash between readings: 2 / 1 / 2." in " ".join(text.split())
    for key, typed in {"treble-harmonic": "2 / 1 / 2", "treble-fretted": "6 / 5 / 5", "touch-error": "1"}.items():
        here.fill(f"readings.{key}", typed)
    advice = here.page.locator("#advice-rest")
    expect(advice).to_contain_text("a touch good to 1 cent")
    expect(advice).to_contain_text("mean of 3")
    expect(advice).not_to_contain_text("Read each note three times")


def test_readings_name_the_fret_at_the_octave_of_the_instrument(visit):
    """A diatonic board has it at fret 7; fret 12 would be another note."""
    here = visit("from=mountain-dulcimer")
    here.field("readings.treble-fretted")
    bench = here.page.locator("#tones")
    for preset, fret in (("mountain-dulcimer", 7), ("banjo", 12), ("mountain-dulcimer", 7)):
        if here.page.locator("#preset").input_value() != preset:
            here.show("measure")
            with here.page.expect_response("**/draw") as answer:
                here.page.locator("#preset").select_option(preset)
            here.settled(answer.value)
        here.show("listen")
        for end in ("treble", "bass"):
            label = here.page.locator(f'label[for="f-readings.{end}-fretted"]')
            expect(label).to_have_text(f"Pressed at fret {fret}")
        said = " ".join(bench.inner_text().split())
        assert said.count(f"at fret {fret}") == 4
        assert "fret 7" not in said or fret == 7
        assert "fret 12" not in said or fret == 12


def test_true_size_on_the_screen_is_what_the_ruler_said(visit):
    here = visit()
    page = here.page
    page.get_by_role("button", name="True size").click()
    page.locator("#ruler-against").select_option("100")
    page.locator("#ruler-fine").fill("450")
    page.get_by_role("button", name="The bar matches").click()
    width = "document.getElementById('card').shadowRoot?.querySelector('svg')?.getBoundingClientRect().width"
    page.wait_for_function(f"() => Math.abs({width} - 210 * 4.5) < 0.5")
    page.reload()
    page.get_by_role("button", name="True size").click()
    page.wait_for_function(f"() => Math.abs({width} - 210 * 4.5) < 0.5")
