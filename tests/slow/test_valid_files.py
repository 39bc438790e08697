"""The files of the examples, and of a hundred random instruments, open in every program and look the same in each.

The pictures are compared on one grid of pixels, at 150 dots to the inch. They are without words, because an SVG's words
are in a typeface of the reader's machine. ``--junitxml`` keeps what each test measured.
"""

from collections import Counter
from dataclasses import dataclass, replace
from functools import cached_property
from importlib import import_module

import pytest
from hostile import as_file, instruments
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from rasters import Chromium, by_pdfium, by_poppler, by_resvg, differing, page_count, wordless_pdf, wordless_svg
from samples import ROOT
from share import share
from sources import MODULES, relative
from validity import assert_dxf_is_valid, assert_pdf_is_valid, assert_poppler_opens, assert_svg_is_valid

from jigs.cutting.cut_sheet import cut_sheet
from jigs.cutting.cutter import Cutter, Pen
from jigs.drawing.items import CUT_LAYERS
from jigs.export.formats import FORMATS, ON_PAPER
from jigs.export.pdf import to_pdf
from jigs.export.svg import to_svg
from jigs.faults import InputFaults
from jigs.instrument.file import parse
from jigs.instrument.opening import stem_for
from jigs.page.readings import advice_on_outer
from jigs.press import press
from jigs.press.layout import title_of
from jigs.press.order import Order
from jigs.printers import check_sheet as printer_sheet
from jigs.printers.printer import Printer, paper_key, rectangle_mm
from jigs.readings import moves_picture
from jigs.sheets.paper import PAPERS, paper_named
from jigs.templates.catalogue import CUT_FROM_STOCK, NAMES
from jigs.templates.names import engraved_name, printed_name
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.work_up import work_up

GROUPS, EACH = share(25), 4
TRIED = 6 * EACH
MOST_DIFFERING = 0.005
"""Share of all pixels that differ by over half a grey scale."""

MOST_TOGETHER = 4
"""Differing pixels that touch. Poppler moves lines onto pixels, so this is for the other renderers. A millimetre of a line
is six pixels."""

pytestmark = pytest.mark.slow


@dataclass(frozen=True)
class Sight:
    """A sheet as it is in a PDF and as it is in an SVG."""

    name: str
    pdf: bytes
    page: int
    svg: bytes

    @cached_property
    def wordless(self):
        return wordless_pdf(self.pdf)

    @cached_property
    def pdfium(self):
        return by_pdfium(self.wordless, self.page)

    @cached_property
    def poppler(self):
        return by_poppler(self.wordless, self.page)

    @cached_property
    def resvg(self):
        return by_resvg(wordless_svg(self.svg))


@dataclass(frozen=True)
class Batch:
    """Files by name, the sheets among them that are in two formats, and how often each template was drawn."""

    files: dict
    sights: list
    drawn: Counter

    def of(self, suffix):
        return {name: content for name, content in self.files.items() if name.endswith(f".{suffix}")}


def pages_of(files, stem):
    """The SVG files of a PDF's pages, those with words alone last."""
    numbers = ("", *range(1, 100))
    names = [f"{stem}{f'-{n}' if n else ''}.svg" for n in numbers] + [f"{stem}-words{n}.svg" for n in numbers]
    return [files[name] for name in names if name in files]


def sights_of(files):
    """The sheets that are both in a PDF and in an SVG, page by page.

    Parts to cut have an SVG of their own, and few have one of each page as well. A kit has none of its page.
    """
    found = []
    for name, pdf in files.items():
        stem = name.removesuffix(".pdf")
        if name == stem or stem.endswith("-kit"):
            continue
        to_cut = stem.endswith(tuple(CUT_FROM_STOCK))
        pages = pages_of(files, f"{stem}-page" if to_cut else stem)
        assert len(pages) == page_count(pdf) or (to_cut and not pages), name
        found += [Sight(f"{stem} {n + 1}", pdf, n, svg) for n, svg in enumerate(pages)]
    return found


def sight_of_part(workup, template, options, svg):
    """A part to cut, whose own PDF is the page: the sheet that is in its SVG through both exporters."""
    piece = templates()[template].part(workup, options)
    title = title_of(engraved_name(workup, options.stem), piece, options)
    sheet = cut_sheet(piece.drawing, title, options.cutter.kerf_mm)
    words = f"{piece.document}: {printed_name(workup, options.stem)}", f"Scale 1:1, {sheet.paper.name}"
    assert to_svg(sheet, *words, options.cutter.styles, CUT_LAYERS) == svg
    return Sight(f"{template} to cut", to_pdf([sheet], *words), 0, to_svg(sheet, *words))


def examples():
    """What `jigs demo` draws, and its parts to cut."""
    from jigs.demo.examples import BENCH_MANDOLIN, demo_workups

    files = {path.name: path.read_bytes() for path in sorted((ROOT / "out_examples").iterdir())}
    sights = sights_of(files)
    for name, workup in demo_workups().items():
        options = Options(wedges=name == BENCH_MANDOLIN, stem=stem_for(name))
        for template in sorted(CUT_FROM_STOCK):
            svg = files.get(f"{options.stem}-{template}.svg")
            sights += [sight_of_part(workup, template, options, svg)] if svg else []
    return Batch(files, sights, Counter())


@st.composite
def printers(draw, paper):
    """A printer that was measured on this paper, somewhat off across, down and askew."""
    width, height = rectangle_mm(paper)
    across, down = draw(st.floats(-0.02, 0.02)), draw(st.floats(-0.02, 0.02))
    askew = draw(st.floats(-0.4, 0.4))
    diagonal = (width**2 + height**2) ** 0.5 * (1 + (across + down) / 2)
    read = {"across": (width * (1 + across),) * 2, "down": (height * (1 + down),) * 2}
    read |= {"diagonals": (diagonal + askew, diagonal - askew)} if draw(st.booleans()) else {}
    return Printer("Kitchen", paper_key(paper), width, height, 0.25, read)


@st.composite
def orders(draw):
    """An instrument's file, an order for it, and readings of a tuner."""
    paper = paper_named(draw(st.sampled_from([*PAPERS, "200x300", "320x450"])))
    pens = st.dictionaries(
        st.sampled_from(CUT_LAYERS), st.builds(Pen, st.floats(0.01, 0.5), st.sampled_from(["#ff0000", "#0000ff"]))
    )
    cutter = st.builds(
        Cutter,
        kerf_mm=st.sampled_from([0.0, 0.15, 0.4]),
        corner_mm=st.floats(0, 3),
        stock_mm=st.floats(0.3, 3),
        pens=pens,
    )
    options = st.builds(Options, datum_over_fret=st.booleans(), to_bridge=st.booleans(), cutter=cutter)
    cents = st.floats(-25, 25).map("{:.1f}".format)
    tones = {"treble-harmonic": cents, "treble-fretted": cents, "bass-harmonic": cents, "bass-fretted": cents}
    return {
        "file": as_file(draw(instruments())),
        "paper": paper,
        "options": draw(options),
        "untiled": draw(st.integers(0, 3)) == 0,
        "printer": draw(st.one_of(st.none(), printers(paper))),
        "readings": draw(st.fixed_dictionaries(tones)),
    }


def load_all_modules():
    """Hypothesis also draws constants of loaded modules. So a test alone would draw others than it does among tests."""
    for path in MODULES:
        import_module(relative(path).removesuffix(".py").removesuffix("/__init__").replace("/", "."))


def instruments_of(number):
    """Orders whose files are accepted, with their workups: always the same ones for a number."""
    load_all_modules()
    drawn, found = [], []

    @seed(number)
    @settings(
        max_examples=TRIED,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(orders())
    def draw(order):
        drawn.append(order)

    draw()
    # Hypothesis begins with plain examples that are much alike, so the last come first.
    for order in reversed(drawn):
        try:
            found.append((order, work_up(parse(order["file"], "mine.toml"))))
        except InputFaults:
            continue
        if len(found) == EACH:
            return found
    raise AssertionError(f"only {len(found)} of {TRIED} instruments were accepted")


def random_batch(number):
    """Everything of a few instruments, on their own paper or on a larger one if needed."""
    batch = Batch({}, [], Counter())
    for n, (order, workup) in enumerate(instruments_of(number)):
        stem = f"{number}-{n}"
        for template in NAMES:
            options, files = drawn(order, workup, template, stem)
            batch.files.update(files)
            batch.sights.extend(sights_of(files))
            batch.drawn[template] += bool(files)
            if files and template in CUT_FROM_STOCK:
                (svg,) = (content for name, content in files.items() if name.endswith(".svg"))
                batch.sights.append(sight_of_part(workup, template, options, svg))
        if order["printer"]:
            made = printer_sheet.files(order["paper"], ON_PAPER, order["printer"])
            made = {f"{stem}-{name}": content for name, content in made.items()}
            batch.files.update(made)
            batch.sights.extend(sights_of(made))
        pictured = moves_of(order, workup)
        if pictured:
            svg, pdf = pictured
            batch.files[f"{stem}-moves.svg"] = svg
            batch.sights.append(Sight(f"{stem}-moves", pdf, 0, svg))
    return batch


def drawn(order, workup, template, stem):
    """Options that the instrument can follow, and a template's files: none where the instrument lacks a measurement."""
    for paper in (order["paper"], PAPERS["a3"], paper_named("450x640")):
        for options in (order["options"], Options(cutter=order["options"].cutter)):
            one = Order(
                (template,), paper, FORMATS, options, order["printer"], order["untiled"], leave_out=True, sure=True
            )
            try:
                made = press.prepare(workup, one, stem)
            except InputFaults:
                continue
            if not made.missing:
                return replace(options, stem=stem), made.files
    return order["options"], {}


def moves_of(order, workup):
    """The page's picture of the readings, and the same sheet as a PDF; None where they are refused."""
    try:
        advice = advice_on_outer(workup, order["readings"])
    except InputFaults:
        return None
    sheet = moves_picture.on_own_sheet(advice)
    return moves_picture.as_svg(advice), to_pdf([sheet], sheet.title.document, sheet.title.facts)


@pytest.fixture(scope="module", params=["examples", *range(GROUPS)])
def batch(request):
    return examples() if request.param == "examples" else random_batch(request.param)


@pytest.fixture(scope="module")
def viewer(browser):
    opened = Chromium(browser)
    yield opened
    opened.close()


def assert_alike(pairs, record_property, what, most_together=None):
    """Pictures differ in few pixels, and in few that touch. The record names the worst."""
    found = []
    for name, one, other in pairs:
        count, together = differing(one, other)
        found.append((count / one.size, count, together, name))
    worst = max(found)
    record_property(what, f"{100 * worst[0]:.5f} % {worst[1]} px {max(each[2] for each in found)} together {worst[3]}")
    assert worst[0] < MOST_DIFFERING, worst
    assert most_together is None or max(each[2] for each in found) <= most_together, found


def test_no_program_refuses_or_repairs_a_file(batch, tmp_path, record_property):
    for suffix, check in (
        ("pdf", lambda content: assert_pdf_is_valid(content, tmp_path / "one.pdf")),
        ("svg", assert_svg_is_valid),
        ("dxf", assert_dxf_is_valid),
    ):
        files = batch.of(suffix)
        assert files
        record_property(suffix, len(files))
        for content in files.values():
            check(content)
    record_property("drawn", dict(batch.drawn))


def test_an_instrument_gets_every_template_that_needs_no_extra_measurement(batch):
    always = set(NAMES) - CUT_FROM_STOCK
    assert not batch.drawn or all(batch.drawn[template] == EACH for template in always), batch.drawn


def test_svg_shows_what_the_pdf_prints(batch, record_property):
    record_property("sheets", len(batch.sights))
    for content in batch.of("svg").values():
        by_resvg(content, dpi=20)
    pairs = ((sight.name, sight.pdfium, sight.resvg) for sight in batch.sights)
    assert_alike(pairs, record_property, "PDFium and resvg", MOST_TOGETHER)


def test_browser_shows_what_the_pdf_prints(batch, viewer, record_property):
    for content in batch.of("svg").values():
        viewer.opened(content)
    pairs = ((sight.name, sight.pdfium, viewer.picture(wordless_svg(sight.svg))) for sight in batch.sights)
    assert_alike(pairs, record_property, "PDFium and Chromium", MOST_TOGETHER)


@pytest.mark.usefixtures("poppler")
def test_poppler_prints_the_pdf_as_the_svg_shows_it(batch, record_property):
    for content in batch.of("pdf").values():
        assert_poppler_opens(content)
    pairs = ((sight.name, sight.poppler, sight.resvg) for sight in batch.sights)
    assert_alike(pairs, record_property, "poppler and resvg")


def test_a_complaint_of_the_browser_fails(viewer):
    good = (ROOT / "out_examples" / "loan-banjo-7-fork.svg").read_bytes()
    viewer.opened(good)
    with pytest.raises(AssertionError, match="Expected"):
        viewer.opened(good.replace(b' d="M ', b' d="M nan ', 1))


@pytest.mark.usefixtures("poppler")
def test_a_complaint_of_poppler_fails():
    good = (ROOT / "out_examples" / "loan-banjo-7-fork.pdf").read_bytes()
    assert_poppler_opens(good)
    with pytest.raises(AssertionError, match="xref"):
        assert_poppler_opens(good[:-200])
