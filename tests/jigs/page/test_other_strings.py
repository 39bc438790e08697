"""Other strings on the page: what `jigs compare` says of the same sets, and what "Use the new strings" fills in."""

import json
import re
from urllib.parse import urlencode

import pytest
from browsing import serious_barriers
from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import expect
from samples import PRESETS, run
from served import own_file, printed_by_the_command_line, state

from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.instrument.packets import written
from jigs.page.form.fields import label_of
from jigs.page.other_strings_words import OTHER_MAKE
from jigs.workup.compare_words import THEN_LISTEN, WITHIN_DOUBT

pytestmark = pytest.mark.slow

FOUND = "\n[found]\ntreble = 670.2\nbass = 671.0\ndate = 2026-11-25\n"
CORES = preset_text("banjo").replace('"D3"', '"D3"\ncore = 0.26')
SETS = {
    "heavier on a banjo": ("banjo", "D4 .011, B3 .013, G3 .016, D3 .024w, G4 .011"),
    "gauges alone": ("banjo", ".010 .012 .013 .020w .009"),
    "pairs of a mandolin": ("mandolin", "11-15-26w-40w"),
    "lighter pairs": ("mandolin", ".010 .014 .024w .034w"),
    "a core and a wrap": ("octave-mandolin", "E4 .011, A3 .022w core .012, D3 .032w nickel, G2 .046w"),
    "another tuning": ("tenor-banjo", "E4 .010, B3 .013, G3 .018w, D3 .028w"),
    "a thicker third, plain": ("archtop-guitar", ".011 .014 .018 .028w .038w .049w"),
    "the same": ("plectrum-banjo", "same"),
}


def text_of(preset, new):
    return written(parse(preset_text(preset).encode(), preset).strings) if new == "same" else new


def compared(asking, preset="banjo", base=None, fields=None, draw=None, route="/compare", **asked):
    return asking.post(route, {**state(preset, fields, draw, base=base), "asked": asked})


def found(asking, *given, **more):
    reply = compared(asking, *given, **more)
    assert reply.status == 200, reply.body
    assert reply.data["faults"] == []
    return reply.data


def by_the_command_line(*arguments):
    """What it prints, and its notes as the page is to show them."""
    with printed_by_the_command_line() as values:
        status, table, said = run("compare", *arguments)
    assert status == 0, said
    notes = [line for line in said.splitlines() if line]
    return table.splitlines(), notes, values


def assert_same(page, table):
    """Every line of the page is one of the command line's, in its order."""
    assert table[1] == page["order"]
    ends = [f"  {line}" for line in page["ends"]]
    assert table[2 : 2 + len(ends)] == ends
    rest = table[2 + len(ends) :]
    assert [line for line in page["sure"] if not line.startswith("Yours are")] == rest[:2]
    assert (page["then"] == "No move is larger than its ±: listen before you move anything.") == (
        rest[2] == WITHIN_DOUBT
    )
    assert rest[2] in (WITHIN_DOUBT, THEN_LISTEN)
    rows = [[cell for cell in row if cell] for row in page["rows"]]
    assert [re.split(r" {2,}", line.strip()) for line in rest[5 : 5 + len(rows)]] == rows
    assert rest[6 + len(rows) :] == page["below"]


@pytest.mark.parametrize(("preset", "new"), SETS.values(), ids=SETS)
def test_every_move_tension_and_sentence_is_the_command_lines(application, preset, new):
    page = found(application, preset, new=text_of(preset, new))
    table, notes, values = by_the_command_line(preset, "--strings", text_of(preset, new))
    assert_same(page, table)
    assert len(page["notes"]) == len(notes)
    own = [values[line].sentence(label_of) for line in notes if line in values]
    assert all(any(note["text"].endswith(f"{text[1:]}.") for note in page["notes"]) for text in own)
    assert page["picture"].startswith("<?xml")
    assert "jigs " not in json.dumps({**page, "picture": ""})


@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize(("preset", "new"), SETS.values(), ids=SETS)
def test_sheet_to_print_is_the_command_lines_byte_for_byte(tmp_path, application, preset, new, paper):
    text = text_of(preset, new)
    pdf = compared(application, preset, draw={"paper": paper}, route="/compare-pdf", new=text)
    status, _, said = run(
        "compare", preset, "--strings", text, "--format", "pdf", "--paper", paper, "--out", tmp_path / "out"
    )
    if status:
        assert [fault["field"] for fault in pdf.data["faults"]] == ["draw.paper"]
        assert (pdf.status, paper) != (200, "a3"), said
        return
    assert pdf.status == 200
    assert {found(application, preset, new=text)["pdf"]: pdf.body} == written_in(tmp_path / "out")


def written_in(folder):
    return {made.name: made.read_bytes() for made in folder.iterdir()}


def files_of(tmp_path, application, base, page, **before):
    """The user's instrument file, and the one after "Use the new strings"."""
    paths = []
    for name, fields in (("mine", before), ("new", page["use"])):
        paths.append(tmp_path / f"{name}.toml")
        made = application.post("/file", state(base=base, fields=fields))
        assert made.status == 200, made.body
        paths[-1].write_bytes(made.body)
    return paths


@pytest.mark.parametrize("make", ["", OTHER_MAKE])
@pytest.mark.parametrize("ear", ["", FOUND])
@pytest.mark.parametrize(("preset", "new"), SETS.values(), ids=SETS)
def test_the_new_strings_in_the_form_are_those_that_were_compared(tmp_path, application, preset, new, ear, make):
    if ear and preset != "banjo":
        ear = "\n[found]\nticks_treble = 3.0\nticks_bass = -2.0\n"
    base, text = own_file(preset_text(preset) + ear), text_of(preset, new)
    page = found(application, base=base, new=text, make=make)
    mine, other = files_of(tmp_path, application, base, page)
    assert_same(
        page, by_the_command_line(mine, "--strings", text)[0] if not make else by_the_command_line(mine, other)[0]
    )
    two_files, notes, _ = by_the_command_line(mine, other)
    assert two_files[1] == page["order"]
    assert not any("place of its own" in line for line in notes)
    assert ("The place found by ear is kept" in " ".join(page["used"])) == bool(ear)


@pytest.mark.parametrize("make", ["", OTHER_MAKE])
def test_a_measured_core_goes_with_the_gauge_of_one_make_and_is_forgotten_for_another(tmp_path, application, make):
    base, text = own_file(CORES), "D4 .010, B3 .012, G3 .014, D3 .024w, G4 .010"
    page = found(application, base=base, new=text, make=make)
    core = page["use"]["strings.4.core"]
    assert core == ("" if make else f"{0.26 * 24 / 22:g} mm")
    mine, other = files_of(tmp_path, application, base, page)
    assert_same(page, by_the_command_line(mine, *([other] if make else ["--strings", text]))[0])
    assert any(line.startswith("Yours are of different makes") for line in page["sure"]) == bool(make)


def test_sheet_for_another_make_is_that_of_both_files(tmp_path, application):
    base, text = own_file(CORES), "D4 .010, B3 .012, G3 .014, D3 .024w, G4 .010"
    page = found(application, base=base, new=text, make=OTHER_MAKE)
    mine, other = files_of(tmp_path, application, base, page)
    pdf = compared(application, base=base, route="/compare-pdf", new=text, make=OTHER_MAKE)
    run("compare", mine, other, "--format", "pdf", "--out", tmp_path / "out")
    assert {"mine-compare.pdf": pdf.body} == written_in(tmp_path / "out")


@pytest.mark.parametrize("ear", ["", FOUND])
def test_another_set_as_strings_now_is_where_the_comparison_starts(tmp_path, application, ear):
    base = own_file(preset_text("banjo") + ear)
    now, new = "D4 .009, B3 .011, G3 .013, D3 .020w, G4 .009", "D4 .011, B3 .013, G3 .016, D3 .024w, G4 .011"
    page = found(application, base=base, now=now, new=new)
    today = found(application, base=base, new=now)["use"]
    path = tmp_path / "mine.toml"
    path.write_bytes(application.post("/file", state(base=base, fields=without_make(today))).body)
    assert_same(page, by_the_command_line(path, "--strings", new)[0])
    assert page["order"] != found(application, base=base, new=new)["order"]
    pdf = compared(application, base=base, route="/compare-pdf", now=now, new=new)
    run("compare", path, "--strings", new, "--format", "pdf", "--out", tmp_path / "out")
    assert {"mine-compare.pdf": pdf.body} == written_in(tmp_path / "out")


def without_make(fields):
    return {key: text for key, text in fields.items() if key != "found.same_make"}


@pytest.mark.parametrize("preset", PRESETS)
def test_the_strings_of_the_form_are_offered_as_packets_print_them_and_read_back(application, preset):
    own = found(application, preset)["own"]
    assert own == written(parse(preset_text(preset).encode(), preset).strings)
    same = found(application, preset, now=own, new=own)
    assert same["order"] == "Leave the bridge where it is."
    assert same["use"] == {}


def test_the_short_string_and_the_pairs_stay_what_they_are(application):
    for preset, new in (("banjo", "D4 .011, B3 .013, G3 .016, D3 .024w, G4 .011"), ("mandolin", "11-15-26w-40w")):
        page = found(application, preset, new=new)
        before = parse(preset_text(preset).encode(), preset)
        after = parse(application.post("/file", state(preset, page["use"])).body, preset)
        assert [(one.pair, one.starts_at_fret) for one in after.strings] == [
            (one.pair, one.starts_at_fret) for one in before.strings
        ]


@pytest.mark.parametrize(
    ("asked", "fields", "says"),
    [
        ({"new": "D4 .010, what"}, ["sets.new"], "string 2"),
        ({"new": ".010 .012"}, ["sets.new"], "this set has 2 strings"),
        ({"new": "D4 .030, B3 .012, G3 .014, D3 .022w, G5 .030"}, ["sets.new"], "string "),
        ({"now": "x", "new": "y"}, ["sets.now", "sets.new"], "cannot be read"),
        ({"now": ".010", "new": ".010 .012 .014 .022w .010"}, ["sets.now"], "this set has 1 string"),
        ({"new": "D4 .010, B3 .012, G3 .014, D3 .040w nylon, G4 .010"}, ["sets.new"], "string 4"),
        ({"new": "D2 .008, B3 .012, G3 .014, D3 .022w, G4 .010"}, ["sets.new"], "string 1"),
    ],
)
def test_every_fault_is_at_the_text_that_it_is_in(application, asked, fields, says):
    reply = compared(application, **asked)
    assert reply.status == 200
    assert list(dict.fromkeys(fault["field"] for fault in reply.data["faults"])) == fields
    assert says in reply.data["faults"][0]["what"]
    assert reply.data["own"].startswith("D4 .010")
    assert compared(application, route="/compare-pdf", **asked).status == 422


def test_a_fault_of_the_form_leads_to_its_own_field(application):
    reply = compared(application, fields={"scale": "nonsense"}, new=".010 .012 .014 .022w .010")
    assert [fault["field"] for fault in reply.data["faults"]] == ["scale"]


@pytest.mark.parametrize("asked", [{"make": "any"}, {"path": "x"}, {"new": 3}, {"now": None}])
def test_what_the_page_never_asks_is_refused(application, asked):
    assert application.post("/compare", {**state(), "asked": asked}).status == 400


@settings(max_examples=60, deadline=None)
@given(*[st.text(alphabet='ABCDEFG0123456789#.,;- w\ncorenylw<>&"é', max_size=50)] * 2)
def test_whatever_is_typed_has_an_answer_without_markup(application, now, new):
    for route, statuses in (("/compare", (200,)), ("/compare-pdf", (200, 422))):
        reply = compared(application, route=route, now=now, new=new)
        assert reply.status in statuses
        assert reply.kind == "application/pdf" or not re.search(rb"[<>&]", reply.body)


# ---- in the browser

HEAVIER = "D4 .011, B3 .013, G3 .016, D3 .024w, G4 .011"


def at_strings(visit, fragment="", **profile):
    someone = visit(f"from=banjo&paper=a4&view=strings{fragment}", **profile)
    expect(someone.page.locator('[id="f-sets.now"]')).to_have_value(re.compile("D4 .010"))
    return someone, someone.page.locator('[id="f-sets.new"]')


def test_strings_now_are_there_and_the_move_appears_for_the_new_ones(visit, application):
    someone, field = at_strings(visit)
    expect(someone.page.locator("#sets-empty li")).to_have_count(2)
    field.press_sequentially(HEAVIER[:-1], delay=5)
    expect(someone.page.locator('[id="x-sets.new"]')).to_be_hidden()
    field.press_sequentially(HEAVIER[-1])
    expect(someone.page.locator("#sets-order")).to_have_text(found(application, new=HEAVIER)["order"])
    expect(someone.page.locator("#sets-table tbody tr")).to_have_count(6)
    field.fill("D4 .011, what")
    expect(someone.page.locator('[id="x-sets.new"]')).to_contain_text("string 2")
    expect(someone.page.get_by_role("button", name="Use the new strings")).to_be_disabled()


def test_new_strings_become_the_instruments_and_then_the_strings_now(visit):
    someone, field = at_strings(visit)
    field.fill(HEAVIER)
    expect(someone.page.locator("#sets-order")).to_contain_text("Move")
    with someone.page.expect_response(
        lambda answer: answer.url.endswith("/draw") and ".024w" in answer.request.post_data
    ):
        someone.page.get_by_role("button", name="Use the new strings").click()
    expect(someone.page.locator("#filled-in")).to_contain_text("Filled in as your strings: D4 .011, B3 .013")
    assert someone.field("strings.4.gauge").input_value() == ".024w"
    someone.page.locator('[data-show="strings"]').click()
    expect(someone.page.locator('[id="f-sets.now"]')).to_have_value(re.compile("D4 .011, B3 .013"))
    expect(field).to_have_value("")


def test_another_instrument_brings_its_own_strings(visit):
    someone, _ = at_strings(visit)
    someone.page.locator('[data-show="measure"]').click()
    someone.page.locator("#preset").select_option("mandolin")
    expect(someone.page.locator('[id="f-strings.1.note"]')).to_have_value("E5")
    someone.page.locator('[data-show="strings"]').click()
    expect(someone.page.locator('[id="f-sets.now"]')).to_have_value(re.compile("E5 .011"))


def test_sets_in_the_address_come_back_with_their_sheet(visit, application):
    sets = {"now": "D4 .009, B3 .011, G3 .013, D3 .020w, G4 .009", "new": HEAVIER, "make": OTHER_MAKE}
    kept = urlencode({f"strings-{key}": text for key, text in sets.items()})
    someone = visit(f"from=banjo&paper=a4&view=strings&{kept}")
    expect(someone.page.locator("#sets-sure")).to_contain_text("Yours are of different makes")
    expect(someone.page.locator('[id="f-sets.now"]')).to_have_value(sets["now"])
    name, sheet = someone.take("Sheet as PDF")
    assert name == "banjo-compare.pdf"
    assert sheet == compared(application, draw={"paper": "a4"}, route="/compare-pdf", **sets).body


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_view_of_strings_bars_nobody_and_fits_a_narrow_window(visit, colours):
    someone, field = at_strings(visit, color_scheme=colours, viewport={"width": 360, "height": 740})
    for typed in ("", HEAVIER, "what"):
        field.fill(typed)
        field.blur()
        someone.page.wait_for_timeout(500)
        someone.assert_no_wider_than_the_window()
        assert serious_barriers(someone.page) == []
