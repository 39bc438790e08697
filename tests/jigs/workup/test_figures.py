"""The figures of an instrument and of a comparison: programs find each under its key, and text and CSV say the same.

Without these, a script would lose a key, or a table would print another number than the JSON.
"""

import csv
import io
import math
import re
from functools import cache

import pytest
from json_keys import keys_in
from samples import preset

from geometry.tolerance import Source
from jigs.faults import InputFaults, Place
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_names, preset_text
from jigs.wording import signed
from jigs.workup import compare_tables
from jigs.workup.compare import compare, with_strings
from jigs.workup.sureness import by_sheet_mm, how_sure, least_sure_end
from jigs.workup.tables import as_csv, as_dict, as_table
from jigs.workup.words import about_the_line, aim_in_words, headline_figures, nut_cuts_in_words, own_correction
from jigs.workup.work_up import work_up

FOUND = (
    '\n[found]\ntreble = 671.0\nbass = 672.5\nplus_minus = 0.5\ndate = 2026-11-25\n'
    'strings = "D4 .010, B3 .012, G3 .014, D3 .022w, G4 .010"\n'
)  # fmt: skip
STANDS_AT = (670.0, 671.0)
CONTRIBUTIONS = "name mm"
KEYS = {
    "": "name scale_mm frets strings bridge found as_it_stands",
    "frets": "fret from_nut_mm from_previous_mm to_bridge_mm",
    "strings": "string note pair starts_at_fret pitch_hz unit_mass_g_per_m tension_n strength_ratio stretch stiffness"
    " octave_harmonic_cents setback_mm step_mm bears_at_mm nut_setback_mm cents rms_cents cents_per_mm plus_minus_mm"
    " plus_minus_cents contributions",
    "strings.contributions": CONTRIBUTIONS,
    "bridge": "theoretical_mm treble_mm bass_mm centre_mm slant_deg left_cents left_rms_cents treble_string bass_string"
    " plus_minus_datum_fret plus_minus_mm plus_minus_cents contributions treble_plus_minus_mm treble_plus_minus_cents"
    " bass_plus_minus_mm bass_plus_minus_cents",
    "bridge.contributions": CONTRIBUTIONS,
    "found": "treble_mm bass_mm plus_minus_mm computed_treble_mm computed_bass_mm correction_treble_mm"
    " correction_bass_mm moved_treble_mm moved_bass_mm date strings same_strings same_make",
    "as_it_stands": "treble_mm bass_mm octave_cents cents",
}
COMPARED = {
    "": "treble_move_mm bass_move_mm treble_plus_minus_mm bass_plus_minus_mm treble_plus_minus_other_make_mm"
    " bass_plus_minus_other_make_mm treble_string bass_string old new found_by_ear strings",
    "old": "name scale_mm treble_mm bass_mm strings tension_n",
    "new": "name scale_mm treble_mm bass_mm strings tension_n",
    "strings": "string note old_note pair gauge_old_mm gauge_new_mm if_it_stays_cents after_the_move_cents"
    " tension_old_n tension_new_n",
}


@cache
def banjo():
    return work_up(parse((preset_text("banjo") + FOUND).encode(), "mine.toml"))


@cache
def compared():
    return compare(banjo(), *with_strings(banjo(), "D4 .011, B3 .013, G3 .016, D3 .026w, G4 .011", Place()))


def figures(line):
    """The numbers of a row of a table."""
    return [float(one.replace("−", "-")) for one in re.findall(r"[+−]?\d+(?:\.\d+)?", line)]


def rows_under(table, head):
    """The rows under a heading, down to the next empty line."""
    lines = table.splitlines()
    first = next(n for n, line in enumerate(lines) if re.match(head, line))
    return lines[first + 1 : lines.index("", first) if "" in lines[first:] else None]


@pytest.mark.parametrize("name", preset_names())
def test_strings_obey_mersennes_law_in_the_units_that_their_keys_name(name):
    """T = μ (2 L f)², from memory, for strings that end at the bridge; stiffness is the few per cent left."""
    found = as_dict(preset(name))
    for one in found["strings"]:
        if not one["starts_at_fret"]:
            length_m = (found["scale_mm"] + one["setback_mm"]) / 1000
            tension_n = one["unit_mass_g_per_m"] / 1000 * (2 * length_m * one["pitch_hz"]) ** 2
            assert one["tension_n"] == pytest.approx(tension_n, rel=0.06)


def test_the_end_that_is_less_sure_is_the_one_with_the_larger_doubt_and_shows_all_of_it():
    workup = preset("mandolin")
    sure = how_sure(workup)
    widths = {end: sure.of_line(x).half_width_mm for end, x in zip(("treble", "bass"), workup.outer_mm, strict=True)}
    found = least_sure_end(workup)
    assert found.end == max(widths, key=widths.get)
    assert found.half_width_mm == pytest.approx(max(widths.values()))
    assert math.hypot(*(mm for _, mm, _ in found.parts)) == pytest.approx(found.half_width_mm)
    assert [mm for _, mm, _ in found.parts] == sorted((mm for _, mm, _ in found.parts), reverse=True)
    assert least_sure_end(workup, print_share=0.05).half_width_mm > found.half_width_mm
    assert least_sure_end(workup, datum_fret=19).half_width_mm < found.half_width_mm


def test_a_mark_on_a_sheet_is_as_sure_as_its_print_its_laying_and_its_datum():
    text = preset_text("banjo") + "\n[tolerance]\ndatum = 0.3\nlaying = 0.4\nprint_percent = 0.5\n"
    workup = work_up(parse(text.encode(), "mine.toml"))
    from_fret_mm = 333.4 + max(workup.setbacks.setback_mm)
    by_hand = 1.96 * math.hypot(0.3, 0.4, 0.005 * from_fret_mm)  # of standard deviations, as the file gives them
    assert by_sheet_mm(workup) == pytest.approx(by_hand, rel=0.02)
    assert by_sheet_mm(workup, print_share=0.0) < by_sheet_mm(workup) < by_sheet_mm(workup, print_share=0.01)


def test_headline_says_to_which_side_the_bridge_slants_and_how_its_place_was_found():
    figures = {one.name: one for one in headline_figures(banjo())}
    assert (figures["slant"].figure, figures["slant"].rest) == ("2.7°", "bass end farther from the nut")
    assert figures["place"].rest.startswith("on 25 November 2026 with ")
    assert not any("nut side of its" in one.rest for one in figures.values())
    with_feet = [one.rest for one in headline_figures(banjo(), feet=True)]
    assert sum("; nut side of its feet" in rest for rest in with_feet) == 2


@pytest.mark.parametrize("zero_fret", ["true", "false"])
def test_line_that_counts_from_a_zero_fret_says_so(zero_fret):
    text = re.sub(r"(?m)^\[nut\]$", f"[nut]\nzero_fret = {zero_fret}", preset_text("mandolin"))
    text = re.sub(r"(?m)^nut +=.*$", "", text) if zero_fret == "true" else text
    said = about_the_line(work_up(parse(text.encode(), "mine.toml")))
    assert said[-1].endswith("Places count from the zero fret.") == (zero_fret == "true")


def test_notes_of_a_comparison_are_whole_and_say_which_are_of_the_new_strings():
    slack, new = (preset_text("banjo").replace('"D4"', f'"{note}"') for note in ("D3", "D4"))
    found = compare(*(work_up(parse(text.encode(), "mine.toml")) for text in (slack, new)))
    said = list(compare_tables.notes(found))
    assert any("is slack" in one for one in said)
    assert not any("None" in one for one in said)


def test_programs_find_every_figure_under_its_key():
    assert keys_in(as_dict(banjo(), STANDS_AT)) == KEYS
    assert keys_in(compare_tables.as_dict(compared())) == COMPARED


def test_spreadsheet_has_every_figure_of_the_json_once():
    numbers = as_dict(banjo(), STANDS_AT)
    head, *rows = csv.reader(io.StringIO(as_csv(banjo(), STANDS_AT)))
    assert head == ["part", "number", "quantity", "value"]
    found = {(part, number, quantity): value for part, number, quantity, value in rows}
    assert len(found) == len(rows)
    for n, fret in enumerate(numbers["frets"], 1):
        assert float(found["fret", str(n), "from_nut_mm"]) == fret["from_nut_mm"]
    for n, string in enumerate(numbers["strings"], 1):
        assert found["string", str(n), "note"] == string["note"]
        for source in string["contributions"]:
            assert float(found["string", str(n), f"plus_minus_mm from {source['name']}"]) == source["mm"]
        for fret, cents in enumerate(string["cents"], 1):
            assert float(found["string", str(n), f"cents at own fret {fret}"]) == cents
    assert [float(found["bridge string", str(n), "left_cents"]) for n in range(1, 6)] == numbers["bridge"]["left_cents"]
    for fret, cents in enumerate(numbers["as_it_stands"]["cents"][4], 1):
        assert float(found["as_it_stands string", "5", f"cents at own fret {fret}"]) == cents
    assert found["found", "", "same_make"] == ""
    assert found["instrument", "", "name"] == numbers["name"]
    assert float(found["instrument", "", "scale_mm"]) == numbers["scale_mm"]
    assert found["found", "", "date"] == "2026-11-25"
    assert not [key for key in found if key[2] in ("fret", "string")]


def test_table_prints_the_figures_of_the_json():
    workup, stands_at = preset("mandolin"), (352.0, 353.0)
    numbers, table = as_dict(workup, stands_at), as_table(workup, stands_at)
    strings = rows_under(table, "string +note")
    for n, (line, one) in enumerate(zip(strings, numbers["strings"], strict=True)):
        printed = figures(line.replace(one["note"], ""))
        left, rms_left = numbers["bridge"]["left_cents"][n], numbers["bridge"]["left_rms_cents"][n]
        of_strings = [n + 1, one["tension_n"], 100 * one["strength_ratio"], one["setback_mm"], one["step_mm"]]
        more = [one["bears_at_mm"], one["nut_setback_mm"], one["rms_cents"], left, rms_left, one["cents_per_mm"]]
        for shown, number, within in zip(
            printed, of_strings + more, (0, 0.05, 0.5, 0.005, 0.005, 0.05, 0.005, 0.05, 0.05, 0.05, 0.005), strict=True
        ):
            assert shown == pytest.approx(number, abs=within + 1e-9)
        assert " pair " in line
    frets = rows_under(table, "fret ")
    for line, one in zip(frets, numbers["frets"], strict=True):
        mm = [one["from_nut_mm"], one["from_previous_mm"], one["to_bridge_mm"]]
        assert figures(line)[:4] == pytest.approx([one["fret"], *mm], abs=0.00501)
    stands = table.splitlines()[-4:]
    own = [n - 1 for n in (1, 3, 5, 7, 10, 12, 15)]
    for n, line in enumerate(stands):
        row = numbers["as_it_stands"]
        expected = [n + 1, row["octave_cents"][n], *(row["cents"][n][fret] for fret in own)]
        assert figures(line) == pytest.approx(expected, abs=0.0501)


def test_short_string_has_a_dash_beyond_its_last_fret_and_says_where_it_starts():
    table = as_table(preset("banjo"), (667.0, 668.0))
    assert re.search(r"\n +5 +G4 from 5 ", table)
    assert "–" not in table.splitlines()[-1]
    starts_late = work_up(
        parse(preset_text("banjo").replace("starts_at_fret = 5", "starts_at_fret = 10").encode(), "x")
    )
    assert as_table(starts_late, (667.0, 668.0)).splitlines()[-1].split()[-2:][1] == "–"


def test_comparison_prints_the_figures_of_its_json():
    numbers, table = compare_tables.as_dict(compared()), compare_tables.as_table(compared())
    *strings, total = rows_under(table, "string +old")
    for line, one in zip(strings, numbers["strings"], strict=True):
        pulls = [one["tension_old_n"], one["tension_new_n"]]
        change = 100 * (pulls[1] / pulls[0] - 1)
        printed = figures(re.sub(r"[A-G]\d \.\d+w?", "", line))
        expected = [one["string"], one["if_it_stays_cents"], one["after_the_move_cents"], *pulls]
        assert printed[:-1] == pytest.approx(expected, abs=0.0501)
        assert printed[-1] == pytest.approx(change, abs=0.51)
    pulls = [numbers[name]["tension_n"] for name in ("old", "new")]
    assert figures(total)[:2] == pytest.approx(pulls, abs=0.0501)
    assert pulls == [
        pytest.approx(sum(one[f"tension_{name}_n"] for one in numbers["strings"])) for name in ("old", "new")
    ]
    (harder,) = [one for one in compare_tables.notes_of_sheet(compared()) if one.code == "compare-pulls-much-harder"]
    assert figures(str(harder)) == pytest.approx([100 * (pulls[1] / pulls[0] - 1), *pulls[::-1]], abs=0.51)


def test_words_of_a_found_place_have_its_figures_and_its_strings():
    treble, bass = banjo().found.correction_mm
    said = own_correction(banjo())
    assert f"{signed(treble, 1)} mm at string 1 D4" in said
    assert f"{signed(bass, 1)} mm at string 4 D3" in said


def test_aim_of_a_compensated_nut_names_its_cuts():
    text = preset_text("banjo").replace('tune_to    = "octave"', 'tune_to    = "nut and saddle"')
    workup = work_up(parse(text.encode(), "mine.toml"))
    assert nut_cuts_in_words(workup)
    assert aim_in_words(workup).endswith(nut_cuts_in_words(workup))
    assert not aim_in_words(preset("banjo")).endswith(" ")


def test_own_place_of_the_second_file_is_noted_at_its_table():
    plain = work_up(parse(preset_text("banjo").encode(), "x"))
    both = compare(plain, work_up(parse((preset_text("banjo") + FOUND).encode(), "y")))
    assert {(one.place.table, one.code) for one in compare_tables._notes_of_both(both)} >= {
        ("found", "compare-own-place")
    }


def test_half_of_a_correction_is_noted_at_the_string_that_it_is_of():
    (note,) = [one for one in banjo().notes if one.code == "correction-unexplained"]
    mm = banjo().found.correction_mm[1]
    assert f"lies {mm:.1f} mm nearer the tail than computed at string 4 D3, " in str(note)


def test_sheet_against_a_fret_counts_the_scale_by_its_part_beyond_that_fret():
    workup = preset("banjo")

    def of_scale(**how):
        return dict(how_sure(workup, **how).of_line(0.0).contributions)[Source.SCALE]

    assert of_scale(print_share=0.0) / of_scale(tape=True) == pytest.approx(0.5, abs=0.02)


@pytest.mark.parametrize(("wound", "key"), [(".070", "gauge")])
def test_string_without_a_place_is_refused_at_itself(wound, key):
    text = (
        preset_text("mandolin").replace('gauge = ".040w"', f'gauge = "{wound}"').replace('"phosphor bronze"', '"x"', 0)
    )
    lines = text.split("[[strings]]")
    lines[-1] = "\n".join(line for line in lines[-1].splitlines() if not line.startswith("wrap")) + "\n"
    with pytest.raises(InputFaults) as wrong:
        work_up(parse("[[strings]]".join(lines).encode(), "x"))
    assert [(one.place.table, one.place.key, one.place.string) for one in wrong.value.faults] == [("strings", key, 4)]
