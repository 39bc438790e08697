"""A survey as a technician sees it: the table and its notes, refusals, the lines to paste, and the picture."""

import json
import re
import tomllib

import numpy as np
import pytest
from readers import farthest_mm, pdf_pieces_by_pdfium, svg_pieces
from samples import ROOT, assert_clear, named, pieces, run

from geometry.survey import Rule, shares
from jigs.drawing.items import Text, bounds
from jigs.drawing.lettering import LARGE, LARGEST
from jigs.faults import InputFaults
from jigs.instrument import file as instrument_file
from jigs.instrument.opening import preset_text
from jigs.sheets.paper import PAPERS, Paper, paper_named
from jigs.survey import picture as survey_picture
from jigs.survey.file import parse
from jigs.workup.work_up import work_up

EXAMPLE = ROOT / "jigs" / "demo" / "old-mandolin-board.csv"
UM = 1e-3


def distances(scale=650.0, frets=24, rule=Rule.EQUAL, offset=0.0, noise=0.0, out=()):
    """Distances of an invented board, some of its frets out by so many mm."""
    board = scale * shares(rule, np.arange(1, frets + 1)) + offset
    board += np.random.default_rng(4).normal(0, noise, frets) if noise else 0.0
    for fret, mm in out:
        board[fret - 1] += mm
    return board


def as_csv(board, head="fret, distance\n", between=", ", unit=""):
    return head + "".join(f"{fret}{between}{mm:.2f}{unit}\n" for fret, mm in enumerate(board, 1))


def surveyed(tmp_path, content, *arguments, name="board.csv"):
    """What `jigs survey --json` finds."""
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    status, printed, said = run("survey", path, "--json", *arguments)
    assert status == 0, said
    return json.loads(printed)


def table_of(tmp_path, content, *arguments, name="board.csv"):
    """What `jigs survey` prints, and its notes."""
    path = tmp_path / name
    path.write_text(content)
    status, printed, notes = run("survey", path, *arguments)
    assert status == 0, notes
    return printed, notes


def refused(tmp_path, content, *expected, name="board.csv", arguments=()):
    """Survey a file with this content: refused in sentences, and nothing is written."""
    path, out = tmp_path / name, tmp_path / "out"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    status, printed, said = run("survey", path, "--format", "svg", "--out", out, *arguments)
    assert status == 2, printed + said
    assert printed == ""
    assert not out.exists()
    for words in expected:
        assert words in said, said
    for line in said.splitlines():
        assert ": " in line
        assert "; " in line, f"no remedy: {line}"
    return said


def test_example_board_shows_the_numbers_it_was_invented_with():
    """353.2 mm by the rule of eighteen, nut 0.45 mm too far, fret 7 out by 0.9 mm, fret 15 by −0.8, read to a tenth."""
    found = json.loads(run("survey", EXAMPLE, "--json")[1])
    assert found["rule"] == "eighteen"
    assert found["rule_strength"] == "decisive"
    assert found["scale_interval_mm"][0] < 353.2 < found["scale_interval_mm"][1]
    assert found["scale_se_mm"] < 0.1
    assert found["nut_offset_interval_mm"][0] < 0.45 < found["nut_offset_interval_mm"][1]
    out = {each["fret"]: each["residual_mm"] for each in found["frets"] if each["out_of_place"]}
    assert out == {7: pytest.approx(0.9, abs=0.15), 15: pytest.approx(-0.8, abs=0.15)}
    assert 0.03 < found["reading_error_mm"] < 0.12


def test_programs_find_the_promised_keys():
    found = json.loads(run("survey", EXAMPLE, "--json")[1])
    assert {"rule", "scale_mm", "scale_se_mm", "nut_offset_mm", "nut_offset_se_mm", "frets"} <= set(found)
    assert len(found["frets"]) == 20
    for each in found["frets"]:
        assert {"fret", "measured_mm", "residual_mm", "residual_cents", "out_of_place"} <= set(each)
        assert each["measured_mm"] - each["wanted_mm"] == pytest.approx(each["residual_mm"])


def test_table_says_in_words_what_the_numbers_say():
    table = run("survey", EXAMPLE)[1]
    for words in (
        "20 frets, 36 readings",
        "from the repeated readings",
        "scale: 353.",
        "± 0.0",
        "nut: 0.4",
        "too long; the nut's front edge is too far from the frets",
        "the rule of eighteen, 98.955 cents a step, decisive",
        "fret 7, 0.7",
        "too near the bridge",
        "cents sharp",
        "fret 15, 0.7",
        "too near the nut",
        "cents flat",
    ):
        assert words in table
    marked = [line.split()[0] for line in table.splitlines() if line.endswith("out of place")]
    assert marked == ["7", "15"]


def test_every_error_in_the_table_is_the_one_that_holds_95_times_in_100():
    found, table = json.loads(run("survey", EXAMPLE, "--json")[1]), run("survey", EXAMPLE)[1]
    widths = {name: float(mm) for name, mm in re.findall(r"(?m)^(scale|nut):.*? ± ([\d.]+) mm \(95%\)", table)}
    for name, key in (("scale", "scale"), ("nut", "nut_offset")):
        low, high = found[f"{key}_interval_mm"]
        assert widths[name] == pytest.approx((high - low) / 2, abs=0.006)
        assert widths[name] > 1.5 * found[f"{key}_se_mm"]
    assert table.count("±") == table.count("(95%)")


def test_error_that_is_not_nought_is_never_shown_as_nought(tmp_path):
    places = "\n".join(f"{fret}, {648 * (1 - 2 ** (-fret / 12)):.5f}" for fret in range(1, 20))
    table, _ = table_of(tmp_path, places, "--reading-error", "0.001")
    assert "reading error 0.001 mm, as given" in table
    assert "scale: 648.00 mm (25 33/64 in) ± 0.01 mm (95%); between" in table
    assert "nut: 0.00 mm ± 0.01 mm (95%): no sign" in table
    low, high = re.search(r"between ([\d.]+) mm and ([\d.]+) mm", table).groups()
    assert float(low) < float(high)
    assert "± 0.00" not in table


def test_nut_too_near_the_frets_is_shown_as_such(tmp_path):
    table, _ = table_of(tmp_path, as_csv(distances(offset=-1.0, noise=0.1)))
    assert "nut: −1.0" in table
    assert "too short; the nut's front edge is too near the frets" in table


def test_nut_in_its_place_is_not_blamed(tmp_path):
    table, _ = table_of(tmp_path, as_csv(distances(noise=0.1)))
    assert "no sign of a nut out of place" in table
    assert "out of place: none" in table
    assert "if the frets follow" not in table


@pytest.mark.parametrize(
    "content",
    [
        as_csv(distances(), head=""),
        as_csv(distances(), between=","),
        as_csv(distances(), between=";"),
        as_csv(distances(), between="\t"),
        as_csv(distances(), head="fret distance\n", between=" "),
        as_csv(distances(), head="", between=": "),
        as_csv(distances(), unit=" mm"),
        as_csv(distances(), head="# an old board\n\n  \nfret,distance,2nd reading\n"),
        as_csv(distances()).replace("\n", "\r\n").encode(),
        b"\xef\xbb\xbf" + as_csv(distances(), head="").encode(),
        as_csv(distances()).replace("\n", ",,\n"),
        as_csv(distances()).replace("\n", "  # read twice\n"),
        "\n".join(reversed(as_csv(distances(), head="").splitlines())),
        as_csv(distances(), between=', "').replace("\n", '"\n').replace('distance"', "distance"),
    ],
    ids=["no header", "comma", "semicolon", "tab", "blank", "colon", "unit", "notes", "CRLF", "BOM", "empty cells",
         "remarks", "backwards", "quoted"],
)  # fmt: skip
def test_csv_in_any_style_is_read_alike(tmp_path, content):
    found = surveyed(tmp_path, content)
    assert found["scale_mm"] == pytest.approx(650.0, abs=0.02)
    assert [each["fret"] for each in found["frets"]] == list(range(1, 25))
    assert found["frets"][11]["measured_mm"] == 325.0


def test_inches_are_read_where_they_are_written(tmp_path):
    content = '12, 13 1/8 in\n24, "19-11/16""", 19.6875"\n1, 1.473 in\n5, 6.585 in, 167.3 mm\n'
    found = surveyed(tmp_path, content)
    assert found["scale_mm"] == pytest.approx(26.25 * 25.4, abs=1)
    assert [each["readings"] for each in found["frets"]] == [1, 2, 1, 2]
    assert found["frets"][2]["measured_mm"] == pytest.approx(13.125 * 25.4)


def test_further_readings_behind_a_blank_are_parted_by_commas_or_semicolons(tmp_path):
    by_blank = surveyed(tmp_path, "1 36,5, 36,4\n5 163.0; 163.2\n7 8 1/2 in, 215.9\n12 325 mm\n")
    assert by_blank == surveyed(tmp_path, "1, 36.5, 36.4\n5, 163.0, 163.2\n7, 8 1/2 in, 215.9\n12, 325\n")
    assert [each["readings"] for each in by_blank["frets"]] == [2, 2, 2, 1]


def test_toml_says_the_same_as_csv(tmp_path):
    rows = ", ".join(f"[{fret}, {mm:.2f}]" for fret, mm in enumerate(distances(noise=0.2), 1))
    toml = f'name = "Old board"\nreading_error = "0.2 mm"\nfrets = [{rows}]\n'
    by_toml = surveyed(tmp_path, toml, name="board.toml")
    by_csv = surveyed(tmp_path, as_csv(distances(noise=0.2)), "--reading-error", "0.2")
    assert by_toml.pop("name") == "Old board"
    assert by_csv.pop("name") == "board"
    assert by_toml == by_csv


def test_fret_in_two_lines_is_a_fret_read_twice(tmp_path):
    apart = surveyed(tmp_path, as_csv(distances()) + "7, 216.40\n")
    together = surveyed(tmp_path, as_csv(distances()).replace("7, 216.18", "7, 216.18, 216.40"))
    assert apart == together
    assert apart["frets"][6]["readings"] == 2
    assert apart["frets"][6]["measured_mm"] == pytest.approx(216.29)


def test_reading_error_is_taken_from_where_it_is_best_known(tmp_path):
    """The command line before the file, the file before repeated readings, those before what is usual."""
    twice = as_csv(distances()) + as_csv(distances() + 0.3, head="")
    rows = ", ".join(f"[{fret}, {mm:.2f}, {mm + 0.3:.2f}]" for fret, mm in enumerate(distances(), 1))
    toml = f"reading_error = 0.1\nfrets = [{rows}]\n"
    assert surveyed(tmp_path, as_csv(distances()))["reading_error_mm"] == 0.25
    assert surveyed(tmp_path, twice)["reading_error_mm"] == pytest.approx(0.3 / 2**0.5, rel=0.01)
    assert surveyed(tmp_path, toml, name="board.toml")["reading_error_mm"] == 0.1
    error = surveyed(tmp_path, toml, "--reading-error", "1/64 in", name="board.toml")["reading_error_mm"]
    assert error == pytest.approx(25.4 / 64)
    few = as_csv(distances()) + "1, 36.6\n2, 71.3\n"
    assert surveyed(tmp_path, few)["reading_error_mm"] == 0.25


def test_smaller_reading_error_names_more_frets(tmp_path):
    content = as_csv(distances(out=[(5, 0.5)]))
    assert not any(each["out_of_place"] for each in surveyed(tmp_path, content)["frets"])
    found = surveyed(tmp_path, content, "--reading-error", "0.05")["frets"]
    assert [each["fret"] for each in found if each["out_of_place"]] == [5]


def test_fret_12_alone_works_and_says_what_it_does_not_show(tmp_path):
    found = surveyed(tmp_path, "12, 176.2\n")
    assert found["scale_mm"] == pytest.approx(352.4)
    assert found["scale_se_mm"] == pytest.approx(0.5)
    assert found["nut_offset_mm"] is found["nut_offset_se_mm"] is found["rule_log_odds"] is None
    only = found["frets"][0]
    assert only["residual_mm"] is only["residual_cents"] is only["out_of_place"] is None
    assert found["rule_strength"] == "cannot tell"
    table, _ = table_of(tmp_path, "12, 176.2\n")
    for word in (
        "if the frets follow equal steps and the nut is in its place",
        "nut: not known",
        "rule: not known",
        "out of place: not known",
        "measure 5 frets or more",
    ):
        assert word in table
    assert table.endswith("\nscale = 352.40\n")


def test_two_frets_give_the_nut_and_four_give_no_verdict(tmp_path):
    two = surveyed(tmp_path, "1, 36.98\n12, 325.5\n")
    assert two["nut_offset_mm"] == pytest.approx(0.5, abs=0.02)
    assert two["frets"][0]["residual_mm"] is None
    four = surveyed(tmp_path, as_csv(distances(frets=4)))
    assert four["frets"][0]["residual_mm"] is not None
    assert {each["out_of_place"] for each in four["frets"]} == {None}


def test_unclear_rule_gives_both_scales(tmp_path):
    table, _ = table_of(tmp_path, as_csv(distances(352.4, 8, noise=0.2)))
    assert "rule: cannot tell" in table
    assert re.search(r"mm \(95%\); between [\d.]+ mm and [\d.]+ mm, if the frets follow equal steps\n", table)
    assert "by the rule of eighteen the scale would be 35" in table


@pytest.mark.parametrize(("rule", "words"), [(Rule.EQUAL, "equal steps"), (Rule.EIGHTEEN, "the rule of eighteen")])
def test_rule_that_is_only_a_little_likelier_is_named_as_such(tmp_path, rule, words):
    table, _ = table_of(tmp_path, as_csv(distances(650, 10, rule, noise=0.1)))
    assert f" to 1 for {words}), so equal steps are used" in table


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (as_csv(distances(noise=1.0)), "scatter by"),
        (as_csv(distances()[1:]), "nut seems 36"),
        (as_csv(distances()) + "7, 218.0\n", "the readings of fret 7 are 1.82 mm apart"),
        (as_csv(distances(frets=4, out=[(2, 3.0)])), "the readings disagree by up to"),
    ],
)
def test_doubtful_readings_are_pointed_out(tmp_path, content, words):
    assert words in table_of(tmp_path, content)[1]


def test_good_readings_get_no_notes(tmp_path):
    assert table_of(tmp_path, as_csv(distances(noise=0.15)))[1] == ""
    assert run("survey", EXAMPLE)[2] == ""


def instrument_with(lines, preset="banjo"):
    """A preset's workup with its scale and frets replaced by pasted lines."""
    text = preset_text(preset).splitlines()
    kept = [line for line in text if line.partition("=")[0].strip() != "scale" and not line.startswith("frets ")]
    return work_up(instrument_file.parse("\n".join([*lines, *kept]).encode(), "pasted"))


def pasted(table):
    """The lines to paste below a table."""
    head, _, lines = table.partition("of its own scale, frets and fret rule:\n")
    assert head
    return lines.splitlines()


def test_pasted_lines_of_a_sound_board_are_its_scale(tmp_path):
    lines = pasted(table_of(tmp_path, as_csv(distances(noise=0.1)))[0])
    assert len(lines) == 1
    assert instrument_with(lines).scale_mm == pytest.approx(650, abs=0.3)


def test_pasted_lines_of_a_board_cut_by_eighteenths_are_its_scale_and_rule(tmp_path):
    lines = pasted(table_of(tmp_path, as_csv(distances(rule=Rule.EIGHTEEN, noise=0.05)))[0])
    assert lines[1:] == ['fret_rule = "eighteen"']
    workup = instrument_with([*lines, "frets = 24"])
    np.testing.assert_allclose(workup.from_nut_mm, distances(rule=Rule.EIGHTEEN), atol=0.2)


def test_pasted_lines_of_a_board_with_a_fret_out_of_place_put_every_fret_where_it_is(tmp_path):
    board = distances(out=[(9, 1.5)], offset=0.6, noise=0.05)
    found = surveyed(tmp_path, as_csv(board))
    workup = instrument_with(found["paste"])
    np.testing.assert_allclose(workup.from_nut_mm, board, atol=0.006)
    assert workup.scale_mm == pytest.approx(found["scale_mm"] + found["nut_offset_mm"], abs=0.006)
    assert workup.to_bridge_mm[11] == pytest.approx(325, abs=0.2)


def test_pasted_lines_of_a_board_with_its_nut_out_of_place_include_that(tmp_path):
    """Else every open string would be taken to be as long as the frets were cut for."""
    board = distances(offset=0.8, noise=0.05)
    workup = instrument_with(surveyed(tmp_path, as_csv(board))["paste"])
    assert workup.scale_mm == pytest.approx(650.8, abs=0.15)
    np.testing.assert_allclose(workup.from_nut_mm, board, atol=0.006)


def test_pasted_lines_of_the_example_make_an_instrument():
    lines = pasted(run("survey", EXAMPLE)[1])
    workup = instrument_with(lines, "mandolin")
    assert len(workup.from_nut_mm) == 20
    assert workup.from_nut_mm[6] == pytest.approx(117.7)


def test_frets_that_were_not_measured_are_filled_in_and_said_to_be(tmp_path):
    rows = as_csv(distances(frets=15, offset=0.7, out=[(10, 2.0)]), head="").splitlines()
    del rows[3]
    lines = pasted(table_of(tmp_path, "\n".join(rows))[0])
    assert lines[-1] == "# not measured, set by the rule: 4"
    listed = tomllib.loads("\n".join(lines))["frets_measured"]
    np.testing.assert_allclose(listed, distances(frets=15, offset=0.7, out=[(10, 2.0)]), atol=0.02)


def test_fret_far_out_beside_one_that_was_not_measured_makes_no_broken_list(tmp_path):
    rows = as_csv(distances(frets=16, out=[(10, 21.0)]), head="").splitlines()
    del rows[10]
    lines = pasted(table_of(tmp_path, "\n".join(rows))[0])
    assert "measure all of them" in lines[-1]
    assert set(tomllib.loads("\n".join(lines))) == {"scale"}


GOOD = as_csv(distances())


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ("", ["is empty"]),
        (" \n\n", ["is empty"]),
        ("# nothing yet\nfret, distance\n", ["holds no readings"]),
        (b"1, 33.7\n2, \xff\n", ["line 2", "UTF-8"]),
        ("1, 33.7\n".encode("utf-16"), ["UTF-8"]),
        ("1, 33.7\n".encode("utf-16-le"), ["UTF-8"]),
        (b"#" * (1 << 21), ["larger than a megabyte"]),
        ("1, 36.5\n" * 1001, ["1001 lines"]),
        ("1" * 2000 + "\n", ["line 1", "too long"]),
        (GOOD + "0, 3\n", ["line 26", "fret 0 is the nut"]),
        (GOOD + "-3, 30\n", ["line 26", "no fret -3"]),
        (GOOD + "37, 600\n", ["line 26", "no fret 37", "from 1 to 36"]),
        (GOOD + "x, 600\n", ["line 26", '"x" is not a fret\'s number']),
        (GOOD + "2.5, 600\n", ["line 26", '"2.5" is not a fret\'s number']),
        ("twelve, 325\n", ["line 1", '"twelve" is not a fret\'s number']),
        (GOOD + ", 600\n", ["line 26", "not a fret's number"]),
        (GOOD + "25\n", ["line 26", 'fret "25" has no distance']),
        (GOOD + "25, ?\n", ["line 26", "is not a length"]),
        (GOOD + "25, nan\n", ["line 26", "is not a length"]),
        (GOOD + "25, inf\n", ["line 26", "is not a length"]),
        (GOOD + "25, -5\n", ["line 26", "negative"]),
        (GOOD + "25, 0\n", ["line 26", "zero"]),
        (GOOD + "25, 1600\n", ["line 26", "too long"]),
        (GOOD + "25, 99999999999999\n", ["line 26", "beyond any instrument"]),
        (GOOD + "25, 20 furlongs\n", ["line 26", 'unknown unit "furlongs"']),
        (GOOD + "25, 655\n", ["fret 25", "behind the bridge line", "650.0 mm"]),
        (GOOD + "25, 480\n", ["fret 25", "480.0 mm", "fret 24", "487.5 mm"]),
        (GOOD.replace("7, 216.18", "7, 240.60"), ["fret 8", "240.5 mm", "fret 7", "240.6 mm"]),
        (GOOD + "7, 261.2\n", ["line 8", "line 26", "fret 7 was read at", "too far apart"]),
        (as_csv(distances() / 25.4), ["scale of 25.59 mm", "for inches", '"19.19 in"']),
        (as_csv(distances() / 10), ["scale of 65.00 mm", "centimetres", '"48.75 cm"']),
        (as_csv(distances() / 10, unit=" mm"), ["scale of 65.00 mm", "front edge of the nut"]),
        (as_csv(distances(2100, 12)), ["scale of 2100.0 mm", "150 to 1500 mm"]),
        ("7, 216.2\n", ["fret 7 is one reading for two unknowns", "measure a second fret", "fret 12 alone"]),
        ("7, 216.2\n7, 216.3\n", ["two unknowns"]),
        ("f1 36.48\nf2 70.9\n", ["line 1", "line 2", "is one column", "1, 19.8"]),
    ],
)  # fmt: skip
def test_slip_in_the_file_is_named_with_its_place_and_remedy(tmp_path, content, expected):
    refused(tmp_path, content, "board.csv", *expected)


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (GOOD.replace(", ", ",").replace(".", ","), ["36,48 reads as two distances", "write 36.48"]),
        (GOOD + "25, 12 1/8 in\n26; 5\n27,498,5\n", ["498,5 reads as two distances", "write 498.5"]),
    ],
)
def test_decimal_comma_between_commas_is_recognised_and_named_once(tmp_path, content, expected):
    said = refused(tmp_path, content, "decimal point", *expected)
    assert sum("decimal point" in line for line in said.splitlines()) == 1


@pytest.mark.parametrize(
    "content",
    [
        GOOD.replace(", ", ";").replace(".", ","),
        GOOD.replace(", ", "\t").replace(".", ","),
        GOOD.replace(", ", "  ").replace(".", ","),
        GOOD.replace(", ", ', "').replace(".", ",").replace("\n", '"\n'),
    ],
)
def test_decimal_comma_in_a_cell_of_its_own_is_a_point(tmp_path, content):
    assert surveyed(tmp_path, content) == surveyed(tmp_path, GOOD)


def test_fractions_without_a_unit_are_named_once_with_what_to_write(tmp_path):
    said = refused(
        tmp_path, "1, 1 7/16\n2, 2¾\n3, 4 in\n12, 12 13/16\n", 'for inches write "1 7/16 in"', ", with 2 more like it"
    )
    assert len(said.splitlines()) == 1


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ("frets = \n", ["line 1", "cannot be read"]),
        ("frets = [[1, 36.5], [2, 70.9]]\nfrets = 3\n", ["line 2", "written twice"]),
        ("frets = [[1, 36,5], [2, 70,9], [12, 325,0]]\n", ["frets, row 1", "36,5 reads as two", "write 36.5"]),
        ('name = "x"\n', ["frets: the list of frets is missing"]),
        ("frets = 22\n", ["frets", "not a list of rows"]),
        ("frets = [1, 33.7]\n", ["frets", "not a list of rows"]),
        ("frets = [[1, 36.5], [], [3]]\n", ["frets, row 2: this row is empty", "frets, row 3: fret 3 has no distance"]),
        ("frets = [[true, 36.5]]\n", ["frets, row 1", "true is not a fret's number"]),
        ("frets = [[1.5, 36.5]]\n", ["frets, row 1", "1.5 is not a fret's number"]),
        ("frets = [[1, nan], [2, inf], [3, true]]\n", ["row 1: nan", "row 2: inf is beyond", "row 3: true is not"]),
        (f"frets = [[0x{'f' * 6000}, 3], [2, 0x{'f' * 6000}]]\n", ["row 1: inf is not a fret", "row 2: inf is beyond"]),
        ("fretts = [[12, 325]]\n", ["fretts: unknown key", 'did you mean "frets"']),
        ('reading_error = "1,234"\nfrets = [[12, "1,234"]]\n', ["row 1", '"1,234" has a comma; write "1.234" or "1234"']),
        ("reading_error = -1\nfrets = [[12, 325]]\n", ["reading_error", "negative"]),
        ("name = 3\nfrets = [[12, 325]]\n", ["name", "is not a name"]),
        ('name = "a\\u0007"\nfrets = [[12, 325]]\n', ["name", "is not a name"]),
        ('scale = "26 1/4 in"\nkind = "banjo"\n', ["scale: unknown key", "kind: unknown key", "frets: the list of frets"]),
        ("x = " + "[" * 5000 + "]" * 5000, ["nested"]),
        ('name = “x”\nfrets = [[12, 325]]\n', ["line 1", "curly quotes"]),
    ],
)  # fmt: skip
def test_slip_in_a_toml_file_is_named_with_its_place_and_remedy(tmp_path, content, expected):
    refused(tmp_path, content, *expected, name="board.toml")


def test_all_faults_of_a_file_come_in_one_list(tmp_path):
    content = "fret, distance\n0, 5\n1, x\n2, 71\n3, 70\n4, -3\n5\n41, 500\n"
    said = refused(tmp_path, content, "line 2", "line 3", "fret 3", "line 6", "line 7", "line 8")
    assert len(said.splitlines()) == 6


def test_missing_file_and_folder_are_named(tmp_path):
    for path, words in ((tmp_path / "none.csv", "no such file"), (tmp_path, "is a folder"), ("x" * 5000, "x")):
        status, printed, said = run("survey", path)
        assert (status, printed) == (2, "")
        assert words in said
        assert "; " in said


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (("--format", "pfd"), 'did you mean "pdf"'),
        (("--format", "dxf"), "--format: this drawing is not written as dxf; choose pdf or svg"),
        (("--out", "x"), "--out: this is for the picture; add --format pdf"),
        (("--paper", "a4"), "--paper: this is for the picture; add --format pdf"),
        (("--format", "pdf", "--paper", "a44"), 'did you mean "a4"'),
        (("--format", "pdf", "--paper", "130x200"), "the picture does not fit on 130 x 200 mm"),
        (("--reading-error", "rough"), "--reading-error: "),
        (("--reading-error", "0"), "--reading-error: 0"),
        (("--reading-error", "nan"), "is not a length"),
        (("--reading-error", "80"), "too long"),
    ],
)
def test_slip_on_the_command_line_is_named_with_its_remedy(tmp_path, monkeypatch, arguments, expected):
    monkeypatch.chdir(tmp_path)
    status, printed, said = run("survey", EXAMPLE, *arguments)
    assert (status, printed) == (2, "")
    assert expected in said.replace('"0" is', "0 is") or expected in said
    assert "; " in said
    assert not list(tmp_path.iterdir())


def test_survey_writes_nothing_unless_asked(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("survey", EXAMPLE)[0] == 0
    assert not list(tmp_path.iterdir())


def test_picture_is_named_after_the_file_and_its_json_stays_json(tmp_path):
    status, printed, said = run("survey", EXAMPLE, "--json", "--format", "pdf,svg", "--out", tmp_path)
    assert status == 0
    assert json.loads(printed)["rule"] == "eighteen"
    made = sorted(path.name for path in tmp_path.iterdir())
    assert made == ["old-mandolin-board-survey.pdf", "old-mandolin-board-survey.svg"]
    assert [line.split("/")[-1] for line in said.splitlines()] == made


def test_one_fret_alone_gives_no_picture(tmp_path):
    refused(tmp_path, "12, 325\n", "nothing to draw", "measure three frets or more")


def parsed(content, name="board.csv", **options):
    return parse(content.encode(), name, **options)


PICTURED = {
    "example": parse(EXAMPLE.read_bytes(), "old-mandolin-board.csv"),
    "36 frets": parsed(as_csv(distances(900, 36, noise=0.25))),
    "three frets": parsed("1, 36.5\n5, 163.1\n12, 325\n"),
    "gaps": parsed("3, 103.4\n5, 163.1\n7, 216.5\n9, 263.5\n12, 325.2\n15, 376.6\n"),
    "far out": parsed(as_csv(distances(650, 20, out=[(5, 25.0), (6, 14.0)]))),
    "exact": parsed(as_csv(distances()), reading_error="0.001"),
    "rough": parsed(as_csv(distances(noise=2.0)), reading_error="5"),
    "long name": parsed(as_csv(distances()), "W" * 60 + ".csv"),
}


@pytest.mark.parametrize("board", PICTURED)
def test_picture_for_a_screen_shows_every_fret_clear_of_its_words(board):
    shown, surveyed = survey_picture.on_own_sheet(PICTURED[board]), PICTURED[board].survey
    assert_clear(shown.drawing)
    assert {item.id for item in shown.drawing if item.id.startswith("fret-")} == {f"fret-{n}" for n in surveyed.frets}
    box = shown.drawing.bounds()
    assert min(box.left, box.top, shown.paper.width_mm - box.right, shown.paper.height_mm - box.bottom) >= 3.5
    assert survey_picture.as_svg(PICTURED[board]).count(b'id="fret-') == len(surveyed.frets)


@pytest.mark.parametrize("paper", [*sorted(PAPERS), "170x300"])
@pytest.mark.parametrize("board", PICTURED)
def test_words_of_the_picture_keep_clear_and_nothing_is_cut_off(board, paper):
    sheet = survey_picture.lay_out(PICTURED[board], paper_named(paper))
    assert_clear(sheet.drawing)
    box = sheet.drawing.bounds()
    assert min(box.left, box.top) >= 5
    assert box.right <= sheet.paper.width_mm - 5
    assert box.bottom <= sheet.paper.height_mm - 5
    circles = [bounds(item) for item in sheet.drawing if item.id.startswith("fret-")]
    for item in sheet.drawing:
        if isinstance(item, Text):
            assert not any(bounds(item).overlaps(circle) for circle in circles), item.text


def texts_of(board, paper="a4"):
    drawn = survey_picture.lay_out(PICTURED[board], PAPERS[paper], board).drawing
    return [item for item in drawn if isinstance(item, Text)]


@pytest.mark.parametrize(
    ("board", "title", "datum"),
    [
        ("example", "Scale 353.1 mm, 2 frets out of place", "frets 7 and 15"),
        ("exact", "Scale 650.0 mm, 7 frets out of place", "frets "),
        ("rough", " mm, no fret out of place", "± "),
        ("three frets", "Scale 650", "± "),
    ],
)
def test_verdict_on_the_board_is_read_from_afar(board, title, datum):
    shown = texts_of(board)
    (verdict,) = [item.text for item in shown if item.height_mm == LARGEST]
    assert title in verdict
    assert [item for item in shown if item.height_mm == LARGE and item.text.startswith(datum)]


@pytest.mark.parametrize("board", PICTURED)
def test_picture_goes_across_the_page_and_asks_nobody_to_measure_a_ruler(board):
    drawn = survey_picture.lay_out(PICTURED[board], PAPERS["a4"]).drawing
    assert not [item for item in drawn if item.id.startswith("ruler")]
    assert "Must measure" not in " ".join(item.text for item in texts_of(board))
    rights = [bounds(item).right for item in drawn if isinstance(item, Text) and item.text == "cents"]
    assert max(rights) > 210 - 10 - 30


def test_picture_names_the_boards_file_in_its_title_block():
    assert "old-mandolin" in [item.text for item in survey_texts("old-mandolin")]


def survey_texts(stem):
    drawn = survey_picture.lay_out(PICTURED["exact"], PAPERS["a4"], stem).drawing
    return [item for item in drawn if isinstance(item, Text)]


def scale_of(sheet):
    words = " ".join(item.text for item in sheet.drawing if isinstance(item, Text))
    size, _, one = words.partition("in mm, drawn ")[2].split()[0].partition(":")
    assert f"Scale {size}:{one} across" in words
    return float(size) / float(one)


@pytest.mark.parametrize("board", PICTURED)
def test_every_fret_is_drawn_as_far_off_as_it_is(board):
    """To the right where it is too near the bridge, at the scale that the sheet states."""
    found = PICTURED[board].survey
    sheet = survey_picture.lay_out(PICTURED[board], PAPERS["a4"])
    zero, scale = named(sheet.drawing, "rule").start[0], scale_of(sheet)
    rows = {}
    for fret, mm in zip(found.frets, found.best.residual_mm, strict=True):
        circle = named(sheet.drawing, f"fret-{fret}")
        assert circle.centre[0] - zero == pytest.approx(scale * mm, abs=UM)
        rows[int(fret)] = circle.centre[1]
    steps = {round((rows[b] - rows[a]) / (b - a), 6) for a in rows for b in rows if b > a}
    assert len(steps) <= 1
    assert min(steps, default=1) > 0
    error = named(sheet.drawing, "reading-error-high").start[0] - zero
    assert error == pytest.approx(scale * found.reading_error_mm, abs=UM)


@pytest.mark.parametrize("board", ["example", "far out", "gaps"])
def test_fret_is_drawn_beyond_the_dashed_line_where_it_is_named_and_only_there(board):
    found = PICTURED[board].survey
    sheet = survey_picture.lay_out(PICTURED[board], PAPERS["a4"]).drawing
    limits = {
        side: {round((y1 + y2) / 2, 6): x1 for x1, y1, x2, y2 in pieces([named(sheet, f"limit-{side}")]) if x1 == x2}
        for side in ("low", "high")
    }
    for fret, out in zip(found.frets, found.naming.out_of_place, strict=True):
        x, y = named(sheet, f"fret-{fret}").centre
        assert (x < limits["low"][round(y, 6)] or x > limits["high"][round(y, 6)]) == out
    remarks = [item for item in sheet if isinstance(item, Text) and item.text == "out of place"]
    assert len(remarks) == np.sum(found.naming.out_of_place)


def test_files_of_the_picture_hold_what_was_drawn():
    board = PICTURED["example"]
    drawn = survey_picture.lay_out(board, PAPERS["a4"]).drawing
    made = survey_picture.files(board, PAPERS["a4"], ["pdf", "svg"], "x")
    bar = pieces([named(drawn, "bar-7")])
    assert farthest_mm(bar, svg_pieces(made["x-survey.svg"])["bar-7"]) < UM
    lines = [piece for piece in pieces(drawn) if piece[:2] != piece[2:]]
    assert farthest_mm(lines, pdf_pieces_by_pdfium(made["x-survey.pdf"])) < 2 * UM
    assert made == survey_picture.files(board, PAPERS["a4"], ["pdf", "svg"], "x")


def test_too_small_paper_is_refused_with_papers_that_fit():
    with pytest.raises(InputFaults, match=r"too short for 36 rows; choose A4"):
        survey_picture.lay_out(PICTURED["36 frets"], Paper("own", 210, 200))
    with pytest.raises(InputFaults, match=r"too narrow; choose A4"):
        survey_picture.lay_out(PICTURED["example"], Paper("own", 130, 297))


def test_name_that_the_typeface_lacks_does_not_stop_the_picture(tmp_path):
    path = tmp_path / "琴.csv"
    path.write_text(as_csv(distances()))
    status, _, _ = run("survey", path, "--format", "pdf", "--out", tmp_path)
    assert status == 0
    assert (tmp_path / "琴-survey.pdf").is_file()
    nameless = parsed(as_csv(distances()), "琴.csv")
    for stem, shown in (("", "\N{REPLACEMENT CHARACTER}"), ("board-3", "board-3")):
        drawn = survey_picture.lay_out(nameless, PAPERS["a4"], stem).drawing
        assert {shown} == {item.text for item in drawn if isinstance(item, Text)} & {"琴", "\ufffd", "board-3"}
