"""Rounds at the bench, written into a log and read back: the checks of that round trip."""

import json
from dataclasses import asdict
from functools import cache

import numpy as np
from hypothesis import strategies as st
from instruments import edited
from odd_instruments import odd
from samples import PRESETS, preset

from geometry.readings import USUAL_ERRORS
from jigs.page.rounds import round_of, rounds_from
from jigs.readings import run
from jigs.readings.advice import advise
from jigs.readings.as_json import as_dict
from jigs.readings.checked import checked, rows_from_options
from jigs.readings.log import read, step_of
from jigs.readings.rounds import first_start, start_from
from jigs.readings.words import advice_lines

ODD = ("dulcimer", "stepped-nut", "twelve-courses", "fan", "bass-banjo")
BY_ALL = "by all strings"
ROUNDS = 3
STARTS = (None, "line", "place")
"""Where the bridge stood at first: nobody says it, or on the line of a sheet, or at a place that was measured."""

CENTS = st.integers(-250, 250).map(lambda tenths: f"{tenths / 10:+.1f}")
AS_LOGGED = 5e-5
"""Half of the last decimal that a log has."""


@cache
def bench(name):
    """The workup of an instrument that is read at a bench. One has its line by all strings: none is to read zero."""
    if name == BY_ALL:
        return edited(
            "banjo",
            head={"name": "By all strings"},
            compensation={"bridge_fit": "all"},
            bridge={"steps": [0.5, 0.0, 1.5, 0.0, 0.0]},
        )
    return odd(name) if name in ODD else preset(name)


@st.composite
def readings(draw, workup):
    """A round as options: outer strings mostly, sometimes others, each read once or more, now and then at another fret."""
    strings = draw(st.lists(st.sampled_from(range(len(workup.instrument.strings))), max_size=2, unique=True))
    given = []
    for n in dict.fromkeys([*workup.outer_strings, *strings]):
        given.append(("string", str(n + 1)))
        for _ in range(draw(st.integers(1, 3))):
            given += [("harmonic", draw(CENTS)), ("fretted", draw(CENTS))]
    if draw(st.integers(0, 3)) == 0:
        given += [("fret", "3"), ("open", "0"), ("fretted", draw(CENTS))]
    return given


@st.composite
def benchwork(draw, names=(*PRESETS, *ODD, BY_ALL), starts=STARTS):
    """An instrument, where its bridge stood at first as the user says it, and the readings of its rounds."""
    name = draw(st.sampled_from(names))
    workup = bench(name)
    treble, bass = (round(place + draw(st.integers(-30, 30)) / 10, 1) for place in workup.outer_places_mm)
    start = draw(st.sampled_from(starts))
    stands_at = f"{treble} / {bass}" if start == "place" else start
    return name, stands_at, [draw(readings(workup)) for _ in range(ROUNDS)]


def assert_log_goes_on_as_the_advice_did(folder, case):
    """Round by round: the step that is read is the one that was advised, and the next advice follows from either alike."""
    name, stands_at, rounds = case
    workup, path = bench(name), folder / "bench.log"
    other = bench("banjo" if name != "banjo" else "mandolin")
    last = None
    for number, given in enumerate(rounds, 1):
        said = stands_at if number == 1 else None
        advice = run.advice(workup, given, None, said, (None, None), False, str(path))
        assert_same_advice(advice, in_memory(workup, given, said, last))
        run.keep(advice, str(path), None)
        (step,) = [each for each in read(path) if each.instrument == workup.instrument.name][number - 1 :]
        assert step == step_of(advice, number)
        assert step.next == advice.next
        assert_line_says_the_advice(path.read_bytes().splitlines()[-1], advice)
        assert_page_goes_on_too(advice)
        run.keep(in_memory(other, [("string", "1"), ("harmonic", "0"), ("fretted", "2")], None, None), str(path), None)
        last = advice


def in_memory(workup, given, said, last):
    """The advice on these readings after the last one, without a log."""
    start = first_start(said, workup) if said is not None else None if last is None else last.next
    return advise(workup, checked(rows_from_options(given), workup), start, USUAL_ERRORS, False)


def assert_same_advice(one, other):
    assert as_dict(one) == as_dict(other)
    assert [asdict(line) for line in advice_lines(one)] == [asdict(line) for line in advice_lines(other)]


def assert_line_says_the_advice(line, advice):
    """Every number that the user saw, to the decimals of a log."""
    kept, said = json.loads(line), as_dict(advice)
    for key in ("strings", "moves", "before", "after", "next", "verdict", "relative"):
        assert_near(kept[key], said[key])


def assert_near(kept, said):
    if isinstance(said, dict):
        assert set(kept) == set(said)
        [assert_near(kept[key], said[key]) for key in said]
    elif isinstance(said, list | tuple):
        [assert_near(one, other) for one, other in zip(kept, said, strict=True)]
    elif isinstance(said, float):
        np.testing.assert_allclose(kept, said, rtol=0, atol=AS_LOGGED * 1.001)
    else:
        assert kept == said


def assert_page_goes_on_too(advice):
    """What the browser sends back is the round that was advised, and where the bridge stands after it."""
    done, start = round_of(advice), advice.next
    sent = json.loads(json.dumps(None if done is None else done.as_dict()))
    assert done is None or rounds_from([sent]) == (done,)
    assert start is None or start_from(json.loads(json.dumps(start.as_dict()))) == start
