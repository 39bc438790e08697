"""Without a mouse, on a telephone, enlarged, in the dark, by ear, on paper, next week: the page is the same page."""

import io

import numpy as np
import pytest
from browsing import assert_each_is_shown, serious_barriers, tab_to
from playwright.sync_api import expect
from readers import pdf_pieces_by_pdfium, svg_pieces

pytestmark = pytest.mark.slow

NARROW = {"viewport": {"width": 360, "height": 740}}
ENLARGED = {"viewport": {"width": 640, "height": 400}, "device_scale_factor": 2}
"""A window of 1280 by 800 at 200 %: half as many CSS pixels, each twice as large."""

FAULTY = "from=banjo&scale=26%2C25+in&tail.slip=7&strings.4.gauge=thick&paper=blotting"
READ = "from=banjo&treble-harmonic=%2B1&treble-fretted=%2B4.5&bass-harmonic=-2&bass-fretted=-8.5"
STATES = {"fresh": "", "faulty": FAULTY, "read": READ}


def test_keyboard_alone_leads_from_the_address_to_a_file(visit):
    here = visit()
    page, stops = here.page, []
    tab_to(page, "f-scale", stops)
    page.keyboard.press("Control+A")
    with page.expect_response(lambda answer: here._is_about(answer, "scale", "26 3/8 in")) as answer:
        page.keyboard.type("26 3/8 in")
    here.settled(answer.value)
    tab_to(page, "f-draw.template", stops)
    with page.expect_response(lambda answer: here._is_about(answer, "draw.template", "fretboard")):
        page.keyboard.type("fretb")
    tab_to(page, "pdf", stops)
    with page.expect_download() as coming:
        page.keyboard.press("Enter")
    assert coming.value.suggested_filename == "banjo-fretboard.pdf"
    page.keyboard.press("Control+Home")
    tab_to(page, "to-print", stops)
    page.keyboard.press("Enter")
    tab_to(page, "file", stops)
    assert_each_is_shown(stops)


def test_keyboard_can_begin_at_the_drawing(visit):
    here = visit()
    here.page.keyboard.press("Tab")
    expect(here.page.get_by_role("link", name="To the drawing")).to_be_focused()
    here.page.keyboard.press("Enter")
    expect(here.page.locator("#sheet")).to_be_focused()


@pytest.mark.parametrize("fragment", STATES.values(), ids=STATES)
@pytest.mark.parametrize("profile", [NARROW, ENLARGED], ids=["telephone", "enlarged"])
def test_nothing_is_wider_than_the_window(visit, profile, fragment):
    here = visit(fragment, **profile)
    here.assert_no_wider_than_the_window()
    here.unfold_everything()
    here.assert_no_wider_than_the_window()
    if fragment == "":
        here.fill("draw.template", "fretboard")
        here.fill("name", "A" * 60)
        here.assert_no_wider_than_the_window()


def pixels(picture):
    from PIL import Image

    # The outermost pixels may be half the page's.
    return np.asarray(Image.open(io.BytesIO(picture)).convert("RGB")).astype(int)[1:-1, 1:-1]


def test_drawing_is_black_on_white_in_the_dark_too(visit):
    pictures, around = [], []
    for scheme in ("light", "dark"):
        here = visit(color_scheme=scheme)
        pictures.append(pixels(here.page.locator("#card").screenshot()))
        around.append(pixels(here.page.screenshot(clip={"x": 0, "y": 0, "width": 8, "height": 8})).mean())
    assert around[0] > 150, "the page is not light"
    assert around[1] < 105, "the page is not dark"
    light, dark = pictures
    assert (light == dark).all()
    assert (light == 255).all(axis=2).mean() > 0.7
    assert light.min() < 60


@pytest.mark.parametrize(("paper", "size"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_what_the_browser_prints_is_true_to_size(visit, paper, size, scheme):
    import pypdfium2 as pdfium

    here = visit(f"from=banjo&paper={paper}", color_scheme=scheme, **NARROW)
    for _ in range(3 if scheme == "dark" else 0):
        here.page.get_by_role("button", name="Larger").click()
    printed = here.page.pdf(prefer_css_page_size=True, print_background=scheme == "dark")
    _, svg = here.take("SVG")
    pdf = pdfium.PdfDocument(printed)
    pages, first = len(pdf), tuple(side * 25.4 / 72 for side in pdf[0].get_size())
    pdf.close()
    assert pages == 1
    assert first == pytest.approx(size, abs=0.3)
    found, drawn = pdf_pieces_by_pdfium(printed), svg_pieces(svg)
    for name, axis in (("ruler-across", 0), ("ruler-down", 1)):
        ruler = drawn[name][0]
        apart = np.minimum(np.abs(found - ruler).max(axis=1), np.abs(found - ruler[[2, 3, 0, 1]]).max(axis=1))
        piece = found[apart.argmin()]
        assert abs(piece[axis + 2] - piece[axis]) == pytest.approx(100, abs=0.3)
        assert apart.min() < 0.3, "the ruler is not where the sheet has it"


def test_nothing_wrong_is_printed(visit):
    import pypdfium2 as pdfium

    here = visit(FAULTY)
    pdf = pdfium.PdfDocument(here.page.pdf(prefer_css_page_size=True))
    words = " ".join(page.get_textpage().get_text_range() for page in pdf)
    pdf.close()
    assert "before you print" in words


def test_a_screen_reader_speaks_what_changed(visit):
    here = visit()
    status = here.page.get_by_role("status")
    data = here.fill("scale", "27 in")
    here.said(data["headline"][0]["figure"])
    here.fill("scale", "26, 25 in")
    here.said("1 thing to fix")
    expect(status).to_contain_text("Scale")
    here.fill("action.nut", "x")
    here.said("2 things to fix")
    assert here.page.locator("[aria-live]").count() == 1


def test_address_brings_the_same_drawing_back_next_week(visit):
    here = visit()
    here.fill("scale", "26 3/8 in")
    here.fill("strings.4.gauge", "0.024 in")
    here.fill("draw.paper", "letter")
    here.fill("readings.treble-harmonic", "1")
    here.fill("readings.treble-fretted", "3")
    here.page.wait_for_function("() => location.hash.includes('treble-fretted=3')")
    _, svg = here.take("SVG")
    again = visit(here.page.url.partition("#")[2])
    assert again.take("SVG")[1] == svg
    assert again.is_shown(svg.decode())
    assert again.field("readings.treble-fretted").input_value() == "3"
    here.page.reload()
    here.shows(svg.decode())


def test_address_brings_an_opened_file_back_whole(visit, tmp_path):
    from jigs.instrument.opening import preset_text

    text = preset_text("mandolin") + "# a note of my own: è, ♭, 𝄞\n"
    (tmp_path / "mine.toml").write_text(text)
    here = visit()
    with here.page.expect_response("**/draw") as answer:
        here.page.locator("#open").set_input_files(tmp_path / "mine.toml")
    here.settled(answer.value)
    here.page.wait_for_function("() => location.hash.includes('mine.toml')")
    again = visit(here.page.url.partition("#")[2])
    assert again.take("Instrument file") == ("mine.toml", text.encode())


def test_address_that_is_changed_by_hand_is_followed(visit):
    here = visit()
    with here.page.expect_response("**/draw") as answer:
        here.page.evaluate("() => { location.hash = 'from=mandolin&scale=14+in'; }")
    here.settled(answer.value)
    expect(here.field("scale")).to_have_value("355.6")
    assert here.page.locator("#preset").input_value() == "mandolin"


def test_back_leads_to_the_instrument_before(visit):
    here = visit()
    here.fill("scale", "27 in")
    with here.page.expect_response("**/draw") as answer:
        here.page.locator("#preset").select_option("mandolin")
    here.settled(answer.value)
    here.page.wait_for_function("() => location.hash.includes('from=mandolin')")
    with here.page.expect_response("**/draw") as answer:
        here.page.go_back()
    here.settled(answer.value)
    expect(here.field("scale")).to_have_value("685.8")
    assert here.page.locator("#preset").input_value() == "banjo"


@pytest.mark.parametrize(
    "fragment", ["from=nothing", "file=x&packed=%%%", "file=x&packed=AAAA", "scale=%F0%9F", "sheet=99", "from=<b>&x=1"]
)
def test_address_that_is_broken_still_opens_the_page(visit, fragment):
    here = visit(fragment)
    assert here.page.locator("#faults").is_visible() != here.is_shown_anything()


BARRIER_STATES = {
    "light": ("", {}),
    "dark": ("", {"color_scheme": "dark"}),
    "faulty": (FAULTY, {}),
    "faulty-dark": (FAULTY, {"color_scheme": "dark"}),
    "read": (READ, {}),
    "narrow": ("", NARROW),
}


@pytest.mark.parametrize(("fragment", "profile"), BARRIER_STATES.values(), ids=BARRIER_STATES)
def test_axe_finds_no_serious_barrier(visit, fragment, profile):
    here = visit(fragment, **profile)
    here.unfold_everything()
    assert serious_barriers(here.page) == []


def test_every_sheet_of_a_long_board_is_printed(visit):
    import pypdfium2 as pdfium

    here = visit("from=banjo&template=fretboard&paper=a4")
    sheets = here.page.locator("#which").text_content()
    pdf = pdfium.PdfDocument(here.page.pdf(prefer_css_page_size=True))
    pages, words = len(pdf), [page.get_textpage().get_text_range() for page in pdf]
    pdf.close()
    assert sheets == f"Sheet 1 of {pages}"
    assert all(f"Sheet {n} of {pages}" in text for n, text in enumerate(words, 1))


def test_paper_is_that_of_the_reader_s_country_until_they_choose_another(visit):
    here = visit(locale="en-US")
    assert here.field("draw.paper").input_value() == "letter"
    here.fill("draw.paper", "a3")
    here.page.goto("about:blank")
    here.go()
    assert here.field("draw.paper").input_value() == "a3"


def test_advice_on_one_string_stays_while_the_other_is_being_read(visit):
    here = visit("treble-harmonic=1&treble-fretted=4.5")
    here.page.locator("#advice:not([hidden])").wait_for()
    here.field("readings.bass-harmonic").fill("-2")
    here.page.wait_for_timeout(600)
    assert here.page.locator("#advice").is_visible()
    assert here.page.locator("#faults").is_hidden()


def test_pdf_that_does_not_exist_cannot_be_downloaded(visit):
    here = visit("from=banjo&bridge.length=200&template=gauge&paper=letter")
    assert here.page.get_by_role("button", name="Download the PDF to print").is_disabled()
    assert "There is no PDF of it" in here.page.locator("#why-pdf").inner_text()
    here.show("print")
    assert here.page.get_by_role("button", name="SVG", exact=True).is_enabled()
    assert "there is no PDF of it" in here.page.locator("#notes").inner_text()


def test_file_that_is_downloaded_at_once_holds_what_was_typed_last(visit):
    here = visit()
    here.page.evaluate(
        """() => {
          const field = document.getElementById("f-name");
          field.value = "Typed last";
          field.dispatchEvent(new InputEvent("input", { bubbles: true }));
        }"""
    )
    name, svg = here.take("SVG")
    assert b"Typed last" in svg
    assert name.startswith("typed-last")


NARROWER_THAN_A_FINGER = """() => Array.from(document.querySelectorAll(
  "button, select, summary, textarea, input:not([type=checkbox], [type=radio], [type=file]), .row a, .helps a, .glance"))
  .filter((one) => one.checkVisibility() && one.getBoundingClientRect().height < 43.5)
  .map((one) => `${one.id} ${one.textContent}`.trim())"""


@pytest.mark.parametrize("view", ["measure", "print", "listen", "strings", "boards", "shelf", "help"])
def test_what_a_finger_presses_is_as_high_as_a_finger(visit, view):
    here = visit(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    here.show(view)
    here.unfold_everything()
    assert here.page.evaluate(NARROWER_THAN_A_FINGER) == []
