"""What people and programs read of a string whose bridge was in tune before: what changed, and where the bridge belongs."""

import json
from dataclasses import replace

import numpy as np
import pytest
from faulty import FRETS, sounded
from instruments import edited
from samples import preset, run
from simulator import truth

from geometry.causes import PRIOR, PRIOR_IF_WAS_RIGHT, Cause
from geometry.diagnosis import Suspect
from geometry.readings import USUAL_ERRORS
from jigs.instrument.opening import preset_text
from jigs.readings import diagnosis_words
from jigs.readings.checked import Against, NoteReading
from jigs.readings.diagnosis import Strength, diagnoses
from jigs.readings.diagnosis_words import cause_in_words, suspect_in_full, suspect_name

PLACES = {"banjo": (671.2, 668.4), "mandolin": (355.9, 357.8), "archtop-guitar": (641.0, 644.0)}
"""Found by ear, away from where the presets' lines are computed."""


def found(name, **keys):
    treble, bass = PLACES[name]
    return {"treble": treble, "bass": bass, **keys}


def readings_of(name, n, **fault):
    """Words of the command line for what a string reads at five frets, with a fault in an instrument that was right."""
    workup = preset(name)
    exact = truth(workup, np.array([n]), 1, np.random.default_rng(1), different=False)
    return [
        word
        for fret, cents in zip(FRETS, sounded(workup, n, exact, **fault)[0], strict=True)
        for word in ("--string", str(n + 1), "--open", "0", "--fret", str(fret), "--fretted", f"{cents:.2f}")
    ]


def file_of(folder, name, table):
    """An instrument file with a found place; without a table, the preset."""
    path = folder / f"{name}.toml"
    lines = [f"{key} = {json.dumps(value)}" for key, value in table.items()]
    path.write_text(preset_text(name) + ("\n[found]\n" + "\n".join(lines) + "\n" if table else ""), encoding="utf-8")
    return str(path)


def printed(file, *arguments):
    status, text, said = run("readings", file, "--diagnose", *arguments)
    assert status == 0, said
    return text


def advised(file, *arguments):
    return json.loads(printed(file, "--json", *arguments))


CHANGES = {"strings-other", "action-high", "action-low"}
MOVED_NEARER = readings_of("banjo", 3, bridge=-2.5)


@pytest.mark.parametrize(
    ("name", "n", "by", "code", "says"),
    [
        ("banjo", 3, -2.5, "bridge-near", "bridge moved towards the nut"),
        ("banjo", 0, 2.5, "bridge-far", "bridge moved away from the nut"),
        ("mandolin", 3, -1.6, "bridge-near", "bridge moved towards the nut"),
        ("mandolin", 0, 1.6, "bridge-far", "bridge moved away from the nut"),
    ],
)
def test_bridge_that_moved_is_sent_back_to_the_place_found_by_ear(tmp_path, name, n, by, code, says):
    """The place is the found one, and not the computed one, which is elsewhere."""
    file, readings = file_of(tmp_path, name, found(name)), readings_of(name, n, bridge=by)
    treble, bass = PLACES[name]
    back = f"move it back to the found place, {treble} mm / {bass} mm from the nut."
    line = next(line for line in printed(file, *readings).splitlines() if says in line)
    assert back in line
    assert line.endswith("If it stands there already, measure the action, and compare the strings with those filled in")
    advice = advised(file, *readings)
    assert advice["diagnosis"][0]["code"] == advice["causes"][0]["code"] == code
    assert advice["diagnosis"][0]["cause"] == says
    assert advice["verdict"] == "move"


def test_causes_for_programs_have_the_codes_of_changes_and_weights_that_add_up(tmp_path):
    causes = advised(file_of(tmp_path, "banjo", found("banjo")), *MOVED_NEARER)["causes"]
    assert {one["code"] for one in causes} > CHANGES
    assert sum(one["weight"] for one in causes) == pytest.approx(1)
    names = {one["code"]: one["name"] for one in causes}
    assert names["action-high"] == (
        "action higher than when the place was found: the head is tighter or the neck moved"
    )
    assert names["strings-other"] == "strings other than the file says"
    assert names["touch"] == "heavy touch"


@pytest.mark.parametrize("shape", [(), ("--json",)])
def test_computed_line_gets_the_diagnosis_of_a_bridge_that_nobody_set(tmp_path, shape):
    """A found place that is ignored leaves no trace in the causes, their weights and words."""
    kept = file_of(tmp_path, "banjo", found("banjo"))
    expected = printed("banjo", *shape, *MOVED_NEARER)
    assert printed(kept, "--computed", *shape, *MOVED_NEARER) == expected != printed(kept, *shape, *MOVED_NEARER)
    assert "bridge too near the nut" in expected
    assert "moved" not in expected


def test_bridge_that_nobody_set_is_weighed_for_no_changes():
    causes = {one["code"] for one in advised("banjo", *MOVED_NEARER)["causes"]}
    assert causes == {one.value for one in PRIOR} == {one.value for one in PRIOR_IF_WAS_RIGHT} - CHANGES


OTHERS = "D4 .012, B3 .014, G3 .018, D3 .028w, G4 .012"


@pytest.mark.parametrize("same_make", [None, False])
def test_place_found_with_strings_of_another_make_blames_no_bridge_for_having_moved(tmp_path, same_make):
    make = {} if same_make is None else {"same_make": same_make}
    text = printed(file_of(tmp_path, "banjo", found("banjo", strings=OTHERS, **make)), *MOVED_NEARER)
    assert "bridge too near the nut" in text
    assert "bridge moved" not in text


def test_place_found_with_other_strings_of_one_make_is_given_for_todays(tmp_path):
    keys = found("banjo", strings=OTHERS, same_make=True)
    workup = edited("banjo", found=keys)
    treble, bass = workup.outer_places_mm
    assert abs(treble - PLACES["banjo"][0]) + abs(bass - PLACES["banjo"][1]) > 0.3
    text = printed(file_of(tmp_path, "banjo", keys), *MOVED_NEARER)
    assert f"the found place, {treble:.1f} mm / {bass:.1f} mm from the nut" in text


def diagnosis_of(workup, cause, fret=0):
    """A real diagnosis, but a cause is named in it that readings of one string hardly ever name alone."""
    own = [NoteReading(0, int(fret), Against.OPEN, 0.0, str(fret)) for fret in FRETS]
    (one,) = diagnoses(workup, own, USUAL_ERRORS)
    named = Suspect(cause, fret, np.array(0.8))
    return replace(one, named=named, suspects=(named, *one.suspects))


@pytest.mark.parametrize(
    ("name", "higher", "lower", "first"),
    [
        ("banjo", "the head is tighter", "the head is slacker", "check the head's tension, then "),
        ("mandolin", "the top rose", "the top sank", ""),
        ("archtop-guitar", "the top rose", "the top sank", ""),
    ],
)
def test_action_that_changed_has_the_words_of_its_kind_of_instrument(name, higher, lower, first):
    """Head and neck, or top and neck, read alike, and are said in one breath."""
    workup = edited(name, found=found(name))
    for cause, way, why in ((Cause.ACTION_HIGH, "higher", higher), (Cause.ACTION_LOW, "lower", lower)):
        diagnosis = diagnosis_of(workup, cause)
        assert cause_in_words(diagnosis, workup) == (
            f"action {way} than when the place was found, likely: {why} or the neck moved; {first}measure the action,"
            " fill it in, set the bridge by ear and keep its place anew"
        )
        in_full = suspect_in_full(diagnosis.named, diagnosis, workup)
        assert in_full == f"action {way} than when the place was found: {why} or the neck moved"
        assert diagnosis.strength is Strength.LIKELY


def test_other_strings_are_compared_with_the_file_before_the_bridge_is_set_anew():
    workup = edited("banjo", found=found("banjo"))
    assert cause_in_words(diagnosis_of(workup, Cause.STRINGS_OTHER), workup) == (
        "strings other than the file says, likely; compare the strings with those filled in (`jigs compare`), correct those,"
        " then set the bridge anew"
    )


@pytest.mark.parametrize("cause", PRIOR_IF_WAS_RIGHT)
def test_every_cause_has_a_name_and_a_remedy_where_the_bridge_was_right(cause):
    workup = edited("mandolin", found=found("mandolin"))
    diagnosis = diagnosis_of(workup, cause, fret=7 if cause is Cause.FRET else 0)
    name, remedy = cause_in_words(diagnosis, workup).split("; ", 1)
    assert name.startswith(suspect_name(diagnosis.named, was_right=True))
    assert len(remedy) > 10


@pytest.mark.parametrize("cause", PRIOR_IF_WAS_RIGHT)
def test_only_a_moved_bridge_a_touch_or_nothing_lets_the_advice_move_the_bridge(cause):
    cured = {Cause.NEAR, Cause.FAR, Cause.TOUCH, Cause.NOTHING}
    assert diagnosis_of(edited("banjo", found=found("banjo")), cause).is_elsewhere is (cause not in cured)


def test_reworded_changes_change_nothing_for_programs(tmp_path, monkeypatch):
    def without_words(advice):
        for one in (*advice["causes"], *advice["diagnosis"], *advice["lines"]):
            for key in ("name", "cause", "text"):
                one.pop(key, None)
        return advice

    file = file_of(tmp_path, "banjo", found("banjo"))
    before = without_words(advised(file, *MOVED_NEARER))
    for key in diagnosis_words.CHANGES:
        monkeypatch.setitem(diagnosis_words.CHANGES, key, "reworded")
    assert "reworded" in printed(file, *MOVED_NEARER)
    assert without_words(advised(file, *MOVED_NEARER)) == before
