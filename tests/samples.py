"""Instruments and sheets that several tests use."""

from functools import cache
from pathlib import Path as FilePath

from jigs import press
from jigs.drawing import Line, Path, Text, bounds
from jigs.paper import PAPERS
from jigs.templates import Options, templates
from jigs.workup import work_up

PRESETS = press.preset_names()
ROOT = FilePath(__file__).parent.parent

SMALL_FILE = """
name = "Test mandolin"
kind = "mandolin"
scale = "13 7/8 in"
[[strings]]
note = "E5"
gauge = "0.011 in"
[[strings]]
note = "G3"
gauge = "0.040 in"
core = "0.018 in"
"""


@cache
def preset(preset_name, /, hand="right", **options):
    """A preset's workup, with its file edited: ``scale="…"`` and the like replace lines of that key."""
    text = press.preset_text(preset_name).replace('hand  = "right"', f'hand  = "{hand}"')
    for key, value in options.items():
        lines = [f"{key} = {value}" if line.split("=")[0].strip() == key else line for line in text.split("\n")]
        text = "\n".join(lines)
    return work_up(press.parse(text.encode(), f"preset {preset_name}"))


@cache
def sheet(name, hand="right", paper="a4", **options):
    """The fork of a preset on a sheet."""
    (laid,) = press.lay_out(preset(name, hand), templates()["fork"], PAPERS[paper], Options(**options))
    return laid


def pieces(drawing):
    """Every straight piece of a drawing as (x1, y1, x2, y2)."""
    found = []
    for item in drawing:
        if isinstance(item, Line):
            found.append((*item.start, *item.end))
        elif isinstance(item, Path):
            for run in item.runs:
                ends = (*run[1:], run[0]) if item.closed else run[1:]
                found += [(*start, *end) for start, end in zip(run, ends, strict=False)]
    return found


def named(drawing, name):
    """The one item with an id."""
    found = [item for item in drawing if item.id == name]
    assert len(found) == 1, f"{len(found)} items are called {name}"
    return found[0]


def crosses(start, end, box):
    """Whether a straight piece comes into a box (clipping after Liang and Barsky)."""
    entry, leave = 0.0, 1.0
    sides = ((start[0], end[0] - start[0], box.left, box.right), (start[1], end[1] - start[1], box.top, box.bottom))
    for origin, step, low, high in sides:
        if step == 0:
            if not low < origin < high:
                return False
        else:
            near, far = sorted(((low - origin) / step, (high - origin) / step))
            entry, leave = max(entry, near), min(leave, far)
    return entry < leave


def assert_clear(drawn):
    """No word over a mark or over another word."""
    texts = [(item, bounds(item)) for item in drawn if isinstance(item, Text)]
    marks = [(item, piece) for item in drawn if not isinstance(item, Text) for piece in pieces([item])]
    for n, (text, box) in enumerate(texts):
        for other, other_box in texts[n + 1 :]:
            assert not box.overlaps(other_box), f"{text.text!r} over {other.text!r}"
        for mark, (x1, y1, x2, y2) in marks:
            assert not crosses((x1, y1), (x2, y2), box), f"{text.text!r} over {mark.role} {mark.id}"


def run(*arguments):
    """The command line, in this process: (exit status, standard output, standard error)."""
    from click.testing import CliRunner

    from jigs.cli import main

    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr
