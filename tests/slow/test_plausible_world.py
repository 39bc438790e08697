"""Whether the line truly belongs within the ± that the sheet prints, 95 times in 100, and in its middle on average.

Twenty thousand instruments that fit each preset's file, drawn in tests/plausible_world.py. The file says what a player can
read off: scale, action, and the strings as their packets print them. ``pytest -s`` shows the table.
"""

import numpy as np
import plausible_world
import pytest
import tomlkit
from samples import PRESETS

from geometry.tolerance import CALIBRATED_PRINT_SHARE, Spread
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.workup.sureness import how_sure
from jigs.workup.work_up import work_up

pytestmark = pytest.mark.slow

DRAWS = 20_000
LEAST_INSIDE, MOST_INSIDE = 0.93, 0.97
MOST_MEAN_MM = np.array([0.1, 0.2])
PRINTERS = {"calibrated": CALIBRATED_PRINT_SHARE, "as it comes": Spread().print_share}
STEPPED_SADDLE = (-1.2, 1.2, -0.6, 1.0)
ENDS = ("treble", "bass")
KNOWN_CORE = {"core": lambda gauge_mm: 0.44 * gauge_mm, "turns": lambda gauge_mm: 20 / (0.56 * gauge_mm)}
"""A core of 0.44 of the gauge, as its owner measures it, and as turns of wrap in 10 mm."""


def read_off(name, steps=False, aim="octave", core_key=None):
    """A preset with what a packet and a rule say, and no more; with ``core_key``, core or turns of its wound strings.

    If the preset itself has a core, it stays in the file: its user reads the ± that comes of it.
    """
    text = preset_text(name)
    file, entries = tomlkit.parse(text), parse(text.encode(), name).strings
    for table, keys in {"tail": ["slip"], "action": ["finger", "press"], "bridge": ["steps"], "nut": ["steps"]}.items():
        for key in keys:
            file.get(table, {}).pop(key, None)
    file.pop("tolerance", None)
    for string, entry in zip(file["strings"], entries, strict=True):
        if entry.is_wound:
            string["wound"] = True
        if entry.is_wound and core_key:
            string[core_key] = KNOWN_CORE[core_key](entry.gauge)
    if steps:
        file["bridge"]["steps"] = np.resize(STEPPED_SADDLE, len(entries)).tolist()
    file.setdefault("compensation", {})["tune_to"] = aim
    return work_up(parse(tomlkit.dumps(file).encode(), name))


def printed_mm(workup, print_share):
    """The ± on the sheet at both outer strings: treble, bass."""
    sure = how_sure(workup, print_share=print_share)
    return np.array([sure.of_line(float(workup.across_mm[n])).half_width_mm for n in workup.outer_strings])


def assert_as_sure_as_printed(workup, printer, what, cores_known=False):
    """The true line lies within the ± often enough, and not too often; on average it is where the sheet has it."""
    seed = [2024, *what.encode()]
    off = plausible_world.misses(workup, PRINTERS[printer], np.random.default_rng(seed), DRAWS, cores_known)
    half = printed_mm(workup, PRINTERS[printer])
    inside, mean, rms = np.mean(abs(off) <= half, axis=0), off.mean(axis=0), np.sqrt(np.mean(off**2, axis=0))
    rows = [
        f"{what:44}{end:8}± {half[n]:.2f} mm  inside {100 * inside[n]:.1f}%  rms {rms[n]:.2f}  mean {mean[n]:+.3f} mm"
        for n, end in enumerate(ENDS)
    ]
    print("", *rows, sep="\n")
    assert np.all((inside >= LEAST_INSIDE) & (inside <= MOST_INSIDE)), rows
    assert np.all(abs(mean) < MOST_MEAN_MM), rows


@pytest.mark.parametrize("printer", PRINTERS)
@pytest.mark.parametrize("saddle", ["straight", "stepped"])
@pytest.mark.parametrize("name", PRESETS)
def test_line_truly_belongs_within_the_printed_range_95_times_in_100(name, saddle, printer):
    workup = read_off(name, steps=saddle == "stepped")
    assert_as_sure_as_printed(workup, printer, f"{name}, {saddle}, {printer}")


@pytest.mark.parametrize("name", ["mandolin", "banjo"])
def test_line_for_all_frets_belongs_within_its_range_too(name):
    assert_as_sure_as_printed(read_off(name, aim="all frets"), "calibrated", f"{name}, all frets")


def test_measured_core_or_counted_turns_buy_a_smaller_range_that_is_as_true():
    workups = [read_off("mandolin", core_key=key) for key in (None, "core", "turns")]
    unknown, measured, counted = (printed_mm(workup, CALIBRATED_PRINT_SHARE)[1] for workup in workups)
    assert measured < counted < 0.85 * unknown
    for workup, what in zip(workups[1:], ("core measured", "turns counted"), strict=True):
        assert_as_sure_as_printed(workup, "calibrated", f"mandolin, {what}", cores_known=True)
