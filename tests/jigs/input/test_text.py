"""Texts that cannot be read as TOML: what was meant is shown."""

import pytest
from in_time import no_longer_than
from samples import run

from jigs.faults import InputFaults
from jigs.input.text import parse_toml


@pytest.mark.parametrize("day", ["2026-02-30", "25.11.2026", "11/25/2026"])
def test_day_that_is_not_in_the_calendar_is_shown_as_it_should_be(day):
    with pytest.raises(InputFaults, match="year, month and day: 2026-11-25") as wrong:
        parse_toml(f"[found]\ndate = {day}\n", "mine.toml", "", "")
    assert wrong.value.faults[0].place.line == 2


def _fault(text):
    with pytest.raises(InputFaults) as wrong:
        parse_toml(text, "mine.toml", "", "")
    return wrong.value.faults[0]


def test_old_line_ends_are_not_blamed_on_quotes():
    assert _fault('name = "x"\rscale = 650\r').code == "line-ends-old"


@pytest.mark.parametrize("odd", ["# \u2028", "# \x85", "# \u2029"], ids=repr)
def test_line_that_is_quoted_is_the_one_that_is_wrong(odd):
    fault = _fault(f'{odd}\nname = "x"\nscale = 26 in\n')
    assert (fault.place.line, "scale = 26 in" in str(fault)) == (3, True), str(fault)


@pytest.mark.parametrize("odd", ["\u2028", "\u2029", "\x85", "\x0b", "\x0c", "\x1c"], ids=repr)
@pytest.mark.parametrize(
    ("command", "before", "wrong"),
    [(("readings", "mandolin", "--file"), "string,harmonic,fretted", "1,1,x"), (("survey",), "fret,mm", "1,x")],
    ids=["readings", "survey"],
)
def test_line_of_a_table_that_is_blamed_is_the_one_that_an_editor_shows(tmp_path, command, before, wrong, odd):
    table = tmp_path / "table.csv"
    table.write_bytes(f"{before}\r\n# a{odd}b\r\n{wrong}\r\n".encode())
    status, _, said = run(*command, table)
    assert status == 2
    assert "line 3" in said
    assert "line 2" not in said
    assert "line 4" not in said


@pytest.mark.parametrize("line", ["a" * 60_000, "a" * 30_000 + " = 26 1/4 in"])
def test_long_line_that_cannot_be_read_is_refused_at_once(line):
    """The file of a damaged disk took half a minute before the user read a word."""
    with no_longer_than(1.0), pytest.raises(InputFaults, match=r"line 2.*cannot be read"):
        parse_toml(f"a = 1\n{line}\n", "mine.toml", "", "")


@pytest.mark.parametrize("blank", ["\x0c", "\u2028", "\xa0", "\u3000", ' , ";"', "\t;"], ids=repr)
@pytest.mark.parametrize(
    ("command", "rows"),
    [
        (("readings", "banjo", "--file"), "1, 2, 1\n4, 2, -5\n"),
        (("survey",), "1, 37.4\n2, 72.7\n3, 106.1\n4, 137.6\n5, 167.3\n"),
    ],
    ids=["readings", "survey"],
)
def test_a_line_with_nothing_to_read_counts_as_blank_wherever_it_is(tmp_path, command, rows, blank):
    """A page break that an editor leaves at the end once ended the program."""
    first = run(*command, _written(tmp_path / "plain.csv", rows))
    assert first[0] == 0
    for text in (f"{rows}{blank}\n", f"{blank}\n{rows}", f"{rows}{blank}"):
        assert run(*command, _written(tmp_path / "plain.csv", text)) == first


def _written(path, text):
    path.write_text(text, encoding="utf-8", newline="")
    return path


@pytest.mark.parametrize(
    ("line", "said"), [("gauge = .24", '".24"'), ("gauge = .10", '".10"'), ("core = .11", '".11"')]
)
def test_a_gauge_without_quotes_is_not_offered_as_millimetres(line, said):
    key = line.partition(" ")[0]
    assert f"write {key} = {said}" in str(_fault(f"[[strings]]\n{line}\n"))
