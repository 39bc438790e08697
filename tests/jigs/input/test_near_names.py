"""A slip in a file's name leads to the file that was meant, and to no other."""

import pytest
from samples import run

from jigs.instrument.opening import preset_text


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "loan-7.toml").write_text(preset_text("banjo"), encoding="utf-8")
    (tmp_path / "board.csv").write_text("fret,mm\n", encoding="utf-8")
    (tmp_path / ".loan-8.toml").write_text("", encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("command", "said"),
    [
        (("draw", "laon-7.toml"), 'laon-7.toml: there is no such file; did you mean "loan-7.toml"?'),
        (("draw", "loan-7.tml"), 'did you mean "loan-7.toml"?'),
        (("draw", "loan7"), 'this is neither a file nor a preset; did you mean "loan-7.toml"?'),
        (("draw", "loan-7"), 'did you mean "loan-7.toml"?'),
        (("draw", "mandolni"), 'did you mean "mandolin"?'),
        (("keep", "loan-7.tmol", "--at", "670 / 671"), 'did you mean "loan-7.toml"?'),
        (("survey", "bord.csv"), 'did you mean "board.csv"?'),
        (("draw", "elsewhere/loan-7.toml"), "check its name"),
        (("draw", "zither.toml"), "check its name"),
        (("draw", "loan-8.toml"), 'did you mean "loan-7.toml"?'),
    ],
)
@pytest.mark.usefixtures("here")
def test_a_slip_in_a_name_leads_to_the_file(command, said):
    status, _, wrong = run(*command)
    assert (status, said in wrong) == (2, True), wrong


def test_a_name_that_no_terminal_shows_is_offered_in_plain_signs(here):
    (here / "lo\x1ban-9.toml").write_text("", encoding="utf-8")
    assert "\x1b" not in run("draw", "loan-9.toml")[2]


@pytest.mark.parametrize("command", [("draw",), ("numbers",), ("readings", "banjo", "--file"), ("survey",), ("rack",)])
def test_a_link_to_nothing_is_said_to_be_one(here, command):
    link = here / "loan-6.toml"
    try:
        link.symlink_to(here / "nowhere" / "loan-6.toml")
    except OSError:
        pytest.skip("no links can be made here")
    status, _, wrong = run(*command, link)
    assert (status, "this is a link, and the file that it leads to is not there" in wrong) == (2, True), wrong
    assert "did you mean" not in wrong
