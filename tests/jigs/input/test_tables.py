"""A file of another kind is refused in a few lines: nobody reads a hundred thousand of them."""

import time

import pytest
from samples import SMALL_FILE, run

MANY = 5_000
KEYS = "".join(f"k{n} = 1\n" for n in range(MANY))
TABLES = "".join(f"[k{n}]\n" for n in range(MANY))


@pytest.mark.parametrize(
    ("command", "content", "lines"),
    [
        (("draw",), KEYS + SMALL_FILE, 11),
        (("draw",), f"{SMALL_FILE}\n[action]\n{KEYS}", 11),
        (("draw",), f"{SMALL_FILE}\n{TABLES}", 11),
        (("survey",), KEYS + "frets = [[1, 19.8], [2, 38.5]]\n", 11),
        (("readings", "banjo", "--file"), f"{KEYS}[[readings]]\nstring = 1\nharmonic = 0\nfretted = 1\n", 11),
        (("readings", "banjo", "--file"), f"[[readings]]\nstring = 1\nharmonic = 0\nfretted = 1\n{KEYS}", 11),
    ],
)
def test_ten_unknown_keys_are_named_and_the_others_counted(tmp_path, command, content, lines):
    path = tmp_path / "mine.toml"
    path.write_text(content, encoding="utf-8")
    begun = time.process_time()
    status, _, shown = run(*command, path)
    assert status == 2
    assert time.process_time() - begun < 5
    assert len(shown.splitlines()) == lines
    assert "k9" in shown
    assert "k10" not in shown
    assert f"there are {MANY - 10} more unknown keys; check that this is the file you mean" in shown
