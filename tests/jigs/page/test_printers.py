"""A printer measured on the page: its correction is the command line's, and whatever is typed wrong says so at its field."""

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as settings_of_hypothesis
from hypothesis import strategies as st
from samples import run
from served import state

from jigs.printers import check_sheet
from jigs.printers.kept import folder
from jigs.sheets.paper import PAPERS

READ = {"a-b": "189.4", "d-c": "189.5", "a-d": "276.9", "b-c": "276.8", "a-c": "335.4", "b-d": "335.2"}
ON_THE_COMMAND_LINE = ("--across", "189.4", "189.5", "--down", "276.9", "276.8", "--diagonals", "335.4", "335.2")
NAMED = {**READ, "name": "kitchen"}
HOSTILE = ["../../etc/passwd", "/etc/passwd", "..", ".", "a/b", "a\\b", "kitchen\0", "~/.ssh/id_rsa", "%2e%2e%2f"]


@pytest.fixture(autouse=True)
def settings(tmp_path, monkeypatch):
    """A user without printers yet."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    return tmp_path / "settings"


@pytest.fixture
def ask(application):
    def asked(route, given=None, **draw):
        return application.post(f"/printer-{route}", {**state(draw=draw), "asked": given or {}})

    return asked


def files():
    return {path.name: path.read_bytes() for path in folder().glob("*")}


def test_check_sheet_is_the_one_that_the_command_line_draws(ask, tmp_path):
    for draw in ({}, {"paper": "letter"}, {"paper": "200x300"}):
        paper = ("--paper", draw["paper"]) if draw else ()
        run("printer", "sheet", *paper, "--format", "pdf", "--out", tmp_path)
        reply = ask("sheet", **draw)
        assert reply.kind == "application/pdf"
        assert reply.body == (tmp_path / ask("try", **draw).data["sheet"]).read_bytes()


def test_check_sheet_that_no_paper_holds_is_refused_at_the_paper(ask):
    reply = ask("sheet", paper="100x100")
    assert reply.status == 422
    assert [fault["field"] for fault in reply.data["faults"]] == ["draw.paper"]


@pytest.mark.parametrize(
    ("typed", "given"),
    [
        (READ, ON_THE_COMMAND_LINE),
        (
            {key: READ[key] for key in ("a-b", "d-c", "a-d", "b-c")},
            ("--across", "189.4", "189.5", "--down", "276.9", "276.8"),
        ),
        (
            {**READ, "a-b": "189.4 / 189.3", "d-c": "189,5/189.4"},
            ("--across", "189.4", "189.5", "189.3", "189.4", *ON_THE_COMMAND_LINE[3:]),
        ),
        (
            {**READ, "a-b": "7 29/64 in / 7-15/32 in", "d-c": "18.95 cm / 189.5", "reading-error": "0.2"},
            (
                "--across",
                "7 29/64 in",
                "18.95 cm",
                "7-15/32 in",
                "189.5",
                *ON_THE_COMMAND_LINE[3:],
                "--reading-error",
                "0.2",
            ),
        ),
        ({**READ, "b-d": ""}, ON_THE_COMMAND_LINE[:-1]),
    ],
    ids=["all", "no-diagonals", "twice", "inches", "one-diagonal"],
)
def test_printer_is_kept_byte_for_byte_as_the_command_line_keeps_it(ask, typed, given):
    status, printed, said = run("printer", "add", "kitchen", "--paper", "a4", *given)
    assert status == 0, said
    expected = files()
    run("printer", "remove", "kitchen")
    shown = ask("try", {**typed, "name": "kitchen"}).data
    assert shown["faults"] == []
    assert shown["missing"] == ""
    assert shown["lines"] == printed.splitlines()[:-1]
    assert len(shown["notes"]) == said.count("note: ")
    assert files() == {}, "trying keeps nothing"
    kept = ask("keep", {**typed, "name": "kitchen"}).data
    assert (kept["faults"], kept["kept"]) == ([], "kitchen")
    assert [one["line"] for one in kept["printers"]] == run("printer", "list")[1].splitlines()
    assert files() == expected


def test_pdf_is_corrected_for_a_printer_that_was_just_kept(ask, application, tmp_path):
    kept = ask("keep", {**NAMED, "name": "Office laser"}).data["kept"]
    page = application.post("/pdf", state("banjo", draw={"printer": kept})).body
    run("draw", "banjo", "--printer", "Office laser", "--format", "pdf", "--out", tmp_path)
    assert page == (tmp_path / "banjo-fork.pdf").read_bytes()
    assert page != application.post("/pdf", state("banjo")).body
    assert f'<option value="{kept}">'.encode() in application.ask("GET", "/").body


@pytest.mark.parametrize("count", range(6))
def test_half_filled_form_has_no_fault_and_says_what_is_missing(ask, count):
    typed = dict(list(READ.items())[:count])
    reply = ask("try", typed).data
    assert reply["faults"] == []
    assert "your name for it" in reply["missing"]
    spans = {"a-b": "A to B", "d-c": "D to C", "a-d": "A to D", "b-c": "B to C"}
    for key, span in spans.items():
        assert (span in reply["missing"]) == (key not in typed)
    assert bool(reply["lines"]) == (count >= 4)
    kept = ask("keep", {**typed, "name": "kitchen"}).data
    assert bool(kept["faults"]) == (count < 4)
    assert {fault["field"] for fault in kept["faults"]} == {f"printer.{key}" for key in spans if key not in typed}


def test_reading_that_is_typed_before_its_pair_has_one_is_not_a_fault(ask):
    for typed in ({**NAMED, "a-b": "189.4 /"}, {**NAMED, "a-b": "189.4 / 189.3"}, {**NAMED, "a-c": ""}):
        assert ask("try", typed).data["faults"] == []
    missing = ask("try", {**NAMED, "a-b": "189.4 / 189.3"}).data["missing"]
    assert missing == "Still missing: as many readings of D to C as of A to B."
    assert [one["field"] for one in ask("keep", {**NAMED, "a-c": ""}).data["faults"]] == ["printer.a-c"]


@pytest.mark.parametrize("complete", [True, False], ids=["complete", "half"])
@pytest.mark.parametrize(
    ("wrong", "field", "code"),
    [
        ({"d-c": "long"}, "printer.d-c", "length-unread"),
        ({"b-c": "27.68"}, "printer.b-c", "printer-length-perhaps-unit"),
        ({"a-b": "189.4 / 250"}, "printer.a-b", "printer-length-far-off"),
        ({"b-d": "1"}, "printer.b-d", "printer-length-far-off"),
        ({"reading-error": "70"}, "printer.reading-error", "length-perhaps-other-unit"),
        ({"name": "a/b"}, "printer.name", "printer-name"),
        ({"name": "x" * 41}, "printer.name", "printer-name-too-long"),
        ({"a-d": "/".join(["277.0"] * 101)}, "printer.a-d", "printer-too-many-readings"),
    ],
    ids=str,
)
def test_every_fault_is_at_its_field_as_soon_as_it_is_typed(ask, wrong, field, code, complete):
    typed = {**NAMED, **wrong}
    if not complete:
        del typed[next(key for key in READ if key not in wrong)]
    found = ask("try", typed).data["faults"]
    assert (field, code) in [(one["field"], one["code"]) for one in found]
    assert {one["field"] for one in found} == {field}
    for one in found:
        assert "--" not in one["remedy"]
        assert "`" not in one["what"] + one["remedy"]


def test_length_that_contradicts_the_others_is_named(ask):
    (fault,) = ask("try", {**NAMED, "d-c": "186.5"}).data["faults"]
    assert fault["field"].startswith("printer.")
    assert "“Reading error”" in fault["remedy"]


def test_lengths_of_another_paper_are_marked_at_the_paper(ask):
    letter = {"a-b": "195.9", "d-c": "195.8", "a-d": "259.4", "b-c": "259.3"}
    (fault,) = ask("try", letter).data["faults"]
    assert (fault["field"], fault["code"]) == ("draw.paper", "printer-other-paper")
    assert fault["remedy"] == "they fit Letter: give “Paper”: letter"
    assert ask("try", letter, paper="letter").data["faults"] == []


def test_name_of_another_printer_is_replaced_only_when_that_is_asked(ask):
    ask("keep", NAMED)
    before = files()
    (fault,) = ask("keep", {**NAMED, "a-b": "189.6"}).data["faults"]
    assert (fault["field"], fault["code"]) == ("printer.name", "printer-name-taken")
    assert "“Replace it”" in fault["remedy"]
    assert files() == before
    assert ask("keep", {**NAMED, "a-b": "189.6", "replace": "no"}).data["faults"]
    assert files() == before
    assert ask("keep", {**NAMED, "a-b": "189.6", "replace": "true"}).data["faults"] == []
    assert files() != before


def test_printer_is_removed_and_a_damaged_one_too(ask):
    ask("keep", NAMED)
    ask("keep", {**NAMED, "name": "attic"})
    (folder() / "attic.toml").write_text("name = 3")
    listed = ask("list").data["printers"]
    assert [one["name"] for one in listed] == ["attic", "kitchen"]
    assert listed[0]["line"] == "attic: its file has a fault"
    assert [one["name"] for one in ask("forget", {"name": "attic"}).data["printers"]] == ["kitchen"]
    assert ask("forget", {"name": "kitchen"}).data["printers"] == []
    (fault,) = ask("forget", {"name": "kitchen"}).data["faults"]
    assert (fault["field"], fault["code"]) == ("draw.printer", "printer-unknown")


def test_corrected_check_sheet_is_the_one_that_the_command_line_draws(ask, tmp_path):
    ask("keep", NAMED)
    printed = run("printer", "check", "kitchen", "--format", "pdf", "--out", tmp_path)[1]
    reply = ask("check", {"name": "kitchen"}).data
    assert reply["lines"]
    assert set(reply["lines"]) <= set(printed.splitlines())
    sheet = ask("check-sheet", {"name": "kitchen"})
    assert sheet.body == (tmp_path / reply["sheet"]).read_bytes()


@pytest.mark.parametrize("name", HOSTILE)
def test_no_name_leads_out_of_the_users_folder(ask, settings, name):
    ask("keep", NAMED)
    before = {path: path.read_bytes() for path in settings.parent.rglob("*") if path.is_file()}
    for route in ("forget", "check", "check-sheet"):
        assert ask(route, {"name": name}).data["faults"]
    assert ask("keep", {**NAMED, "name": name, "replace": "true"}).data["faults"]
    assert {path: path.read_bytes() for path in settings.parent.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize("asked", [{"path": "x"}, {"name": "kitchen", "a-b": "1"}, {}], ids=str)
def test_requests_that_the_page_does_not_send_change_nothing(ask, asked):
    ask("keep", NAMED)
    before = files()
    assert ask("forget", asked).status == 400
    assert ask("keep", {**NAMED, "path": "x"}).status == 400
    assert files() == before


@settings_of_hypothesis(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.dictionaries(
        st.sampled_from([*READ, "name", "reading-error"]),
        st.text("0123456789./, inm'\"-−½<&é\0\n", max_size=30) | st.sampled_from(["189.4", "276.9", "335.4"]),
    )
)
def test_whatever_is_typed_is_answered_with_faults_at_fields_and_keeps_nothing(ask, typed):
    reply = ask("try", typed)
    assert reply.status == 200
    assert not set(b"<>&") & set(reply.body)
    for fault in reply.data["faults"]:
        assert fault["field"].startswith(("printer.", "draw.paper"))
        assert fault["remedy"]
    assert files() == {}


@pytest.mark.parametrize("paper", ["a4", "letter", "a3", "legal"])
def test_picture_shows_every_cross_and_number_of_the_sheet(ask, paper):
    picture = ask("try", paper=paper).data["picture"]
    for word in ("A", "B", "C", "D", *(f"({n})" for n in range(1, 7))):
        assert f">{word}</text>" in picture
    assert picture == check_sheet.picture(PAPERS[paper]).decode()
