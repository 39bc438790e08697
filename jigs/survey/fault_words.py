"""What `jigs survey` says of a file that it cannot use."""

from collections.abc import Sequence
from dataclasses import replace

from geometry.lengths import format_mm, round_half_up
from geometry.robust import SurveyError
from jigs.faults import Fault, Option, Says, either, spoken
from jigs.input.words import shown

EXAMPLE = "1, 19.8"
TOML_EXAMPLE = 'frets = [[1, 19.8], [2, "38.5 mm"]]'
WRITE_LINES = f"write a line for each fret: its number and its distance from the nut, as in {EXAMPLE}"


def plain_mm(mm: float) -> str:
    """A distance as precise as a rule or a caliper reads it."""
    return format_mm(mm, 1) if abs(mm) >= 100 else f"{round_half_up(mm, 2)} mm"


def too_many_lines(count: int, most: int) -> Says:
    """More readings than a board has frets to take."""
    return Says(f"there are {count} lines of readings", f"keep {most} or fewer", "survey-too-many")


def line_too_long() -> Says:
    """A line that holds more than a fret."""
    return Says("this line is too long", f"write one fret a line, as in {EXAMPLE}", "survey-line-too-long")


def one_column(cell: str) -> Says:
    """Cells with nothing between them."""
    remedy = f"write fret, comma, distance on every line, as in {EXAMPLE}"
    return Says(f"{shown(cell)} is one column, not two", remedy, "survey-one-column")


def no_readings() -> Says:
    """A file without a fret."""
    return Says("this file holds no readings", WRITE_LINES, "survey-empty")


def no_rows(missing: bool) -> Says:
    """A TOML file without its rows."""
    what = "the list of frets is missing" if missing else "this is not a list of rows"
    return Says(what, f"write each fret with its distance, {TOML_EXAMPLE}", "survey-no-rows")


def empty_row() -> Says:
    """A row with nothing in it."""
    return Says("this row is empty", f"write {TOML_EXAMPLE}, or remove the row", "survey-row-empty")


def no_name(value: object, longest: int) -> Says:
    """A name that cannot be printed."""
    remedy = f'write up to {longest} characters in quotes, as in "Old mandolin"'
    return Says(f"{shown(value)} is not a name", remedy, "survey-name")


def no_distance(cell: object) -> Says:
    """A fret without a distance."""
    remedy = "measure from the nut to the fret, or remove the line"
    return Says(f"fret {shown(cell)} has no distance", remedy, "survey-no-distance")


def no_fret_number(cell: object, most: int) -> Says:
    """Something else where a fret's number is meant."""
    remedy = f"write a whole number from 1 to {most}, then the distance"
    return Says(f"{shown(cell)} is not a fret's number", remedy, "survey-fret-unread")


def no_such_fret(text: str, most: int) -> Says:
    """A number that no fret has."""
    return Says(f"there is no fret {text}", f"frets count from 1 to {most}", "survey-fret-unknown")


def fret_of_nought() -> Says:
    """The nut as a fret."""
    return Says("fret 0 is the nut, where all distances begin", "remove the line", "survey-fret-nought")


def _more(count: int) -> str:
    return f", with {count} more like it" if count else ""


def with_more(fault: Fault, count: int) -> Fault:
    """A fault that others are like."""
    return replace(fault, what=(spoken(fault.what), _more(count)))


def split_by_comma(first: str, second: str, more: int) -> Says:
    """A decimal comma that makes one distance two."""
    what = f"a comma seems to be a decimal point: {first},{second} reads as two distances{_more(more)}"
    return Says(what, f"write {first}.{second}", "survey-split-by-comma")


def readings_apart(fret: int, low_mm: float, high_mm: float, also: str) -> Says:
    """Readings of one fret that cannot be of one fret. ``also``: the place of the second, if it is another one."""
    second = f"{plain_mm(high_mm)} ({also})" if also else plain_mm(high_mm)
    what = f"fret {fret} was read at {plain_mm(low_mm)} and at {second}, too far apart for one fret"
    return Says(what, "check the fret's number, and measure again", "survey-readings-apart")


def not_rising(fret: int, far_mm: float, before: int, near_mm: float) -> Says:
    """A fret that does not lie beyond the one before it."""
    what = f"fret {fret} at {plain_mm(far_mm)} does not lie beyond fret {before} at {plain_mm(near_mm)}"
    remedy = "measure both again, from the nut, and check that their lines are not swapped"
    return Says(what, remedy, "survey-not-rising")


def no_survey(error: SurveyError, octave: int) -> Says:
    """Distances that `geometry.survey` refuses. ``octave``: the fret that does alone.

    >>> no_survey(SurveyError("one-fret-not-octave", 7, 1, 2), 12).what
    'fret 7 is one reading for two unknowns, scale and nut offset'
    """
    what, remedy = {
        "one-fret-not-octave": (
            f"fret {error.fret} is one reading for two unknowns, scale and nut offset",
            f"measure a second fret far from it (all of them are best), or fret {octave} alone",
        ),
        "too-few-frets": (f"there are {error.measured} frets", f"measure {error.needed} or more"),
        "frets-not-numbered": (f"fret {error.fret} is out of order", "write the frets from 1 upwards, each once"),
        "distances-not-rising": (f"fret {error.fret} does not lie beyond the one before it", "measure both again"),
    }[error.code]
    return Says(what, remedy, f"survey-{error.code}")


def no_scale(scale_mm: float, low_mm: float, high_mm: float, perhaps: Sequence[tuple[str, str]]) -> Says:
    """Distances of a board that no instrument has. ``perhaps``: units that fit, and a distance in each."""
    range_ = f"{low_mm:g} to {high_mm:g} mm"
    what = f"these distances make a scale of {plain_mm(scale_mm)}; instruments have {range_}"
    remedy = "measure from the front edge of the nut to the frets, and check the frets' numbers"
    if perhaps:
        written = either([f'"{length}"' for _, length in perhaps])
        remedy = f"for {either([unit for unit, _ in perhaps])} write the unit, as in {written}"
    return Says(what, remedy, "survey-no-scale")


def behind_the_bridge(fret: int, mm: float, bridge_mm: float) -> Says:
    """A fret that lies where no fret can."""
    what = f"fret {fret} at {plain_mm(mm)} lies behind the bridge line, which the others put at {plain_mm(bridge_mm)}"
    return Says(what, "measure it again", "survey-behind-bridge")


def too_few_to_draw() -> Says:
    """A board of so few frets that none can be off."""
    remedy = ("measure three frets or more, or remove ", Option("format"))
    return Says("so few frets give nothing to draw", remedy, "survey-nothing-to-draw")


def no_picture() -> Says:
    """An option of a picture, without the option that draws it."""
    return Says("this is for the picture", ("add ", Option("format", "pdf"), ", or remove this"), "survey-no-picture")
