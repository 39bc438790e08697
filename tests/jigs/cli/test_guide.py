"""``jigs guide`` shows a guide in a terminal, a page at a time, and passes it on through a pipe."""

import os
import pty
import re
import subprocess
import sys

import pytest
from samples import run

from jigs.cli.on_terminal import WIDEST, laid_out
from jigs.guide.guides import NAMES, guide, guides

ESCAPE = "\x1b"


def test_all_guides_are_listed_with_their_titles():
    status, said, _ = run("guide")
    assert status == 0
    assert [line.split(maxsplit=1) for line in said.splitlines()] == [[one.name, one.title] for one in guides()]


def test_an_unknown_guide_is_refused_and_the_known_ones_are_named():
    status, said, wrong = run("guide", "zzz")
    assert (status, said) == (2, "")
    assert all(name in wrong for name in NAMES)
    assert 'did you mean "player"?' in run("guide", "playr")[2]


@pytest.mark.parametrize("name", NAMES)
def test_through_a_pipe_a_guide_is_plain_text_and_loses_no_word(name):
    text = laid_out(guide(name).text, styled=False, columns=80)
    assert ESCAPE not in text
    assert max(map(len, text.splitlines())) <= 80
    shown = set(re.findall(r"[a-z]{4,}", text.lower()))
    unlinked = re.sub(r"\]\([^)]*\)|```\w* ?\S*", " ", guide(name).text.lower())
    # A long word of a table may be broken where the terminal is narrow.
    lost = {word for word in re.findall(r"[a-z]{4,}", unlinked) if word not in shown}
    assert {word for word in lost if word not in re.sub(r"\s+", "", text.lower())} == set()


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("columns", [40, 80, 200])
def test_no_line_is_wider_than_the_terminal_or_than_reads_well(name, columns):
    lines = re.sub(rf"{ESCAPE}\[[\d;]*m", "", laid_out(guide(name).text, styled=True, columns=columns)).splitlines()
    assert max(map(len, lines)) <= min(columns, WIDEST)


def test_in_a_terminal_it_goes_through_the_readers_own_pager(tmp_path):
    pager = tmp_path / "pager"
    pager.write_text(f"#!{sys.executable}\nimport sys\nprint('PAGED', len(sys.stdin.read()))\n", encoding="utf-8")
    pager.chmod(0o755)
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "jigs", "guide", "words"],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        env={**os.environ, "PAGER": str(pager), "TERM": "xterm"},
    )
    os.close(theirs)
    assert process.wait(30) == 0
    shown = os.read(ours, 65536).decode()
    os.close(ours)
    assert re.search(r"PAGED \d{4,}", shown), shown
