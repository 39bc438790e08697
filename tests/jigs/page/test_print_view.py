"""The Print view in a browser: a printer is measured without a terminal, and no sheet shows another template."""

import io
import json
import zipfile

import pytest
from browsing import serious_barriers
from playwright.sync_api import expect
from samples import run
from served import serving

READ = {"a-b": "189.4 / 189.5", "d-c": "189,5/189.4", "a-d": "276.9", "b-c": "276.8", "a-c": "335.4", "b-d": "335.2"}
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}


@pytest.fixture(scope="session")
def server(tmp_path_factory):
    """A page whose user has a settings folder of their own."""
    folder = tmp_path_factory.mktemp("own")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(folder / "settings"))
        with serving(folder) as running:
            yield running


def measure(one, name, read=READ):
    one.fill("draw.paper", "a4")
    for key, text in read.items():
        one.field(f"printer.{key}").fill(text)
    one.field("printer.name").fill(name)
    keep = one.page.get_by_role("button", name="Keep this printer")
    expect(keep).to_be_enabled()
    return keep


@pytest.mark.parametrize("profile", [{}, PHONE], ids=["wide", "phone"])
def test_printer_is_measured_kept_and_chosen_on_the_page_alone(visit, tmp_path, profile):
    one = visit("view=print", **profile)
    name = f"kitchen {len(profile)}"
    measure(one, name)
    expect(one.page.locator("#printer-shown")).to_contain_text("across: −0.30% ±")
    one.assert_no_wider_than_the_window()
    with one.page.expect_response("**/draw") as answer:
        one.page.get_by_role("button", name="Keep this printer").click()
    stem = name.replace(" ", "-")
    assert json.loads(answer.value.request.post_data)["draw"]["printer"] == stem
    expect(one.field("draw.printer")).to_have_value(stem)
    expect(one.page.locator("#printer-said")).to_contain_text("From now on the PDF is corrected for this printer")
    assert one.take("PDF")[1] != run_pdf(tmp_path)
    assert one.take("Check sheet")[0] == "printer-sheet-a4.pdf"
    assert one.page.evaluate("() => location.hash").count("a-b") == 0
    one.fill("draw.printer", "")
    expect(one.page.locator("#printer-said")).to_be_empty()


def run_pdf(folder):
    run("draw", "banjo", "--format", "pdf", "--out", folder)
    return (folder / "banjo-fork.pdf").read_bytes()


def test_name_that_exists_is_replaced_by_a_second_button_and_removed_by_two(visit):
    one = visit("view=print")
    for attempt in (1, 2):
        measure(one, "attic").click()
        if attempt == 1:
            expect(one.field("draw.printer")).to_have_value("attic")
    replace = one.page.get_by_role("button", name="Replace it")
    expect(replace).to_be_focused()
    expect(one.page.locator('[id="x-printer.name"]')).to_contain_text("already")
    replace.click()
    expect(one.page.locator("#printer-said")).to_contain_text("attic is kept")
    expect(replace).to_be_hidden()
    remove = one.page.get_by_role("button", name="Remove: attic")
    remove.click()
    one.page.get_by_role("button", name="Keep it").click()
    expect(remove).to_be_focused()
    remove.click()
    one.page.get_by_role("button", name="Remove attic for good").click()
    expect(one.field("draw.printer")).to_have_value("")
    expect(remove).to_have_count(0)


def test_half_filled_printer_says_what_is_missing_beside_its_button(visit):
    one = visit("view=print")
    one.field("printer.a-b").fill("189.4")
    expect(one.page.locator("#why-printer-keep")).to_contain_text("Still missing")
    expect(one.page.locator("#printer .fault:not([hidden])")).to_have_count(0)
    one.field("printer.a-b").fill("18.94")
    expect(one.page.locator('[id="x-printer.a-b"]')).to_contain_text("18.94 cm")
    one.fill("draw.paper", "letter")
    expect(one.page.locator('[id="x-printer.a-b"]')).to_be_visible()


def test_half_filled_printer_is_there_again_after_a_reload(visit):
    one = visit("view=print")
    one.field("printer.a-b").fill("189.4")
    one.page.wait_for_function("() => location.hash.includes('189.4')")
    with one.page.expect_response("**/draw") as answer:
        one.page.reload()
    expect(one.page.locator('[id="f-printer.a-b"]')).to_have_value("189.4")
    assert one.settled(answer.value)["faults"] == [], "the lengths were taken for the printer that is chosen"


def test_template_that_lacks_a_measurement_shows_no_other_drawing_and_leads_to_the_field(visit):
    one = visit("view=print")
    one.fill("draw.template", "head")
    assert not one.page.locator("#drawn").is_visible()
    expect(one.page.locator("#stale")).to_be_hidden()
    expect(one.page.locator("#lacks-title")).to_have_text("head: from a banjo's tension hoop, to cut from stock")
    one.page.locator("#lacks-fields a").click()
    field = one.page.locator('[id="f-rim.fret_12_to_near_edge"]')
    expect(field).to_be_focused()
    expect(field).to_be_in_viewport()
    one.fill("rim.head", "280")
    drawn = one.fill("rim.fret_12_to_near_edge", "200")
    assert drawn["faults"] == []
    expect(one.page.locator("#lacks")).to_be_hidden()


def test_fault_keeps_the_last_drawing_of_its_own_template_only(visit):
    one = visit("view=print")
    good = one.fill("draw.template", "gauge")["sheets"][0]
    one.fill("action.fret_12", "high")
    expect(one.page.locator("#stale")).to_be_visible()
    assert one.is_shown(good)
    one.field("draw.template").select_option("spacing")
    expect(one.page.locator("#lacks")).to_be_visible()
    expect(one.page.locator("#lacks-title")).to_contain_text("spacing")
    assert not one.page.locator("#drawn").is_visible()
    one.page.locator("#lacks-fields a").click()
    expect(one.page.locator("#faults")).to_be_focused()


def test_button_that_is_off_says_why_beside_itself(visit):
    one = visit("view=print")
    expect(one.page.locator("#dxf")).to_be_disabled()
    why = "the part alone, for a cutter The fork is for paper. For a cutter choose the gauge."
    expect(one.page.locator("#dxf")).to_have_accessible_description(why)
    one.fill("action.fret_12", "high")
    for button in ("pdf", "svg", "dxf", "all", "kit"):
        expect(one.page.locator(f"#{button}")).to_be_disabled()
        expect(one.page.locator(f"#why-{button}")).to_have_text("Fix what is listed first.")
    one.show("print")
    one.page.locator("#why-all a").click()
    expect(one.page.locator("#faults")).to_be_focused()


def test_pdf_that_fits_no_paper_says_so_under_its_button(visit):
    one = visit("view=print")
    one.fill("draw.template", "gauge")
    one.fill("bridge.length", "200")
    one.fill("draw.paper", "letter")
    expect(one.page.locator("#pdf")).to_be_disabled()
    expect(one.page.locator("#why-pdf")).to_contain_text("does not fit")
    expect(one.page.locator("#dxf")).to_be_enabled()


def test_impatient_presses_ask_for_one_archive_and_leave_the_drawing_quick(visit):
    """A browser sends six requests at once: as many archives would hold up what is typed meanwhile."""
    one = visit("view=print")
    asked = []
    one.page.on("request", lambda request: asked.append(request.url.rpartition("/")[2]))
    with one.page.expect_download(timeout=60_000):
        one.page.evaluate("for (let n = 0; n < 8; n++) document.getElementById('all').click()")
    assert asked.count("archive") == 1


def test_files_are_taken_by_their_buttons(visit):
    one = visit("view=print")
    one.fill("draw.template", "gauge")
    assert one.take("DXF")[0] == "banjo-gauge.dxf"
    for button, name, holds in (
        ("All templates", "banjo-templates.zip", "banjo.toml"),
        ("Kit to cut", "banjo-kit.zip", "banjo-kit.dxf"),
    ):
        taken, content = one.take(button)
        assert taken == name
        assert holds in zipfile.ZipFile(io.BytesIO(content)).namelist()
    expect(one.page.locator("#taking")).to_contain_text("is in your downloads")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_barrier_in_any_state_of_the_view(visit, scheme):
    one = visit("view=print", color_scheme=scheme)
    one.unfold_everything()
    measure(one, "cellar").click()
    expect(one.page.locator("#printers-list li")).not_to_have_count(0)
    assert serious_barriers(one.page) == []
    one.field("printer.a-b").fill("18.94")
    expect(one.page.locator('[id="x-printer.a-b"]')).to_be_visible()
    one.fill("draw.template", "head")
    assert serious_barriers(one.page) == []
    one.page.get_by_role("button", name="Remove: cellar").click()
    one.page.get_by_role("button", name="Remove cellar for good").click()
    expect(one.page.locator("#printer-said")).to_contain_text("is removed")
