"""A reader who types what README and guides say sees what they show: the commands are run in order, the outputs compared.

Nobody has to trust a guide, and no change of the program leaves one behind.
"""

import glob
import re
import shutil
import subprocess
import wave
from datetime import date
from pathlib import Path

import click
import numpy as np
import pytest
import simulated_plucks as simulated
from click.testing import CliRunner
from guides import (
    GUIDES,
    OURS,
    README,
    SKIPPED,
    TODAY,
    TWO_COMMANDS,
    Command,
    Fragment,
    ToType,
    Unclear,
    document,
    line_matches,
    mismatch,
    read,
)
from samples import ROOT

from jigs.cli.main import main
from jigs.instrument.opening import preset_text

pytestmark = pytest.mark.slow

RUN = [README, *GUIDES]

EXAMPLES = ROOT / "out_examples"
SHELF = ("loan-banjo-7.toml", "loan-mandolin-3.toml", "loan-octave-mandolin-1.toml")
MINE = {
    "bench": "loan-banjo-7.toml",
    "strings": "loan-banjo-7.toml",
    "builder": "new-mandolin.toml",
    "gauges": "loan-mandolin-4.toml",
}
"""Which example the reader's own file is, for those whose file is not the preset of a banjo."""

NOT_RUN = {
    r"jigs page\b": "it goes on until it is stopped; tests/jigs/page starts it",
    r"pipx |uv ": "it installs the program for its user; tests/slow/test_packages.py installs the wheel",
    r'eval "\$\(_JIGS_COMPLETE|_JIGS_COMPLETE=': "it is for a shell's own file; tests/jigs/cli tests completion",
}
"""Commands that no test can run, and why."""

ENTER = "\n" * 100
"""What a reader types who is content with every default."""


def named(path):
    return path.stem


# ---- a folder as the reader has it


def saved(path, string, cents, seed):
    """A recording: a string plucked open, then pressed at fret 12 and ``cents`` sharp, twice."""
    chance = np.random.default_rng(seed)
    instrument = simulated.some_instrument(chance, simulated.BANJO)
    notes = [(string - 1, times, cents if times > 1 else 0.0) for times in (1, 2)] * 2
    sound = simulated.recording(chance, instrument, notes, simulated.CLEAN)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(simulated.RATE_HZ)
        file.writeframes((sound * 32767).astype("<i2").tobytes())


@pytest.fixture(scope="session")
def sounds(tmp_path_factory):
    """Recordings of the outer strings of a banjo."""
    folder = tmp_path_factory.mktemp("sounds")
    saved(folder / "treble.wav", 1, 4.0, 7)
    saved(folder / "bass.wav", 4, -6.0, 8)
    return folder


@pytest.fixture
def folder(tmp_path, sounds, monkeypatch):
    """Makes the folder of a guide's reader, who has no settings and no printers yet, and goes there."""

    def make(name):
        home, here = tmp_path / "home", tmp_path / "here"
        home.mkdir()
        shutil.copytree(EXAMPLES, here)
        shutil.copytree(sounds, here, dirs_exist_ok=True)
        if name == README.stem:  # whose reader is in the project's folder
            shutil.copytree(EXAMPLES, here / EXAMPLES.name)
        (here / "shelf").mkdir()
        for each in SHELF:
            shutil.copy(here / each, here / "shelf")
        own = (here / MINE[name]).read_text(encoding="utf-8") if name in MINE else preset_text("banjo")
        (here / "mine.toml").write_text(own, encoding="utf-8")
        monkeypatch.setenv("HOME", str(home))
        monkeypatch.setenv("COLUMNS", "80")
        for kind in ("CONFIG", "DATA", "STATE"):
            monkeypatch.setenv(f"XDG_{kind}_HOME", str(home / kind.lower()))
        monkeypatch.chdir(here)
        return here

    return make


# ---- a command


def why_not_run(command):
    """The entry of `NOT_RUN` for a command, if it has one."""
    typed = " ".join(command.raw_words).removeprefix(".venv/bin/")
    return next((entry for entry in NOT_RUN if re.match(entry, typed)), None)


def looked_up(command):
    """The command that is named, and the words behind it. Raises `LookupError` with what is wrong."""
    if command.words[0] not in OURS:
        raise LookupError("it is not a command of this program")
    found, words = main, command.words[1:]
    while isinstance(found, click.Group) and words and not words[0].startswith("-"):
        with click.Context(found) as context:
            found = found.get_command(context, words[0])
        if found is None:
            raise LookupError(f"there is no command {words[0]}")
        words = words[1:]
    return found, words


def unknown_options(command):
    """What is wrong with the command's name and the names of its options."""
    try:
        found, words = looked_up(command)
    except LookupError as error:
        return [str(error)]
    known = {option for each in found.params for option in each.opts + each.secondary_opts} | {"-h", "--help"}
    given = [word.partition("=")[0] for word in words if re.match(r"--?[a-z]", word)]
    return [f"{found.name} has no option {option}" for option in given if option not in known]


def is_only_named(command):
    """Whether a command in the text names one that does not run without more, as ``jigs readings`` does."""
    if not command.in_text or unknown_options(command):
        return False
    found, words = looked_up(command)
    return not words and (isinstance(found, click.Group) or any(each.required for each in found.params))


def expanded(word):
    """What a shell makes of a word: the files that it stands for."""
    return sorted(glob.glob(word)) or [word] if re.search(r"[*?]", word) else [word]


def outcome(command):
    """Run a command in this folder: (exit status, what it printed, what of that on standard error), in lines."""
    words = [each for word in command.words[1:] for each in expanded(word)]
    typed = ENTER if words[:1] == ["new"] else None
    result = CliRunner().invoke(main, words, input=typed, prog_name="jigs")
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    if command.goes_to:
        with open(command.goes_to, "wb") as file:
            file.write(result.stdout_bytes)
    return result.exit_code, lines(result.stderr if command.goes_to else result.output), lines(result.stderr)


def lines(text):
    """What was printed, in lines; the only thing in it that changes by itself is the date of a place that is kept."""
    today = date.today()
    dates = "|".join((today.isoformat(), f"{today.day} {today:%B %Y}"))
    plain = re.sub(rf"(?<=found by ear on )({dates})\b", TODAY, text.replace("\N{NO-BREAK SPACE}", " "))
    return [line.rstrip() for line in plain.rstrip("\n").split("\n")] if plain.strip() else []


def faults_of(command):
    """What a reader who types a command finds wrong with it."""
    if (wrong := unknown_options(command)) or command.is_a_pattern or is_only_named(command):
        return wrong
    try:
        status, printed, refused = outcome(command)
    except Exception as error:  # any that a reader would see
        return [f"it stops with {error!r}"]
    expected = command.prints
    faults = []
    if status != 0:
        shown = [line for line in expected or () if line.strip() != SKIPPED]
        if not any(line_matches(line, each) for line in shown for each in refused):
            faults.append(f"exit status {status}: {refused}")
    if expected is not None and (differs := mismatch(expected, printed)):
        faults.append("\n".join((differs, "it prints:", *printed)))
    return faults


def new_in_an_empty_folder(command, folder, monkeypatch):
    """For ``jigs new``: go where the file that it writes is not there yet."""
    empty = folder.parent / "empty"
    shutil.rmtree(empty, ignore_errors=True)
    empty.mkdir()
    monkeypatch.chdir(empty)
    faults = faults_of(command)
    monkeypatch.chdir(folder)
    return faults


def is_new_and_there(command):
    """Whether a command writes a new instrument file that this folder has already, and is not meant to be refused."""
    if command.words[1:2] != ["new"] or re.search("already exists", " ".join(command.prints or ())):
        return False
    return Path(next(iter(command.words[2:]), "mine.toml")).exists()


# ---- the documents


@pytest.mark.parametrize("path", RUN, ids=named)
def test_every_command_does_what_its_document_says(path, folder, monkeypatch):
    here = folder(path.stem)
    faults = []
    for part in document(path).of(Command, ToType):
        if isinstance(part, ToType):
            (here / part.name).write_text(part.text, encoding="utf-8")
            continue
        if why_not_run(part):
            wrong = unknown_options(part) if part.words[0] in OURS else []
        elif is_new_and_there(part):
            wrong = new_in_an_empty_folder(part, here, monkeypatch)
        else:
            wrong = faults_of(part)
        faults += [f"{document(path).at(part)}: {part.text}\n{each}" for each in wrong]
    if faults:
        pytest.fail("\n\n".join(faults), pytrace=False)


WITHOUT_OUTPUT = {"words": "it explains words"}
"""Guides that may have no command with what it prints, and why."""


@pytest.mark.parametrize("path", GUIDES, ids=named)
def test_commands_and_their_outputs_are_found(path):
    commands = document(path).of(Command)
    shown = [one for one in commands if one.prints is not None and any(line.strip() != SKIPPED for line in one.prints)]
    if path.stem in WITHOUT_OUTPUT:
        assert not shown, f"{path.stem} has outputs: take it out of WITHOUT_OUTPUT"
        return
    assert commands
    assert shown, "no command is followed by what it prints"


@pytest.mark.parametrize("path", RUN, ids=named)
def test_every_block_is_one_that_is_tested(path):
    assert [f"{document(path).at(part)}: {part.text}" for part in document(path).of(Unclear)] == []


def test_every_command_that_is_not_run_is_in_a_document():
    used = {why_not_run(command) for path in RUN for command in document(path).of(Command)}
    assert NOT_RUN.keys() - used == set()


def test_the_two_commands_of_the_readme_are_those_that_ci_runs():
    line = next(line for line in (ROOT / ".ci/run").read_text().splitlines() if line.startswith("commands="))
    script = f"{line}\nprintf '%s' \"$commands\""
    run = subprocess.run(["bash", "-c", script], cwd=ROOT, capture_output=True, text=True, check=True)
    text = README.read_text(encoding="utf-8").partition(f"\n## {TWO_COMMANDS}\n")[2].partition("\n## ")[0]
    block, _of_windows = re.findall(r"^```\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    assert block.splitlines() == run.stdout.splitlines()
    assert len(block.splitlines()) == 2


# ---- the tests see what they are for


def of_guide(*blocks):
    return read("\n\n".join(blocks)).of(Command)


@pytest.mark.parametrize(
    ("blocks", "wrong"),
    [
        (["```\njigs presets\n```", "```\n…\n```"], None),
        (["```\njigs presets\n```", "```\nfive-string banjo\n```"], "it does not"),
        (["```\njigs keys action\n```", "```\n[action]: String heights\n…\n```"], None),
        (["```\njigs keys action\n```", "```\n[action]: String heights\n```"], "it also prints"),
        (["```\njigs keys action\n```", "```\n…\n  relief   0 to 3 mm …\n…\n```"], None),
        (["```\njigs keys action\n```", "```\n…\n  relief   0 to 4 mm …\n…\n```"], "it does not"),
        (["```\njigs keys acton\n```"], "exit status 2"),
        (["```\njigs keys acton\n```", "```\n…\n```"], "exit status 2"),
        (["```\njigs keys acton\n```", "```\n…\nTABLE: there is no table …\n```"], None),
        (["`jigs keys action`"], None),
        (["`jigs keys acton`"], "exit status 2"),
        (["`jigs darw mine.toml`"], "there is no command darw"),
        (["`jigs draw mine.toml --papper a3`"], "draw has no option --papper"),
        (["`jigs draw FILE --papper a3`"], "draw has no option --papper"),
        (["`jigs draw FILE --paper a3`"], None),
        (["`jigs printer show NAME`"], None),
        (["`jigs printer shown NAME`"], "there is no command shown"),
        (["`jigs readings`"], None),
        (["```\njigs readings\n```"], "exit status 2"),
        (["```\njigs draw no.toml  # the reader's own\n```"], "exit status 2"),
        (["```\njigs presets banjo > mine.toml  # the reader's own\n```"], None),
    ],
)
def test_a_command_that_does_something_else_is_seen(blocks, wrong, folder):
    folder("player")
    (command,) = of_guide(*blocks)
    faults = faults_of(command)
    assert (faults == []) if wrong is None else (wrong in faults[0]), faults


def test_a_new_file_is_written_by_enter_alone_where_the_reader_has_none_yet(folder, monkeypatch):
    here = folder("bench")
    (command,) = of_guide("```\njigs new mine.toml\n```", "```\n…\n[preset: right]\n…\nwrote mine.toml\n…\n```")
    assert is_new_and_there(command)
    assert new_in_an_empty_folder(command, here, monkeypatch) == []
    assert (here / "mine.toml").read_bytes() == (EXAMPLES / "loan-banjo-7.toml").read_bytes()
    assert "already exists" in faults_of(command)[0]


@pytest.mark.parametrize(
    ("shown", "printed", "same"),
    [
        ("kept, found by ear on 3 May 2026", f"kept, found by ear on {date.today().day} {date.today():%B %Y}", True),
        ("kept, found by ear on 3 May 2026, with …", f"kept, found by ear on {date.today()}, with D4", True),
        ("kept, found by ear on 3 May 2026", "kept, found by ear on 4 May 2026", False),
        ("kept at 3 mm on 3 May 2026", f"kept at 4 mm on {date.today()}", False),
        ("drawn on 3 May 2026", f"drawn on {date.today()}", False),
    ],
)
def test_only_the_date_of_a_place_found_today_may_differ(shown, printed, same):
    assert (mismatch([shown], lines(printed)) is None) == same


def test_output_goes_where_the_command_says(folder):
    here = folder("bench")
    (command,) = of_guide('```\njigs presets "mandolin" > own.toml\n```')
    assert faults_of(command) == []
    assert (here / "own.toml").read_text(encoding="utf-8") == preset_text("mandolin")
    assert (here / "mine.toml").read_bytes() == (EXAMPLES / "loan-banjo-7.toml").read_bytes()
    assert sorted(path.name for path in (here / "shelf").iterdir()) == sorted(SHELF)


@pytest.mark.parametrize(
    ("text", "run"),
    [
        ("jigs page", False),
        (".venv/bin/jigs page --port 1", False),
        ("jigs pages", True),
        ("pipx install .", False),
        ("uv tool install .", False),
        (".venv/bin/jigs draw mine.toml", True),
    ],
)
def test_only_commands_that_no_test_can_run_are_not_run(text, run):
    assert (why_not_run(Command(1, text)) is None) == run


def test_blocks_are_what_they_are():
    text = (
        "1. Type:\n\n   ```\n   jigs keys \\\n     action\n   ```\n   ```\n   a\n     b\n   ```\n\n"
        "```csv own.csv\nfret\n```\n\n```toml\nkerf = 1\n```\n\n```\njigs keys\nls\n```\n\n```sh\nls\n```\n\n<b>x</b>\n"
    )
    parts = read(text).parts
    assert parts[0] == Command(4, "jigs keys action", ("a", "  b"))
    assert parts[1] == ToType(13, "fret\n", "own.csv")
    assert parts[2] == Fragment(17, "kerf = 1\n")
    assert [type(part) for part in parts[3:]] == [Unclear] * len(parts[3:])
    assert len(parts) > 4
    assert of_guide("## Two commands\n\n```\nx\n```\n\n## Next\n\n```\njigs keys\n```") == [Command(10, "jigs keys")]
