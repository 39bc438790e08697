"""No file is overwritten that the program did not write: what is in it says so, and not what it is called."""

import os
from pathlib import Path

import pytest

from jigs.faults import InputFaults
from jigs.system.own_files import is_ours
from jigs.system.whole_files import write_all

EXAMPLES = Path(__file__).parents[3] / "out_examples"
DRAWN = sorted(path for path in EXAMPLES.iterdir() if path.suffix in (".pdf", ".svg", ".dxf", ".md"))


def test_everything_that_was_drawn_is_known_again_so_that_it_can_be_redrawn():
    assert {path.suffix for path in DRAWN} == {".pdf", ".svg", ".dxf", ".md"}
    assert not [path.name for path in DRAWN if not is_ours(path.name, path.read_bytes())]


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("a-fork.pdf", b"%PDF-1.4\n1 0 obj << /Creator (a word processor) >>"),
        ("a-fork.svg", b'<?xml version="1.0"?>\n<svg width="10mm"><path d="M 0 0 L 1 1"/></svg>'),
        ("a-gauge.dxf", b"  0\nSECTION\n  2\nHEADER\n  9\n$LASTSAVEDBY\n  1\nezdxf\n"),
        ("rack.csv", b"my,own,table\n"),
        ("nest.csv", b"part;place\n"),
        ("banjo.toml", b"# made by bridge-jigs, then edited\nscale = 669\n"),
        ("banjo.jsonl", b'{"log": "bridge-jigs readings 1"}\n'),
        ("README.md", b"# My workshop\n\nDrawings by bridge-jigs.\n"),
    ],
)
def test_file_of_the_users_is_kept_whatever_it_is_called_and_nothing_is_written(tmp_path, name, content):
    (tmp_path / name).write_bytes(content)
    with pytest.raises(InputFaults, match="jigs did not write this file, so it stays"):
        write_all({"b.pdf": b"new", name: b"new"}, tmp_path)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {name: content}
    assert write_all({name: content}, tmp_path) == [tmp_path / name]


def test_pipe_in_the_place_of_a_drawing_is_refused_at_once(tmp_path):
    os.mkfifo(tmp_path / "a.pdf")
    with pytest.raises(InputFaults, match="did not write"):
        write_all({"a.pdf": b"new"}, tmp_path)
