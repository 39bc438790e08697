"""What a rack, the page and a pluck cost, beside what was asked for: the last lines of ``ratios.py``."""

import os
import shutil
import statistics
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path

COUNT, TURNS, DRAWN_AGAIN, PLUCKED_AGAIN = 1000, 2, 5, 3


def rack(report, of_the_floor, as_fast):
    """Each instrument of a thousand against its sheets drawn bare, in processor time; one core against two by the clock."""
    import rack as racks

    with tempfile.TemporaryDirectory() as scratch:
        os.environ["XDG_CONFIG_HOME"] = scratch
        home = Path(scratch)
        shelves = {size: racks.instruments(home / f"shelf-{size}", size) for size in (1, COUNT)}
        found = {case: [] for case in ((1, 1), (COUNT, 1), (COUNT, 2))}
        for _ in range(TURNS):
            for (size, jobs), runs in found.items():
                runs.append(racks.run(shelves[size], "--out", home / "out", "--jobs", jobs))
                shutil.rmtree(home / "out")
    least = {case: racks.least(runs) for case, runs in found.items()}
    each = (least[COUNT, 1][1] - least[1, 1][1]) / (COUNT - 1)
    what = f"each instrument of a rack of {COUNT}, against its sheets drawn bare"
    report(what, each, bare_sheets(), of_the_floor, "1.25")
    report(f"a rack of {COUNT} on two cores, against one", least[COUNT, 2][0], least[COUNT, 1][0], as_fast, "1.8")


def bare_sheets():
    """Mean processor time of drawing a fork's sheets bare, PDF and SVG, over all presets, which a rack has in turn."""
    import bare

    from jigs.instrument.opening import open_instrument, preset_names
    from jigs.press.layout import lay_out
    from jigs.sheets.paper import PAPERS
    from jigs.templates.options import Options
    from jigs.templates.template import templates
    from jigs.workup.work_up import work_up

    def once(sheets):
        began = time.process_time()
        for drawn, width, height in sheets:
            bare.pdf(drawn, width, height)
            bare.svg(drawn, width, height)
        return time.process_time() - began

    costs = []
    for name in preset_names():
        sheets = lay_out(work_up(open_instrument(name)), templates()["fork"], PAPERS["a4"], Options())
        drawn = [(bare.primitives(one), one.paper.width_mm, one.paper.height_mm) for one in sheets]
        costs.append(min(once(drawn) for _ in range(DRAWN_AGAIN)))
    return statistics.mean(costs)


def key_to_picture(beside):
    """From a key in a field to the picture that it makes, in a real browser."""
    import page

    sys.path.append(str(Path(__file__).resolve().parents[1]))
    from served import serving

    browser = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if browser is None:
        print("there is no browser here to measure in")
        return
    with tempfile.TemporaryDirectory() as scratch, serving(scratch) as running:
        seconds = page.in_a_browser(running, browser)
    beside("from a key to the picture on the screen, median", statistics.median(seconds), "under 100 ms")


def pluck_pair(beside):
    """An open string and its octave, found in the sound and followed: processor time on one core."""
    import ear_cost

    pairs = []
    for sound, open_hz, _ in ear_cost.recordings():
        plucks = ear_cost.plucks_in(sound, ear_cost.RATE_HZ)

        def follow(sound=sound, open_hz=open_hz, plucks=plucks):
            ear_cost.plucks_in(sound, ear_cost.RATE_HZ)
            for times, pluck in enumerate(plucks, 1):
                with suppress(ear_cost.Unheard):
                    ear_cost.partials_of(sound, ear_cost.RATE_HZ, pluck, times * open_hz)

        pairs.append(min(ear_cost.milliseconds(follow) for _ in range(PLUCKED_AGAIN)) / 1000)
    beside("a pair of plucks, found and followed, median", statistics.median(pairs), "under 50 ms")
