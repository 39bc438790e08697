"""More strings and frets on the page: the answers of ``jigs readings --diagnose``, and always a next step."""

import json

import pytest
from browsing import serious_barriers
from playwright.sync_api import expect
from samples import run
from served import lines_on_the_page, state

from jigs.faults import Command, named_in_file
from jigs.page.form.fields import label_of

OUTER = {"treble-harmonic": "0", "treble-fretted": "2", "bass-harmonic": "0", "bass-fretted": "-1"}
NUT_IS_HIGH = ((1, "17"), (3, "9.4"), (5, "9"), (7, "9.3"), (10, "10.5"), (12, "11.5"))
"""Frets of the third string, and what they read against the open string."""


def rows(*given):
    """Rows as the fields of the page, from (string, fret, against, reference, fretted)."""
    names = ("string", "fret", "against", "reference", "fretted")
    return {
        f"rows.{n}.{name}": text
        for n, row in enumerate(given, 1)
        for name, text in zip(names, map(str, row), strict=True)
    }


def by_the_command_line(preset, given, readings=OUTER, last=4):
    options = []
    for string, end in ((1, "treble"), (last, "bass")):
        if f"{end}-fretted" in readings:
            options += [
                "--string",
                string,
                "--harmonic",
                readings[f"{end}-harmonic"],
                "--fretted",
                readings[f"{end}-fretted"],
            ]
    for string, fret, against, reference, fretted in given:
        options += ["--string", string, f"--{against}", reference, "--fret", fret, "--fretted", fretted]
    status, printed, wrong = run("readings", preset, *options, "--json", "--diagnose")
    assert status == 0, wrong
    return json.loads(printed)


def renamed(lines):
    """Commands in sentences by the names of the page's views."""
    for command in ("survey", "compare"):
        was, now = named_in_file(Command(command)), label_of(Command(command))
        lines = [{**line, "text": line["text"].replace(was, now)} for line in lines]
    return lines_on_the_page(lines)


GIVEN = {
    "high-nut": [(3, fret, "open", "0", cents) for fret, cents in NUT_IS_HIGH],
    "one-fret": [(1, fret, "open", "0", "15" if fret == 7 else "0") for fret in (1, 3, 5, 7, 10)],
    "too-few": [(4, 7, "open", "0", "3")],
    "octave-only": [(2, 12, "harmonic", "0", "-3")],
    "hertz": [(3, 12, "harmonic", "392 Hz", "393 Hz"), (3, 7, "open", "196 Hz", "294.5 Hz")],
    "short-string": [(5, 7, "open", "0", "4"), (5, 12, "harmonic", "1", "5")],
}


@pytest.mark.parametrize("given", GIVEN.values(), ids=GIVEN)
def test_rows_get_the_diagnosis_of_the_command_line(application, given):
    expected = by_the_command_line("banjo", given)
    page = application.post("/diagnose", state(readings={**OUTER, **rows(*given)})).data
    assert page["faults"] == []
    assert page["lines"] == renamed(expected["lines"])
    assert (page["verdict"], page["next"]) == (expected["verdict"], expected["next"])
    shown = [(one["name"], one["weight"]) for each in page["diagnosis"] for one in each["causes"]]
    enough = {one["string"] for one in expected["diagnosis"] if len(one["frets"]) >= 4}
    wanted = [one for one in expected["causes"] if one["string"] in enough and one["weight"] > 0.01]
    assert shown == [(one["name"], pytest.approx(one["weight"])) for one in wanted]


def test_readings_elsewhere_than_at_the_octave_are_diagnosed_unasked(application):
    sent = state(readings={**OUTER, **rows(*GIVEN["high-nut"])})
    plain, asked = (application.post(route, sent).data for route in ("/readings", "/diagnose"))
    assert plain["lines"] == asked["lines"]
    assert any(line["kind"] == "diagnosis" for line in plain["lines"])


def test_inner_strings_at_the_octave_count_for_a_bridge_that_follows_all(application):
    fields = {"compensation.bridge_fit": "all"}
    without = application.post("/readings", state(fields=fields, readings=OUTER)).data
    inner = rows((2, 12, "harmonic", 0, -9), (3, "", "harmonic", 0, "-8 / -9"), (5, 12, "harmonic", 0, 1))
    with_all = application.post("/readings", state(fields=fields, readings={**OUTER, **inner})).data
    assert [(row["string"], row["fret"], row["against"]) for row in without["rows"]] == [
        ("2", "12", "harmonic"),
        ("3", "12", "harmonic"),
        ("5", "12", "harmonic"),
    ]
    assert with_all["rows"] == []
    assert with_all["round"]["moved_mm"] != without["round"]["moved_mm"]
    assert [string for string, _, _ in with_all["round"]["rests"]] == [1, 4, 2, 3, 5]


def test_several_readings_of_a_row_count_each_with_its_own_reference(application):
    slashes = rows((3, 7, "open", "0 / 1", "3 / 4"))
    apart = rows((3, 7, "open", "0", "3"), (3, 7, "open", "1", "4"))
    both = [application.post("/diagnose", state(readings={**OUTER, **one})).data["lines"] for one in (slashes, apart)]
    assert both[0] == both[1]


@pytest.mark.parametrize(
    ("row", "field", "code", "where"),
    [
        ((9, 7, "open", 0, 3), "rows.1.string", "string-unknown", "Row 1, string"),
        (("", 7, "open", 0, 3), "rows.1.string", "string-number-unread", "Row 1, string"),
        ((3, 99, "open", 0, 3), "rows.1.fret", "reading-fret-unknown", "Row 1, fret"),
        ((3, 0, "open", 0, 3), "rows.1.fret", "fret-nought", "Row 1, fret"),
        ((3, 7, "open", "x", 3), "rows.1.reference", "tone-unread", "Row 1, it reads"),
        ((3, 7, "open", 0, "x"), "rows.1.fretted", "tone-unread", "Row 1, pressed, it reads"),
        ((3, 7, "open", "0 / 1 / 2", "1 / 2"), "rows.1.fretted", "row-counts-differ", "Row 1, pressed, it reads"),
    ],
)
def test_faults_of_a_row_are_at_its_field(application, row, field, code, where):
    listed = application.post("/diagnose", state(readings={**OUTER, **rows(row)})).data["faults"]
    assert [(one["field"], one["code"], one["where"]) for one in listed] == [(f"readings.{field}", code, where)]


@pytest.mark.parametrize("key", ["rows.0.fret", "rows.100.fret", "rows.1.colour", "rows.1", "rows.1.fret.2"])
def test_rows_that_no_page_sends_are_refused(application, key):
    assert application.post("/readings", state(readings={key: "1"})).status == 400


DEAD_ENDS = {
    "semitone": {**OUTER, "treble-fretted": "90"},
    "too-far": {**OUTER, "treble-fretted": "-30", "bass-fretted": "-32"},
    "too-slanted": {**OUTER, "treble-fretted": "-25", "bass-fretted": "25", "at": "line"},
    "rough": {**OUTER, "treble-fretted": "0", "bass-fretted": "0", "touch-error": "9"},
    "one-string": {"treble-harmonic": "0", "treble-fretted": "0"},
    "high-nut": {**OUTER, **rows(*GIVEN["high-nut"])},
    "one-fret": {**OUTER, **rows(*GIVEN["one-fret"])},
}


@pytest.mark.parametrize("readings", DEAD_ENDS.values(), ids=DEAD_ENDS)
def test_wherever_the_move_ends_there_is_a_next_step(application, readings):
    data = application.post("/readings", state(readings=readings)).data
    assert data["faults"] == []
    assert data["kind"] not in ("verdict-move", "verdict-stop")
    assert data["leads"]
    for lead in data["leads"]:
        assert lead["text"]
        assert set(lead) - {"text"} in ({"field"}, {"view"}, {"rows"})
        assert "`" not in lead["text"]


def test_rows_for_a_diagnosis_are_enough_for_one_and_fit_the_string(application):
    data = application.post("/readings", state(readings=DEAD_ENDS["too-far"])).data
    assert len(data["rows"]) == 3
    (string,) = {row["string"] for row in data["rows"]}
    assert string in ("1", "4")
    filled = rows(*((row["string"], row["fret"], row["against"], "0", "-20") for row in data["rows"]))
    then = application.post("/readings", state(readings={**DEAD_ENDS["too-far"], **filled})).data
    assert then["diagnosis"][0]["causes"]
    assert "12" not in [row["fret"] for row in data["rows"]]


def test_a_cause_leads_to_what_finds_it(application):
    high, fret = (
        application.post("/readings", state(readings=DEAD_ENDS[one])).data for one in ("high-nut", "one-fret")
    )
    assert "action.nut" in [lead.get("field") for lead in high["leads"]]
    assert "boards" in [lead.get("view") for lead in fret["leads"]]


# ---- one end at a time, and the rounds as a picture


def test_one_end_at_a_time_has_one_number_and_the_next_round_counts_from_that_move(application):
    sent = state(readings={**OUTER, "treble-fretted": "-4", "bass-fretted": "7", "at": "line"})
    both, one = (application.post("/readings", {**sent, "asked": asked}).data for asked in ({}, {"one-end": "true"}))
    assert (both["two_moves"], one["two_moves"]) == (True, True)
    moves = [[line["text"] for line in data["lines"] if line["kind"] == "move"] for data in (both, one)]
    assert [len(each) for each in moves] == [2, 1]
    assert one["round"]["moved_mm"][0] is None
    assert one["round"]["moved_mm"][1] == both["round"]["moved_mm"][1]
    assert one["next"] != both["next"]
    assert one["picture"] != both["picture"]


def test_rounds_are_drawn_with_the_round_that_is_read(application):
    first = application.post("/readings", state(readings={**OUTER, "treble-fretted": "-4", "at": "line"})).data
    assert "string-1-step-1" in first["rounds_picture"]
    sent = {**state(readings=OUTER), "rounds": [first["round"]], "start": first["next"]}
    second = application.post("/readings", sent).data["rounds_picture"]
    assert {f"string-{string}-step-{step}" for string in (1, 4) for step in (1, 2)} <= set(second.split('"'))
    listed = application.post("/rounds", {**state(), "rounds": [first["round"]]}).data["picture"]
    assert "string-4-step-1" in listed


def test_rounds_of_an_older_bookmark_are_listed_and_not_drawn(application):
    old = {"read_cents": [-3.0, 4.0], "moved_mm": [-1.2, 1.5], "verdict": "move", "next": None}
    data = application.post("/rounds", {**state(), "rounds": [old]}).data
    assert data["rounds"][0][0]["text"] == "Round 1"
    assert data["picture"] is None


@pytest.mark.parametrize(
    "rests",
    ["1", [1], [[1, 2]], [[0, 1.0, 1.0]], [[1, True, 1.0]], [[1, 1e300, 1.0]], [[1, 1.0, -1.0]], [[1, 1, 1]] * 25],
    ids=str,
)
def test_figures_that_no_round_has_are_refused(application, rests):
    one = {"read_cents": [-3.0, 4.0], "moved_mm": [-1.2, 1.5], "verdict": "move", "next": None, "rests": rests}
    assert application.post("/rounds", {**state(), "rounds": [one]}).status == 400


# ---- in the browser

FAR = "from=banjo&view=listen&at=line&treble-harmonic=0&treble-fretted=-30&bass-harmonic=0&bass-fretted=-33"
MOVES = "from=banjo&view=listen&at=line&treble-harmonic=0&treble-fretted=-3&bass-harmonic=0&bass-fretted=6"
SMALLEST_LETTER = """(id) => {
  const card = document.getElementById(id), svg = card.shadowRoot.querySelector("svg");
  const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
  const sizes = Array.from(svg.querySelectorAll("text"), (one) => parseFloat(one.getAttribute("font-size")));
  return [Math.min(...sizes) * scale, svg.getBoundingClientRect().right];
}"""


def answers(here, route="/readings"):
    return here.page.expect_response(lambda answer: answer.url.endswith(route))


def test_something_else_leads_to_rows_that_are_ready_to_be_read(visit):
    """By keyboard, from the verdict to a cause with its weight."""
    here = visit(FAR)
    here.page.get_by_role("button", name="Read more frets: the rows are ready").first.focus()
    here.page.keyboard.press("Enter")
    expect(here.page.locator('[id="f-readings.rows.1.reference"]')).to_be_focused()
    here.said("3 rows are ready. Read string 4 at fret 10")
    for n in (1, 2, 3):
        expect(here.field(f"readings.rows.{n}.string")).to_have_value("4")
        here.field(f"readings.rows.{n}.reference").focus()
        here.page.keyboard.type("0")
        here.page.keyboard.press("Tab")
        here.page.keyboard.type("-20")
    expect(here.page.locator("#diagnosis .causes li").first).to_contain_text("%")
    expect(here.page.locator("#diagnosis")).to_contain_text("What is likely on string 4 D3")
    here.page.wait_for_function("() => location.hash.includes('rows.3.fretted')")
    again = visit(here.page.url.partition("#")[2])
    expect(again.page.locator("#diagnosis")).to_have_text(here.page.locator("#diagnosis").text_content())


def test_links_of_a_verdict_lead_to_the_measurement(visit):
    here = visit(FAR)
    here.page.locator("#advice-leads a").first.click()
    expect(here.field("scale")).to_be_focused()


def test_row_is_added_filled_and_removed_by_keyboard(visit):
    here = visit("from=banjo&view=listen")
    here.page.locator("#diagnose > summary").focus()
    here.page.keyboard.press("Enter")
    here.page.locator("#row-add").focus()
    here.page.keyboard.press("Enter")
    expect(here.page.locator('[id="f-readings.rows.2.string"]')).to_be_focused()
    here.page.keyboard.type("2")
    here.page.locator("#rows-read [data-remove]").first.focus()
    here.page.keyboard.press("Enter")
    expect(here.page.locator('[id="f-readings.rows.1.string"]')).to_be_focused()
    expect(here.field("readings.rows.1.string")).to_have_value("2")
    here.said("Row 1 is removed")


def test_half_a_row_does_not_count_while_it_is_typed(visit):
    here = visit(MOVES + "&rows.1.string=2&rows.1.fret=7&rows.1.reference=0")
    expect(here.page.locator("#advice")).to_be_visible()
    expect(here.page.locator("#faults")).to_be_hidden()


def test_fault_in_a_row_is_in_the_list_and_leads_to_its_field(visit):
    here = visit(MOVES + "&rows.1.string=9&rows.1.fret=7&rows.1.against=open&rows.1.reference=0&rows.1.fretted=1")
    here.page.locator("#faults-list a", has_text="Row 1, string").click()
    expect(here.page.locator('[id="f-readings.rows.1.string"]')).to_be_focused()


def test_one_set_of_numbers_is_shown_and_the_switch_shows_the_other(visit):
    here = visit(MOVES)
    advice = here.page.locator("#advice")
    lines = here.page.locator("#advice-lines")
    expect(lines).to_contain_text("Set both ends at once.")
    expect(advice).not_to_contain_text("+6.0 cents")
    with answers(here) as answer:
        here.page.get_by_label("One end at a time").check()
    assert answer.value.json()["round"]["moved_mm"][0] is None
    expect(lines).to_contain_text("+6.0 cents on the fork")
    expect(lines).to_contain_text("Hold the other end still.")
    expect(lines).not_to_contain_text("−6.0 cents")
    drawn = here.page.locator("#advice-card").evaluate("(one) => one.shadowRoot.textContent")
    assert "hold it still" in drawn
    assert "the crown after the move" in drawn
    here.page.wait_for_function("() => location.hash.includes('one-end=true')")
    again = visit(here.page.url.partition("#")[2])
    expect(again.page.get_by_label("One end at a time")).to_be_checked()
    expect(again.page.locator("#advice-lines")).to_contain_text("+6.0 cents on the fork")
    again.page.locator("#next-round").click()
    expect(again.page.locator("#rounds-list")).to_contain_text("Moved: bass end 2.3 mm towards the tail")


def test_the_picture_comes_before_the_words_and_why_is_folded_away(visit):
    here = visit(MOVES)
    order = here.page.evaluate(
        "() => ['advice-card', 'advice-lines', 'advice-rest'].map((id) => "
        "Array.from(document.querySelectorAll('*')).indexOf(document.getElementById(id)))"
    )
    assert order == sorted(order)
    expect(here.page.locator("#advice-rest")).to_be_hidden()
    here.page.locator("#advice-why > summary").click()
    expect(here.page.locator("#advice-rest")).to_contain_text("What is left after both moves")


def test_empty_view_says_the_three_things_to_do(visit):
    here = visit("from=banjo&view=listen")
    expect(here.page.locator("#bench-empty li")).to_have_count(3)
    expect(here.page.locator("#bench-empty")).to_be_visible()


@pytest.mark.parametrize("preset", ["banjo", "archtop-guitar", "bouzouki", "mandolin"])
def test_pictures_fit_a_narrow_window_with_letters_that_can_be_read(visit, preset):
    fragment = MOVES.replace("banjo", preset).replace("=6", "=4")
    here = visit(fragment, viewport={"width": 360, "height": 780}, has_touch=True)
    here.page.locator("#next-round").click()
    here.page.locator("#rounds-card").wait_for()
    here.assert_no_wider_than_the_window()
    size, right = here.page.evaluate(SMALLEST_LETTER, "rounds-card")
    assert size >= 12
    assert right <= 360
    here.page.go_back()
    here.page.locator("#advice-card").wait_for()
    size, right = here.page.evaluate(SMALLEST_LETTER, "advice-card")
    assert size >= 12
    assert right <= 360


@pytest.mark.parametrize(
    "profile",
    [
        {},
        {"color_scheme": "dark"},
        {"viewport": {"width": 360, "height": 780}, "has_touch": True},
        {"viewport": {"width": 768, "height": 900}},
    ],
    ids=["light", "dark", "telephone", "tablet"],
)
def test_a_diagnosis_has_no_barrier_and_is_no_wider_than_the_window(visit, profile):
    given = rows(*((4, fret, "open", "0", "-20") for fret in (1, 7, 10)))
    here = visit(FAR + "".join(f"&{key}={text}" for key, text in given.items()), **profile)
    here.page.locator("#diagnosis .causes li").first.wait_for()
    here.unfold_everything()
    here.assert_no_wider_than_the_window()
    cut = here.page.evaluate(
        "() => Array.from(document.querySelectorAll('#advice-notes li'), (one) => one.scrollWidth > one.clientWidth + 1)"
    )
    assert not any(cut)
    assert serious_barriers(here.page) == []
