"""The library's grammar of attributes stays unread until somebody asks it to check, and then it checks."""

import subprocess
import sys

import pytest


def in_a_new_process(code):
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60).stdout


def test_a_drawing_does_not_wait_for_the_grammar():
    loaded = in_a_new_process(
        "import sys\n"
        "from jigs.export.svg import _svgwrite\n"
        "_svgwrite()\n"
        "print('svgwrite.base' in sys.modules, 'svgwrite.data.svgparser' in sys.modules)"
    )
    assert loaded.split() == ["True", "False"]


@pytest.mark.parametrize(("path", "drawn"), [("M 1 2 L 3 4", True), ("M one two", False)])
def test_who_asks_the_library_to_check_is_answered(path, drawn):
    checked = in_a_new_process(
        "from jigs.export.svg import _svgwrite\n"
        "svg = _svgwrite().Drawing(debug=True)\n"
        "try:\n"
        f"    svg.add(svg.path(d={path!r}))\n"
        "    print(len(svg.tostring()) > 0)\n"
        "except TypeError as refused:\n"
        "    print('is not a valid value' not in str(refused))"
    )
    assert checked.split() == [str(drawn)]
