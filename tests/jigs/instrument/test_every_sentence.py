"""All that this room says is what somebody has read as a user would: a fault, its place and remedy, a question, a key.

Without this, a remedy could go, a question name another part, or a key lose its bounds, and no test would notice.
"""

import os

import pytest
from whole_sentences import SAID, all_of_it

FILES = sorted(path.name for path in SAID.iterdir())


@pytest.fixture(scope="module")
def said():
    return all_of_it()


@pytest.mark.skipif(os.name != "posix", reason="other systems name files and paths otherwise")
@pytest.mark.parametrize("name", FILES)
def test_all_is_said_as_it_was_last_read(said, name):
    """``tests/whole_sentences.py`` says how to write them anew."""
    assert said[name] == (SAID / name).read_text(encoding="utf-8")


def test_no_text_is_left_unread(said):
    assert sorted(said) == FILES


def test_every_refusal_has_a_remedy(said):
    lines = said["refused.txt"].splitlines()
    assert len(lines) > 2 * len({line for line in lines if line.startswith("#")}) * 0.9
    assert [line for line in lines if not line.startswith("#") and "; " not in line] == []
