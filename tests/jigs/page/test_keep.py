"""“Keep this place”: the page writes what ``jigs keep`` would write, and nothing unlikely without a question."""

from urllib.parse import urlencode

import pytest
from browsing import Visit, serious_barriers
from playwright.sync_api import expect
from samples import run
from served import own_file, serving, state

from jigs.instrument.opening import preset_text

DAY = "2026-11-25"
TODAY = ("--date", DAY)
OWN_LINES = "# Loan banjo 7, at the kitchen table\r\n"
STOPS = {"at": "line", "treble-harmonic": "0", "treble-fretted": "0.2", "bass-harmonic": "0", "bass-fretted": "-0.1"}
MOVES = {**STOPS, "treble-fretted": "-3", "bass-fretted": "4"}

WAYS = {
    "at": (("--at", "669.7 / 671.0"), {"how": "at", "treble": "669.7", "bass": "671.0"}),
    "one-place": (("--at", "670"), {"how": "at", "treble": "670"}),
    "inches": (("--at", "26 3/8 in / 26 13/32 in"), {"how": "at", "treble": "26 3/8 in", "bass": "26 13/32 in"}),
    "feet": (
        ("--feet-from-fret", "12", "331.1 / 332.6"),
        {"how": "feet", "fret": "12", "treble": "331.1", "bass": "332.6"},
    ),
    "ticks": (("--ticks", "-3 / 5.5"), {"how": "ticks", "treble": "−3", "bass": "5,5"}),
    "wedges": (("--wedges", "-1 / 2"), {"how": "wedges", "treble": "-1", "bass": "2"}),
    "more": (
        ("--at", "669.7 / 671.0", "--plus-minus", "0.7", "--strings", "D4 .011, B3 .012, G3 .014, D3 .024w, G4 .010"),
        {
            "how": "at",
            "treble": "669.7",
            "bass": "671.0",
            "plus-minus": "0.7",
            "strings": "D4 .011, B3 .012, G3 .014, D3 .024w, G4 .010",
        },
    ),
    "sure": (("--at", "690 / 691", "--sure"), {"how": "at", "treble": "690", "bass": "691", "sure": "true"}),
}
"""Each way on the command line, and the same on the page."""


def asked(sent, **what):
    return {**sent, "asked": {"date": DAY, **what}}


def kept(application, sent, **what):
    reply = application.post("/keep", asked(sent, **what))
    assert reply.data["faults"] == []
    return reply.data


def faults(application, sent, **what):
    return application.post("/keep", asked(sent, **what)).data["faults"]


FILES = {
    "new": preset_text("banjo"),
    "replaced": OWN_LINES + preset_text("banjo") + "\n[found]\nticks_treble = 1\nticks_bass = 1  # old\n",
}


@pytest.mark.parametrize("text", FILES.values(), ids=FILES)
@pytest.mark.parametrize("way", WAYS)
def test_the_file_is_that_of_the_command_line_byte_for_byte(application, tmp_path, text, way):
    options, what = WAYS[way]
    if "ticks" in way and "[found]" in text:
        options, what = (*options, "--sure"), {**what, "sure": "true"}
    mine = tmp_path / "mine.toml"
    mine.write_bytes(text.encode())
    assert run("keep", mine, *options, *TODAY)[0] == 0
    page = kept(application, state(base=own_file(text)), **what)
    assert page["text"].encode() == mine.read_bytes()
    assert page["name"] == "mine.toml"


def test_what_was_filled_in_since_is_in_the_kept_file_too(application, tmp_path):
    fields = {"bridge.spacing": "44", "name": "Loan banjo 7"}
    sent = state(base=own_file(preset_text("banjo")), fields=fields)
    mine = tmp_path / "mine.toml"
    mine.write_bytes(application.post("/file", sent).body)
    assert run("keep", mine, "--at", "669.7 / 671", *TODAY)[0] == 0
    assert kept(application, sent, how="at", treble="669.7", bass="671")["text"].encode() == mine.read_bytes()


@pytest.mark.parametrize("rounds", [[STOPS], [MOVES, {key: text for key, text in STOPS.items() if key != "at"}]])
def test_the_place_of_the_rounds_is_kept_as_from_their_log(application, tmp_path, rounds):
    mine, log = tmp_path / "mine.toml", tmp_path / "mine.jsonl"
    mine.write_text(preset_text("banjo"), encoding="utf-8")
    base, start = own_file(preset_text("banjo")), None
    for one in rounds:
        options = ["--at", one["at"]] if "at" in one else []
        for string, end in ((1, "treble"), (4, "bass")):
            options += ["--string", string, "--harmonic", one[f"{end}-harmonic"], "--fretted", one[f"{end}-fretted"]]
        assert run("readings", mine, *options, "--log", log)[0] == 0
        sent = {**state(base=base, readings=one), "start": start}
        start = application.post("/readings", sent).data["next"]
    assert run("keep", mine, "--log", log, *TODAY)[0] == 0
    assert kept(application, sent, how="round")["text"].encode() == mine.read_bytes()


def test_what_was_kept_is_said_in_the_words_of_the_command_line_without_its_options(application):
    said = " ".join(kept(application, state(readings=STOPS), how="round")["lines"])
    assert said.startswith("Kept in banjo.toml: crown line at 669.9 mm / 670.2 mm from the nut")
    assert "I measured its nut side from a fret" in said
    assert "--" not in said


def test_both_ends_that_are_missing_are_said_at_once(application):
    for how, missing in (("ticks", ["keep.treble", "keep.bass"]), ("at", ["keep.treble"])):
        faults = application.post("/keep", asked(state(), how=how)).data["faults"]
        assert [fault["field"] for fault in faults] == missing


@pytest.mark.parametrize(
    ("readings", "what", "field", "code"),
    [
        ({}, {}, "keep.how", "keep-way-unknown"),
        ({}, {"how": "/etc/passwd"}, "keep.how", "keep-way-unknown"),
        ({}, {"how": "round"}, "keep.how", "keep-no-round"),
        (MOVES, {"how": "round"}, "keep.how", "keep-round-without-stop"),
        ({**STOPS, "at": ""}, {"how": "round"}, "keep.how", "keep-round-without-place"),
        ({"at": "line", "treble-harmonic": "0", "treble-fretted": "0"}, {"how": "round"}, "keep.how", "keep-log-half-read"),
        ({}, {"how": "at", "bass": "670"}, "keep.treble", "keep-end-missing"),
        ({}, {"how": "ticks", "treble": "3"}, "keep.bass", "keep-end-missing"),
        ({}, {"how": "ticks", "treble": "3", "bass": "far"}, "keep.treble", "keep-ticks-unread"),
        ({}, {"how": "at", "treble": "far away"}, "keep.treble", "place-unread"),
        ({}, {"how": "feet", "treble": "331", "bass": "332"}, "keep.fret", "keep-fret-unknown"),
        ({}, {"how": "feet", "fret": "99", "treble": "331"}, "keep.fret", "keep-fret-unknown"),
        ({}, {"how": "at", "treble": "670", "date": "2099-12-31"}, "keep.date", "keep-date-to-come"),
        ({}, {"how": "at", "treble": "670", "date": "soon"}, "keep.date", "date-unread"),
        ({}, {"how": "at", "treble": "670", "plus-minus": "much"}, "keep.plus-minus", "length-unread"),
        ({}, {"how": "at", "treble": "670", "strings": "D4"}, "keep.strings", "string-set-string-unread"),
    ],
)  # fmt: skip
def test_what_cannot_be_kept_is_refused_at_its_field(application, readings, what, field, code):
    listed = faults(application, state(readings=readings), **what)
    assert [(one["field"], one["code"]) for one in listed] == [(field, code)]
    assert not any("--" in one["what"] + one["remedy"] for one in listed)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        (preset_text("banjo"), {"how": "at", "treble": "690", "bass": "691"}),
        (preset_text("banjo"), {"how": "at", "treble": "662", "bass": "677"}),
        (preset_text("banjo") + "\n[found]\ntreble = 669\nbass = 670\n", {"how": "ticks", "treble": "1", "bass": "1"}),
    ],
    ids=["far", "steep", "which-sheet"],
)
def test_unlikely_place_is_kept_only_if_the_user_is_sure(application, text, what):
    refused = application.post("/keep", asked(state(base=own_file(text)), **what)).data
    assert refused["may_confirm"] is True
    assert "text" not in refused
    assert "“Keep it all the same”" in refused["faults"][0]["remedy"]
    assert "[found]" in kept(application, state(base=own_file(text)), **what, sure="true")["text"]


def test_place_that_nothing_can_confirm_offers_no_confirmation(application):
    refused = application.post("/keep", asked(state(), how="at", treble="12")).data
    assert refused["may_confirm"] is False


# ---- in the browser

STOPPED = "from=banjo&view=listen&at=line&treble-harmonic=0&treble-fretted=0.2&bass-harmonic=0&bass-fretted=-0.1"


def button(here, name):
    return here.page.get_by_role("button", name=name, exact=True)


def test_one_press_after_stop_keeps_the_place_and_the_file_has_it(visit, application):
    here = visit(STOPPED)
    here.page.locator("#keep-now").focus()
    here.page.keyboard.press("Enter")
    expect(here.page.locator("#kept")).to_be_focused()
    here.said("Kept in banjo.toml: crown line at 669.9 mm / 670.2 mm from the nut")
    expect(here.page.locator("#keep-now")).to_be_hidden()
    expect(here.field("readings.treble-fretted")).to_have_value("0.2")
    name, content = here.take("Download the instrument file")
    today = kept(application, state(readings=STOPS), how="round", date="")["text"]
    assert (name, content.decode()) == ("banjo.toml", today)
    here.page.go_back()
    expect(here.page.locator("#kept")).to_be_hidden()
    expect(here.page.locator("#keep-now")).to_be_visible()


def test_after_stop_in_an_unknown_place_the_page_asks_for_it(visit):
    here = visit(STOPPED.replace("at=line&", ""))
    here.page.locator("#keep-now").click()
    expect(here.page.locator('[id="f-keep.treble"]')).to_be_focused()
    expect(here.page.locator('[id="f-keep.how"]')).to_have_value("at")
    expect(here.page.locator('[id="x-keep.how"]')).to_contain_text("unknown place")
    here.page.locator('[id="f-keep.how"]').select_option("feet")
    expect(here.page.locator('[id="x-keep.how"]')).to_be_hidden()
    here.page.locator('[id="f-keep.how"]').select_option("at")
    here.page.locator('[id="f-keep.treble"]').focus()
    here.page.keyboard.type("669.7")
    here.page.keyboard.press("Tab")
    here.page.keyboard.type("671")
    here.page.keyboard.press("Enter")
    expect(here.page.locator("#kept")).to_be_focused()
    here.said("Kept in banjo.toml: crown line at 669.7 mm / 671.0 mm from the nut")


def test_unlikely_place_is_questioned_and_kept_with_a_second_press(visit):
    here = visit("from=banjo&view=listen")
    here.page.locator("#keep > summary").click()
    here.page.locator('[id="f-keep.how"]').select_option("feet")
    for key, text in {"fret": "12", "treble": "345", "bass": "346"}.items():
        here.page.locator(f'[id="f-keep.{key}"]').fill(text)
    button(here, "Keep this place").click()
    expect(button(here, "Keep it all the same")).to_be_focused()
    here.said("nearer the tail")
    expect(here.page.locator('[id="x-keep.treble"]')).to_contain_text("nearer the tail")
    here.page.keyboard.press("Enter")
    expect(here.page.locator("#kept")).to_be_focused()


def test_a_fault_of_the_place_is_at_its_field_and_does_not_hide_the_drawing(visit):
    here = visit("from=banjo&view=listen")
    here.page.locator("#keep > summary").click()
    here.page.locator('[id="f-keep.treble"]').fill("a lot")
    button(here, "Keep this place").click()
    field = here.page.locator('[id="f-keep.treble"]')
    expect(field).to_be_focused()
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(here.page.locator("#faults")).to_be_hidden()


@pytest.mark.parametrize(
    "profile",
    [{}, {"color_scheme": "dark"}, {"viewport": {"width": 360, "height": 780}, "has_touch": True}],
    ids=["light", "dark", "telephone"],
)
def test_keeping_has_no_barrier_and_is_no_wider_than_the_window(visit, profile):
    here = visit(STOPPED, **profile)
    here.page.locator("#keep > summary").click()
    here.page.locator('[id="f-keep.how"]').select_option("feet")
    here.unfold_everything()
    here.assert_no_wider_than_the_window()
    assert serious_barriers(here.page) == []
    here.page.locator("#keep-now").click()
    expect(here.page.locator("#kept")).to_be_focused()
    here.unfold_everything()
    here.assert_no_wider_than_the_window()
    assert serious_barriers(here.page) == []


# ---- an instrument on the shelf


@pytest.fixture
def on_the_shelf(tmp_path, browser):
    """Open the page with an instrument of a shelf and these readings: the visit, the file and the log beside it."""
    folder = tmp_path / "shelf"
    folder.mkdir()
    (folder / "mine.toml").write_text(preset_text("banjo"), encoding="utf-8")
    with serving(tmp_path, "--port", "0", "--shelf", str(folder)) as running:
        visits = []

        def opened(readings):
            data = running.post("/shelf-open", asked(state(), file="mine.toml")).data
            parts = {"file": data["name"], "text": data["text"], "stamp": data["stamp"], "view": "listen", **readings}
            visits.append(Visit(browser, running.address, {}))
            visits[-1].go(urlencode(parts))
            return visits[-1], folder / "mine.toml", folder / "mine.jsonl"

        yield opened
        errors = [error for one in visits for error in one.errors]
        for one in visits:
            one.leave()
    assert errors == []


def test_rounds_and_place_of_an_instrument_on_the_shelf_are_in_its_files(on_the_shelf, tmp_path):
    """As ``jigs readings --log`` and ``jigs keep --log`` write them, round by round."""
    here, mine, log = on_the_shelf(MOVES)
    here.page.locator("#next-round").click()
    expect(here.page.locator("#rounds-list li")).to_have_count(1)
    for key in ("treble-harmonic", "treble-fretted", "bass-harmonic", "bass-fretted"):
        here.fill(f"readings.{key}", STOPS[key])
    here.page.locator("#keep-now").click()
    expect(here.page.locator("#kept")).to_be_focused()
    other, other_log = tmp_path / "mine.toml", tmp_path / "mine.jsonl"
    other.write_text(preset_text("banjo"), encoding="utf-8")
    for one in (MOVES, {key: text for key, text in STOPS.items() if key != "at"}):
        options = ["--at", one["at"]] if "at" in one else []
        for string, end in ((1, "treble"), (4, "bass")):
            options += ["--string", string, "--harmonic", one[f"{end}-harmonic"], "--fretted", one[f"{end}-fretted"]]
        assert run("readings", other, *options, "--log", other_log)[0] == 0
    assert run("keep", other, "--log", other_log)[0] == 0
    assert log.read_bytes() == other_log.read_bytes()
    assert mine.read_bytes() == other.read_bytes()
    expect(here.page.locator("#kept-shelf")).to_be_hidden()


def test_round_that_the_log_does_not_take_is_not_lost_in_silence(on_the_shelf):
    here, _, log = on_the_shelf(MOVES)
    log.write_text("not a log\n")
    here.page.locator("#next-round").click()
    expect(here.page.locator("#rounds-list li")).to_have_count(1)
    expect(here.page.locator("#log-faults")).to_contain_text("mine.jsonl")


def test_place_is_not_kept_over_a_file_that_somebody_saved_since(on_the_shelf):
    here, mine, log = on_the_shelf(STOPS)
    others = mine.read_text(encoding="utf-8") + "\n# changed elsewhere\n"
    mine.write_text(others, encoding="utf-8")
    here.page.locator("#keep-now").click()
    expect(here.page.locator("#kept-shelf")).to_contain_text("not on the shelf")
    assert mine.read_text(encoding="utf-8") == others
    assert not log.exists()


def test_place_of_an_instrument_that_is_not_on_the_shelf_leads_there(on_the_shelf):
    """Only the address holds it until then: a player who closes the window would look for a file that is nowhere."""
    here, mine, _ = on_the_shelf(STOPS)
    here.page.locator("#keep-now").click()
    expect(here.page.locator("#kept")).to_be_focused()
    expect(here.page.locator("#kept-save")).to_be_hidden()
    here.page.goto("about:blank")
    here.go(STOPPED)
    here.page.locator("#keep-now").click()
    expect(here.page.locator("#kept")).to_be_focused()
    here.page.locator("#kept-save").click()
    expect(here.page.locator('[id="f-shelf.file"]')).to_be_focused()
    here.page.keyboard.press("Enter")
    expect(here.page.locator("#shelf-done")).to_be_visible()
    kept_here = [one for one in mine.parent.glob("*.toml") if one != mine]
    assert "[found]" in kept_here[0].read_text(encoding="utf-8")
