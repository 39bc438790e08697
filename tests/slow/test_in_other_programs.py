"""A cut file opens at 1:1 in the programs that people have: every corner of the lines to cut is within 0.1 mm.

The points that a program finds are laid on ours by the middle of their box. So the notch and the shoulders of a
gauge, and the edge and the window of a top, are as far apart as they are in the file.
"""

import shutil
import subprocess

import numpy as np
import pytest
from readers import (
    dxf_loops,
    dxf_points_by_drawing_add_on,
    dxf_points_by_librecad,
    dxf_points_by_ogr,
    svg_loops,
)
from samples import cut_files, with_template

WITHIN_MM = 0.1
pytestmark = pytest.mark.slow
every_file = pytest.mark.parametrize(
    ("template", "name"), [("gauge", "banjo"), ("head", "banjo"), ("top", "mandolin"), ("fretboard", "banjo")]
)


def dxf_of(template, name):
    return cut_files(template, with_template(template, name, hand="left"), formats="dxf", kerf_mm=0.15)["dxf"]


def corner_and_size(points):
    left, top = points.real.min(), points.imag.min()
    return complex(left, top), complex(points.real.max() - left, points.imag.max() - top)


def assert_true_size(content, found):
    loops = dxf_loops(content)
    ours = np.concatenate([loop.points() for loop in loops])
    (corner, size), (their_corner, their_size) = corner_and_size(ours), corner_and_size(found)
    assert abs(their_size.real - size.real) < WITHIN_MM, "wide"
    assert abs(their_size.imag - size.imag) < WITHIN_MM, "high"
    ends = np.array([edge.start for loop in loops for edge in loop.edges])
    shift = their_corner + their_size / 2 - corner - size / 2
    off = [abs(found - end - shift).min() for end in ends]
    assert max(off) < WITHIN_MM


@every_file
@pytest.mark.usefixtures("librecad")
def test_librecad_prints_the_part_at_true_size_and_whole_and_no_guides(template, name, tmp_path):
    content = dxf_of(template, name)
    found, page = dxf_points_by_librecad(content, tmp_path)
    assert_true_size(content, found)
    assert min(found.real.min(), found.imag.min()) > 5
    assert found.real.max() < page.real - 5
    assert found.imag.max() < page.imag - 5


@every_file
@pytest.mark.usefixtures("ogr")
def test_ogr_reads_the_part_at_true_size(template, name, tmp_path):
    content = dxf_of(template, name)
    assert_true_size(content, dxf_points_by_ogr(content, tmp_path))


@every_file
def test_the_drawing_add_on_draws_the_part_at_true_size(template, name):
    content = dxf_of(template, name)
    assert_true_size(content, dxf_points_by_drawing_add_on(content))


@pytest.mark.usefixtures("librecad")
def test_librecad_would_show_a_file_whose_scale_on_paper_is_0(tmp_path):
    """As the library writes it by itself: the part comes out as a speck."""
    content = dxf_of("gauge", "banjo")
    scale = b"$PSVPSCALE\n 40\n"
    assert scale + b"1.0\n" in content
    found, _ = dxf_points_by_librecad(content.replace(scale + b"1.0\n", scale + b"0.0\n"), tmp_path)
    with pytest.raises(AssertionError, match="wide"):
        assert_true_size(content, found)


@pytest.mark.skipif(shutil.which("inkscape") is None, reason="Inkscape is not installed; Debian has it as inkscape")
@pytest.mark.parametrize(("template", "name"), [("gauge", "banjo"), ("head", "banjo"), ("top", "mandolin")])
def test_inkscape_reads_a_millimetre_as_a_millimetre(template, name):
    """It gives sizes in px, 96 to the inch (CSS 2.1, 4.3.2), with the stroke's width about them."""
    content = cut_files(template, with_template(template, name), formats="svg")["svg"]
    shown = subprocess.run(
        ["inkscape", "--query-all", "--pipe"], input=content, capture_output=True, check=True, timeout=60
    ).stdout.decode()
    found = {id_: [float(n) / 96 * 25.4 for n in rest] for id_, *rest in (line.split(",") for line in shown.split())}
    stroke = 0.1
    assert found["reference"][2:] == pytest.approx([100 + stroke, 50 + stroke], abs=0.01)
    for loop in svg_loops(content):
        corner, size = corner_and_size(loop.points())
        expected = [corner.real - stroke / 2, corner.imag - stroke / 2, size.real + stroke, size.imag + stroke]
        assert found[loop.name] == pytest.approx(expected, abs=0.01), loop.name
