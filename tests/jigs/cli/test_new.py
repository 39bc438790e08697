"""``jigs new``: a file from answers to questions, in a terminal and through a pipe, or nothing."""

import os
import pty
import re
import select
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from samples import PRESETS, ROOT, run
from trouble import heard

from jigs.cli import new as command
from jigs.cli.main import main
from jigs.instrument.asking import titles
from jigs.instrument.file import load
from jigs.instrument.opening import preset_text

MANDOLIN = [
    *("mandolin", "left", "177", "20", "1/16 in", "0.45"),
    *("E5 .0115, A4 .016, D4 .026w, G3 .041w", "no", "10.5", "4 1/4 in", "Kitchen mandolin"),
]
BANJO_TO_STRINGS = ["5", "", "", "", "", ""]
"""Enter for all before the strings of a banjo."""


@pytest.fixture(autouse=True)
def _in_a_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def asked(*answers, file="mine.toml", more=30):
    """``jigs new`` with these answers and then as many empty ones: (exit status, standard output, standard error)."""
    text = "".join(f"{answer}\n" for answer in (*answers, *[""] * more))
    result = CliRunner().invoke(main, ["new", str(file)], input=text)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


@pytest.mark.parametrize("name", PRESETS)
def test_nothing_but_enter_writes_the_preset_byte_for_byte(tmp_path, name):
    status, shown, _ = asked(titles()[name])
    assert status == 0
    assert (tmp_path / "mine.toml").read_text(encoding="utf-8") == preset_text(name)
    still = shown.partition("Still the preset's, not yours: ")[2].splitlines()[0]
    assert "scale" in still
    assert "strings" in still
    assert load(tmp_path / "mine.toml").name == titles()[name]


def test_answers_are_in_their_places_and_the_comments_are_kept(tmp_path):
    status, shown, wrong = asked(*MANDOLIN, more=0)
    assert (status, wrong) == (0, "")
    text = (tmp_path / "mine.toml").read_text(encoding="utf-8")
    one = load(tmp_path / "mine.toml")
    assert (one.name, one.head.hand, one.head.nut_to_fret_12, one.head.scale) == (
        "Kitchen mandolin", "left", 177, None,
    )  # fmt: skip
    assert (one.head.frets, one.action.fret_12, one.action.nut) == (20, pytest.approx(1.5875), 0.45)
    assert [entry.gauge for entry in one.strings] == pytest.approx([0.2921, 0.4064, 0.6604, 1.0414])
    assert [entry.is_wound for entry in one.strings] == [False, False, True, True]
    assert all(entry.pair for entry in one.strings)
    assert one.bridge.steps == (0, 0, 0, 0)
    assert (one.bridge.thickness, one.bridge.length) == (10.5, pytest.approx(107.95))
    kept = [line.partition("#")[2] for line in preset_text("mandolin").splitlines() if "#" in line]
    lost = [comment for comment in kept if comment not in text]
    assert [comment.split(":")[0] for comment in lost] == [" or, as measured"], "the scale was replaced"
    assert "# Your own values, from `jigs new`: hand, scale, " in text
    assert "Still the preset's" not in shown


def test_summary_is_what_draw_prints_and_how_sure_it_is():
    shown = asked(*MANDOLIN)[1]
    headline = [line for line in run("draw", "mine.toml", "--out", "drawn")[1].splitlines() if "wrote" not in line]
    assert len(headline) == 3
    for line in headline:
        assert line in shown
    assert re.search(r"^how sure: ± [\d.]+ mm", shown, re.MULTILINE)
    assert shown.rstrip().splitlines()[-1].startswith("Next: draw the fork with `jigs draw mine.toml`.")


@pytest.mark.parametrize(
    ("answers", "meaning"),
    [
        (["banjo", "", "333.4"], "Scale: 666.8 mm (26 1/4 in)."),
        (["banjo", "", "13 1/8"], "Scale: 666.8 mm (26 1/4 in)."),
        (["banjo", "", "scale 26"], "Scale: 660.4 mm (26 in)."),
        (["banjo", "", "scale = 26 in"], "Scale: 660.4 mm (26 in)."),
        (["banjo", "", 'scale = "26 in"'], "Scale: 660.4 mm (26 in)."),
        (["mountain dulcimer", "", "350"], "Scale: 700.0 mm (27 9/16 in)."),
        (["banjo", "", "", "", "1/8 in"], "That is 3.18 mm (1/8 in)."),
        (["banjo", "", "", "", "2,9"], "That is 2.90 mm (0.114 in)."),
        ([*BANJO_TO_STRINGS, ".010 .012 .014 .022w .010"], "Tension: D4 .010 61 N, B3 .012 62 N, "),
        (["mandolin", *[""] * 6], "Tension of each string of a pair: E5 .011 "),
        (["13"], "The file starts from `jigs presets tenor-banjo`, the tenor banjo."),
        (["  MANDOLA "], "The file starts from `jigs presets mandola`, the mandola."),
    ],
)
def test_answer_says_what_it_means(answers, meaning):
    status, shown, wrong = asked(*answers)
    assert (status, wrong) == (0, "")
    assert f"\n{meaning}" in shown


@pytest.mark.parametrize(
    ("before", "answer", "refusal"),
    [
        ([], "99", '"99" is not in the list; choose 1 to 13'),
        ([], "0", '"0" is not in the list; choose 1 to 13'),
        ([], "mandloin", 'did you mean "mandolin"?'),
        ([], "lute", "is not in the list; "),
        (["5"], "up", "choose right or left"),
        (["5", ""], "far", '"far" is not a length; '),
        (["5", ""], "26 1/4 in", "looks like the whole scale; if it is, write: scale 26 1/4 in; if not"),
        (["5", ""], "scale 12 in", "looks like the distance from nut to fret 12; "),
        (
            ["5", ""],
            "scale 13 1/8 in",
            "looks like the distance from nut to fret 12; if it is, write: 13 1/8 in; if it",
        ),
        (["9", ""], "scale: 7 in", "is the whole scale, write: scale = 7 in"),
        (["9", ""], "13 7/8", "looks like the whole scale; "),
        (["5", ""], "scale", "the scale length is missing; "),
        (["5", "", ""], "many", '"many" is not a whole number; '),
        (["5", "", ""], "8", "the octave"),
        (["5", "", ""], "3", "3 is too small; the least is 7"),
        (["5", "", "", ""], "high", '"high" is not a length; '),
        (["5", "", "", ""], "0.3 mm", "is lower than the nut allows"),
        (["5", "", "", "", ""], "4", "[action] fret_12: "),
        (BANJO_TO_STRINGS, "D4 .010, B3 .012", "this set has 2 strings, and the instrument has 5 strings; "),
        (BANJO_TO_STRINGS, "D4 .010, H3 .012, G3 .014, D3 .022w, G4 .010", 'string 2, "H3 .012", cannot be read; '),
        (BANJO_TO_STRINGS, "D5 .010, B3 .012, G3 .014, D3 .022w, G4 .010", "would break"),
        (BANJO_TO_STRINGS, "D4 .010, B3 .012, G3 .014, D3 .120w, G4 .010", "would pull"),
        ([*BANJO_TO_STRINGS, ""], "perhaps", '"perhaps" is neither yes nor no; write yes or no'),
        ([*BANJO_TO_STRINGS, "", "yes"], "1, 2", "2 steps are listed, but the instrument has 5 strings; "),
        ([*BANJO_TO_STRINGS, "", "yes"], "0, 0, 99, 0, 0", "is not a step; "),
        ([*BANJO_TO_STRINGS, "", ""], "2 m", "; "),
        ([*BANJO_TO_STRINGS, "", "", ""], "40 mm", "[bridge] spacing: "),
        ([*BANJO_TO_STRINGS, "", "", "", ""], "x" * 61, "the name has 61 characters; shorten it to 60 or fewer"),
        ([*BANJO_TO_STRINGS, "", "", "", ""], "a\x07b", "has a character that cannot be printed; "),
    ],
)
def test_wrong_answer_is_refused_in_a_sentence_and_asked_again(tmp_path, before, answer, refusal):
    status, shown, wrong = asked(*before, answer)
    assert status == 0
    assert refusal in wrong
    assert "; " in wrong
    assert "Traceback" not in wrong
    titles_shown = [line for line in shown.splitlines() if line.endswith("?") or line == "Steps of the saddle"]
    (again,) = {title for title in titles_shown if titles_shown.count(title) == 2}
    assert titles_shown.index(again) == len(before)
    assert (tmp_path / "mine.toml").exists()


def test_every_question_says_how_to_measure_and_that_its_value_is_the_presets():
    shown = asked("mandolin")[1]
    blocks = [block.splitlines() for block in shown.split("\n\n") if "[preset: " in block]
    assert len(blocks) == 12
    for title, *how, default in (block[: next(n for n, x in enumerate(block) if "[" in x) + 1] for block in blocks):
        assert title.endswith("?") or title == "Steps of the saddle"
        assert how
        assert all(line.startswith("  ") for line in how)
        assert default.startswith("[preset: ")
    assert "not yours" in shown.splitlines()[0]
    asking = shown.partition("\nbridge line")[0].splitlines()
    assert max(len(line) for line in asking if "[" not in line and not line.startswith("Tension")) <= 79


def test_preset_strings_that_would_break_are_only_refused_when_strings_are_asked_for(tmp_path):
    """A long scale wants a lower tuning, and the strings come later."""
    status, _, wrong = asked("mandolin", "", "scale 450", "", "", "", "", "D5 .011, G4 .016, C4 .026w, F3 .040w")
    assert status == 0
    assert wrong.startswith("string 1, gauge: ")
    assert "would break" in wrong
    assert [entry.note for entry in load(tmp_path / "mine.toml").strings] == ["D5", "G4", "C4", "F3"]


def test_less_than_goes_back_and_shows_what_was_typed(tmp_path):
    status, shown, wrong = asked("5", "left", "330", "<", "331", "<", "", "<", "<", "<", "9")
    assert (status, wrong) == (0, "")
    assert "[yours: 330] 331" in shown
    assert "[yours: 331] \n" in shown
    assert tomllib.loads((tmp_path / "mine.toml").read_text(encoding="utf-8"))["name"] == "Mandolin"


def test_straight_saddle_of_an_instrument_whose_saddles_are_stepped_has_steps_of_nought(tmp_path):
    asked("mandolin", *[""] * 6, "no")
    assert load(tmp_path / "mine.toml").bridge.steps == (0, 0, 0, 0)


def test_stepped_saddle_of_a_banjo_asks_for_its_steps(tmp_path):
    asked(*BANJO_TO_STRINGS, "", "yes", "0 0 1.5 0 0")
    assert load(tmp_path / "mine.toml").bridge.steps == (0, 0, 1.5, 0, 0)


def test_board_of_its_own_fret_rule_is_not_asked_for_its_frets():
    shown = asked("mountain-dulcimer")[1]
    assert "from the nut to fret 7?" in shown
    assert "How many frets?" not in shown


@pytest.mark.parametrize("given_before", range(12))
def test_end_of_the_answers_names_the_open_question_and_writes_nothing(tmp_path, given_before):
    status, shown, wrong = asked(*MANDOLIN[:given_before], more=0)
    if given_before == len(MANDOLIN):
        assert status == 0
        return
    assert status == 2
    last = [line for line in shown.splitlines() if line.endswith("?")][-1]
    assert f'mine.toml: the answers end at the question "{last}", so nothing was written; ' in wrong
    assert list(tmp_path.iterdir()) == []


# ---- the file


def test_file_that_exists_is_refused_before_the_first_question(tmp_path):
    (tmp_path / "mine.toml").write_text("mine", encoding="utf-8")
    (tmp_path / "mine-2.toml").write_text("mine", encoding="utf-8")
    status, shown, wrong = asked()
    assert (status, shown) == (2, "")
    assert wrong == "mine.toml: this file already exists; it is not touched; name another: `jigs new mine-3.toml`\n"
    assert {path.read_text(encoding="utf-8") for path in tmp_path.iterdir()} == {"mine"}


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("mine", "run `jigs new mine.toml`"),
        ("banjo", "run `jigs new banjo.toml`"),
        ("my banjo", 'run `jigs new "my banjo.toml"`'),
        (".", "run `jigs new mine.toml`"),
        (".toml", "run `jigs new .toml.toml`"),
        ("con.toml", "some systems keep the name con for a device; "),
        ("folder.toml", "this is a folder; "),
        ("link.toml", "this file already exists; "),
        ("file/mine.toml", "no file can be written there (Not a directory); "),
        (f"{'x' * 300}.toml", "no file can be written there (File name too long); "),
    ],
)
def test_name_that_cannot_be_is_refused_before_the_first_question(tmp_path, name, words):
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "link.toml").symlink_to("nowhere")
    (tmp_path / "file").write_text("", encoding="utf-8")
    before = sorted(tmp_path.iterdir())
    status, shown, wrong = asked(file=name)
    assert (status, shown) == (2, "")
    assert words in wrong
    assert sorted(tmp_path.iterdir()) == before


def test_folder_that_is_not_there_is_made_once_all_is_answered(tmp_path):
    assert asked("5", file="shelf/new/mine.toml", more=3)[0] == 2
    assert list(tmp_path.iterdir()) == []
    assert asked(file="shelf/new/mine.toml")[0] == 0
    assert [path.name for path in (tmp_path / "shelf/new").iterdir()] == ["mine.toml"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_folder_that_may_not_be_written_is_refused_before_the_first_question(tmp_path):
    tmp_path.chmod(0o500)
    status, shown, wrong = asked()
    tmp_path.chmod(0o700)
    assert (status, shown) == (2, "")
    assert "Permission denied" in wrong


def test_name_with_a_space_is_quoted_in_the_next_step():
    assert '`jigs draw "my banjo.toml"`' in asked(file="my banjo.toml")[1]


def test_file_that_another_run_wrote_meanwhile_is_not_replaced(tmp_path, monkeypatch):
    really = command._conversation

    def slowly(answers):
        (tmp_path / "mine.toml").write_text("another's", encoding="utf-8")
        return really(answers)

    monkeypatch.setattr(command, "_conversation", slowly)
    status, _, wrong = asked()
    assert status == 2
    assert "already exists" in wrong
    assert (tmp_path / "mine.toml").read_text(encoding="utf-8") == "another's"
    assert len(list(tmp_path.iterdir())) == 1


def test_scale_that_turns_out_to_be_half_of_one_is_asked_for_again_with_all_answers():
    """Who insists on it at once learns from the slack strings, at the end, that it was."""
    status, shown, wrong = asked("5", "left", "scale = 13 1/8 in", *[""] * 7, "Mine", "13 1/8 in")
    assert status == 0
    assert wrong.startswith("mine.toml: scale: 333.38 mm (13 1/8 in) looks like the distance from nut to fret 12; ")
    assert shown.count("Right-handed or left-handed?") == 1
    assert 'hand = "left"' in Path("mine.toml").read_text(encoding="utf-8").replace("  ", " ").replace("  ", " ")
    assert "[yours: scale = 13 1/8 in] 13 1/8 in\nScale: 666.8 mm (26 1/4 in).\n" in shown
    assert "[yours: Mine] \n" in shown


@pytest.mark.parametrize(
    ("typed", "hand"), [("l", "left"), ("L", "left"), ("r", "right"), ("Left", "left"), ("", "right")]
)
def test_a_hand_may_be_its_first_letter(tmp_path, typed, hand):
    assert asked("5", typed)[0] == 0
    assert load(tmp_path / "mine.toml").head.hand == hand


ANSWER = st.one_of(
    st.sampled_from(
        ["", "<", "yes", "no", "5", "9", "0", "-1", "1e999", "nan", "26 1/4 in", '""', "[]", "scale", "=", '"']
    )
    | st.sampled_from(["left", ".010 .012 .014 .022w .010", "strings = 3", "a\nb", "#", "\\", "'''", "9" * 400, "½"]),
    st.text(max_size=20),
)


@pytest.mark.slow
@given(st.lists(ANSWER, max_size=14))
@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_is_typed_ends_in_a_file_that_can_be_read_or_in_none(tmp_path, answers):
    path = tmp_path / "mine.toml"
    path.unlink(missing_ok=True)
    status, _, wrong = asked(*answers)
    assert "Traceback" not in wrong
    assert status in (0, 2)
    assert path.exists() == (status == 0)
    if status == 0:
        load(path)


# ---- a terminal and a pipe


def piped(content):
    """The program itself, its answers through a pipe."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(
        [sys.executable, "-m", "jigs", "new", "mine.toml"],
        input=content,
        capture_output=True,
        check=False,
        env=environment,
    )


def test_answers_come_through_a_pipe_whatever_their_line_ends(tmp_path):
    done = piped(("\ufeff" + "\r\n".join(MANDOLIN) + "\r\n").encode())
    assert (done.returncode, done.stderr) == (0, b"")
    assert load(tmp_path / "mine.toml").name == "Kitchen mandolin"


def test_bytes_of_another_encoding_are_refused_as_any_wrong_answer(tmp_path):
    done = piped(b"mandolin\n" + b"\n" * 10 + b"K\xfcche\nKitchen\n")
    assert done.returncode == 0, done.stderr
    assert b"cannot be printed" in done.stderr
    assert load(tmp_path / "mine.toml").name == "Kitchen"


LONGEST_S = 60
UNTIL_IT_LISTENS_S = 0.5
"""A signal in the instant between a prompt and the reading behind it waits for the next key."""


class Terminal:
    """``jigs new`` in a terminal of its own."""

    def __init__(self):
        self.shown = ""
        with heard():
            self.pid, self.handle = pty.fork()
        if not self.pid:
            environment = {**os.environ, "PYTHONPATH": str(ROOT), "TERM": "dumb", "COLUMNS": "100"}
            os.execve(sys.executable, [sys.executable, "-m", "jigs", "new", "mine.toml"], environment)

    def read(self, end):
        """What it shows next, empty once it has ended."""
        while not select.select([self.handle], [], [], 1)[0]:
            if time.monotonic() > end:
                os.kill(self.pid, signal.SIGKILL)
                raise AssertionError(f"it waits: {self.shown}")
        try:
            return os.read(self.handle, 4096).decode(errors="replace")
        except OSError:
            return ""

    def wait_for(self, words):
        end = time.monotonic() + LONGEST_S
        while words not in self.shown and (more := self.read(end)):
            self.shown += more
        assert words in self.shown, self.shown
        self.shown = self.shown.partition(words)[2]

    def type(self, text):
        os.write(self.handle, text.encode())

    def ended(self):
        """The exit status; `shown` is what it showed since."""
        end = time.monotonic() + LONGEST_S
        while more := self.read(end):
            self.shown += more
        os.close(self.handle)
        return os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])


def test_conversation_in_a_terminal(tmp_path):
    terminal = Terminal()
    for answer in MANDOLIN:
        terminal.wait_for("[preset: ")
        terminal.wait_for("] ")
        terminal.type(f"{answer}\n")
    assert terminal.ended() == 0
    assert "bridge line (the crown) at pair 1 E5: " in terminal.shown
    assert load(tmp_path / "mine.toml").name == "Kitchen mandolin"


@pytest.mark.slow
@pytest.mark.parametrize("answers", [0, 1, 6, 10])
@pytest.mark.parametrize("stop", ["\x03", "a\x03", signal.SIGINT])
def test_interrupt_in_a_terminal_ends_with_a_line_and_writes_nothing(tmp_path, answers, stop):
    terminal = Terminal()
    for answer in MANDOLIN[:answers]:
        terminal.wait_for("[preset: ")
        terminal.type(f"{answer}\n")
    terminal.wait_for("[preset: ")
    terminal.wait_for("] ")
    time.sleep(UNTIL_IT_LISTENS_S)
    if stop is signal.SIGINT:
        os.kill(terminal.pid, stop)
    else:
        terminal.type(stop)
    assert terminal.ended() == 1
    assert terminal.shown.rstrip().endswith("Stopped. Nothing was written.")
    assert "Traceback" not in terminal.shown
    assert list(tmp_path.iterdir()) == []


def test_end_of_file_in_a_terminal_names_the_question(tmp_path):
    terminal = Terminal()
    terminal.wait_for("[preset: ")
    terminal.type("\x04")
    assert terminal.ended() == 2
    assert "the answers end at the question" in terminal.shown
    assert list(tmp_path.iterdir()) == []
