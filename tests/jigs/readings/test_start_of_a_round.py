"""What a round says of where it is counted from: only a round that goes on from another does."""

import json

import pytest
from samples import preset, run

from geometry.readings import USUAL_ERRORS
from jigs.readings.advice import advise
from jigs.readings.checked import Against, NoteReading
from jigs.readings.rounds import Start
from jigs.readings.words import advice_lines

SHARP = [word for n, cents in ((1, 4), (4, -5)) for word in ("--string", n, "--harmonic", 0, "--fretted", cents)]


def starts(*more):
    """The lines of kind start in the advice of the command line."""
    status, printed, noted = run("readings", "banjo", *SHARP, "--json", *more)
    assert status == 0, noted
    return [line["text"] for line in json.loads(printed)["lines"] if line["kind"] == "start"]


def test_round_that_goes_on_says_what_it_is_counted_from_and_how_to_correct_that(tmp_path):
    log = tmp_path / "log"
    assert starts("--at", "line", "--log", log) == []
    said = "Counted from where the last round left the bridge. If it is elsewhere now, give its place with --at."
    assert starts("--log", log) == [said]
    assert starts("--at", "669.5", "--log", log) == []


def test_round_after_one_of_unknown_place_claims_no_start(tmp_path):
    assert [starts("--log", tmp_path / "log") for _ in range(2)] == [[], []]


def test_advice_names_a_field_as_its_reader_knows_it():
    """Else the page would show an option of the command line."""
    read = tuple(NoteReading(n, 12, Against.HARMONIC, cents, "") for n, cents in ((0, 4.0), (3, -5.0)))
    workup = preset("banjo")
    for start in (None, Start(669.0, 670.0, round=2)):
        advice = advise(workup, read, start, USUAL_ERRORS, diagnose=False)
        own, other = (
            " ".join(line.text for line in lines)
            for lines in (advice_lines(advice), advice_lines(advice, lambda name: f"<{name.name}>"))
        )
        assert "--at" in own
        assert other == own.replace("--at", "<at>")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("lines", 'did you mean "line"?'),
        ("wedge", 'did you mean "wedges"?'),
        ("here", "write line for where the sheet put it, or the distance of its crown from the nut"),
    ],
)
def test_a_word_leads_to_the_place_that_was_meant(typed, said):
    status, _, wrong = run("readings", "banjo", "--at", typed, "--string", "1", "--harmonic", "0", "--fretted", "1")
    assert (status, wrong) == (2, f'--at: "{typed}" is not a place; {said}\n')
