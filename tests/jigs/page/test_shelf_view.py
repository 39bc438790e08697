"""The shelf in the browser: an instrument that was filled in is still there tomorrow, whatever another window did."""

import datetime
import io
import json
import re
import zipfile

import pytest
from browsing import Visit, serious_barriers
from playwright.sync_api import expect
from samples import run
from served import serving

from jigs.instrument.opening import preset_text
from jigs.readings.keep import Given, keep

BANJO = preset_text("banjo")


@pytest.fixture
def folder(tmp_path):
    """An empty shelf."""
    made = tmp_path / "shelf"
    made.mkdir()
    return made


@pytest.fixture
def visiting(browser, folder, tmp_path):
    """Open the page with this shelf, in as many windows as a test likes. The page's own errors fail the test."""
    visits = []
    with serving(tmp_path, "--port", "0", "--shelf", str(folder)) as running:

        def visited(fragment="view=shelf", **profile):
            visits.append(Visit(browser, running.address, profile))
            visits[-1].go(fragment)
            return visits[-1]

        yield visited
        errors = [error for one in visits for error in one.errors]
        for one in visits:
            one.leave()
    assert errors == []


def press(visit, name):
    visit.page.get_by_role("button", name=name, exact=True).click()


def rows(visit):
    return visit.page.locator("#shelf-list > li")


def show_shelf(visit):
    visit.page.locator("nav [data-show=shelf]").click()
    expect(visit.page.locator("#shelf-folder")).not_to_be_empty()


def open_file(visit, file):
    with visit.page.expect_response("**/draw"):
        press(visit, f"Open {file}")
    expect(visit.page.locator("#preset option[data-file]")).to_have_text(file)


def test_first_instrument_is_saved_and_is_there_after_a_reload(visiting, folder):
    visit = visiting()
    expect(visit.page.locator("#shelf-empty")).to_be_visible()
    expect(visit.page.locator("#shelf-folder")).to_have_text(str(folder))
    visit.page.locator("nav [data-show=measure]").click()
    visit.fill("name", "Loan banjo 7")
    visit.fill("scale", "26 3/8 in")
    show_shelf(visit)
    expect(visit.page.get_by_label("File name")).to_have_value("loan-banjo-7.toml")
    press(visit, "Save as new")
    expect(visit.page.locator("#shelf-done")).to_have_text("loan-banjo-7.toml is saved on the shelf.")
    expect(rows(visit)).to_have_count(1)
    expect(visit.page.locator("#shelf-state")).to_have_text("has no changes since it was opened.")
    expect(visit.page.get_by_role("button", name="Save", exact=True)).to_be_disabled()
    expect(visit.page.locator("#why-shelf-save")).to_have_text("Nothing has changed since it was opened.")
    with visit.page.expect_response("**/shelf-list"):
        visit.page.reload()
    expect(rows(visit).locator(".open-now")).to_have_text("open now")
    visit.page.locator("nav [data-show=print]").click()
    name, content = visit.take("Instrument file")
    assert (name, content) == ("loan-banjo-7.toml", (folder / "loan-banjo-7.toml").read_bytes())


def test_changes_are_counted_and_saved_over_the_file(visiting, folder):
    (folder / "loan.toml").write_text(BANJO)
    visit = visiting()
    open_file(visit, "loan.toml")
    assert not visit.page.locator("#shelf").is_visible(), "it leads to what is to be filled in"
    visit.fill("action.nut", "0.6")
    visit.fill("scale", "26 3/8 in")
    show_shelf(visit)
    expect(visit.page.locator("#shelf-state")).to_have_text("has 2 changes since it was opened.")
    press(visit, "Save")
    expect(visit.page.locator("#shelf-done")).to_be_visible()
    changed = {
        new
        for old, new in zip(BANJO.splitlines(), (folder / "loan.toml").read_text().splitlines(), strict=True)
        if old != new
    }
    assert len(changed) == 2
    assert 'scale = "26 3/8 in"' in re.sub(" +", " ", (folder / "loan.toml").read_text())
    expect(visit.page.locator("#shelf-state")).to_have_text("has no changes since it was opened.")
    visit.said("loan.toml is saved on the shelf.")


def test_later_save_of_two_windows_is_warned_and_nothing_is_lost(visiting, folder):
    (folder / "loan.toml").write_text(BANJO)
    first, second = visiting(), visiting()
    for visit, scale in ((first, "667"), (second, "668")):
        open_file(visit, "loan.toml")
        visit.fill("scale", scale)
        show_shelf(visit)
    press(first, "Save")
    expect(first.page.locator("#shelf-done")).to_be_visible()
    press(second, "Save")
    conflict = second.page.locator("#shelf-conflict")
    expect(conflict).to_be_focused()
    expect(conflict).to_contain_text("loan.toml has changed on the shelf since you opened it")
    expect(rows(second).locator(".open-now")).to_contain_text("changed on the shelf")
    press(second, "Save mine beside it as loan-2.toml")
    expect(second.page.locator("#shelf-done")).to_have_text("loan-2.toml is saved on the shelf.")
    expect(conflict).to_be_hidden()
    assert "scale = 667" in re.sub(" +", " ", (folder / "loan.toml").read_text())
    assert "scale = 668" in re.sub(" +", " ", (folder / "loan-2.toml").read_text())


def test_other_one_opens_and_back_leads_to_what_was_typed(visiting, folder):
    (folder / "loan.toml").write_text(BANJO)
    visit = visiting()
    open_file(visit, "loan.toml")
    visit.fill("scale", "667")
    keep(str(folder / "loan.toml"), Given(at="669.7 / 670.0"), datetime.date(2026, 11, 25))
    show_shelf(visit)
    press(visit, "Save")
    expect(visit.page.locator("#shelf-conflict")).to_be_visible()
    with visit.page.expect_response("**/draw"):
        press(visit, "Open the other one")
    expect(visit.page.locator("#shelf-conflict")).to_be_hidden()
    assert visit.field("found.treble").input_value() == "669.7"
    with visit.page.expect_response("**/draw"):
        visit.page.go_back()
    expect(visit.page.locator('[id="f-scale"]')).to_have_value("667")
    assert "669.7" in (folder / "loan.toml").read_text()


def test_file_that_has_gone_is_saved_again_under_its_name(visiting, folder):
    (folder / "loan.toml").write_text(BANJO)
    visit = visiting()
    open_file(visit, "loan.toml")
    visit.fill("scale", "667")
    (folder / "loan.toml").unlink()
    show_shelf(visit)
    press(visit, "Save")
    expect(visit.page.locator("#shelf-conflict")).to_contain_text("is no longer on the shelf")
    expect(visit.page.get_by_role("button", name="Open the other one")).to_be_hidden()
    press(visit, "Save mine beside it as loan.toml")
    expect(visit.page.locator("#shelf-done")).to_be_visible()
    assert "667" in (folder / "loan.toml").read_text()


def test_name_that_cannot_be_is_refused_at_its_field(visiting, folder):
    visit = visiting()
    visit.page.get_by_label("File name").fill("../secret")
    press(visit, "Save as new")
    expect(visit.page.locator('[id="x-shelf.file"]')).to_contain_text("secret")
    expect(visit.page.get_by_label("File name")).to_be_focused()
    expect(visit.page.get_by_label("File name")).to_have_attribute("aria-invalid", "true")
    assert list(folder.iterdir()) == []


def test_instrument_with_a_fault_is_not_saved_and_the_button_says_why(visiting, folder):
    (folder / "loan.toml").write_text(BANJO)
    visit = visiting()
    open_file(visit, "loan.toml")
    visit.fill("scale", "x")
    show_shelf(visit)
    for button in ("Save", "Save as new"):
        expect(visit.page.get_by_role("button", name=button, exact=True)).to_be_disabled()
    expect(visit.page.locator("#why-shelf-save a")).to_be_visible()
    assert (folder / "loan.toml").read_text() == BANJO


def test_faulty_file_is_shown_with_its_fault_and_opens_to_be_mended(visiting, folder):
    (folder / "loan.toml").write_text(BANJO.replace("nut     = 0.5", "nut     = -3"))
    visit = visiting()
    expect(rows(visit).locator(".refusal")).to_contain_text("▲")
    open_file(visit, "loan.toml")
    visit.fill("action.nut", "0.5")
    show_shelf(visit)
    press(visit, "Save")
    expect(visit.page.locator("#shelf-done")).to_be_visible()
    expect(rows(visit).locator(".refusal")).to_have_count(0)
    assert (folder / "loan.toml").read_text() == BANJO


def test_file_far_down_the_list_opens_at_the_top_with_its_fault_in_sight(visiting, folder):
    for n in range(10, 32):
        (folder / f"loan-{n}.toml").write_text(BANJO.replace("nut     = 0.5", "nut     = -3"))
    visit = visiting()
    open_file(visit, "loan-31.toml")
    expect(visit.page.locator("#faults-list")).to_be_in_viewport()
    expect(visit.page.locator("#preset")).to_be_focused()


def test_copy_is_listed_beside_its_original(visiting, folder):
    (folder / "loan.toml").write_text(BANJO)
    visit = visiting()
    press(visit, "Copy loan.toml")
    expect(visit.page.locator("#shelf-done")).to_have_text("loan.toml is copied as loan-2.toml.")
    expect(rows(visit)).to_have_count(2)
    expect(rows(visit).filter(has_text="loan-2.toml")).to_contain_text("(copy)")


def test_all_is_drawn_and_index_and_archive_are_those_of_a_rack(visiting, folder, tmp_path):
    (folder / "loan-1.toml").write_text(BANJO)
    (folder / "loan-2.toml").write_text(preset_text("mandolin"))
    (folder / "loan-3.toml").write_text("scale = 26 1/4 in")
    visit = visiting()
    for button in ("Download the index", "Download all drawings"):
        expect(visit.page.get_by_role("button", name=button)).to_be_disabled()
    expect(visit.page.locator("#why-shelf-index")).to_have_text("Draw all first.")
    press(visit, "Draw all")
    expect(visit.page.locator("#shelf-outcome")).to_have_text("2 drawn, 0 unchanged, 1 faulty", timeout=60_000)
    expect(visit.page.locator("#shelf-troubles li")).to_have_count(1)
    expect(visit.page.locator("#shelf-troubles li")).to_contain_text("loan-3.toml: ")
    run(
        "rack",
        str(folder),
        "--out",
        str(tmp_path / "by"),
        "--paper",
        visit.page.locator('[id="f-draw.paper"]').input_value(),
    )
    theirs = {path.name: path.read_bytes() for path in (tmp_path / "by").iterdir() if path.name != "rack-state.jsonl"}
    assert visit.take("Download the index") == ("rack-index.pdf", theirs["rack-index.pdf"])
    name, content = visit.take("Download all drawings")
    assert name == "shelf-drawings.zip"
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        assert {one: packed.read(one) for one in packed.namelist()} == theirs


def test_what_is_typed_while_it_is_saved_is_not_lost(visiting, folder):
    (folder / "loan.toml").write_text(BANJO)
    visit = visiting()
    open_file(visit, "loan.toml")
    visit.fill("scale", "667")
    show_shelf(visit)
    visit.page.evaluate(
        """() => {
          document.getElementById("shelf-save").click();
          const nut = document.getElementById("f-action.nut");
          nut.value = "0.7";
          nut.dispatchEvent(new Event("input", { bubbles: true }));
        }"""
    )
    expect(visit.page.locator("#shelf-done")).to_be_visible()
    expect(visit.page.locator("#shelf-state")).to_have_text("has 1 change since it was opened.")
    expect(visit.page.locator('[id="f-action.nut"]')).to_have_value("0.7")
    assert "667" in (folder / "loan.toml").read_text()


def test_address_keeps_the_stamp_so_that_a_bookmark_overwrites_nothing_newer(visiting, folder):
    (folder / "loan.toml").write_text(BANJO)
    visit = visiting()
    open_file(visit, "loan.toml")
    visit.fill("scale", "667")
    visit.page.wait_for_function("() => location.hash.includes('stamp=') && location.hash.includes('667')")
    (folder / "loan.toml").write_text(BANJO + "# newer\n")
    visit.page.reload()
    show_shelf(visit)
    press(visit, "Save")
    expect(visit.page.locator("#shelf-conflict")).to_be_visible()
    assert (folder / "loan.toml").read_text() == BANJO + "# newer\n"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 640, 360])
def test_nothing_serious_for_axe_and_nothing_wider_than_the_window(visiting, folder, scheme, width):
    (folder / ("long-" * 11 + "name.toml")).write_text(BANJO.replace('name  = "', f'name  = "{"W" * 30} '))
    (folder / "faulty.toml").write_text(json.dumps("x" * 200))
    (folder / "loan.toml").write_text(BANJO)
    visit = visiting(color_scheme=scheme, viewport={"width": width, "height": 800})
    open_file(visit, "loan.toml")
    visit.fill("scale", "667")
    (folder / "loan.toml").write_text(BANJO + "\n")
    show_shelf(visit)
    press(visit, "Save")
    expect(visit.page.locator("#shelf-conflict")).to_be_visible()
    press(visit, "Draw all")
    expect(visit.page.locator("#shelf-outcome")).to_contain_text("drawn, ", timeout=60_000)
    visit.assert_no_wider_than_the_window()
    assert serious_barriers(visit.page) == []
    wide = visit.page.evaluate(
        """() => Array.from(document.querySelectorAll("#shelf-list > li, #shelf .field"), (one) =>
          one.getBoundingClientRect().width > 30 * 16 + 1)"""
    )
    assert not any(wide), "a row is wider than 30 rem"


def test_page_without_a_shelf_says_why(browser, tmp_path):
    (tmp_path / "file").write_text("x")
    with serving(tmp_path, "--port", "0", XDG_DATA_HOME=str(tmp_path / "file")) as running:
        visit = Visit(browser, running.address, {})
        visit.go("view=shelf")
        expect(visit.page.locator("#shelf-none")).to_contain_text("this page has no shelf")
        expect(visit.page.locator("#shelf-there")).to_be_hidden()
        visit.leave()
