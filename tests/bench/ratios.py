"""What everything costs, in one table: ``OPENBLAS_NUM_THREADS=1 python tests/bench/ratios.py``. It checks nothing.

Each line has our cost, what it is compared with, their ratio and the ratio asked for, all of one run. Whole processes run in
turns, so that a busy machine slows both alike. Each figure is the median of the runs, or the least processor time.
The floor of `jigs draw` imports the libraries and uses each. It checks one number, and draws as many lines and words in the
same typeface. It writes SVG with svgwrite; a second floor does so with the standard library, as the program does.
What ``asked.py`` measures comes last: a rack, the page and a pluck.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
import timeit
from dataclasses import fields
from pathlib import Path

from jigs.instrument.file import parse
from jigs.instrument.opening import open_instrument, preset_text
from jigs.press.layout import lay_out

ROOT = Path(__file__).resolve().parents[2]
RUNS, WARM_RUNS = 25, 80

BARE_DRAW = """
import sys
from typing import Annotated

import click
import numpy
import pydantic
import svgwrite
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

class One(pydantic.BaseModel):
    scale: Annotated[float, pydantic.Field(ge=0)] = 1.0


One.model_validate({"scale": 352.4})
out, font, lines, words = sys.argv[1], sys.argv[2], int(sys.argv[3]), sys.argv[4].split("|")
pdfmetrics.registerFont(TTFont("words", font))
canvas = Canvas(out + "/bare.pdf", pageCompression=0, invariant=1)
for n in range(lines):
    canvas.setLineWidth(0.5)
    canvas.line(10, n, 100, n)
for n, word in enumerate(words):
    canvas.setFont("words", 9)
    canvas.drawString(10, n, word)
canvas.showPage()
canvas.save()
svg = svgwrite.Drawing(out + "/bare.svg", size=("210mm", "297mm"), viewBox="0 0 210 297", debug=False)
for n in range(lines):
    svg.add(svg.line((10, n), (100, n), stroke="black", stroke_width=0.5))
for n, word in enumerate(words):
    svg.add(svg.text(word, insert=(10, n), font_size=3.4))
svg.save()
"""

BARE_SVG = BARE_DRAW.index("svg = svgwrite")
BARE_DRAW_ALONE = (
    BARE_DRAW[:BARE_SVG].replace("import svgwrite\n", "from xml.etree import ElementTree\n")
    + """
svg = ElementTree.Element("svg", xmlns="http://www.w3.org/2000/svg", width="210mm", height="297mm", viewBox="0 0 210 297")
for n in range(lines):
    ends = {"x1": "10", "y1": str(n), "x2": "100", "y2": str(n)}
    svg.append(ElementTree.Element("line", {**ends, "stroke": "black", "stroke-width": "0.5"}))
for n, word in enumerate(words):
    text = ElementTree.Element("text", {"x": "10", "y": str(n), "font-size": "3.4"})
    text.text = word
    svg.append(text)
ElementTree.ElementTree(svg).write(out + "/bare.svg", encoding="utf-8", xml_declaration=True)
"""
)
"""The same without svgwrite."""

BARE_CLICK = """
import click


@click.group()
def main():
    "A program."


@main.command()
def one():
    "A command."


@main.command()
def two():
    "A command."


@main.command()
def three():
    "A command."


@main.command()
def four():
    "A command."


main(["--help"])
"""


def medians(*commands):
    """Median seconds of each command, run by turns, with compiled modules as an installation has them."""
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    found = [[] for _ in commands]
    for _ in range(RUNS):
        for times, command in zip(found, commands, strict=True):
            began = time.perf_counter()
            subprocess.run(command, check=True, capture_output=True, env=environment)
            times.append(time.perf_counter() - began)
    return [statistics.median(times) for times in found]


def report(what, ours, theirs, ratio, asked=""):
    print(f"{what:<64} {1000 * ours:9.3f} ms  {1000 * theirs:9.3f} ms  {ratio(ours, theirs):<24} {asked}", flush=True)


def beside(what, ours, asked):
    """A cost that has no floor, only a limit."""
    print(f"{what:<64} {1000 * ours:9.3f} ms  {'':>12}  {'':<24} {asked}", flush=True)


def whole_process(folder):
    from jigs.drawing.items import Path as Run
    from jigs.drawing.items import Text
    from jigs.drawing.lettering import FONT_FILE
    from jigs.sheets.paper import PAPERS
    from jigs.templates.options import Options
    from jigs.templates.template import templates
    from jigs.workup.work_up import work_up

    workup = work_up(open_instrument("mandolin"))
    (sheet,) = lay_out(workup, templates()["fork"], PAPERS["a4"], Options())
    drawn = sheet.drawing
    words = [item.text for item in drawn if isinstance(item, Text)]
    lines = sum(len(item.runs) if isinstance(item, Run) else 1 for item in drawn if not isinstance(item, Text))
    ours = [sys.executable, "-m", "jigs", "draw", "mandolin", "--out", folder]
    floor = [sys.executable, "-c", BARE_DRAW, folder, str(FONT_FILE), str(lines), "|".join(words)]
    alone = [sys.executable, "-c", BARE_DRAW_ALONE, *floor[3:]]
    mine, bare, without = medians(ours, floor, alone)
    report(f"jigs draw mandolin, against {lines} lines and {len(words)} words", mine, bare, of_the_floor, "1.15")
    report("the same against a floor without svgwrite", mine, without, of_the_floor)
    peak_memory(folder, floor)


def peak_memory(folder, floor):
    """Largest resident size of a whole process, in MB, of ours and of the floor."""
    ours = [sys.executable, "-m", "jigs", "draw", "mandolin", "--out", folder]
    mine, bare = (min(resident_mb(command) for _ in range(5)) for command in (ours, floor))
    print(f"{'peak memory of jigs draw mandolin':<64} {mine:9.1f} MB  {bare:9.1f} MB  {of_the_floor(mine, bare)}")


def resident_mb(command):
    script = (
        "import resource, subprocess, sys\n"
        "subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, check=True)\n"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024)\n"
    )
    return float(subprocess.run([sys.executable, "-c", script, *command], check=True, capture_output=True).stdout)


def warm_drawings():
    """A sheet to PDF and SVG against the same primitives with the bare libraries; from file to bytes beside it."""
    import bare

    from jigs.export.pdf import to_pdf
    from jigs.export.svg import to_svg
    from jigs.press import press
    from jigs.press.order import Order
    from jigs.sheets.paper import PAPERS
    from jigs.templates.options import Options
    from jigs.templates.template import templates
    from jigs.workup.work_up import work_up

    text = preset_text("mandolin").encode()
    fork, parsed = templates()["fork"], parse(text, "bench")
    (sheet,) = lay_out(work_up(parsed), fork, PAPERS["a4"], Options())
    drawn, width, height = bare.primitives(sheet), sheet.paper.width_mm, sheet.paper.height_mm

    def whole():
        return press.prepare(work_up(parse(text, "bench")), Order(), "bench")

    def drawn_again():
        return press.prepare(work_up(parsed), Order(), "bench")

    works = {
        "pdf": lambda: to_pdf([sheet], "a", "b"),
        "svg": lambda: to_svg(sheet, "a", "b"),
        "bare pdf": lambda: bare.pdf(drawn, width, height),
        "bare svg": lambda: bare.svg(drawn, width, height),
        "again": drawn_again,
        "whole": whole,
    }
    cost = least_by_turns(works)
    both = cost["bare pdf"] + cost["bare svg"]
    report("a warm sheet to PDF, against the same primitives drawn bare", cost["pdf"], cost["bare pdf"], of_the_floor)
    report(
        "a warm sheet to SVG, against the same primitives drawn bare",
        cost["svg"],
        cost["bare svg"],
        of_the_floor,
        "1.3",
    )
    report("from a parsed file to both, warm, against both drawn bare", cost["again"], both, of_the_floor, "1.6")
    report("from the bytes of the file to both, against both drawn bare", cost["whole"], both, of_the_floor)


def least_by_turns(works):
    """The least processor seconds of each work: they run in turns, so that a busy spell slows all alike."""
    found = {name: [] for name in works}
    for _ in range(WARM_RUNS):
        for name, work in works.items():
            found[name].append(timeit.timeit(work, number=1, timer=time.process_time))
    return {name: min(times) for name, times in found.items()}


def a_thousand():
    """The mean cost of each of a thousand instruments, all different, against one alone, warm, fork to PDF and SVG."""
    from jigs.press import press
    from jigs.press.order import Order
    from jigs.workup.work_up import work_up

    def draw(scale_mm):
        text = preset_text("mandolin").replace('scale = "13 7/8 in"', f"scale = {scale_mm}")
        workup = work_up(parse(text.encode(), "bench"))
        return press.prepare(workup, Order(), "bench")

    draw(350)
    one = statistics.median(timeit.repeat(lambda: draw(351), number=1, repeat=40))
    began = time.perf_counter()
    for n in range(1000):
        draw(345 + n / 100)
    report("each of a thousand instruments, against one alone", (time.perf_counter() - began) / 1000, one, of_the_floor)


def help_text():
    mine, bare = medians([sys.executable, "-m", "jigs", "--help"], [sys.executable, "-c", BARE_CLICK])
    report("jigs --help, against a bare click program", mine, bare, of_the_floor)


def setbacks():
    import numpy as np
    from scipy import optimize

    from geometry.compensation import Objective
    from geometry.compensation import setbacks as ours
    from geometry.fretting import NUDGE, FrettedStrings, error_cents, octave_cents
    from jigs.workup.work_up import work_up

    model = work_up(open_instrument("banjo")).model
    count = len(model.length_mm)
    each = [FrettedStrings(*(getattr(model, f.name)[n : n + 1] for f in fields(model))) for n in range(count)]
    uncut = np.zeros(1)

    def by_brent():
        def solve(one):
            return optimize.brentq(lambda s: octave_cents(one, np.array([s]), uncut)[0], -20, 40, xtol=1e-12)

        return [solve(one) for one in each]

    def by_hybrid_powell():
        return [optimize.root(lambda s, one=one: octave_cents(one, s, uncut), 0.0, tol=1e-13).x[0] for one in each]

    def by_gradient(free):
        """scipy's root finder on the gradient of the sum of squares, derivatives by the complex step."""
        nudges = 1j * NUDGE * np.eye(2)[:free, :, None]

        def gradient(at, one):
            place = np.append(at, 0.0)[:2, None] + nudges
            errors = error_cents(one, place[:, 0], place[:, 1])[..., 0, :12]
            return (errors.imag / NUDGE) @ errors[0].real

        return [optimize.root(gradient, np.zeros(free), args=(one,), tol=1e-14).x[0] for one in each]

    def by_least_squares(free):
        """scipy's own tool for a least-squares aim, with its own derivatives: slower and less exact."""

        def errors(at, one):
            return error_cents(one, at[:1], at[1:] if free == 2 else uncut)[0, :12]

        return [
            optimize.least_squares(errors, np.zeros(free), args=(one,), xtol=1e-14, ftol=1e-14, gtol=1e-14).x[0]
            for one in each
        ]

    rivals = (
        (Objective.OCTAVE, "brentq", by_brent),
        (Objective.OCTAVE, "root", by_hybrid_powell),
        (Objective.ALL_FRETS, "root", lambda: by_gradient(1)),
        (Objective.ALL_FRETS, "least_squares", lambda: by_least_squares(1)),
        (Objective.NUT_AND_SADDLE, "root", lambda: by_gradient(2)),
        (Objective.NUT_AND_SADDLE, "least_squares", lambda: by_least_squares(2)),
    )
    for objective, name, rival in rivals:
        mine = min(timeit.repeat(lambda o=objective: ours(model, o, 12), number=50, repeat=7)) / 50
        theirs = min(timeit.repeat(rival, number=2, repeat=5)) / 2
        report(f"setbacks of a banjo, {objective.value}, against scipy's {name}", mine, theirs, as_fast)
        apart = np.abs(ours(model, objective, 12).setback_mm - rival()).max()
        print(f"{'':<64} answers differ by {apart:.1e} mm")


def of_the_floor(ours, theirs):
    return f"{ours / theirs:6.2f} times the floor"


def as_fast(ours, theirs):
    return f"{theirs / ours:6.1f} times as fast"


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    os.environ.setdefault(
        "OPENBLAS_NUM_THREADS", "1"
    )  # as the program has it; before numpy is imported, in the processes
    import asked

    print(f"{'':<64} {'ours':>12}  {'theirs':>12}  {'ratio':<24} asked")
    with tempfile.TemporaryDirectory() as scratch:
        whole_process(scratch)
    help_text()
    warm_drawings()
    setbacks()
    a_thousand()
    asked.rack(report, of_the_floor, as_fast)
    asked.key_to_picture(beside)
    asked.pluck_pair(beside)
