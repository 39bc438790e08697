"""The example files open in independent programs, and an SVG shows what the PDF prints. For all other files: tests/slow."""

import io

import pytest
from rasters import by_pdfium, by_resvg, differing, page_count, wordless_pdf, wordless_svg
from samples import ROOT
from validity import assert_dxf_is_valid, assert_pdf_is_valid, assert_svg_is_valid

from jigs.templates.catalogue import CUT_FROM_STOCK

pytestmark = pytest.mark.slow

EXAMPLES = ROOT / "out_examples"
FORK = EXAMPLES / "loan-banjo-7-fork.svg"


def examples(suffix):
    found = sorted(EXAMPLES.glob(f"*.{suffix}"))
    assert found
    return found


def pictures():
    """Every page that is in a PDF and in an SVG: (PDF, page, SVG). The SVG of parts to cut is another sheet."""
    for pdf in examples("pdf"):
        if not pdf.stem.endswith((*CUT_FROM_STOCK, "kit")):
            yield from ((pdf, n, svg) for n, svg in enumerate(pages_of(pdf)))


def pages_of(pdf):
    """The SVG files of a PDF's pages, those with words alone last."""
    alone = pdf.with_suffix(".svg")
    drawn = [alone] if alone.exists() else sorted(EXAMPLES.glob(f"{pdf.stem}-[0-9].svg"))
    return [*drawn, *sorted(EXAMPLES.glob(f"{pdf.stem}-words*.svg"))]


@pytest.mark.parametrize("path", examples("pdf"), ids=lambda path: path.stem)
def test_viewer_opens_an_example_without_repairs(path, tmp_path):
    assert_pdf_is_valid(path.read_bytes(), tmp_path / "one.pdf")


@pytest.mark.parametrize("path", examples("svg"), ids=lambda path: path.stem)
def test_example_has_nothing_that_the_svg_standard_lacks(path):
    assert_svg_is_valid(path.read_bytes())


@pytest.mark.parametrize("path", examples("dxf"), ids=lambda path: path.stem)
def test_example_needs_no_repair_in_a_cutters_program(path):
    assert_dxf_is_valid(path.read_bytes())


@pytest.mark.parametrize(("pdf", "page", "svg"), list(pictures()), ids=lambda part: getattr(part, "stem", ""))
def test_example_on_the_screen_is_the_one_on_paper(pdf, page, svg):
    if page == 0:
        assert page_count(pdf.read_bytes()) == len(pages_of(pdf))
    printed = by_pdfium(wordless_pdf(pdf.read_bytes()), page)
    count, together = differing(printed, by_resvg(wordless_svg(svg.read_bytes())))
    assert count < 0.005 * printed.size
    assert together <= 4


@pytest.mark.parametrize("cut", [slice(None, -200), slice(400, None)], ids=["end", "beginning"])
def test_check_finds_a_torn_pdf(cut, tmp_path):
    import pikepdf

    content = FORK.with_suffix(".pdf").read_bytes()
    with pytest.raises((AssertionError, pikepdf.PdfError), match=r"qpdf|damaged"):
        assert_pdf_is_valid(content[cut], tmp_path / "one.pdf")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"<line ", b"<lines "),
        (b"stroke-width", b"strokewidth"),
        (b' x2="', b' x2="nan'),
        (b' id="layer-cut"', b' id="layer-text"'),
        (b'height="297mm"', b'height="297"'),
        (b"</g></svg>", b"</svg>"),
    ],
)
def test_check_finds_svg_that_the_standard_lacks(old, new):
    content = FORK.read_bytes()
    assert old in content
    with pytest.raises((AssertionError, SyntaxError)):
        assert_svg_is_valid(content.replace(old, new, 1))


def test_check_finds_a_dxf_that_needs_repair():
    import ezdxf

    content = (EXAMPLES / "loan-banjo-7-gauge.dxf").read_bytes()
    document = ezdxf.read(io.StringIO(content.decode()))
    document.modelspace().query("LWPOLYLINE").first.dxf.linetype = "GONE"
    text = io.StringIO()
    document.write(text)
    with pytest.raises(AssertionError):
        assert_dxf_is_valid(text.getvalue().encode())


@pytest.mark.parametrize("change", ["gone", "moved"])
def test_tick_that_only_one_format_has_is_seen(change):
    import xml.etree.ElementTree as ET

    content = wordless_svg(FORK.read_bytes())
    root = ET.fromstring(content)
    layer = next(group for group in root if group.get("id") == "layer-score")
    tick = layer[len(layer) // 2]
    if change == "gone":
        layer.remove(tick)
    else:
        tick.set("transform", "translate(0.25 0.25)")
    before, after = by_resvg(content), by_resvg(ET.tostring(root))
    assert differing(before, before) == (0, 0)
    count, together = differing(before, after)
    assert together > 4, (count, ET.tostring(tick))
