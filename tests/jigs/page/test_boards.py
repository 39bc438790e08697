"""Old boards on the page: what `jigs survey` says of the same lines, and what "Use this board" puts into the form."""

import json
import re
from urllib.parse import urlencode

import pytest
from browsing import serious_barriers
from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import expect
from samples import PRESETS, ROOT, run
from served import own_file, printed_by_the_command_line, state

from geometry.survey import Rule, shares
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.page.form.fields import label_of
from jigs.survey.fault_words import EXAMPLE
from jigs.wording import as_sentence

BOARD = ROOT / "jigs" / "demo" / "old-mandolin-board.csv"


def lines_of(scale=650.0, frets=22, rule=Rule.EQUAL, offset=0.0, out=(), between=", "):
    """A board's lines, some of its frets out by so many mm."""
    by_fret = dict(out)
    places = scale * shares(rule, list(range(1, frets + 1))) + offset
    return "".join(f"{n}{between}{mm + by_fret.get(n, 0.0):.2f}\n" for n, mm in enumerate(places, 1))


def surveyed(asking, text, preset="banjo", fields=None, draw=None, base=None, route="/survey", **asked):
    sent = {**state(preset, fields, draw, base=base), "asked": {"text": text, **asked}}
    return asking.post(route, sent)


def found(asking, text, *given, **more):
    reply = surveyed(asking, text, *given, **more)
    assert reply.status == 200, reply.body
    assert reply.data["faults"] == []
    return reply.data


def as_file(tmp_path, text, name="banjo-board.csv"):
    path = tmp_path / name
    path.write_bytes(text.encode())
    return path


BOARDS = {
    "an old mandolin's": BOARD.read_text(encoding="utf-8"),
    "even": lines_of(),
    "by the rule of eighteen": lines_of(rule=Rule.EIGHTEEN),
    "a nut cut off": lines_of(offset=1.4),
    "two frets out": lines_of(out=[(5, 1.1), (10, -1.3)]),
    "pasted from a spreadsheet": lines_of(between="\t").replace(".", ","),
    "typed with blanks": lines_of(between=" ", frets=15),
    "some frets, read twice": "1, 36.5, 36.4\n5, 163.1, 163.0\n7, 216.5\n9, 263.5, 263.6\n12, 325.2\n",
    "three frets": "1, 36.5\n5, 163.1\n12, 325.2\n",
}


@pytest.mark.parametrize("text", BOARDS.values(), ids=BOARDS)
def test_every_figure_sentence_and_note_is_the_command_lines(tmp_path, application, text):
    path = as_file(tmp_path, text)
    for arguments, asked in ((), {}), (("--reading-error", "0.4 mm"), {"reading-error": "0.4 mm"}):
        page = found(application, text, **asked)
        with printed_by_the_command_line() as values:
            status, table, said = run("survey", path, *arguments)
        assert status == 0
        shown = table.splitlines()
        assert shown[0] == f"banjo-board: {page['measured']}"
        assert shown[2:6] == page["findings"]
        rows = [re.split(r" {2,}", line.strip()) for line in shown[8 : 8 + len(page["rows"])]]
        assert rows == [[cell for cell in row if cell] for row in page["rows"]]
        notes = [note["text"] for note in page["notes"] if note["code"] != "board-fewer-frets"]
        assert notes == [as_sentence(values[line].sentence(label_of)) for line in said.splitlines()]
        assert page["csv"] == path.name


@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("text", BOARDS.values(), ids=BOARDS)
def test_picture_to_print_is_the_command_lines_byte_for_byte(tmp_path, application, text, paper):
    path, asked = as_file(tmp_path, text), {"reading-error": "0.2"}
    pdf = surveyed(application, text, draw={"paper": paper}, route="/survey-pdf", **asked)
    status, _, said = run(
        "survey", path, "--reading-error", "0.2", "--format", "pdf", "--paper", paper, "--out", tmp_path / "out"
    )
    assert (pdf.status, status) == (200, 0), said
    assert pdf.kind == "application/pdf"
    page = found(application, text, **asked)
    assert {page["pdf"]: pdf.body} == {made.name: made.read_bytes() for made in (tmp_path / "out").iterdir()}
    assert page["no_pdf"] == ""
    assert page["picture"].startswith("<?xml")


ON_ANY_INSTRUMENT = {
    "even": {},
    "by the rule of eighteen": {"rule": Rule.EIGHTEEN},
    "a nut cut off": {"offset": 1.4},
    "a nut set back": {"offset": -0.9},
    "two frets out": {"out": [(5, 1.1), (10, -1.3)]},
}


@pytest.mark.parametrize("board", ON_ANY_INSTRUMENT.values(), ids=ON_ANY_INSTRUMENT)
@pytest.mark.parametrize("preset", PRESETS)
def test_use_this_board_gives_the_numbers_of_a_file_written_as_the_survey_says(tmp_path, application, preset, board):
    head = parse(preset_text(preset).encode(), preset).head
    text = lines_of(head.scale_mm * 1.01, head.frets, **board)
    page = found(application, text, preset)
    filled = application.post("/file", state(preset, page["use"]))
    assert filled.status == 200
    status, printed = numbers(tmp_path, filled.body.decode())
    assert status == 0, printed
    assert printed["scale_mm"] == pytest.approx(head.scale_mm * 1.01, abs=2.0)
    assert (status, printed) == numbers(tmp_path, by_hand(preset, pasted(tmp_path, text)))
    assert page["notes"] == []


def test_a_board_that_would_take_frets_from_the_instrument_is_warned_of_first(application):
    listed = lines_of(offset=1.4, frets=15)
    (note,) = found(application, listed)["notes"]
    assert note["text"].startswith(
        "Your instrument has 22 frets, and these lines end at fret 15; measure the others too"
    )
    assert found(application, listed, fields={"frets": "15"})["notes"] == []
    assert found(application, lines_of(frets=15))["notes"] == []


def pasted(tmp_path, text):
    """The lines with which the command line's table ends."""
    _, table, _ = run("survey", as_file(tmp_path, text))
    return table.partition("instead of its own scale, frets and fret rule:\n")[2]


def by_hand(preset, lines):
    """A preset's file with these lines at its top, instead of its own scale, fret rule, and frets if they count them."""
    replaced = ["scale", "nut_to_fret_12", "fret_rule", "frets_measured", *(["frets"] if "frets =" in lines else [])]
    own = preset_text(preset).splitlines(keepends=True)
    return lines + "".join(line for line in own if not re.match(rf"({'|'.join(replaced)})\s*=", line))


def numbers(tmp_path, text):
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    status, printed, said = run("numbers", path, "--json")
    return (status, json.loads(printed)) if status == 0 else (status, said)


def test_a_nut_out_of_its_place_is_never_lost_in_silence(application):
    kept = found(application, lines_of(offset=1.4, frets=12))
    assert kept["use"]["frets_measured"].count(",") == 11
    assert "The nut is 1.40 mm too far from the frets." in " ".join(kept["used"])
    few = found(application, "1, 37.9\n5, 164.5\n12, 326.4\n")
    assert few["use"]["frets_measured"] == ""
    assert "too far from the frets. That is not filled in: measure 5 frets or more." in " ".join(few["used"])
    alone = found(application, "12, 325\n")
    assert "Whether the nut is in its place is not known." in alone["used"]
    assert "nut" not in " ".join(found(application, lines_of())["used"])


def test_use_this_board_says_which_frets_the_rule_places_and_how_many_there_are_now(application):
    some = found(application, BOARDS["some frets, read twice"].replace("7, 216.5", "7, 219.5"))
    assert "Frets 2, 3, 4, 6, 8, 10 and 11 were not measured, so the rule places them." in some["used"]
    assert "The number of frets is now 12, the last that is listed." in some["used"]
    as_before = found(application, lines_of(out=[(5, 2.0)]), fields={"frets": "22"})
    assert "number of frets" not in " ".join(as_before["used"])


def test_a_scale_and_a_rule_that_were_filled_in_before_give_way(application):
    own = own_file(
        preset_text("banjo").replace('scale = "26 1/4 in"', 'nut_to_fret_12 = 333.4\nfret_rule = "eighteen"')
    )
    page = found(application, lines_of(), base=own)
    file = application.post("/file", state(base=own, fields=page["use"])).body.decode()
    assert "nut_to_fret_12 =" not in file
    assert "fret_rule =" not in file
    assert re.search(r"^scale\s*= 650\.0", file, re.MULTILINE)


# ---- while it is typed


def test_no_half_line_is_a_fault_while_it_is_typed(application):
    text = lines_of(frets=12)
    for end in range(1, len(text) + 1):
        typed = text[:end]
        reply = surveyed(application, typed, typing=str(typed.count("\n") + 1)).data
        assert reply["faults"] == [], typed
        complete = typed.count("\n")
        if complete >= 2:
            assert len(reply["rows"]) in (complete, complete + 1)
        else:
            assert len(reply.get("rows", ())) <= 2


def test_the_line_that_is_typed_is_named_once_the_user_rests(application):
    text = lines_of(frets=6) + "7, 21"
    typing, resting = surveyed(application, text, typing="7").data, surveyed(application, text).data
    assert typing["unfinished"]
    assert len(typing["rows"]) == 6
    assert [fault["field"] for fault in resting["faults"]] == ["boards.text"]
    assert "fret 7 at 21.00 mm does not lie beyond fret 6" in resting["faults"][0]["what"]
    assert not surveyed(application, lines_of(frets=6), typing="6").data["unfinished"]


def test_a_fault_in_another_line_shows_while_a_line_is_typed(application):
    text = lines_of(frets=6).replace("3, ", "x, ") + "7"
    (fault,) = surveyed(application, text, typing="7").data["faults"]
    assert fault["what"].startswith('line 3: "x" is not a fret\'s number')
    assert fault["where"] == "Distances from the nut"


@pytest.mark.parametrize(
    ("text", "why"),
    [("", ""), ("  \n \n", ""), ("# nothing yet\n", ""), ("7, 216.2\n", "measure a second fret far from it")],
)
def test_too_little_is_not_called_a_fault_and_says_what_comes_next(application, text, why):
    reply = surveyed(application, text).data
    assert reply["faults"] == []
    assert "rows" not in reply
    assert why in reply["waits"]
    assert bool(why) == bool(reply["waits"])


def test_a_wrong_reading_error_is_at_its_own_field(application):
    faults = surveyed(application, lines_of(), **{"reading-error": "9"}).data["faults"]
    assert [(fault["field"], fault["where"]) for fault in faults] == [("boards.reading-error", "Reading error")]
    assert surveyed(application, lines_of(), route="/survey-pdf", **{"reading-error": "9"}).status == 422


def test_a_page_of_faults_shows_a_dozen_and_counts_the_rest(application):
    faults = surveyed(application, "x, 1\n" * 500).data["faults"]
    assert len(faults) == 13
    assert faults[-1]["what"].endswith("more faults are not shown")


def test_a_paper_that_is_too_small_is_at_the_paper(application):
    reply = surveyed(application, lines_of(frets=36), draw={"paper": "110x150"}, route="/survey-pdf")
    assert reply.status == 422
    assert {fault["field"] for fault in reply.data["faults"]} == {"draw.paper"}


def test_the_form_may_be_faulty_and_the_board_is_surveyed_all_the_same(application):
    assert found(application, lines_of(), fields={"scale": "nonsense"})["use"]["scale"] == "650.0"


# ---- nonsense


@pytest.mark.parametrize(
    "asked", [{"typing": "x"}, {"typing": "-1"}, {"typing": "²"}, {"path": "/etc/passwd"}, {"text": 3}]
)
def test_what_the_page_never_asks_is_refused(application, asked):
    assert application.post("/survey", {**state(), "asked": {"text": "1, 36", **asked}}).status == 400


@settings(max_examples=80, deadline=None)
@given(
    st.text(alphabet=st.characters(codec="utf-8"), max_size=60)
    | st.text(alphabet="0123456789,.;\t \n#'\"/-−mincft<>&=[]", max_size=60),
    st.integers(0, 9),
)
def test_whatever_is_typed_has_an_answer_without_markup(application, text, typing):
    reply = surveyed(application, text, typing=str(typing))
    assert reply.status == 200
    assert not re.search(rb"[<>&]", reply.body)
    assert surveyed(application, text, route="/survey-pdf").status in (200, 422)


def test_the_example_at_the_field_is_one_that_works(application):
    assert "second fret" in surveyed(application, EXAMPLE).data["waits"]


# ---- in the browser


def at_boards(visit, fragment="", **profile):
    someone = visit(f"from=banjo&view=boards{fragment}", **profile)
    return someone, someone.page.locator('[id="f-boards.text"]')


def shown(someone, words):
    expect(someone.page.locator("#boards-found")).to_contain_text(words)


def test_picture_and_findings_appear_while_a_board_is_typed_and_no_half_line_is_marked(visit):
    someone, field = at_boards(visit)
    expect(someone.page.locator("#boards-empty li")).to_have_count(2)
    field.press_sequentially(lines_of(frets=5), delay=5)
    shown(someone, "scale: 649.99")
    field.press_sequentially("6, 19")
    expect(someone.page.locator("#boards-unfinished")).to_be_visible()
    expect(someone.page.locator('[id="x-boards.text"]')).to_be_hidden()
    assert (
        someone.page.evaluate(
            "() => document.getElementById('boards-card').shadowRoot.querySelectorAll('[id^=fret-]').length"
        )
        == 5
    )
    expect(someone.page.locator('[id="x-boards.text"]')).to_contain_text("does not lie beyond fret 5")
    expect(someone.page.get_by_role("button", name="Use this board")).to_be_disabled()
    expect(someone.page.locator("#why-boards-use")).to_be_visible()
    field.press_sequentially("0.38")
    expect(someone.page.get_by_role("button", name="Use this board")).to_be_enabled()


def test_table_pasted_from_a_spreadsheet_is_used_as_the_instruments_board(visit, application):
    someone, field = at_boards(visit)
    text = lines_of(offset=1.4, between="\t").replace(".", ",")
    field.fill(text)
    shown(someone, "too far from the frets")
    with someone.page.expect_response(
        lambda answer: answer.url.endswith("/draw") and "frets_measured" in answer.request.post_data
    ):
        someone.page.get_by_role("button", name="Use this board").click()
    said = someone.page.locator("#filled-in")
    expect(said).to_be_focused()
    expect(said).to_contain_text("The nut is 1.40 mm too far from the frets.")
    expect(someone.page.locator("#instrument")).to_be_visible()
    use = found(application, text)["use"]
    assert someone.field("frets_measured").input_value() == use["frets_measured"]
    assert someone.field("scale").input_value() == use["scale"]
    someone.fill("action.fret_12", "2.9")
    expect(said).to_be_hidden()


def test_board_in_the_address_comes_back_with_its_files(visit, tmp_path):
    text = lines_of(frets=12, out=[(5, 1.2)])
    someone, field = at_boards(visit, "&" + urlencode({"board": text, "board-error": "0.2", "paper": "a4"}))
    shown(someone, "1.20 mm too near the bridge")
    assert field.input_value() == text
    name, lines = someone.take("Lines as CSV")
    path = as_file(tmp_path, lines.decode(), name)
    run("survey", path, "--reading-error", "0.2", "--format", "pdf", "--out", tmp_path / "out")
    name, picture = someone.take("Picture as PDF")
    assert (tmp_path / "out" / name).read_bytes() == picture


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_view_of_boards_bars_nobody_and_fits_a_narrow_window(visit, colours):
    text = lines_of(out=[(5, 1.2)]) + "23, x\n"
    someone, field = at_boards(visit, color_scheme=colours, viewport={"width": 360, "height": 740})
    for typed in ("", lines_of(out=[(5, 1.2)]), text):
        field.fill(typed)
        someone.page.wait_for_timeout(400)
        someone.unfold_everything()
        someone.assert_no_wider_than_the_window()
        assert serious_barriers(someone.page) == []
