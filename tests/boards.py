"""Boards and what is on them, for the tests of a builder's sheets."""

import re

from samples import ROOT

from jigs.drawing.items import Text
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.sheets.paper import PAPERS, room_on
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.work_up import work_up


def piece(workup, template, **options):
    return templates()[template].draw(workup, room_on(PAPERS["a4"]), Options(**options)).drawing


def level(item):
    ys = {y for run in item.runs for _, y in run}
    return sum(ys) / len(ys)


def words(drawn):
    return " ".join(item.text for item in drawn if isinstance(item, Text)).replace("\N{NO-BREAK SPACE}", " ")


def without_board(name):
    """A preset's file without its [board] table."""
    head, _, rest = preset_text(name).partition("[board]")
    return head + "[bridge]" + rest.partition("[bridge]")[2]


def new_mandolin():
    path = ROOT / "jigs" / "demo" / "new-mandolin.toml"
    return work_up(parse(path.read_bytes(), path.name))


def with_nut(name, lines, **edits):
    """A preset with these lines in its [nut] table."""
    text = preset_text(name).replace("[nut]", f"[nut]\n{lines}", 1)
    for key, value in edits.items():
        text = re.sub(rf"(?m)^{key} *=.*$", f"{key} = {value}", text)
    return work_up(parse(text.encode(), "mine.toml"))
