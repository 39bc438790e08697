"""``jigs new`` says at once what looks like a slip, and comes back to the question that it is about."""

import pytest
from click.testing import CliRunner
from samples import run

from jigs.cli.main import main
from jigs.instrument.file import load


@pytest.fixture(autouse=True)
def _in_a_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def asked(*answers, more=30):
    """``jigs new`` with these answers and then as many empty ones: (exit status, standard output, standard error)."""
    result = CliRunner().invoke(main, ["new"], input="".join(f"{answer}\n" for answer in (*answers, *[""] * more)))
    return result.exit_code, result.stdout, result.stderr


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        (
            ("banjo", "", "", "", "6"),
            "That is 6.00 mm (15/64 in).\nLook again: 6 mm is high; 1.8 mm to 4.3 mm is usual on this scale; "
            "measure at fret 12, over the fret top.\n\n",
        ),
        (
            ("banjo", "", "", "", "", "2"),
            "That is 2.00 mm (5/64 in).\nLook again: 2 mm is high; 0.1 mm to 0.75 mm is usual; measure the gap over fret 1,",
        ),
        (
            ("banjo", "", "", "", "", "", ".010 .012 .016 .024 .010"),
            "\nRead as plain wire: D3 .024. A wound string has a w: .024w.\n\n",
        ),
        (
            ("banjo", "", "", "", "", "", "D4 .010, B3 .012, G2 .016, D3 .024w, G4 .010"),
            "\nLook again: string 3, gauge: 17 N is slack; ",
        ),
        (
            ("banjo", "", "", "", "", "", "G4 .010, D3 .024w, G3 .016, B3 .012, D4 .010"),
            "\nLook again: from string 2 on, each string is higher than the one before, and string 1 is the treble side; "
            "list the strings from treble to bass; a short fifth string comes last.\n",
        ),
        (("banjo", "", "scale 34 in"), "\nLook again: 863.6 mm is unusual for a banjo (13 in to 33 in are common); "),
        (
            ("mandolin", *[""] * 6, "yes", "-1.2, 0.12, -0.6, 1"),
            "\nLook again: a step of 0.12 mm is finer than a rule shows; write 0 for none, and others in millimetres.\n",
        ),
    ],
    ids=["action", "nut", "plain", "octave", "reversed", "scale", "step"],
)
def test_a_slip_is_said_at_its_question(answers, said):
    status, shown, _ = asked(*answers)
    assert said in shown, shown
    assert status in (0, 2)


def test_nothing_is_said_of_the_presets_own_values():
    assert "Look again" not in asked("banjo")[1]


@pytest.mark.parametrize(("name", "first"), [("banjo", "D4 .010, B3 .012"), ("mandolin", "E5 .011, A4 .015")])
def test_strings_are_asked_for_with_those_of_such_an_instrument(name, first):
    assert f"  Begin at the treble side: {first}, … or the gauges alone.\n" in asked(name)[1]


def test_an_action_without_any_bridge_place_is_asked_for_again_and_all_else_is_kept():
    status, shown, wrong = asked("mandolin", "left", "", "", "15", *[""] * 6, "Mine", "2")
    assert status == 0, wrong
    assert "[action] fret_12: 15 mm is high: no bridge place would make its strings agree; " in wrong
    assert "[yours: 15] 2\n" in shown
    assert (shown.count("Right-handed or"), shown.count("Which 4 pairs of strings")) == (1, 2)
    instrument = load("mine.toml")
    assert (instrument.action.fret_12, instrument.name, instrument.head.hand) == (2.0, "Mine", "left")


def test_a_file_that_cannot_be_drawn_yet_comes_with_the_next_step():
    status, shown, wrong = asked("banjo", "", "", "", "", "", ".010 .012 .016 .024 .010")
    said = shown + wrong
    assert status == 0
    assert "Next: correct mine.toml in an editor, see the notes. Then draw the fork with `jigs draw mine.toml`." in said
    assert run("draw", "mine.toml")[0] == 2


@pytest.mark.parametrize("preset", ["banjo", "mandolin"])
def test_an_action_that_is_far_too_high_is_blamed_on_nothing_else(preset):
    status, _, wrong = run("draw", preset, "--set", "action.fret_12=15")
    assert (status, wrong.count("\n"), "no bridge place would make its strings agree" in wrong) == (2, 1, True), wrong
    assert "--set action.fret_12: 15 mm is high" in wrong


@pytest.mark.parametrize("preset", ["banjo", "mandolin"])
def test_a_whole_scale_where_its_half_belongs_is_asked_about_and_not_blamed_on_the_strings(preset):
    status, _, wrong = run("draw", preset, "--set", "nut_to_fret_12=650")
    assert (status, wrong.count("\n")) == (2, 1), wrong
    assert "650 mm (25 19/32 in) looks like the whole scale; if it is, write " in wrong
