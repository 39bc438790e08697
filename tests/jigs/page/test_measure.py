"""Measuring on the page: the first questions, how to measure, what is still the preset's, and what makes the place surer."""

import re

import pytest
from playwright.sync_api import expect
from samples import run
from served import own_file, state

from jigs.instrument.opening import preset_text
from jigs.page.form.fields import GROUPS, STRING_FIELDS
from jigs.page.how_to_measure import PICTURES, files

LEAST_LETTERS_MM = 3.0


# ---- the pictures


@pytest.mark.parametrize("picture", PICTURES, ids=lambda one: one.key)
def test_picture_of_a_measurement_lies_within_its_card_and_its_letters_can_be_read(picture):
    box = picture.draw().bounds()
    assert box.left >= 0
    assert box.top >= 0
    assert box.right <= 90
    assert box.bottom <= 45
    assert all(item.height_mm >= LEAST_LETTERS_MM for item in picture.draw() if hasattr(item, "height_mm"))


@pytest.mark.parametrize("picture", PICTURES, ids=lambda one: one.key)
def test_no_words_of_a_picture_lie_over_others(picture):
    from jigs.drawing.items import Text, bounds

    boxes = [(item.text, bounds(item)) for item in picture.draw() if isinstance(item, Text)]
    over = [(a, b) for n, (a, box) in enumerate(boxes) for b, other in boxes[n + 1 :] if box.overlaps(other)]
    assert over == []


def test_every_picture_is_for_fields_that_the_form_has_and_says_in_words_what_it_shows():
    keys = {field.key for group in GROUPS for field in group.fields} | {field.key for field in STRING_FIELDS}
    for one in PICTURES:
        assert set(one.fields) <= keys, one.key
        assert one.alt.endswith("."), one.key
        assert len(one.alt.split()) >= 8, one.key


def test_pictures_come_from_a_fixed_list_in_memory(application):
    for name, content in files().items():
        reply = application.ask("GET", f"/static/{name}", b"", {})
        assert (reply.status, reply.kind, reply.body) == (200, "image/svg+xml", content)
    assert application.ask("GET", "/static/how-../page.css", b"", {}).status == 404
    assert application.ask("GET", "/static/how-nothing.svg", b"", {}).status == 404


def test_picture_is_shown_where_the_measurement_is_filled_in(visit):
    here = visit()
    field = here.page.locator('[data-of="nut_to_fret_12"]')
    fold = field.locator("xpath=following-sibling::details[1]")
    fold.locator("summary").focus()
    here.page.keyboard.press("Enter")
    picture = fold.locator("img")
    expect(picture).to_be_visible()
    expect(picture).to_have_attribute("alt", re.compile("nut's front edge"))
    here.page.wait_for_function("one => one.complete && one.naturalWidth > 300", arg=picture.element_handle())


# ---- the first questions


@pytest.mark.parametrize(
    ("preset", "fields", "answer"),
    [
        ("banjo", {}, "no"),
        ("mandolin", {}, "unknown"),
        ("mandolin", {"bridge.steps": "0, 0, 0, 0"}, "no"),
        ("mandolin", {"bridge.steps": "-1, 1, -0.5, 1"}, "yes"),
        ("mandolin", {"bridge.steps": ""}, "unknown"),
        ("flat-top-guitar", {}, "no"),
        ("cello-banjo", {}, "unknown"),
        ("banjo", {"bridge.steps": "0, 0, 1.5, 0, 0"}, "yes"),
    ],
)
def test_question_of_the_saddle_is_answered_by_what_the_form_says(application, preset, fields, answer):
    assert application.drawn(preset, fields)["saddle"]["answer"] == answer


def test_own_file_answers_the_question_of_the_saddle_when_it_is_opened(application):
    assert application.drawn(base=own_file(preset_text("mandolin")))["saddle"]["answer"] == "yes"


@pytest.mark.parametrize("typed", ["999999999999", "-3", "many", ""])
def test_no_number_of_strings_makes_a_long_list_of_steps(application, typed):
    reply = application.post("/draw", state("mandolin", {"strings": typed}))
    assert len(reply.data["saddle"]["no"]) < 100


def test_a_straight_saddle_is_drawn_as_one(visit, application):
    here = visit("from=mandolin")
    expect(here.page.get_by_label("I don’t know")).to_be_checked()
    with here.page.expect_response("**/draw") as answer:
        here.page.get_by_label("No", exact=True).check()
    drawn = here.settled(answer.value)
    assert drawn["sheets"] == application.drawn("mandolin", {"bridge.steps": "0, 0, 0, 0"}, _draw(here))["sheets"]
    with here.page.expect_response("**/draw") as answer:
        here.page.get_by_label("I don’t know").check()
    assert here.settled(answer.value)["sheets"] == application.drawn("mandolin", {}, _draw(here))["sheets"]


def _paper(here):
    return here.page.locator('[id="f-draw.paper"]').input_value()


def _draw(here):
    return {"paper": _paper(here), "template": "fork"}


def test_a_stepped_saddle_asks_for_its_steps_and_the_answer_is_still_there_later(visit):
    here = visit("from=mandolin")
    with here.page.expect_response("**/draw"):
        here.page.get_by_label("Yes", exact=True).check()
    steps = here.page.locator('[id="f-bridge.steps"]')
    expect(steps).to_be_visible()
    expect(steps).to_have_value("-1.2, 1.2, -0.6, 1.0")
    here.page.wait_for_function("() => location.hash.includes('stepped=yes')")
    again = visit(here.page.url.partition("#")[2])
    expect(again.page.get_by_label("Yes", exact=True)).to_be_checked()
    with again.page.expect_response("**/draw") as answer:
        again.page.locator("#preset").select_option("banjo")
    again.settled(answer.value)
    expect(again.page.get_by_label("No", exact=True)).to_be_checked()
    expect(again.page.locator('[id="f-bridge.steps"]')).not_to_be_visible()


def test_own_steps_survive_another_answer(visit):
    here = visit("from=mandolin")
    here.fill("bridge.steps", "-1, 1.1, -0.5, 0.9")
    expect(here.page.get_by_label("Yes", exact=True)).to_be_checked()
    for answer in ("I don’t know", "Yes"):
        with here.page.expect_response("**/draw"):
            here.page.get_by_label(answer, exact=True).check()
    expect(here.page.locator('[id="f-bridge.steps"]')).to_have_value("-1, 1.1, -0.5, 0.9")


# ---- one measurement, said in two ways


def test_nut_to_fret_12_counts_instead_of_the_presets_scale(visit, application, tmp_path):
    here = visit()
    drawn = here.fill("nut_to_fret_12", "333.4")
    scale = here.page.locator('[data-of="scale"]')
    expect(scale).to_contain_text("“Nut to fret 12” counts")
    expect(here.field("scale")).to_have_attribute("aria-describedby", re.compile(r"\bn-scale\b"))
    (tmp_path / "banjo.toml").write_bytes(application.post("/file", state("banjo", {"nut_to_fret_12": "333.4"})).body)
    paper = _paper(here)
    assert run("draw", tmp_path / "banjo.toml", "--paper", paper, "--format", "svg", "--out", tmp_path)[0] == 0
    assert (tmp_path / drawn["names"][0]).read_text(encoding="utf-8") == drawn["sheets"][0]
    here.fill("nut_to_fret_12", "")
    expect(scale).not_to_contain_text("counts")


def test_nut_to_fret_12_typed_as_the_scale_is_asked_about_once_and_moved_with_a_button(visit, application):
    (fault,) = application.faults("banjo", {"scale": "333"})
    assert (fault["code"], fault["field"]) == ("scale-perhaps-half", "scale")
    here = visit()
    here.fill("scale", "333")
    with here.page.expect_response("**/draw") as answer:
        here.page.get_by_role("button", name="Move it to “Nut to fret 12”").click()
    assert here.settled(answer.value)["faults"] == []
    expect(here.field("nut_to_fret_12")).to_have_value("333")
    expect(here.field("nut_to_fret_12")).to_be_focused()
    expect(here.page.locator("#half-scale")).to_be_hidden()


# ---- what is the preset's


def test_values_of_the_preset_are_named_in_a_frame_over_the_figures_with_links(visit):
    here = visit()
    note = here.page.locator("#preset-note")
    expect(note).to_contain_text("scale length, string heights, strings, bridge")
    expect(here.page.locator("#notes-list")).not_to_contain_text("preset")
    assert note.bounding_box()["y"] < here.page.locator("#headline").bounding_box()["y"]
    note.get_by_role("link", name="bridge", exact=True).click()
    expect(here.page.locator('[id="f-bridge.thickness"]')).to_be_focused()
    for key, text in {
        "scale": "26 in",
        "action.fret_12": "2.9",
        "bridge.thickness": "8",
        "strings.1.gauge": ".011",
    }.items():
        here.fill(key, text)
    expect(note).to_be_hidden()


def test_a_value_is_marked_as_the_presets_until_it_is_measured(visit):
    here = visit()
    label, string = here.page.locator('label[for="f-action.fret_12"]'), here.page.locator("#strings legend").first
    expect(label).to_contain_text("preset")
    expect(string).to_contain_text("preset")
    here.fill("action.fret_12", "2.9")
    here.fill("strings.1.gauge", ".011")
    expect(label).not_to_contain_text("preset")
    expect(string).not_to_contain_text("preset")
    expect(here.page.locator('label[for="f-scale"]')).to_contain_text("preset")


def test_a_measurement_that_equals_the_presets_is_the_users_own_once_it_is_typed(visit):
    here = visit("from=mandolin&unit=in")
    label, note = here.page.locator('label[for="f-scale"]'), here.page.locator("#preset-note")
    expect(note).to_contain_text("scale length")
    assert here.field("scale").input_value() == "13 7/8"
    here.fill("scale", "13 7/8")
    expect(label).not_to_contain_text("preset")
    expect(note).not_to_contain_text("scale length")
    here.page.wait_for_function("() => location.hash.includes('measured=')")
    here.page.reload()
    expect(note).to_contain_text("strings")
    expect(note).not_to_contain_text("scale length")
    here.fill("frets", "19")
    here.page.get_by_role("button", name="Reset to preset").click()
    expect(note).to_contain_text("scale length")


def test_no_value_of_an_own_file_is_called_the_presets(visit, tmp_path):
    (tmp_path / "mine.toml").write_text(preset_text("banjo"), encoding="utf-8")
    here = visit()
    with here.page.expect_response("**/draw") as answer:
        here.page.locator("#open").set_input_files(tmp_path / "mine.toml")
    here.settled(answer.value)
    expect(here.page.locator("#preset-note")).to_be_hidden()
    assert here.page.locator(".of-preset").count() == 0


# ---- what makes the place surer


def test_figures_at_the_fields_follow_what_is_measured(visit):
    here = visit("from=mandolin")
    core = here.page.locator('.helps [data-worth="core"]')
    before = core.inner_text()
    drawn = here.fill("strings.4.turns", "37")
    expect(core).to_have_text(drawn["worth"]["parts"]["core"])
    assert core.inner_text() != before
    expect(here.page.locator("#worth-whole")).to_have_text(drawn["worth"]["whole"])


def test_groups_stay_in_their_order_whatever_is_measured(visit):
    here = visit()
    order = """() => Array.from(document.querySelectorAll('#instrument .group, .helps > li'),
      (one) => one.textContent.trim().slice(0, 12))"""
    before = here.page.evaluate(order)
    here.fill("tolerance.measured_with", "aids")
    here.fill("strings.4.turns", "66")
    assert here.page.evaluate(order) == before


def test_measuring_aids_are_one_click_away_and_are_the_command_lines(visit, tmp_path):
    here = visit("from=mandolin")
    name, pdf = here.take("Print the measuring aids")
    assert name == "mandolin-measure.pdf"
    paper = _paper(here)
    (tmp_path / "mandolin.toml").write_text(preset_text("mandolin"), encoding="utf-8")
    assert (
        run("draw", tmp_path / "mandolin.toml", "measure", "--paper", paper, "--format", "pdf", "--out", tmp_path)[0]
        == 0
    )
    assert (tmp_path / name).read_bytes() == pdf


def test_links_of_what_helps_lead_there(visit):
    here = visit()
    here.page.get_by_role("link", name="Measure your printer").click()
    expect(here.page.locator('[id="f-draw.printer"]')).to_be_focused()
    here.page.locator("#to-measure").click()
    here.page.get_by_role("link", name="Find the place by ear").click()
    expect(here.page.locator("#readings")).to_be_visible()


# ---- on every screen


def test_a_fault_in_a_fold_is_reached_from_the_list(visit):
    here = visit()
    here.fill("bridge.face", "20")
    here.page.locator("#faults-list a").first.click()
    expect(here.page.locator('[id="f-bridge.face"]')).to_be_focused()
    expect(here.page.locator('[id="f-bridge.face"]')).to_be_visible()


@pytest.mark.parametrize("width", [360, 820, 1366])
def test_rows_are_short_and_nothing_is_wider_than_the_window(visit, width):
    here = visit("from=mandolin", viewport={"width": width, "height": 800})
    here.unfold_everything()
    here.page.evaluate("() => Promise.all(Array.from(document.images, (one) => (one.loading = 'eager', one.decode())))")
    here.assert_no_wider_than_the_window()
    widths = here.page.evaluate(
        "() => Array.from(document.querySelectorAll('#instrument .field'), (one) => one.getBoundingClientRect().width)"
    )
    assert max(widths) <= 480


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_form_with_every_fold_open_has_no_barriers(visit, scheme):
    from browsing import serious_barriers

    here = visit("from=mandolin", color_scheme=scheme)
    here.fill("nut_to_fret_12", "176.2")
    here.unfold_everything()
    assert serious_barriers(here.page) == []


def test_a_core_that_does_not_count_says_so_below_its_string(visit, tmp_path):
    text = preset_text("banjo").replace('# core = "0.010 in"', 'core = "0.010 in" #')
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    here = visit()
    with here.page.expect_response("**/draw") as answer:
        here.page.locator("#open").set_input_files(tmp_path / "mine.toml")
    here.settled(answer.value)
    here.fill("strings.4.turns", "66")
    string = here.page.locator("#strings > fieldset").nth(3)
    expect(string).to_contain_text("wrap turns in 10 mm” counts")
    expect(here.page.locator('[id="f-strings.4.core"]')).to_have_attribute(
        "aria-describedby", re.compile("n-strings.4.core")
    )
    here.fill("strings.4.turns", "")
    expect(string).not_to_contain_text("counts")


@pytest.mark.parametrize(("preset", "string"), [("banjo", 4), ("mandolin", 3)])
def test_counting_the_turns_of_a_wrap_leads_to_the_field_for_it(visit, preset, string):
    here = visit(f"from={preset}")
    here.page.get_by_role("link", name="Count the turns of the wrap").click()
    expect(here.page.locator(f'[id="f-strings.{string}.turns"]')).to_be_focused()
