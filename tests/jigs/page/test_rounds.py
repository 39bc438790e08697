"""Rounds at the bench: moved, next round. The page goes on from where the last one left the bridge, as the log does."""

import json
import re

import pytest
from browsing import serious_barriers
from playwright.sync_api import expect
from samples import run
from served import lines_on_the_page, state

KEYS = ("treble-harmonic", "treble-fretted", "bass-harmonic", "bass-fretted")
CHAINS = {
    "on-the-line": (
        "banjo",
        4,
        [("line", "0", "-3", "0", "4"), ("", "0", "2.5", "0", "-3"), ("", "0", "0.3 / 0.2", "1 / 1", "0.9 / 1")],
    ),
    "measured": (
        "mandolin",
        4,
        [("352.6 / 353.9", "0 / 1", "4 / 5", "0", "-5 / -6"), ("", "0", "-4", "0", "3"), ("", "0", "3", "0", "-4")],
    ),
    "nobody-knows": (
        "tenor-banjo",
        4,
        [("", "0", "5", "0", "-6"), ("", "+1", "-4", "0", "5"), ("", "0", "3", "0", "3")],
    ),
    "one-end-then-the-other": (
        "banjo",
        4,
        [("line", "0", "5", "", ""), ("", "", "", "0", "-7"), ("", "0", "0.5", "0", "-0.5")],
    ),
    "measured-again": (
        "banjo",
        4,
        [("line", "0", "-3", "0", "4"), ("669.0 / 671.5", "0", "3", "0", "-4"), ("", "0", "-3", "0", "3")],
    ),
    "measured-late": (
        "banjo",
        4,
        [("", "0", "-3", "0", "4"), ("669", "0", "3", "0", "-4"), ("", "0", "2.8", "0", "-3")],
    ),
}
"""Preset, its last full-length string, and for each round: where the bridge stands if the user says it, and the readings."""


def filled(one):
    """A round as the fields of the page."""
    return {key: text for key, text in zip(("at", *KEYS), one, strict=True) if text}


def by_the_command_line(chain, log):
    """What ``jigs readings --log`` answers to each round, as JSON."""
    preset, last, rounds = chain
    for at, *tones in rounds:
        options = ["--at", at] if at else []
        for string, harmonics, fretted in ((1, *tones[:2]), (last, *tones[2:])):
            options += ["--string", string] if fretted else []
            reference = harmonics.split("/")
            for n, note in enumerate(fretted.split("/") if fretted else ()):
                options += ["--harmonic", reference[n]] if n < len(reference) else []
                options += ["--fretted", note]
        status, printed, noted = run("readings", preset, *options, "--json", "--log", log)
        assert status == 0, noted
        yield json.loads(printed)


def assert_same(page, expected):
    """The same lines, verdict and places, to the last digit."""
    assert page["lines"] == lines_on_the_page(expected["lines"])
    assert (page["verdict"], page["next"]) == (expected["verdict"], expected["next"])


def line_texts(data, kind):
    return [line["text"] for line in data["lines"] if line["kind"] == kind]


@pytest.mark.parametrize("chain", CHAINS.values(), ids=CHAINS)
def test_rounds_get_the_answers_of_the_command_line_and_its_log(application, tmp_path, chain):
    start, done = None, []
    for one, expected in zip(chain[2], by_the_command_line(chain, tmp_path / "log"), strict=True):
        page = application.post("/readings", {**state(chain[0], readings=filled(one)), "start": start}).data
        assert page["faults"] == []
        assert_same(page, expected)
        start = page["next"]
        done.append(page["round"])
    assert all(one["verdict"] in ("move", "check first string again") for one in done[:2]), "the bridge is moved twice"
    listed = application.post("/rounds", {**state(chain[0]), "rounds": done[:2]}).data["rounds"]
    assert [lines[0]["text"] for lines in listed] == ["Round 1", "Round 2"]


def second_round(application, first, second):
    """The answers to two rounds on the page, of a bridge that began on the sheet's line."""
    one = application.post("/readings", state(readings=filled(("line", *first)))).data
    sent = {**state(readings=filled(("", *second))), "start": one["next"]}
    return one, application.post("/readings", sent).data


def test_second_round_counts_from_where_the_first_left_the_bridge_and_not_from_the_sheet_again(application):
    """A bridge at 668.8 that is to go to 669.2 goes towards the tail, not towards the nut."""
    one, two = second_round(
        application, ("0", "-3", "0", "4"), ("0 / 0 / 0", "-1.5 / -1.5 / -1.5", "0 / 0 / 0", "2 / 2 / 2")
    )
    after = line_texts(one, "line")[-1].removeprefix("after:").strip()
    before = line_texts(two, "line")[1].removeprefix("before:").strip()
    assert re.match(r"668\.\d mm / 671\.\d mm; slant", after)
    assert before == after
    assert "Counted from where the last round left the bridge." in line_texts(two, "start")[0]
    treble, bass = line_texts(two, "move")
    assert "towards the nut" in treble
    assert "towards the tail" in bass
    assert two["next"]["treble_mm"] < one["next"]["treble_mm"]
    assert two["next"]["bass_mm"] > one["next"]["bass_mm"]


def test_after_stop_the_place_is_that_of_the_last_move_and_not_the_sheet_s(application):
    one, two = second_round(application, ("0", "-3", "0", "4"), ("0", "-1.5", "0", "2"))
    assert two["verdict"] == "stop"
    assert two["round"] is None
    assert two["next"]["treble_mm"] == one["next"]["treble_mm"]
    assert re.search(r"from the nut: 668\.8 mm / 671\.7 mm;", line_texts(two, "line")[0])


def test_readings_without_a_place_are_answered_by_relative_moves_and_no_slant_is_made_up(application, tmp_path):
    given = ("", "+1", "-4", "0", "6")
    (expected,) = by_the_command_line(("banjo", 4, [given]), tmp_path / "log")
    page = application.post("/readings", state(readings=filled(given))).data
    assert page["faults"] == []
    assert_same(page, expected)
    assert page["verdict"] == "move"
    assert page["next"] is None
    assert not re.search(r"slant|from the nut:|--at", " ".join(line["text"] for line in page["lines"]))


def test_place_that_the_user_gives_in_a_later_round_counts_instead(application):
    start = {"treble_mm": 668.8, "bass_mm": 671.7, "by_sheet": True, "round": 1}
    read = filled(("669.5 / 670.0", "0", "3", "0", "-4"))
    page = application.post("/readings", {**state(readings=read), "start": start}).data
    assert line_texts(page, "line")[1].startswith("before: 669.5 mm / 670.0 mm")
    assert line_texts(page, "start") == []


@pytest.mark.parametrize(
    "wrong",
    [
        {"rounds": [{}]},
        {"rounds": "1"},
        {"rounds": [{"read_cents": [1, 2, 3], "moved_mm": [1, 2], "verdict": "move", "next": None}]},
        {"rounds": [{"read_cents": [1, True], "moved_mm": [1, 2], "verdict": "move", "next": None}]},
        {"rounds": [{"read_cents": [1, 2], "moved_mm": [1, 1e300], "verdict": "move", "next": None}]},
        {"rounds": [{"read_cents": [1, 2], "moved_mm": [1, 2], "verdict": "stop", "next": None}]},
        {"rounds": [{"read_cents": [1, 2], "moved_mm": [1, 2], "verdict": ["move"], "next": None}]},
        {"rounds": [{"read_cents": [1, 2], "moved_mm": [1, 2], "verdict": "move", "next": {"treble_mm": 1}}]},
        {"start": {"treble_mm": 668}},
    ],
    ids=str,
)
def test_rounds_that_no_page_sends_are_refused(application, wrong):
    """Else a damaged bookmark would count from a place where no bridge stood."""
    reply = application.post("/rounds", {**state(), **wrong})
    assert (reply.status, reply.data["faults"][0]["code"]) == (400, "request-malformed")


# ---- in the browser


def type_round(here, one):
    """Type a round by keyboard, from the first reading on; the answer once the page shows it."""
    page = here.page
    expect(page.locator('[id="f-readings.treble-harmonic"]')).to_be_focused()
    wanted = filled(one)

    def is_whole(answer):
        if not answer.url.endswith("/readings"):
            return False
        sent = answer.request.post_data_json["readings"].items()
        return {key: text for key, text in sent if not key.endswith("-error")} == wanted

    with page.expect_response(is_whole) as answer:
        for text in (*one[1:], one[0]):
            page.keyboard.type(text)
            page.keyboard.press("Tab")
    data = answer.value.json()
    expect(page.locator("#advice")).to_contain_text(data["lines"][-1]["text"])
    expect(page.locator("#advice-rest")).to_contain_text(data["lines"][0]["text"])
    return data


def press(here, button):
    """Go to a button with Tab, and press Enter."""
    page = here.page
    for _ in range(20):
        if page.evaluate("() => document.activeElement.id") == button:
            page.keyboard.press("Enter")
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"no way to {button} by keyboard")


def begin(here):
    here.field("readings.treble-harmonic").focus()


def listed(here):
    """The list of rounds as it is read."""
    return here.page.locator("#rounds-list li").all_inner_texts()


@pytest.mark.parametrize("chain", CHAINS.values(), ids=CHAINS)
def test_rounds_by_keyboard_end_where_the_command_line_ends(visit, tmp_path, chain):
    here = visit(f"from={chain[0]}")
    begin(here)
    for n, (one, expected) in enumerate(zip(chain[2], by_the_command_line(chain, tmp_path / "log"), strict=True), 1):
        assert_same(type_round(here, one), expected)
        if n < len(chain[2]):
            press(here, "next-round")
            here.said(f"Round {n + 1}. Retune, and read both outer strings again")
            expect(here.page.locator("#rounds-list li")).to_have_count(n)
            for key in ("at", *KEYS):
                expect(here.field(f"readings.{key}")).to_have_value("")


def test_next_round_is_spoken_though_the_advice_before_it_is_still_to_be(visit):
    """On a slow machine the words of the last drawing were spoken while the round began, and its own never."""
    here = visit()
    begin(here)
    here.page.clock.install()
    type_round(here, CHAINS["on-the-line"][2][0])
    asked = []
    here.page.route("**/rounds", lambda one: asked.append(one))  # noqa: PLW0108 (Playwright takes functions only)
    with here.page.expect_request("**/rounds"):
        press(here, "next-round")
    here.page.clock.run_for(5_000)
    here.said("Set both ends at once")
    with here.page.expect_response("**/draw"):
        asked[0].continue_()
    expect(here.page.locator("#rounds-list li")).to_have_count(1)
    here.page.wait_for_timeout(300)
    here.page.clock.run_for(5_000)
    here.said("Round 2. Retune, and read both outer strings again")


def test_rounds_that_are_done_say_what_was_read_and_moved(visit):
    here = visit()
    begin(here)
    type_round(here, CHAINS["on-the-line"][2][0])
    press(here, "next-round")
    expect(here.page.locator("#rounds-list li")).to_have_count(1)
    (one,) = listed(here)
    assert one.split("\n") == [
        "Round 1",
        "Read: treble end 3.0 cents flat; bass end 4.0 cents sharp",
        "Moved: treble end 1.2 mm towards the nut; bass end 1.5 mm towards the tail",
        "Left the bridge at: 668.8 mm / 671.7 mm from the nut",
        "Verdict: move",
    ]


def two_rounds(here):
    """Two rounds done, a third begun."""
    begin(here)
    for one in CHAINS["on-the-line"][2][:2]:
        type_round(here, one)
        press(here, "next-round")
        expect(here.page.locator('[id="f-readings.treble-harmonic"]')).to_be_focused()
    expect(here.page.locator("#rounds-list li")).to_have_count(2)


def test_rounds_come_back_with_a_bookmark_and_go_on(visit, tmp_path):
    here = visit()
    two_rounds(here)
    here.page.wait_for_function("() => location.hash.match(/round=/g)?.length === 2")
    again = visit(here.page.url.partition("#")[2])
    expect(again.page.locator("#rounds-list li")).to_have_count(2)
    assert listed(again) == listed(here)
    here.page.reload()
    expect(here.page.locator("#rounds-list li")).to_have_count(2)
    *_, expected = by_the_command_line(CHAINS["on-the-line"], tmp_path / "log")
    for one in (again, here):
        begin(one)
        assert_same(type_round(one, CHAINS["on-the-line"][2][2]), expected)


def test_rounds_stay_in_the_address_when_a_view_is_chosen_before_the_page_shows_them(visit):
    here = visit()
    two_rounds(here)
    here.page.wait_for_function("() => location.hash.match(/round=/g)?.length === 2")
    asked = []
    here.page.route("**/open", lambda one: asked.append(one))  # noqa: PLW0108 (Playwright takes functions only)
    with here.page.expect_request("**/open"):
        here.page.reload()
    here.show("print")
    with here.page.expect_response("**/draw") as answer:
        asked[0].continue_()
    here.settled(answer.value)
    here.page.wait_for_function("() => location.hash.includes('view=print')")
    assert here.page.evaluate("() => location.hash.match(/round=/g)?.length") == 2


def test_the_move_is_in_sight_while_the_last_reading_is_typed(visit):
    here = visit(viewport={"width": 1366, "height": 768})
    two_rounds(here)
    for key, text in zip(KEYS, ("0", "3", "0", "-4"), strict=True):
        here.fill(f"readings.{key}", text)
    expect(here.page.locator('[id="f-readings.bass-fretted"]')).to_be_focused()
    expect(here.page.locator("#advice-lines")).to_be_in_viewport(ratio=1)


def test_bar_at_the_foot_of_a_phone_leads_to_the_move(visit):
    """The figures of the sheet stood there, and led away from the bench."""
    here = visit("from=banjo&view=listen", viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    glance = here.page.locator("#glance")
    expect(glance).to_be_hidden()
    for key, text in zip(KEYS, ("0", "3", "0", "-4"), strict=True):
        here.fill(f"readings.{key}", text)
    expect(glance).to_contain_text("What to do")
    glance.tap()
    expect(here.page.locator("#advice-figure")).to_be_in_viewport()
    here.show("measure")
    expect(glance).to_contain_text("treble 669.9 mm")


def test_back_undoes_a_next_round_that_was_pressed_too_soon(visit):
    here = visit()
    begin(here)
    type_round(here, CHAINS["on-the-line"][2][0])
    press(here, "next-round")
    expect(here.page.locator("#rounds-list li")).to_have_count(1)
    here.page.go_back()
    expect(here.page.locator("#rounds")).to_be_hidden()
    expect(here.field("readings.bass-fretted")).to_have_value("4")
    expect(here.field("readings.at")).to_have_value("line")


def test_start_over_forgets_the_rounds(visit):
    here = visit()
    two_rounds(here)
    here.fill("readings.touch-error", "1")
    here.field("readings.treble-harmonic").focus()
    press(here, "start-over")
    expect(here.page.locator("#rounds")).to_be_hidden()
    here.said("The rounds are forgotten. Round 1")
    expect(here.field("readings.touch-error")).to_have_value("1")
    here.page.wait_for_function("() => !location.hash.includes('round=')")
    data = type_round(here, ("", "0", "3", "0", "-4"))
    assert line_texts(data, "start") == []
    assert data["next"] is None


def test_bridge_on_the_sheet_s_line_is_said_with_a_button(visit):
    here = visit("treble-harmonic=0&treble-fretted=3&bass-harmonic=0&bass-fretted=-4")
    advice = here.page.locator("#advice")
    expect(advice).to_contain_text("from where it is now")
    here.page.get_by_role("button", name="It stands on the sheet's line").click()
    expect(advice).to_contain_text("before: 669.9 mm / 670.2 mm")
    expect(here.field("readings.at")).to_have_value("line")
    here.said("The bridge stands on the sheet's line")
    here.page.get_by_role("button", name="Moved. Next round").click()
    expect(here.page.get_by_role("button", name="It stands on the sheet's line")).to_be_hidden()
    expect(here.page.locator("#tones")).not_to_contain_text("Put the bridge on its line", use_inner_text=True)


def test_nothing_to_move_offers_no_next_round(visit):
    """After stop, and where something else is wrong, the bridge stays: there is no round to count."""
    for tones in (("0.2", "-0.3"), ("90", "0")):
        here = visit(f"at=line&treble-harmonic=0&treble-fretted={tones[0]}&bass-harmonic=0&bass-fretted={tones[1]}")
        here.page.locator("#advice:not([hidden])").wait_for()
        expect(here.page.get_by_role("button", name="Moved. Next round")).to_be_hidden()


def test_another_instrument_begins_without_the_rounds_of_the_last(visit):
    here = visit()
    two_rounds(here)
    here.show("measure")
    with here.page.expect_response("**/draw") as answer:
        here.page.locator("#preset").select_option("mandolin")
    here.settled(answer.value)
    expect(here.page.locator("#rounds")).to_be_hidden()
    here.page.wait_for_function("() => !location.hash.includes('round=')")


@pytest.mark.parametrize("damage", ["round=%7B%7D", "round=x", "round=null", "round=%5B1%5D"])
def test_damaged_rounds_of_a_bookmark_are_not_counted_from(visit, damage):
    here = visit(f"{damage}&treble-harmonic=0&treble-fretted=3")
    expect(here.page.locator("#advice")).to_contain_text("from where it is now")
    expect(here.page.locator("#rounds")).to_be_hidden()
    expect(here.page.locator("#faults")).to_be_hidden()


@pytest.mark.parametrize(
    "profile",
    [{}, {"color_scheme": "dark"}, {"viewport": {"width": 390, "height": 844}}],
    ids=["light", "dark", "telephone"],
)
def test_a_list_of_rounds_has_no_barrier_and_is_no_wider_than_the_window(visit, profile):
    here = visit(**profile)
    two_rounds(here)
    type_round(here, CHAINS["on-the-line"][2][1])
    here.assert_no_wider_than_the_window()
    assert serious_barriers(here.page) == []
