"""Two sets of strings on one instrument: the moves are right in size and sign, and so is what is said of them."""

import json

import numpy as np
import pytest
from plausible_world import true_setbacks, world
from samples import PRESETS, SMALL_FILE, preset

from jigs.faults import InputFaults, Place
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.workup.compare import compare, with_strings
from jigs.workup.compare_tables import as_dict, as_json, as_table, notes
from jigs.workup.work_up import work_up

AT = Place(option="strings")

HEAVIER_BANJO = "D4 .011, B3 .013, G3 .016, D3 .026w, G4 .011"
FOUND = '\n[found]\ntreble = 671.0\nbass = 672.5\nplus_minus = 0.5\nstrings = "{}"\n'
BANJO_SET = "D4 .010, B3 .012, G3 .014, D3 .022w, G4 .010"


def filed(text, name="x"):
    return work_up(parse(text.encode(), name))


def banjo(*, thick=False, more=""):
    """The preset's file, as it is or with the heavier set written into it."""
    text = preset_text("banjo")
    if thick:
        for old, new in ((".010", ".011"), (".012", ".013"), (".014", ".016"), (".022w", ".026w")):
            assert f'"{old}"' in text
            text = text.replace(f'"{old}"', f'"{new}"')
    return filed(text + more)


def with_other(old, text):
    return compare(old, *with_strings(old, text, AT))


def all_gauges(workup, share):
    """Every gauge of an instrument times a share, as text."""
    each = (f"{entry.gauge / 25.4 * share:.5f}{'w' if entry.is_wound else ''}" for entry in workup.instrument.strings)
    return ", ".join(f"{entry.note} {gauge}" for entry, gauge in zip(workup.instrument.strings, each, strict=True))


def test_bridge_moves_by_what_both_files_print():
    old, new = banjo(), banjo(thick=True)
    found = compare(old, new)
    np.testing.assert_allclose(found.moves_mm, np.subtract(new.outer_places_mm, old.outer_places_mm), atol=1e-9)
    assert abs(found.moves_mm[1]) > 0.1


@pytest.mark.parametrize("more", ["", FOUND.format(BANJO_SET), FOUND.format(HEAVIER_BANJO)])
def test_strings_as_text_are_the_same_as_a_file_with_them(more):
    """With a place that was found, also: the instrument's own correction is in both lines."""
    by_text = with_other(banjo(more=more), HEAVIER_BANJO)
    by_file = compare(banjo(more=more), banjo(thick=True, more=more))
    np.testing.assert_allclose(by_text.moves_mm, by_file.moves_mm, atol=1e-9)
    first, second = as_dict(by_text), as_dict(by_file)
    for one, other in zip(first["strings"], second["strings"], strict=True):
        assert one == pytest.approx(other)
    assert first["new"] == pytest.approx(second["new"])
    assert by_file.own_place_mm is None


def test_bridge_that_was_found_by_ear_moves_from_there():
    plain, found = with_other(banjo(), HEAVIER_BANJO), with_other(banjo(more=FOUND.format(BANJO_SET)), HEAVIER_BANJO)
    assert found.places_mm[0] == pytest.approx((671.0, 672.5))
    assert found.places_mm[1] == pytest.approx(np.add((671.0, 672.5), plain.moves_mm))
    np.testing.assert_allclose(found.moves_mm, plain.moves_mm, atol=1e-9)
    np.testing.assert_allclose(found.if_it_stays_cents, plain.if_it_stays_cents, atol=1e-9)
    assert "from the place found by ear." in as_table(found)
    assert "in tune with the old strings" in as_table(plain)


def test_second_file_that_claims_its_place_for_its_own_strings_is_named():
    first, second = banjo(more=FOUND.format(BANJO_SET)), banjo(thick=True, more=FOUND.split("strings", maxsplit=1)[0])
    found = compare(first, second)
    behind = np.subtract(second.outer_places_mm, found.places_mm[1])
    np.testing.assert_allclose(found.own_place_mm, behind, atol=1e-9)
    assert any("has a place of its own" in note for note in notes(found))


@pytest.mark.parametrize("name", PRESETS)
def test_end_that_would_read_sharp_goes_towards_the_tail_and_a_flat_one_towards_the_nut(name):
    old = preset(name)
    for share in (0.85, 1.1):
        found = with_other(old, all_gauges(old, share))
        for end, string in enumerate(found.new.outer_strings):
            move, cents = found.moves_mm[end], found.if_it_stays_cents[string] - found.after_cents[string]
            assert move == pytest.approx(cents / -found.new.cents_per_mm[string], rel=0.05, abs=0.01)
            assert move * cents > 0
            pulls = [each.instrument.stringing.tension_n[string] for each in (found.old, found.new)]
            assert pulls[1] / pulls[0] == pytest.approx(share**2, rel=0.02)


def test_softer_strings_go_towards_the_nut_and_read_flat_until_then():
    """Nylon sharpens less where it is fretted; it is as thick as it must be to pull."""
    nylon = ", ".join(f"{note} .025 nylon" for note in ("D4", "B3", "G3", "D3", "G4"))
    found = with_other(banjo(), nylon)
    assert found.moves_mm[0] < -1
    assert found.moves_mm[1] < 0
    assert max(found.if_it_stays_cents[list(found.new.outer_strings)]) < 0


def test_same_strings_leave_the_bridge_where_it_is():
    found = with_other(banjo(), BANJO_SET)
    assert found.moves_mm == pytest.approx((0, 0), abs=1e-12)
    assert found.pulls_n[0] == found.pulls_n[1]
    assert as_table(found).splitlines()[1] == "Leave the bridge where it is."
    assert found.same_make_mm[1] < found.other_make_mm[1]


def test_bridge_that_stays_reads_what_the_old_place_reads_on_the_new_file():
    old, new = banjo(), banjo(thick=True)
    expected = new.cents_with_bridge_at(*old.outer_places_mm)[1]
    np.testing.assert_allclose(compare(old, new).if_it_stays_cents, expected, atol=1e-9)
    on_line = new.cents_with_bridge_at(*new.outer_places_mm)[1]
    np.testing.assert_allclose(compare(old, new).after_cents, on_line, atol=1e-9)


class OfOneMake:
    """Random numbers of a set of strings: all as for other sets of its make, except the diameters of its wires."""

    def __init__(self, number):
        self.shared, self.own = np.random.default_rng(5), np.random.default_rng(50 + number)

    def normal(self, mean, spread, shape):
        return self.shared.normal(mean, spread, shape)

    def uniform(self, low, high, shape):
        return (self.own if low == -1 else self.shared).uniform(low, high, shape)


class MadeElsewhere(OfOneMake):
    """Its own cores and its own stiffness too."""

    def normal(self, mean, spread, shape):
        return (self.own if mean == 1 else self.shared).normal(mean, spread, shape)

    def uniform(self, low, high, shape):
        return (self.own if low in (-1, 0.40) else self.shared).uniform(low, high, shape)


@pytest.mark.parametrize("make", [OfOneMake, MadeElsewhere])
@pytest.mark.parametrize("name", ["banjo", "mandolin", "octave-mandolin"])
def test_true_move_lies_within_the_plus_minus_as_often_as_it_says(name, make):
    """By other code: instruments that fit the file, each with both sets of strings on it."""
    old = preset(name)
    found = with_other(old, all_gauges(old, 0.9))
    places = [
        true_setbacks(world(workup.instrument, make(n), 4000), "octave") - workup.instrument.steps_mm
        for n, workup in enumerate((found.old, found.new))
    ]
    moved = (places[1] - places[0])[:, list(found.new.outer_strings)]
    widths = found.same_make_mm if make is OfOneMake else found.other_make_mm
    within = np.mean(abs(moved - found.moves_mm) <= widths, axis=0)
    assert within == pytest.approx(0.95, abs=0.02), within


def test_same_make_is_surer_where_the_core_is_unknown():
    found = with_other(banjo(), HEAVIER_BANJO)
    assert 4 * found.same_make_mm[1] < found.other_make_mm[1]


def test_core_that_was_measured_says_nothing_of_another_make():
    """The wires may have any core then, and the move that is printed is for the one that was measured."""
    measured = filed(preset_text("banjo").replace('gauge = ".022w"', 'gauge = ".022w"\ncore = ".012"'))
    found, unmeasured = with_other(measured, HEAVIER_BANJO), with_other(banjo(), HEAVIER_BANJO)
    assert float(found.new.instrument.strings[3].core_mm) == pytest.approx(25.4 * 0.012 * 26 / 22)
    assert found.other_make_mm[1] > unmeasured.other_make_mm[1] / 2
    assert found.other_make_mm[1] > 4 * found.same_make_mm[1]
    usual = filed(preset_text("banjo").replace(".022w", ".026w"))
    from_usual = usual.line.at(found.new.outer_mm)[1] - found.old.line.at(found.new.outer_mm)[1]
    assert abs(from_usual - found.moves_mm[1]) < found.other_make_mm[1]


def test_pairs_count_twice_in_what_all_strings_pull():
    old = preset("mandolin")
    found = with_other(old, all_gauges(old, 0.9))
    for pull, each in zip(found.pulls_n, (found.old, found.new), strict=True):
        assert pull == pytest.approx(2 * each.instrument.stringing.tension_n.sum())
    assert "one string of a pair" in as_table(found)


@pytest.mark.parametrize(("share", "warned"), [(1.04, False), (1.06, True), (0.8, False)])
def test_strings_that_pull_much_harder_call_for_a_repairer(share, warned):
    old = banjo()
    found = with_other(old, all_gauges(old, share))
    assert found.pulls_much_harder is warned
    assert any("qualified repairer" in note for note in notes(found)) is warned


def test_programs_get_the_keys_of_the_contract():
    numbers = json.loads(as_json(with_other(banjo(), HEAVIER_BANJO)))
    assert {"treble_move_mm", "bass_move_mm", "strings"} <= numbers.keys()
    contract = {"string", "note", "if_it_stays_cents", "tension_old_n", "tension_new_n"}
    assert [one["string"] for one in numbers["strings"]] == [1, 2, 3, 4, 5]
    assert all(contract <= one.keys() for one in numbers["strings"])
    assert numbers["old"]["tension_n"] == pytest.approx(sum(one["tension_old_n"] for one in numbers["strings"]))
    assert numbers["new"]["bass_mm"] - numbers["old"]["bass_mm"] == pytest.approx(numbers["bass_move_mm"])


def test_table_shows_every_string_with_its_sign_and_both_gauges():
    found = with_other(banjo(), "D4 .0105, B3 .012, G3 .014, D3 .026w, G4 .010")
    rows = as_table(found).splitlines()
    first = next(row for row in rows if row.startswith("1 "))
    assert first.split()[1:5] == ["D4", ".010", "D4", ".0105"]
    assert first.endswith("%")
    assert any(row.startswith("all") for row in rows)
    signs = [cell for row in rows if row[:1].isdigit() for cell in row.split() if cell[0] in "+-−"]
    assert signs
    assert not [cell for cell in signs if cell.startswith("-")], "people read a true minus"


def test_strings_that_differ_only_in_their_wrap_are_written_out():
    found = with_other(banjo(), BANJO_SET.replace(".022w", ".022w phosphor bronze"))
    assert "D3 .022w nickel-plated steel" in as_table(found)
    assert "D3 .022w phosphor bronze" in as_table(found)


def test_files_of_different_scales_are_compared_with_a_note():
    other = filed(preset_text("banjo").replace('scale = "26 1/4 in"', "scale = 660.0"))
    assert other.scale_mm == 660.0
    found = compare(banjo(), other)
    assert found.moves_mm[0] == pytest.approx(-6.75, abs=0.2)
    said = [note for note in notes(found) if note.startswith("scale: ")]
    assert len(said) == 1
    assert "666.8 mm and 660.0 mm" in said[0]


def test_other_action_is_named_because_it_moves_the_bridge_too():
    other = filed(preset_text("banjo").replace("fret_12 = 3.0 ", "fret_12 = 3.5 "))
    found = compare(banjo(), other)
    assert any(note.startswith("[action]: ") for note in notes(found))
    assert not any(note.startswith("[bridge]: ") for note in notes(found))


def test_another_count_of_strings_is_refused_at_the_second_file():
    with pytest.raises(InputFaults) as refused:
        compare(banjo(), preset("mandolin"))
    (fault,) = refused.value.faults
    assert str(fault.place) == "preset mandolin: strings"
    assert fault.code == "compare-other-count"


@pytest.mark.parametrize("text", ["", "rope", ".010 .012", "D4 .099, B3 .012, G3 .014, D3 .022w, G4 .010"])
def test_strings_that_cannot_be_are_refused_at_the_option(text):
    with pytest.raises(InputFaults) as refused:
        with_strings(banjo(), text, AT)
    assert {fault.place.option for fault in refused.value.faults} == {"strings"}


def test_notes_of_the_new_strings_say_that_they_are_theirs():
    found = with_other(banjo(), BANJO_SET.replace("D4", "G#4"))
    (near_breaking,) = [note for note in notes(found) if "string 1" in note]
    assert near_breaking.startswith("with the new strings: string 1, gauge: ")
    (of_both,) = [note for note in notes(found) if "is not in the file" in note] or [""]
    assert not of_both.startswith("with")


def test_single_string_moves_the_bridge_as_a_whole():
    one = filed("[[strings]]\n".join(SMALL_FILE.split("[[strings]]\n")[:2]))
    found = with_other(one, "E5 .013")
    assert len(found.end_moves_mm) == 1
    assert "bass end" not in as_table(found)
