"""Files taken from the page: each is what the command line writes, and an archive says what it lacks."""

import io
import zipfile

import pytest
from samples import run
from served import state

from jigs.page.answers import LONGER
from jigs.page.processes import LONGEST_ANSWER_S

pytestmark = pytest.mark.slow

ALL = ("--format", "pdf,svg,dxf")
GAUGED = {"template": "gauge", "kerf": "0.2"}


@pytest.fixture(autouse=True)
def _own_settings(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))


def in_archive(reply):
    assert (reply.status, reply.kind) == (200, "application/zip")
    with zipfile.ZipFile(io.BytesIO(reply.body)) as packed:
        assert packed.testzip() is None
        return {name: packed.read(name) for name in packed.namelist()}


def drawn(folder, *arguments):
    folder.mkdir()
    assert run("draw", *arguments, "--out", folder)[0] in (0, 3)
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize("template", ["gauge", "fretboard", "measure", "blank", "witness", "top"])
def test_dxf_is_the_one_of_the_command_line(application, tmp_path, template):
    reply = application.post("/dxf", state("mandolin", draw={"template": template}))
    assert reply.kind == "image/vnd.dxf"
    name = application.drawn("mandolin", draw={"template": template})["dxf"]
    assert drawn(tmp_path / "cli", "mandolin", template, "--format", "dxf") == {name: reply.body}


@pytest.mark.parametrize("template", ["fork", "spacing", "crown", "setup-card"])
def test_template_for_paper_says_why_it_has_no_dxf(application, template):
    page = application.drawn("banjo", draw={"template": template})
    assert page["dxf"] is None
    assert template in page["no_dxf"]
    refused = application.post("/dxf", state("banjo", draw={"template": template}))
    assert refused.status == 422
    assert [fault["field"] for fault in refused.data["faults"]] == ["draw.template"]


@pytest.mark.parametrize(
    ("preset", "draw", "options"),
    [("banjo", {}, ()), ("mandolin", {**GAUGED, "paper": "letter"}, ("--paper", "letter", "--kerf", "0.2"))],
    ids=["plain", "options"],
)
def test_archive_holds_every_file_that_the_command_line_draws_and_the_instrument(
    application, tmp_path, preset, draw, options
):
    sent = state(preset, {"action.fret_12": "2.75"}, draw)
    held = in_archive(application.post("/archive", sent))
    instrument = tmp_path / f"{preset}.toml"
    instrument.write_bytes(held.pop(instrument.name))
    assert instrument.read_bytes() == application.post("/file", sent).body
    held.pop("not-drawn.txt", None)
    assert held == drawn(tmp_path / "cli", instrument, "--all", *ALL, *options)


def test_archive_is_corrected_for_the_printer_that_is_chosen(application, tmp_path):
    assert run("printer", "add", "attic", "--across", "189.4", "--down", "276.5")[0] == 0
    held = in_archive(application.post("/archive", state("banjo", draw={"printer": "attic"})))
    expected = drawn(tmp_path / "cli", "banjo", "--all", *ALL, "--printer", "attic")
    assert {name: held[name] for name in expected} == expected


def test_archive_says_which_templates_it_lacks_and_why(application):
    said = in_archive(application.post("/archive", state("banjo")))["not-drawn.txt"].decode()
    assert "head: Fret 12 to the tension hoop's near edge (Banjo head): the head template needs the distance" in said
    assert "top: the top template is for mandolins" in said
    assert "[rim]" not in said
    assert "--" not in said


def test_kit_is_the_one_of_the_command_line(application, tmp_path):
    held = in_archive(application.post("/kit", state("banjo", draw=GAUGED)))
    assert held == drawn(tmp_path / "cli", "banjo", "--kit", "--kerf", "0.2")


@pytest.mark.parametrize("route", ["/archive", "/kit", "/dxf"])
def test_same_request_gives_the_same_archive(application, route):
    sent = state("banjo", draw={"template": "gauge"})
    assert application.post(route, sent).body == application.post(route, sent).body


@pytest.mark.parametrize("route", ["/archive", "/kit", "/dxf"])
def test_faulty_instrument_gives_no_file_and_says_what_to_fix(application, route):
    reply = application.post(route, state("banjo", {"action.fret_12": "high"}, {"template": "gauge"}))
    assert reply.status == 422
    assert [fault["field"] for fault in reply.data["faults"]] == ["action.fret_12"]


def test_what_draws_much_at_once_may_take_longer_than_a_drawing():
    assert min(LONGER["archive"], LONGER["kit"]) > 5 * LONGEST_ANSWER_S
