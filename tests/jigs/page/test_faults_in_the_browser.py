"""What is wrong is shown at its field while the last good drawing stays, and is gone once it is right."""

from urllib.parse import quote

import pytest
from playwright.sync_api import expect
from served import silence

from jigs.page.form.fields import GROUPS, STRING_FIELDS

WRONG = [
    ("scale", "26, 25 in"),
    ("action.fret_12", "-1"),
    ("strings.4.gauge", "thick"),
    ("strings.5.starts_at_fret", "30"),
    ("bridge.face", "20"),
    ("draw.paper", "blotting"),
    ("draw.datum-fret", "last"),
]


def test_fault_is_shown_at_its_field_and_the_last_good_drawing_stays(visit):
    here = visit()
    page = here.page
    good = here.fill("frets", "21")["sheets"][0]
    for key, text in WRONG:
        before = here.field(key).input_value()
        data = here.fill(key, text)
        fault = next(fault for fault in data["faults"] if fault["field"] == key)
        what = f"{fault['what']}; {fault['remedy']}"
        expect(page.locator(f'[id="x-{key}"]')).to_contain_text(what)
        expect(here.field(key)).to_have_attribute("aria-invalid", "true")
        expect(page.locator("#faults-list")).to_contain_text(f"{fault['where']}: {what}")
        expect(page.locator("#stale")).to_be_visible()
        expect(page.locator("#pdf")).to_be_disabled()
        expect(page.locator("#why-pdf")).to_be_visible()
        assert here.is_shown(good)
        assert here.fill(key, before)["faults"] == []
        expect(page.locator("#faults")).to_be_hidden()
        expect(page.locator(f'[id="x-{key}"]')).to_be_hidden()
        assert here.field(key).get_attribute("aria-invalid") is None
    expect(page.locator("#stale")).to_be_hidden()
    expect(page.locator("#pdf")).to_be_enabled()
    expect(page.locator("#why-pdf")).to_be_hidden()


def test_list_of_faults_leads_to_the_field_even_where_it_is_folded_away(visit):
    here = visit("from=banjo&tail.slip=7&action.nut=x")
    page = here.page
    links = page.locator("#faults-list a")
    expect(links).to_have_count(2)
    links.filter(has_text="slip").click()
    expect(page.locator('[id="f-tail.slip"]')).to_be_focused()
    expect(page.locator('[id="f-tail.slip"]')).to_be_in_viewport()


WRONG_ANYWHERE = "\a"
NOT_TYPED = ("choice", "check")


def every_field():
    """Every field of the form that is typed into, of a string those of string 4, and of the drawing."""
    fields = [*(one for group in GROUPS for one in group.fields), *STRING_FIELDS]
    keys = [one.key if "." in one.key or one not in STRING_FIELDS else f"strings.4.{one.key}" for one in fields]
    typed = [key for key, one in zip(keys, fields, strict=True) if one.kind not in NOT_TYPED]
    assert len(typed) > 50
    return [*typed, "kerf", "web", "stock", "datum-fret", "paper"]


def test_list_leads_to_every_field_whatever_view_and_fold_it_is_in(visit):
    wrong = "&".join(f"{key}={quote(WRONG_ANYWHERE)}" for key in every_field())
    for view in ("measure", "listen"):
        here = visit(f"from=banjo&template=gauge&{wrong}&view={view}")
        links = here.page.locator("#faults-list a")
        led = []
        for n in range(links.count()):
            target = links.nth(n).get_attribute("href").removeprefix("#")
            here.page.evaluate("view => document.querySelector(`[data-show=${view}]`).click()", view)
            expect(here.page.locator("#faults")).to_be_visible()
            links.nth(n).focus()
            here.page.keyboard.press("Enter")
            expect(here.page.locator(f'[id="{target}"]')).to_be_focused()
            expect(here.page.locator(f'[id="{target}"]')).to_be_in_viewport()
            led.append(target.removeprefix("f-").removeprefix("draw."))
        assert set(led) >= set(every_field())


@pytest.mark.parametrize("view", ["measure", "print", "listen", "strings", "boards", "shelf"])
def test_list_of_faults_is_above_the_work_in_every_view(visit, view):
    here = visit(f"from=banjo&action.nut=x&view={view}")
    page = here.page
    expect(page.locator("#faults")).to_be_in_viewport()
    shown = page.locator("main > [data-view]:not([hidden])").first
    assert page.locator("#faults").bounding_box()["y"] < shown.bounding_box()["y"]
    page.locator("#faults-list a").click()
    expect(page.locator('[id="f-action.nut"]')).to_be_focused()


def test_bar_at_the_foot_of_a_phone_leads_to_the_list(visit):
    here = visit("from=banjo&action.nut=x", viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    here.field("tail.slip").scroll_into_view_if_needed()
    here.page.locator("#glance").tap()
    expect(here.page.locator("#faults")).to_be_focused()
    expect(here.page.locator("#faults")).to_be_in_viewport()


def test_wrong_reading_is_shown_at_its_field_and_the_drawing_stays(visit):
    here = visit("from=banjo&view=listen")
    here.fill("readings.treble-harmonic", "1")
    here.fill("readings.treble-fretted", "sharp")
    expect(here.page.locator('[id="x-readings.treble-fretted"]')).to_contain_text('"sharp"')
    expect(here.page.locator("#pdf")).to_be_enabled()
    expect(here.page.locator("#advice")).to_be_hidden()


def test_file_with_a_mistake_in_it_is_refused_with_its_line(visit, tmp_path):
    (tmp_path / "broken.toml").write_text('name = "x"\nscale = 26 1/4\n')
    here = visit()
    here.page.locator("#open").set_input_files(tmp_path / "broken.toml")
    expect(here.page.locator("#faults-list")).to_contain_text("Your file, line 2: ")


@pytest.mark.parametrize("size", [20_000, 200_000], ids=["short", "long"])
def test_sound_opened_as_an_instrument_is_refused_and_all_that_was_typed_stays(visit, tmp_path, size):
    (tmp_path / "string1.wav").write_bytes(silence(size))
    here = visit()
    here.fill("scale", "26 in")
    here.page.locator("#open").set_input_files(tmp_path / "string1.wav")
    expect(here.page.locator("#faults-list")).to_contain_text("string1.wav is not opened, and nothing was changed")
    expect(here.field("scale")).to_have_value("26 in")
    expect(here.page.locator("#headline")).to_contain_text("Five-string banjo")
    assert here.fill("action.fret_12", "2.8")["faults"] == []
    expect(here.page.locator("#faults")).to_be_hidden()


def test_file_that_is_too_large_is_refused_and_the_next_one_is_opened(visit, tmp_path):
    from jigs.instrument.opening import preset_text

    (tmp_path / "large.toml").write_text("# " + "x" * 70_000)
    (tmp_path / "mine.toml").write_text(preset_text("mandola"))
    here = visit()
    here.page.locator("#open").set_input_files(tmp_path / "large.toml")
    expect(here.page.locator("#faults-list")).to_contain_text("64 KiB")
    here.page.locator("#open").set_input_files(tmp_path / "mine.toml")
    expect(here.page.locator("#faults")).to_be_hidden()
    expect(here.page.locator("#headline")).to_contain_text("Mandola")


def test_program_that_is_gone_is_noticed_and_its_return_is_enough(visit):
    here = visit()
    page = here.page
    page.route("**/draw", lambda route: route.abort())
    here.field("scale").fill("26 in")
    expect(page.locator("#faults-list")).to_contain_text("does not answer")
    page.unroute("**/draw")
    assert here.fill("scale", "26.1 in")["faults"] == []
    expect(page.locator("#faults")).to_be_hidden()


@pytest.mark.parametrize("text", ['<img src=x onerror="taken=1"> & <b>', "</text><script>window.taken=1</script>"])
def test_name_with_markup_in_it_is_shown_as_it_was_typed(visit, text):
    here = visit()
    page = here.page
    scripts = page.locator("script").count()
    here.fill("name", text)
    expect(page.locator("#headline")).to_contain_text(text)
    assert page.evaluate("() => window.taken") is None
    assert page.locator("script").count() == scripts
    assert page.locator("#headline img, #headline b").count() == 0
    tags = "() => document.getElementById('card').shadowRoot.querySelectorAll('script, image, img, a, b').length"
    assert page.evaluate(tags) == 0
