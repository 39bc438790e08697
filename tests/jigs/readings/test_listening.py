"""Plucks that were heard: which string and note each one is, which two are compared, and what the readings say.

The ear itself is tested in tests/geometry. Here every pluck is one of a script, and the partials are made by hand.
"""

import json
import re
from dataclasses import replace

import numpy as np
import pytest
from samples import PRESETS, ROOT, preset

from geometry.hearing import Difference
from geometry.partials import Partials
from geometry.plucks import Pluck, Unheard
from geometry.readings import USUAL_ERRORS, Verdict
from jigs.faults import InputFaults
from jigs.input.sound import Sound
from jigs.readings import listening, listening_words, note_words
from jigs.readings.advice import advise
from jigs.readings.checked import Against
from jigs.readings.heard_json import heard_dict
from jigs.readings.heard_words import as_table
from jigs.readings.listening import (
    Heard,
    HeardDifference,
    What,
    compared,
    differences,
    hear,
    hear_pluck,
    readings_of,
    settled,
)
from jigs.readings.partials_json import as_numbers, from_numbers
from jigs.readings.words import advice_lines

RATE = 48_000
BETWEEN = RATE

D3, G3, D4, D5, G4, B4 = 146.832, 195.998, 293.665, 587.330, 391.995, 493.883
EAR_CENTS = 70.0


def partials(hz, error=0.1, stiffness=2e-5):
    number = np.arange(1, 9)
    return Partials(
        number=number,
        hz=number * hz * (1 + stiffness * number**2) / (1 + stiffness),
        standard_error_cents=np.full(8, error),
        level_db=-20.0 - 3.0 * number,
        decay_per_s=2.0 + number,
        glide_cents=2.0,
        glide_error_cents=0.05,
    )


@pytest.fixture
def played(monkeypatch):
    """A sound of these plucks, a second apart: hertz of each, or the code of why it cannot be used, with its hertz."""

    def play(*script):
        plucks = [(each, None) if isinstance(each, float) else each for each in script]

        def note_heard(_sound, _rate, pluck, candidates):
            hz, _ = plucks[pluck.start // BETWEEN]
            off = np.abs(1200 * np.log2(candidates / hz))
            if off.min() > EAR_CENTS:
                raise Unheard("wrong-string")
            return int(np.argmin(off))

        def partials_of(_sound, _rate, pluck, near_hz):
            hz, code = plucks[pluck.start // BETWEEN]
            assert abs(1200 * np.log2(near_hz / hz)) < EAR_CENTS
            if code is not None:
                raise Unheard(code)
            return partials(hz)

        starts = [n * BETWEEN + RATE // 4 for n in range(len(plucks))]
        found = tuple(Pluck(start, start + RATE // 2) for start in starts)
        monkeypatch.setattr(listening, "plucks_in", lambda *_: found)
        monkeypatch.setattr(listening, "note_heard", note_heard)
        monkeypatch.setattr(listening, "partials_of", partials_of)
        return Sound(np.zeros(len(plucks) * BETWEEN + RATE, dtype=np.float32), RATE)

    return play


def notes(heard):
    return [(None if one.string is None else one.string + 1, one.what, one.reason) for one in heard]


def listened(sound, instrument="banjo", string=None, *, harmonic=False, diagnose=False):
    return hear(sound, "a.wav", preset(instrument), string, harmonic, diagnose)


# ---- which note


def test_open_string_and_its_octave_are_recognised_by_pitch(played):
    heard = listened(played(D3, D4 * 1.002, D3 * 0.99))
    assert notes(heard) == [(4, What.OPEN, None), (4, What.OCTAVE, None), (4, What.OPEN, None)]
    assert [one.at_s for one in heard] == [0.25, 1.25, 2.25]


def test_note_of_two_strings_is_of_the_string_that_is_played_around_it(played):
    """A banjo's open string 1 is its string 4 at the octave, and open string 5 its string 3 at the octave."""
    heard = listened(played(D4, D5, D4, D5, D3, D4, D3, D4, G3, G4))
    assert [one.string + 1 for one in heard] == [1, 1, 1, 1, 4, 4, 4, 4, 3, 3]
    assert [one.what for one in heard[:2]] == [What.OPEN, What.OCTAVE]
    assert [one.what for one in heard[5:10:2]] == [What.OCTAVE] * 3


@pytest.mark.parametrize("script", [(D4,), (D4, D4, D4), (D3, D4, D5), (G3, D4, B4), ()])
def test_note_of_two_strings_is_not_used_where_it_is_not_plain_which(played, script):
    for one in listened(played(*script)):
        if one.meanings[1:]:
            assert (one.string, one.what, one.reason) == (None, None, "which-string")


def test_note_of_two_strings_is_known_by_the_other_sounds_too(played):
    alone = listened(played(D4))
    assert alone[0].reason == "which-string"
    together = settled((*alone, *listened(played(D5))))
    assert notes(together) == [(1, What.OPEN, None), (1, What.OCTAVE, None)]


def test_plucks_of_another_file_do_not_put_those_of_this_one_in_doubt(played):
    before = [replace(one, file="b.wav") for one in listened(played(D3, D3))]
    assert [one.string for one in settled((*before, *listened(played(D4, D5))))] == [3, 3, 0, 0]


def test_pluck_that_cannot_be_used_still_says_which_string_is_played(played):
    heard = listened(played((D3, "other-string"), D4))
    assert notes(heard) == [(4, What.OPEN, "other-string"), (4, What.OCTAVE, None)]
    doubtful = listened(played((D4, "two-pitches"), D5))
    assert notes(doubtful)[0] == (1, What.OPEN, "two-pitches")


def test_open_string_1_is_not_taken_for_string_4_pressed_where_its_own_octaves_were_lost(played):
    """A banjo's string 1 at the octave is short and weak. How far two strings are apart in tune moves no bridge."""
    lost = 100.0
    heard = listened(played(D4, lost, D4, lost, D3, D4, D3, D4))
    assert [one.string for one in heard] == [None, None, None, None, 3, 3, 3, 3]
    assert [one.reason for one in heard[:4]] == ["which-string", "wrong-string"] * 2
    assert [one.string for one in listened(played(D3, lost, D4, lost, D3))] == [3, None, 3, None, 3], "a knock between"


def test_octave_that_is_taken_for_the_open_string_is_not_used(played, monkeypatch):
    """It would be compared with itself, and the bridge would stay where it is."""
    even = replace(partials(D3), number=2 * np.arange(1, 9))
    sound = played(D3, D4)
    monkeypatch.setattr(listening, "partials_of", lambda *_: even)
    assert [one.reason for one in listened(sound, string=3)] == ["not-open", None]
    assert hear_pluck(sound, D3, What.OPEN).reason == "not-open"


def test_string_that_was_named_is_the_only_one_that_is_heard(played):
    heard = listened(played(D3, D4, D5, B4), string=3)
    assert notes(heard) == [
        (4, What.OPEN, None),
        (4, What.OCTAVE, None),
        (None, None, "wrong-string"),
        (None, None, "wrong-string"),
    ]


@pytest.mark.parametrize("name", PRESETS)
def test_each_string_of_a_preset_is_recognised_open_and_at_its_own_octave(played, name):
    workup = preset(name)
    for n, hz in enumerate(workup.instrument.stringing.pitch_hz.tolist()):
        heard = listened(played(hz, 2 * hz), name, n)
        assert notes(heard) == [(n + 1, What.OPEN, None), (n + 1, What.OCTAVE, None)]
        assert heard[1].fret == workup.octave_frets[n]


def test_harmonic_counts_only_in_a_sound_that_was_given_as_one(played):
    """It sounds like the pressed note: taken for it, the move would be reversed."""
    script = played(D3, D4)
    assert listened(script)[1].what is What.OCTAVE
    assert listened(script, harmonic=True)[1].what is What.HARMONIC
    alone = compared(listened(played(D4, D4), string=3), preset("banjo"))
    assert [one.reason for one in alone.heard] == ["no-reference"] * 2


def test_sound_of_harmonics_needs_no_open_string_to_say_which_string(played):
    assert notes(listened(played(D4), harmonic=True)) == [(4, What.HARMONIC, None)]


# ---- which two


def read(*heard, name="banjo"):
    return compared(heard, preset(name))


def at(seconds, string, what, hz, reason=None, error=0.1):
    return Heard("a.wav", seconds, string, what, 12, partials(hz, error), reason)


def test_pressed_note_is_compared_with_the_last_open_string_before_it_else_the_first_after():
    found = read(
        at(0, 3, What.OCTAVE, D4),
        at(1, 3, What.OPEN, D3),
        at(2, 0, What.OPEN, D4),
        at(3, 3, What.OPEN, D3),
        at(4, 3, What.OCTAVE, D4),
        at(5, 0, What.OCTAVE, D5),
        at(6, 3, What.OPEN, D3, "other-string"),
        at(7, 3, What.OCTAVE, D4),
    )
    assert [(one.pressed.at_s, one.reference.at_s) for one in found.differences] == [(0, 1), (4, 1), (5, 2), (7, 3)]
    assert [one.string for one in found.differences] == [3, 3, 0, 3]
    assert [one.used for one in found.heard] == [True] * 6 + [False, True]


def test_three_open_strings_and_then_three_pressed_notes_are_compared_in_their_order():
    rows = [at(n, 3, What.OPEN, D3) for n in range(3)] + [at(n, 3, What.OCTAVE, D4) for n in range(3, 6)]
    found = read(*rows)
    assert [(one.pressed.at_s, one.reference.at_s) for one in found.differences] == [(3, 0), (4, 1), (5, 2)]
    fewer = read(*rows[:4])
    assert [one.reason for one in fewer.heard] == ["spare", "spare", None, None]


def test_difference_is_the_pressed_note_over_the_octave_harmonic_by_either_reference():
    sharp = 2 ** (3.0 / 1200)
    for what, hz in ((What.OPEN, D3), (What.HARMONIC, 2 * D3)):
        plain = [replace(one, partials=partials(own, stiffness=0.0)) for one, own in
                 ((at(0, 3, what, hz), hz), (at(1, 3, What.OCTAVE, hz), 2 * D3 * sharp))]  # fmt: skip
        (one,) = differences(plain, preset("banjo"))
        assert one.difference.cents == pytest.approx(3.0, abs=0.01)
        (reading,) = readings_of([one], preset("banjo"))
        assert (reading.against, reading.fret, reading.string) == (Against.HARMONIC, 12, 3)
        assert reading.cents == pytest.approx(one.difference.cents)


def test_plucks_without_their_other_note_say_so_and_are_not_used():
    found = read(at(0, 3, What.OPEN, D3), at(1, 0, What.OCTAVE, D5))
    assert [one.reason for one in found.heard] == ["no-pressed", "no-reference"]
    assert found.differences == ()


def test_two_notes_with_too_few_partials_in_common_are_not_used():
    few = at(1, 3, What.OCTAVE, D4)
    few = replace(few, partials=replace(few.partials, **{
        name: getattr(few.partials, name)[:1] for name in ("number", "hz", "standard_error_cents", "level_db", "decay_per_s")
    }))  # fmt: skip
    found = read(at(0, 3, What.OPEN, D3), few)
    assert [one.reason for one in found.heard] == ["no-pressed", "too-few-pairs"]


def test_error_of_what_was_heard_is_split_into_its_own_and_the_shared_part():
    (one,) = read(at(0, 3, What.OPEN, D3, error=0.8), at(1, 3, What.OCTAVE, D4, error=0.8)).differences
    (reading,) = readings_of([one], preset("banjo"))
    whole = np.hypot(reading.heard_error_cents, reading.shared_error_cents)
    assert whole == pytest.approx(one.difference.standard_error_cents)
    assert 0 < reading.shared_error_cents < whole


# ---- what it says


def advised(*read, diagnose=False):
    """Advice on differences: (string's index, cents, own error, shared error)."""
    workup, found = preset("banjo"), []
    for n, (string, cents, own, shared) in enumerate(read):
        pairs = np.arange(1, 5)
        made = Difference(cents, float(np.hypot(own, shared)), shared, pairs, np.full(4, cents), np.full(4, own))
        found.append(
            HeardDifference(string, made, at(2 * n + 1, string, What.OCTAVE, D4), at(2 * n, string, What.OPEN, D3))
        )
    return advise(workup, readings_of(found, workup), None, USUAL_ERRORS, diagnose)


def test_bridge_moves_for_a_difference_that_was_heard_well_and_stays_for_one_that_was_not():
    well, badly = (advised(*[(3, -3.0, own, 0.3), (0, 0.0, own, 0.3)] * 3) for own in (0.1, 5.0))
    assert well.verdict is Verdict.MOVE or well.verdict is Verdict.CHECK_FIRST
    assert badly.verdict is Verdict.STOP
    assert badly.strings[0].plus_minus_cents > 3 * well.strings[0].plus_minus_cents


def test_repeats_do_not_make_a_string_surer_than_what_they_share():
    few, many = (advised(*[(3, 0.0, 0.1, 0.4), (0, 0.0, 0.1, 0.4)] * count) for count in (3, 300))
    assert 1.96 * 0.4 < many.strings[0].plus_minus_cents < few.strings[0].plus_minus_cents


def test_advice_says_that_its_errors_are_from_what_was_heard():
    (counted, *_) = advice_lines(advised((3, -3.0, 0.1, 0.3)))
    assert "± is 95%, with what was heard and a touch good to 0.7 cents" in counted.text


def test_more_plucks_are_asked_for_where_plucks_were_heard():
    (asked,) = [line.text for line in advice_lines(advised((3, -3.0, 0.1, 0.3))) if line.kind == "read-three"]
    assert asked.startswith("Pluck each note three times.")


def test_harmonic_or_another_string_among_the_readings_is_noted():
    """It reads 0 cents, or how far two strings are out of tune. The mean would then be of different things."""
    mixed = note_words.notes(advised((3, 0.2, 0.2, 0.2), (3, -6.0, 0.2, 0.2), (0, 1.0, 0.2, 0.2)))
    assert [note.code for note in mixed] == ["readings-far-apart"]
    assert "string 4 D3 at fret 12 are 6.2 cents apart" in str(mixed[0])
    assert note_words.notes(advised((3, -4.2, 0.2, 0.2), (3, -6.0, 0.2, 0.2), (0, 1.0, 0.2, 0.2))) == ()


def test_frets_against_the_open_string_go_into_the_diagnosis_with_their_larger_error(played):
    workup = preset("banjo")
    fifth = D3 * 2 ** (5 / 12)
    heard = listened(played(D3, fifth * 2 ** (4 / 1200), D4), string=3, diagnose=True)
    assert [(one.what, one.fret) for one in heard] == [(What.OPEN, None), (What.FRET, 5), (What.OCTAVE, 12)]
    found = compared(heard, workup)
    fret, octave = readings_of(found.differences, workup)
    assert (fret.against, fret.fret) == (Against.OPEN, 5)
    assert fret.cents == pytest.approx(4.0, abs=1.0)
    sure = [np.hypot(one.heard_error_cents, one.shared_error_cents) for one in (fret, octave)]
    assert sure[0] > sure[1]
    said = advise(workup, (fret, octave), None, USUAL_ERRORS, diagnose=True)
    assert said.diagnoses[0].frets == (5, 12)
    assert "against the open string" in as_table(found, workup)
    assert heard_dict(found)["differences"][0]["fret"] == 5


def test_frets_of_a_string_are_not_taken_for_other_strings(played):
    """String 4 of a banjo has the notes of strings 3, 2 and 1 at its frets 5, 9 and 12."""
    at_frets = [D3 * 2 ** (fret / 12) for fret in (3, 5, 9, 12)]
    heard = listened(played(D3, *at_frets), diagnose=True)
    assert [(one.string, one.fret) for one in heard] == [(3, None), (3, 3), (3, 5), (3, 9), (3, 12)]
    assert [one.what for one in heard] == [What.OPEN, What.FRET, What.FRET, What.FRET, What.OCTAVE]


@pytest.mark.parametrize("script", [(D3, G3, D4, D5), (G3 * 2 ** (2 / 12), D4)])
def test_frets_are_not_used_where_it_is_not_plain_whose_they_are(played, script):
    """Two strings in a sound, or no open string: the note of a wrong string would be diagnosed as a fault."""
    heard = listened(played(*script), diagnose=True)
    assert notes(settled((*listened(played(D3, D4)), *heard)))[2:] == [(None, None, "which-string")] * len(script)


def test_fret_is_compared_with_an_open_string_only():
    fret = replace(at(1, 3, What.FRET, D3 * 2 ** (5 / 12)), fret=5)
    assert read(at(0, 3, What.HARMONIC, D4), fret).heard[1].reason == "no-reference"


def test_note_at_another_fret_is_refused_without_a_diagnosis(played):
    (_, one) = listened(played(D3, D3 * 2 ** (5 / 12)), string=3)
    assert one.reason == "wrong-string"


# ---- in words and for programs


def test_every_reason_has_its_sentence_and_its_remedy():
    raised = {
        code for path in ROOT.glob("geometry/*.py") for code in re.findall(r'Unheard\("([^"]+)"', path.read_text())
    }
    assert {"too-short", "other-string"} <= raised, "they are no longer found"
    own = {
        listening.WHICH_STRING,
        listening.NO_REFERENCE,
        listening.NO_PRESSED,
        listening.NOT_OPEN,
        listening.NOT_PRESSED,
    }
    for code in raised | own:
        assert re.fullmatch(
            r"(it|its \w+|there|this|another string) (is|has|rings|wavers)\b[^:]*: [^:]+", listening_words.why_not(code)
        ), code


def test_each_pluck_is_listed_with_its_place_and_whether_it_counts():
    found = read(at(0.3, 3, What.OPEN, D3), at(1.5, 3, What.OCTAVE, D4), at(3, None, None, D4, "which-string"))
    rows = as_table(found, preset("banjo")).splitlines()
    assert re.fullmatch(r"a\.wav +0\.3 s +string 4 D3 +open +used", rows[0])
    assert re.fullmatch(r"a\.wav +1\.5 s +string 4 D3 +pressed at fret 12 +used", rows[1])
    assert rows[2].endswith(
        "not used: its string is uncertain: record each string in a file of its own, or give --string"
    )
    assert re.fullmatch(r"string 4 D3, pressed at fret 12: \d\.\d ± \d\.\d cents\b.* \(\d partials\)", rows[4])


def test_json_of_what_was_heard_has_its_stable_keys():
    found = json.loads(json.dumps(heard_dict(read(
        at(0.25, 3, What.OPEN, D3), at(1.5, 3, What.OCTAVE, D4), at(3, None, None, D4, "which-string")
    ))))  # fmt: skip
    assert found["heard"] == [
        {"file": "a.wav", "at_s": 0.25, "string": 4, "what": "open", "used": True, "reason": None},
        {"file": "a.wav", "at_s": 1.5, "string": 4, "what": "octave", "used": True, "reason": None},
        {"file": "a.wav", "at_s": 3, "string": None, "what": None, "used": False, "reason": "which-string"},
    ]
    (one,) = found["differences"]
    assert list(one) == ["string", "cents", "standard_error_cents", "pairs"]
    assert one["string"] == 4


def test_partials_come_back_from_the_page_as_they_went():
    sent = partials(D3)
    back = from_numbers(json.loads(json.dumps(as_numbers(sent))))
    for name in ("number", "hz", "standard_error_cents", "level_db", "decay_per_s", "glide_cents", "glide_error_cents"):
        np.testing.assert_array_equal(getattr(back, name), getattr(sent, name))


@pytest.mark.parametrize(
    "damage",
    [
        {"hz": [1.0]},
        {"hz": None},
        {"hz": [-1.0] * 8},
        {"hz": ["x"] * 8},
        {"hz": [True] * 8},
        {"hz": [float("nan")] * 8},
        {"hz": [1e300] * 8},
        {"hz": [10**400] * 8},
        {"number": [1] * 8},
        {"number": [0, *range(2, 9)]},
        {"number": list(range(8, 0, -1))},
        {"number": [1.5, *range(2, 9)]},
        {"number": [], "hz": []},
        {"standard_error_cents": [0.0] * 8},
        {"glide_cents": "3"},
        {"glide_cents": None},
    ],
    ids=str,
)
def test_partials_that_nobody_heard_are_refused(damage):
    with pytest.raises(InputFaults) as refusal:
        from_numbers(as_numbers(partials(D3)) | damage)
    assert [fault.code for fault in refusal.value.faults] == ["partials-unread"]


@pytest.mark.parametrize("data", [None, [], "x", 3, {}])
def test_something_else_than_partials_is_refused(data):
    with pytest.raises(InputFaults):
        from_numbers(data)


# ---- a pluck at a time


def test_page_waits_while_nothing_is_plucked_and_while_a_pluck_still_rings(played, monkeypatch):
    sound = played(D3)
    assert hear_pluck(sound, D3, What.OPEN).state == "heard"
    monkeypatch.setattr(listening, "plucks_in", lambda *_: (Pluck(RATE // 4, RATE // 2),))
    young = Sound(sound.samples[: RATE // 2], RATE)
    assert hear_pluck(young, D3, What.OPEN).state == "waiting"
    monkeypatch.setattr(listening, "plucks_in", lambda *_: ())
    assert hear_pluck(sound, D3, What.OPEN).state == "waiting"


def test_page_refuses_the_note_that_it_did_not_ask_for(played):
    assert hear_pluck(played(D4), D3, What.OPEN).reason == "not-open"
    assert hear_pluck(played(D3), D3, What.OCTAVE).reason == "not-pressed"
    assert hear_pluck(played(D4), D3, What.OCTAVE).state == "heard"
    assert hear_pluck(played((D3, "other-string")), D3, What.OPEN).reason == "other-string"
    assert hear_pluck(played(G3), D3, What.OPEN).reason == "wrong-string"


def test_page_takes_the_first_pluck_that_can_be_used(played):
    heard = hear_pluck(played((D3, "too-short"), D3, (D3, "clipped")), D3, What.OPEN)
    assert (heard.state, heard.reason, heard.at_s) == ("heard", None, 1.25)
