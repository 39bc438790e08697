"""Readings and sounds at the bench to advice and rounds."""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict
from typing import Any

from jigs.faults import InputFaults
from jigs.page import readings as outer_readings
from jigs.page import rounds, words
from jigs.page.diagnosing import diagnosis_of, leads, rows_to_read
from jigs.page.faults_at_fields import fault_list, note_list
from jigs.page.form.fields import label_of
from jigs.page.heard import in_sound, next_step
from jigs.page.request import Malformed, Reply, Request, json_reply
from jigs.page.rounds import round_of
from jigs.readings.advice import Advice
from jigs.readings.one_end import has_two_moves, one_end_of
from jigs.templates.catalogue import COMPUTED
from jigs.workup.work_up import without_found, work_up

ONE_END = "one-end"
"""What is asked for besides, not empty: a move of one end at a time."""


def advised(request: Request, diagnose: bool = False) -> Advice:
    """The advice on what was read or heard, in the round that begins where the request says. Raises `InputFaults`."""
    advice = _for_both_ends(request, diagnose)
    return one_end_of(advice) if request.asked.get(ONE_END) else advice


def _for_both_ends(request: Request, diagnose: bool) -> Advice:
    workup = work_up(request.instrument())
    if request.draw.get(COMPUTED, "").strip():
        workup = without_found(workup)
    given = {key: text.strip() for key, text in request.readings.items() if text.strip()}
    return outer_readings.advice_on_outer(workup, given, request.start, request.heard, diagnose)


def _readings(request: Request) -> Reply:
    return _answered(request, diagnose=False)


def _diagnose(request: Request) -> Reply:
    return _answered(request, diagnose=True)


def _answered(request: Request, diagnose: bool) -> Reply:
    try:
        both = _for_both_ends(request, diagnose)
    except InputFaults as wrong:
        octave_fret = request.instrument().octave_fret
        return json_reply({"faults": fault_list(wrong.faults, request.source, octave_fret), "notes": []})
    advice = one_end_of(both) if request.asked.get(ONE_END) else both
    return json_reply({**_as_dict(advice, request), "two_moves": has_two_moves(both), "faults": []})


def _as_dict(advice: Advice, request: Request) -> Mapping[str, Any]:
    """All that the page shows of an advice."""
    from jigs.readings import moves_picture
    from jigs.readings.note_words import notes
    from jigs.readings.words import advice_lines, verdict_line

    after, done, rows = advice.next, round_of(advice), rows_to_read(advice)
    return {
        "lines": [asdict(line) for line in advice_lines(advice, label_of)],
        "verdict": None if advice.verdict is None else advice.verdict.value,
        "kind": verdict_line(advice).kind,
        "next": None if after is None else after.as_dict(),
        "round": None if done is None else done.as_dict(),
        "picture": moves_picture.as_svg(advice).decode(),
        "rounds_picture": rounds.as_picture(request.rounds, advice.workup, advice),
        "leads": leads(advice, rows),
        "rows": rows,
        "diagnosis": diagnosis_of(advice),
        "notes": note_list(notes(advice), request.source),
    }


def _rounds(request: Request) -> Reply:
    listed = (words.round_lines(number, one) for number, one in enumerate(request.rounds, 1))
    picture = None
    with suppress(InputFaults):  # an instrument with a fault still has its list
        picture = rounds.as_picture(request.rounds, work_up(request.instrument()))
    return json_reply(
        {"rounds": [[asdict(line) for line in lines] for lines in listed], "picture": picture, "faults": []}
    )


def _heard(request: Request) -> Reply:
    return json_reply(next_step(work_up(request.instrument()), request.heard, request.plucks))


def listen(body: bytes) -> Reply:
    """What a sound says: the query, a line's end, and the WAV. Raises `Malformed` and `InputFaults`."""
    query, _, sound = body.partition(b"\n")
    said = in_sound(query.decode("latin-1"), sound)
    if said is None:
        raise Malformed
    return json_reply(said)


ROUTES = {"readings": _readings, "diagnose": _diagnose, "rounds": _rounds, "heard": _heard}
