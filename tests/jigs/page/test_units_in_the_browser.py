"""The switch between millimetres and inches, as a player uses it: what is shown, what is sent, what the file keeps."""

import pytest
from playwright.sync_api import expect

from jigs.instrument.opening import preset_text


def switch(here, name):
    here.page.get_by_role("radio", name=name).check()
    expect(here.page.get_by_role("radio", name=name)).to_be_checked()


def beside(here, key):
    return here.page.locator(f'[id="u-{key}"]')


def saved(here):
    return here.take("Instrument file")[1].decode()


def sends(here, key, text):
    """Type a text into a field: what the page sends as the fields' texts then."""
    with here.page.expect_request(
        lambda one: one.url.endswith("/draw") and key in one.post_data_json["fields"]
    ) as sent:
        here.field(key).fill(text)
    return sent.value.post_data_json["fields"]


def in_print(here):
    here.page.locator('.steps [data-show="print"]').click()


@pytest.mark.parametrize("preset", ["banjo", "mandolin"])
def test_switching_back_and_forth_changes_neither_fields_nor_file(visit, preset):
    here = visit(f"from={preset}")
    expect(here.field("scale")).not_to_have_value("26 1/4 in")
    before = {key: here.field(key).input_value() for key in ("scale", "action.fret_12", "strings.4.gauge")}
    for _ in range(5):
        switch(here, "Inches")
        expect(beside(here, "scale")).to_have_text("in")
        expect(here.field("scale")).to_have_value({"banjo": "26 1/4", "mandolin": "13 7/8"}[preset])
        switch(here, "Millimetres")
        expect(here.field("scale")).to_have_value(before["scale"])
    assert {key: here.field(key).input_value() for key in before} == before
    expect(here.page.locator("#changed")).to_contain_text("No changes")
    in_print(here)
    assert saved(here) == preset_text(preset)


def test_file_is_untouched_while_the_page_shows_inches(visit):
    here = visit("from=banjo&unit=in")
    expect(here.field("scale")).to_have_value("26 1/4")
    expect(here.field("action.fret_12")).to_have_value("0.118")
    expect(here.page.locator("#changed")).to_contain_text("No changes")
    in_print(here)
    assert saved(here) == preset_text("banjo")


def test_plain_number_that_is_typed_counts_in_the_unit_of_the_switch(visit):
    here = visit()
    switch(here, "Inches")
    assert sends(here, "scale", "26 3/8")["scale"] == "26 3/8 in"
    sent = sends(here, "bridge.steps", "0, 0.04, 0, 0.02, 1 mm")
    assert sent["bridge.steps"] == "0 in, 0.04 in, 0 in, 0.02 in, 1 mm"
    sent = sends(here, "nut.steps", "0 0.01 0 0.01 0")
    assert sent["nut.steps"] == "0 in, 0.01 in, 0 in, 0.01 in, 0 in"
    switch(here, "Millimetres")
    expect(here.field("scale")).to_have_value("669.925")
    expect(here.field("bridge.steps")).to_have_value("0, 1.016, 0, 0.508, 1")
    sent = sends(here, "bridge.length", "71")
    assert (sent["scale"], sent["bridge.length"]) == ("26 3/8 in", "71")


def test_switch_is_remembered_by_the_browser_and_by_the_address(visit):
    here = visit()
    switch(here, "Inches")
    here.page.wait_for_url("**unit=in**")
    here.page.reload()
    expect(here.page.get_by_role("radio", name="Inches")).to_be_checked()
    expect(here.field("scale")).to_have_value("26 1/4")
    here.go("from=mandolin")
    expect(here.page.get_by_role("radio", name="Inches")).to_be_checked()
    other = visit("from=banjo&unit=in")
    expect(other.page.get_by_role("radio", name="Inches")).to_be_checked()


def test_no_field_shows_two_units(visit):
    here = visit()
    expect(beside(here, "scale")).to_have_text("mm")
    here.fill("scale", "26 1/4 in")
    expect(beside(here, "scale")).to_have_text("")
    here.fill("scale", "668")
    expect(beside(here, "scale")).to_have_text("mm")
    here.fill("scale", "26.25")
    here.field("scale").blur()
    expect(beside(here, "scale")).to_have_text("in")
    here.field("strings.4.unit_mass").fill("2.1")
    expect(beside(here, "strings.4.unit_mass")).to_have_text("g/m")


def test_mass_without_its_unit_counts_in_the_unit_beside_it(visit):
    assert sends(visit(), "strings.4.unit_mass", "2.1")["strings.4.unit_mass"] == "2.1 g/m"


def test_fault_quotes_what_was_typed_and_the_field_keeps_it(visit):
    here = visit("from=banjo&unit=in")
    data = here.fill("scale", "26, 25 x")
    assert '"26, 25 x"' in data["faults"][0]["what"]
    switch(here, "Millimetres")
    expect(here.field("scale")).to_have_value("26, 25 x")


def test_gauges_of_an_opened_file_are_shown_as_on_the_packet_and_kept(visit, tmp_path):
    text = preset_text("banjo").replace('".022w"', '"0.022 in w"').replace('gauge = ".014"', "gauge = 0.3556")
    (tmp_path / "mine.toml").write_text(text)
    here = visit()
    here.page.locator("#open").set_input_files(tmp_path / "mine.toml")
    expect(here.field("strings.4.gauge")).to_have_value(".022w")
    expect(here.field("strings.3.gauge")).to_have_value(".014")
    here.page.get_by_role("button", name="Add a string").click()
    here.page.get_by_role("button", name="Remove string 6").click()
    in_print(here)
    assert saved(here) == text


def test_string_taken_for_plain_is_asked_about_at_its_gauge_and_above_everything(visit):
    for window in ({"width": 1366, "height": 768}, {"width": 390, "height": 844}):
        here = visit("from=banjo&strings.4.gauge=.022&strings.4.wrap=", viewport=window)
        expect(here.page.locator('[id="x-strings.4.gauge"]')).to_contain_text("is string 4 wound?")
        expect(here.page.locator("#faults")).to_contain_text("is string 4 wound?")
        expect(here.page.locator("#faults-list li")).to_be_in_viewport()
        inner = visit("from=mandolin&strings.3.gauge=.026&strings.3.wrap=", viewport=window)
        expect(inner.page.locator('[id="x-strings.3.gauge"]')).to_contain_text("is pair 3 wound?")
        expect(inner.page.locator("#faults-title")).to_have_text("1 thing to check")
        expect(inner.page.locator("#faults-list li")).to_be_in_viewport()
        inner.page.locator("#faults-list a").click()
        expect(inner.page.locator('[id="f-strings.3.gauge"]')).to_be_focused()
        expect(inner.page.locator('[id="f-strings.3.gauge"]')).not_to_have_attribute("aria-invalid", "true")
