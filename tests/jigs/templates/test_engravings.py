"""Words engraved on head and top: on the part, clear of what is cut and scored, and never a reason to refuse it."""

from itertools import combinations

import pytest
from instruments import edited
from odd_instruments import ODD
from samples import ARCHED, BANJOS, HANDS, measured, pieces, words_of
from shapely import LineString, MultiLineString, Polygon

from jigs.cutting.engraving import all_engraved, engraved
from jigs.drawing.items import Drawing, Path, Role, Text, bounds
from jigs.drawing.lettering import SMALL
from jigs.instrument.file import parse
from jigs.press.layout import lay_out
from jigs.sheets.paper import PAPERS
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.work_up import work_up

LONG = "Thequitelongnameofabanjothathasnospaceinit"


def engravings(drawn):
    return [item for item in drawn if isinstance(item, Path) and item.role is Role.ENGRAVED]


def has(drawn, text, height=SMALL):
    """Whether a line of text is engraved, at whatever place."""
    (wanted,) = all_engraved(Drawing((Text((0.0, 0.0), text, height),)))
    return any(same(item, wanted) for item in engravings(drawn))


def same(one, other):
    if [len(run) for run in one.runs] != [len(run) for run in other.runs]:
        return False
    pairs = [
        (a, b) for mine, theirs in zip(one.runs, other.runs, strict=True) for a, b in zip(mine, theirs, strict=True)
    ]
    dx, dy = pairs[0][0][0] - pairs[0][1][0], pairs[0][0][1] - pairs[0][1][1]
    return all(abs(a[0] - b[0] - dx) + abs(a[1] - b[1] - dy) < 1e-6 for a, b in pairs)


def assert_engraving_clear(drawn):
    """Each engraved word lies on the part, beside its windows, and over no scored line and no other word."""
    outline, *windows = sorted(
        (Polygon(item.flattened(0.01).runs[0]) for item in drawn if item.role is Role.CUT),
        key=lambda shape: -shape.area,
    )
    scored = [
        LineString([(a, b), (c, d)]) for a, b, c, d in pieces([i for i in drawn if i.role in (Role.MARK, Role.TICK)])
    ]
    words = [item for item in engravings(drawn) if len(item.runs) > 1]
    for item in words:
        strokes = MultiLineString(item.runs)
        assert outline.contains(strokes)
        assert all(window.distance(strokes) > 0.3 for window in windows)
        assert all(line.distance(strokes) > 0.3 for line in scored), item
    for one, other in combinations(words, 2):
        assert not bounds(one).overlaps(bounds(other))


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize(
    ("template", "name"), [*(("head", name) for name in BANJOS), *(("top", name) for name in ARCHED)]
)
def test_words_are_clear_on_the_part(template, name, hand):
    tables = ("head",) if template == "head" else ("notches", "heights", "arch")
    piece = templates()[template].part(measured(name, *tables, hand=hand), Options())
    assert_engraving_clear(piece.drawing)
    assert has(piece.drawing, "treble")
    assert has(piece.drawing, "bass")
    assert has(piece.drawing, "to nut", 3.5) if template == "head" else has(piece.drawing, "tailpiece")


@pytest.mark.parametrize("stem", sorted(ODD))
def test_no_odd_instrument_is_refused_a_template_for_its_name(stem):
    workup = work_up(parse(ODD[stem].encode(), f"{stem}.toml"))
    if workup.instrument.head.kind == "banjo":
        pytest.skip("a banjo has no top template")
    piece = templates()["top"].part(workup, Options(stem=stem))
    assert_engraving_clear(piece.drawing)
    assert engravings(piece.drawing)


@pytest.mark.parametrize(("template", "name"), [("head", "banjo"), ("top", "mandolin")])
def test_name_too_wide_for_the_part_falls_back_to_the_file(template, name):
    tables = {"rim": {"head": 279.4, "fret_12_to_near_edge": 157}} if template == "head" else {}
    piece = templates()[template].part(edited(name, {"name": LONG}, **tables), Options(stem="loan-7"))
    assert has(piece.drawing, "loan-7")
    assert engraved(Text((0, 0), LONG, SMALL)) not in engravings(piece.drawing)
    assert_engraving_clear(piece.drawing)


def test_part_without_room_for_words_is_drawn_with_a_note():
    """One string over a board of 12 mm."""
    text = ODD["one-string"] + "[board]\nnut_width = 12\nend_width = 12\n"
    narrow = work_up(parse(text.encode(), "narrow.toml"))
    piece = templates()["top"].part(narrow, Options())
    assert "engraving-left-off" in {note.code for note in piece.notes}
    assert not has(piece.drawing, "treble")


def test_legend_names_the_notches_only_where_they_are_drawn():
    for tables, named in (((), False), (("notches",), True)):
        sheets = lay_out(measured("mandolin", *tables), templates()["top"], PAPERS["a4"], Options())
        shown = " ".join(words_of(sheet.drawing) for sheet in sheets)
        assert ("at the edges the f-holes' notches" in shown) is named
        assert has(templates()["top"].part(measured("mandolin", *tables), Options()).drawing, "f-hole") is named
