"""Instruments and sheets that several tests use."""

import re
from functools import cache, wraps
from pathlib import Path as FilePath

from jigs.cutting.cutter import Cutter
from jigs.drawing.items import Circle, Line, Path, Text, bounds
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_names, preset_text
from jigs.press import press
from jigs.press.layout import lay_out
from jigs.press.order import Order
from jigs.sheets.paper import PAPERS, Paper
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.work_up import work_up

PRESETS = preset_names()
BANJOS = [name for name in PRESETS if "banjo" in name]
ARCHED = [name for name in PRESETS if "arch_rise" in preset_text(name)]
HANDS = ("right", "left")
WITH_TEMPLATE = {"gauge": PRESETS, "head": BANJOS, "top": ARCHED}
TO_CUT = [(template, name) for template, names in WITH_TEMPLATE.items() for name in names]
"""Every template of a part to cut, with every preset that has it."""

WALL = Paper("own", 700.0, 1000.0)
"""A sheet that everything fits on."""

MEASURED = {
    "head": ("[rim]", "head", "fret_12_to_near_edge"),
    "heights": ("end", "over_top", "height"),
    "board-height": ("end", "over_top"),
    "board-height-alone": ("over_top",),
    "end-alone": ("end",),
    "height-alone": ("height",),
    "arch": ("[top]", "arch_rise", "arch_span", "arch"),
    "arch-middle": ("arch_middle",),
    "notches": ("[top]", "notches"),
    "feet": ("feet", "foot"),
    "face": ("face",),
}
"""What a preset's file keeps as a comment until it is measured."""

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
    text = filed(preset_name, "face") if "face" in options else preset_text(preset_name)
    text = text.replace('hand  = "right"', f'hand  = "{hand}"')
    for key, value in options.items():
        lines = [f"{key} = {value}" if line.split("=")[0].strip() == key else line for line in text.split("\n")]
        text = "\n".join(lines)
    return work_up(parse(text.encode(), f"preset {preset_name}"))


@cache
def filed(preset_name, /, *measured, hand="right", **values):
    """A preset's file with some measurements of `MEASURED` in it and values replaced, as `preset` does."""
    keys = {key for table in measured for key in MEASURED[table]}
    lines = []
    for line in preset_text(preset_name).replace('hand  = "right"', f'hand  = "{hand}"').split("\n"):
        key = re.split("[=#]", line.removeprefix("# "))[0].strip()
        kept = line.removeprefix("# ") if key in keys else line
        lines.append(f"{key} = {values[key]}" if key in values and not kept.startswith("#") else kept)
    return "\n".join(lines)


@cache
def measured(preset_name, /, *tables, hand="right", **values):
    """The workup of such a file."""
    text = filed(preset_name, *tables, hand=hand, **values)
    return work_up(parse(text.encode(), f"{preset_name}.toml"))


def with_template(template, preset_name, /, *tables, hand="right", **values):
    """A preset that has what a template rests on."""
    return measured(preset_name, *(("head",) if template == "head" else ()), *tables, hand=hand, **values)


def kept(make):
    """Like ``cache``, by which workup it is: workups are compared by nothing else."""
    made = {}

    @wraps(make)
    def keeping(template, workup, **options):
        key = template, id(workup), repr(sorted(options.items()))
        if key not in made:
            made[key] = workup, make(template, workup, **options)
        return made[key][1]

    return keeping


@kept
def cut_files(template, workup, datum_fret=None, datum_end=False, rim_side=None, formats="svg,dxf", **cutter):
    """A template's files for a cutter, by suffix; with pdf among the formats, its page on a sheet with room for it."""
    options = Options(datum_fret, datum_end=datum_end, rim_side=rim_side, cutter=Cutter(**cutter))
    order = Order((template,), WALL, tuple(formats.split(",")), options)
    printed = press.prepare(workup, order, "x")
    return {name.rsplit(".", 1)[1]: content for name, content in printed.files.items()}


@kept
def page(template, workup, paper="a4", other="a3", **options):
    """A template's first page on one paper, or on the other where that is too small."""
    from jigs.faults import InputFaults

    try:
        laid, *_ = lay_out(workup, templates()[template], PAPERS[paper], Options(**options))
    except InputFaults:
        laid, *_ = lay_out(workup, templates()[template], PAPERS[other], Options(**options))
    return laid


def words_of(drawn):
    """All words of a drawing that are not engraved, their unbreakable spaces made plain."""
    return " ".join(item.text for item in drawn if isinstance(item, Text)).replace("\N{NO-BREAK SPACE}", " ")


@cache
def sheet(name, hand="right", paper="a4", **options):
    """The sheet with the fork of a preset."""
    return fork_sheets(name, hand, paper, **options)[0]


@cache
def fork_sheets(name, hand="right", paper="a4", **options):
    """The fork of a preset on its sheet, and the sheets of words."""
    return lay_out(preset(name, hand), templates()["fork"], PAPERS[paper], Options(**options))


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
    """No word over a mark, engraved strokes among them, or over another word."""
    texts = [(item, bounds(item)) for item in drawn if isinstance(item, Text)]
    marks = [
        (mark, flat)
        for mark in drawn
        if not isinstance(mark, Text)
        for flat in [mark.flattened(0.05) if isinstance(mark, Path) else mark]
        if any(box.overlaps(bounds(mark), 0.01) for _, box in texts)
    ]
    for n, (text, box) in enumerate(texts):
        for other, other_box in texts[n + 1 :]:
            assert not box.overlaps(other_box), f"{text.text!r} over {other.text!r}"
        for mark, flat in marks:
            if isinstance(mark, Circle):
                assert not box.overlaps(bounds(mark)), f"{text.text!r} over {mark.role} {mark.id}"
            elif box.overlaps(bounds(mark), 0.01):
                for x1, y1, x2, y2 in pieces([flat]):
                    assert not crosses((x1, y1), (x2, y2), box), f"{text.text!r} over {mark.role} {mark.id}"


def faults_are_sentences(status, shown, out):
    """A refusal as the user meets it: status 2, each line with a place and a remedy, no traceback, nothing written."""
    assert status == 2, shown
    assert shown
    assert "Traceback" not in shown
    assert not out.exists(), "something was written"
    for line in shown.splitlines():
        assert ": " in line, f"no place: {line}"
        assert "; " in line, f"no remedy: {line}"


def run(*arguments):
    """The command line, in this process: (exit status, standard output, standard error)."""
    from click.testing import CliRunner

    from jigs.cli.main import main

    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr
