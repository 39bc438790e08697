"""Whether a place that was found by ear and kept is worth what its sheet says, once other strings are on the instrument.

Ten thousand instruments that fit one file, drawn in tests/plausible_world.py. Each is played in tune by ear, its place goes
into the file's ``[found]``, it gets other strings, and a fork is drawn for them. The true line for these strings must lie
within the ± that the sheet prints, 95 times in 100. ``pytest -s`` shows the table.

How well an ear finds a place is common practice, without a source: 0.3 mm at either end, one standard deviation. What such
places are worth with other strings comes from a simulation that shares no code with this project.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
import plausible_world as plausible
import pytest
from instruments import edited

from geometry.tolerance import CALIBRATED_PRINT_SHARE, Spread
from jigs.workup.sureness import how_sure

pytestmark = pytest.mark.slow

DRAWS = 10_000
EAR_MM = 0.3
LEAST_INSIDE, MOST_INSIDE = 0.93, 0.97
AS_SIMULATED = 0.15
PRINTERS = {"calibrated": CALIBRATED_PRINT_SHARE, "as it comes": Spread().print_share}
STEPS = {"straight": None, "stepped": (-1.2, 1.2, -0.6, 1.0)}
ENDS = ("treble", "bass")
THEN = {
    "banjo": "D4 .010, B3 .012, G3 .014, D3 .022w, G4 .010",
    "mandolin": "E5 .011, A4 .015, D4 .026w, G3 .040w",
}
LATER = {
    "banjo": {"light": ".009 .011 .013 .020w .009", "medium": ".011 .013 .016 .024w .011"},
    "mandolin": {"light": ".010 .014 .024w .038w", "medium": ".0115 .016 .026w .041w"},
}
SETS = [(name, gauges) for name, sets in LATER.items() for gauges in sets]
SAME_PACKET = "same packet"
MAKES = {"same make": True, "another make": False}
WAYS = {"from the nut": None, "feet from fret 12": 12}
OF_ONE_MAKE_MM = {"banjo": (0.30, 0.32), "mandolin": (0.31, 0.35)}
BASS_OF_ANOTHER_MAKE_MM = {"banjo": 0.87, "mandolin": 1.26}


@dataclass(frozen=True)
class Kept:
    """A place that was found and kept, and the strings that came later.

    ``fret`` is what the feet were measured from; None for the crown, from the nut. ``core_share``: the later strings' cores
    were measured, and are that share of their gauges.
    """

    name: str
    gauges: str
    same_make: bool = True
    fret: int | None = None
    saddle: str = "straight"
    ear_mm: float = EAR_MM
    core_share: float | None = None

    def of_then(self):
        """The instrument with the strings that the place was found with, before anybody found it."""
        return self._workup(THEN[self.name].replace(",", "").split()[1::2])

    def of_later(self, **found):
        """The instrument with the later strings, and with such a found place."""
        gauges = LATER[self.name].get(self.gauges)
        later = THEN[self.name].replace(",", "").split()[1::2] if gauges is None else gauges.split()
        return self._workup(later, self.core_share, found)

    def _workup(self, gauges, core_share=None, found=None):
        strings = {n: {"gauge": gauge} for n, gauge in enumerate(gauges)}
        for string in strings.values():
            if core_share and string["gauge"].endswith("w"):
                string["core"] = core_share * 25.4 * float(string["gauge"][:-1])
        steps = STEPS[self.saddle] and np.resize(STEPS[self.saddle], len(gauges)).tolist()
        return edited(self.name, strings=strings, bridge={"steps": steps}, found=found or {})

    def filed(self, place_mm):
        """The instrument with the later strings and with its place in the file, as it was measured: treble, bass."""
        keys = ("treble", "bass") if self.fret is None else ("feet_treble", "feet_bass")
        place = dict(zip(keys, map(float, place_mm), strict=True)) | ({"fret": self.fret} if self.fret else {})
        sure = {"plus_minus": 1.96 * self.ear_mm, "same_make": self.same_make}
        return self.of_later(**place, **sure, strings=THEN[self.name])


@dataclass(frozen=True)
class Drawn:
    """What became of all instruments with a kept place: arrays (draws, 2), treble and bass.

    ``measured_mm`` as the file has their places. ``true`` are the instruments with the later strings; ``true_mm`` is where
    their crown truly belongs, behind the theoretical line, and ``line_mm`` where the program has it, from the nut.
    ``workup`` is that of one such file: what the sheet prints is the same on all.
    """

    workup: object
    measured_mm: np.ndarray
    true: plausible.World
    true_mm: np.ndarray
    line_mm: np.ndarray

    def off_from(self, fret):
        """How far the program's line is off before it is printed and laid, from a fret that is where it truly is."""
        shorter = 2 ** (-fret / 12)
        return self.line_mm - self.workup.scale_mm * (1 - shorter) - self.true.scale * shorter - self.true_mm

    def laid_from(self, fret, print_share):
        """How far the marks of a fork are off, printed and laid, that starts at a fret."""
        random = np.random.default_rng([fret, int(1e6 * print_share)])
        laid = plausible.laid(self.workup, self.line_mm, print_share, random, DRAWS, fret)
        return laid - self.true.scale * 2 ** (-fret / 12) - self.true_mm


@cache
def drawn(kept):
    """The whole way of a kept place; the program's line follows the place in the file, millimetre by millimetre."""
    random = np.random.default_rng([2027, *repr(kept).encode()])
    then, later = kept.of_then().instrument, kept.of_later().instrument
    neck, makes = plausible.neck_of(then, random, DRAWS), plausible.make_of(later, random, DRAWS)
    of_then = makes if kept.same_make else plausible.make_of(then, random, DRAWS)
    by_ear = plausible.true_places(plausible.strung(neck, of_then, then, random), then)
    by_ear = by_ear + random.normal(0, kept.ear_mm, by_ear.shape)
    measured = by_ear + neck.scale
    if kept.fret:
        before_crown = then.head.fret_crown_width / 2 + then.bridge.face_mm
        measured = by_ear + neck.scale * 2 ** (-kept.fret / 12) - before_crown
    typical = np.round(measured.mean(axis=0), 1)
    workup = kept.filed(typical)
    true = plausible.strung(neck, makes, later, random)
    line = workup.line.at(workup.outer_mm) + measured - typical
    return Drawn(workup, measured, true, plausible.true_places(true, later), line)


def rms(off):
    return np.sqrt(np.mean(off**2, axis=0))


def assert_as_sure_as_printed(what, off, workup, **sheet):
    """The true line lies within the ± often enough, and not too often."""
    sure = how_sure(workup, **sheet)
    half = np.array([sure.of_line(x).half_width_mm for x in workup.outer_mm.tolist()])
    inside = np.mean(abs(off) <= half, axis=0)
    rows = [
        f"{what:70} {end:6} ± {half[n]:.2f} mm  inside {100 * inside[n]:.1f}%  rms {rms(off)[n]:.2f} mm"
        for n, end in enumerate(ENDS)
    ]
    print("", *rows, sep="\n")
    assert np.all((inside >= LEAST_INSIDE) & (inside <= MOST_INSIDE)), rows


def assert_fork_as_sure(kept, printer="calibrated", fret=12):
    """The same for a fork that starts at a fret."""
    made, share = drawn(kept), PRINTERS[printer]
    what = f"{kept.name}, {kept.gauges}, {kept.saddle}, feet {kept.fret}, fork {fret}, {printer}, same {kept.same_make}"
    assert_as_sure_as_printed(what, made.laid_from(fret, share), made.workup, datum_fret=fret, print_share=share)


@pytest.mark.parametrize("make", MAKES)
@pytest.mark.parametrize("printer", PRINTERS)
@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("saddle", STEPS)
@pytest.mark.parametrize(("name", "gauges"), SETS)
def test_fork_for_other_strings_is_as_sure_as_it_prints(name, gauges, saddle, way, printer, make):
    assert_fork_as_sure(Kept(name, gauges, MAKES[make], WAYS[way], saddle), printer)


@pytest.mark.parametrize("name", THEN)
@pytest.mark.parametrize("fret", [5, 17])
def test_fork_at_another_fret_than_the_feet_were_measured_from_is_as_sure_as_it_prints(name, fret):
    assert_fork_as_sure(Kept(name, "light", fret=12), fret=fret)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize(("name", "gauges"), SETS)
def test_place_for_other_strings_is_as_sure_with_a_tape(name, gauges, way):
    made = drawn(Kept(name, gauges, fret=WAYS[way]))
    by_hand = np.random.default_rng(7).normal(0, np.hypot(0.1, 0.25), (DRAWS, 1))
    assert_as_sure_as_printed(f"{name}, {gauges}, {way}, tape", made.off_from(0) + by_hand, made.workup, tape=True)


@pytest.mark.parametrize("make", MAKES)
@pytest.mark.parametrize("name", THEN)
def test_new_set_from_the_same_packet_is_as_sure_as_its_fork_prints(name, make):
    assert_fork_as_sure(Kept(name, SAME_PACKET, MAKES[make], 12))


@pytest.mark.parametrize("make", MAKES)
@pytest.mark.parametrize("gauges", ["light", SAME_PACKET])
@pytest.mark.parametrize("name", THEN)
def test_core_measured_on_later_strings_says_nothing_of_those_of_another_make(name, gauges, make):
    assert_fork_as_sure(Kept(name, gauges, MAKES[make], 12, core_share=0.44))


@pytest.mark.parametrize("ear_mm", [0.1, 1.0])
@pytest.mark.parametrize("name", THEN)
def test_surer_or_less_sure_ear_counts_as_the_file_says(name, ear_mm):
    assert_fork_as_sure(Kept(name, "medium", fret=12, ear_mm=ear_mm))


@pytest.mark.parametrize("saddle", STEPS)
@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize(("name", "gauges"), SETS)
def test_kept_place_is_worth_as_much_with_other_strings_as_simulated_elsewhere(name, gauges, way, saddle):
    alike, other = (
        rms(drawn(Kept(name, gauges, make, WAYS[way], saddle)).off_from(WAYS[way] or 0)) for make in (True, False)
    )
    print(f"\n{name}, {gauges}, {way}, {saddle}: rms {alike.round(3)} mm, bass of another make {other[1]:.3f} mm")
    assert alike == pytest.approx(np.array(OF_ONE_MAKE_MM[name]), rel=AS_SIMULATED)
    assert other[1] == pytest.approx(BASS_OF_ANOTHER_MAKE_MM[name], rel=AS_SIMULATED)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", THEN)
def test_each_of_the_instruments_by_itself_has_the_line_that_was_simulated_for_it(name, way):
    kept = Kept(name, "light", fret=WAYS[way], saddle="stepped")
    made = drawn(kept)
    for n in range(0, DRAWS, DRAWS // 20):
        alone = kept.filed(made.measured_mm[n])
        assert np.array(alone.outer_places_mm) == pytest.approx(made.line_mm[n], abs=0.04)
