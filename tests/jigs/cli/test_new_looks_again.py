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
            "That is 2.00 mm (5/64 in).\nLook again: 2 mm is high; up to 0.8 mm is usual on this scale; measure the gap",
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
            "\nLook again: a step of 0.12 mm is finer than a rule shows; check that it is in millimetres; write 0",
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
    assert "650 mm (25 19/32 in) looks like the whole scale; remove it; if it is the whole scale, write " in wrong


@pytest.mark.parametrize(
    ("values", "key"),
    [(("finger=10", "press=2"), "press"), (("finger=0.5", "press=0.5"), "press")],
)
def test_a_finger_without_any_bridge_place_is_blamed_on_nothing_else(values, key):
    status, _, wrong = run("draw", "banjo", *(word for value in values for word in ("--set", f"action.{value}")))
    assert (status, wrong.count("\n")) == (2, 1), wrong
    assert wrong.startswith(
        f"--set action.{key}: no bridge place would suit a finger that presses there, and so deep; "
    )


@pytest.mark.parametrize("answer", ["13.75 in", "26 1/4 in"])
def test_the_presets_own_scale_is_not_taken_for_its_half(answer):
    preset = {"13.75 in": "banjo-ukulele", "26 1/4 in": "banjo"}[answer]
    assert "looks like the whole scale; if it is, write: scale " in asked(preset, "", answer)[2]


def test_a_scale_on_which_most_strings_break_is_doubted_at_once():
    assert (
        "Look again: most of the preset's strings would break on this scale." in asked("banjo", "", "scale = 1333.6")[1]
    )


@pytest.mark.parametrize(
    ("scale", "strings", "fifth"),
    [
        (667, (("G4", ".010", 5), ("D3", ".022w", 0), ("G3", ".014", 0), ("B3", ".012", 0), ("D4", ".010", 0)), True),
        (350, (("G4", ".024", 0), ("C4", ".032", 0), ("E4", ".028", 0), ("A4", ".022", 0)), False),
    ],
    ids=["five", "four"],
)
def test_strings_from_the_second_on_are_asked_for_from_the_treble_side(tmp_path, scale, strings, fifth):
    text = 'name = "Mine"\nkind = "banjo"\n' + f"scale = {scale}\n"
    material = "steel" if fifth else "nylon"
    for note, gauge, fret in strings:
        text += f'[[strings]]\nnote = "{note}"\ngauge = "{gauge}"\nstarts_at_fret = {fret}\nmaterial = "{material}"\n'
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    status, _, noted = run("numbers", "mine.toml")
    assert status == 0, noted
    assert "from string 2 on, each string is higher" in noted
    assert ("a short fifth string comes last" in noted) is fifth
    assert "string 1 is lower than the last" not in noted
