"""Readings and sounds at the bench to advice and rounds."""

from dataclasses import asdict

from jigs.faults import InputFaults
from jigs.page import readings as outer_readings
from jigs.page import words
from jigs.page.faults_at_fields import fault_list, note_list
from jigs.page.form.fields import label_of
from jigs.page.heard import in_sound, next_step
from jigs.page.request import Malformed, Reply, Request, json_reply
from jigs.page.rounds import round_of
from jigs.templates.catalogue import COMPUTED
from jigs.workup.work_up import without_found, work_up


def _readings(request: Request) -> Reply:
    from jigs.readings import moves_picture
    from jigs.readings.note_words import notes
    from jigs.readings.words import advice_lines

    workup = work_up(request.instrument())
    if request.draw.get(COMPUTED, "").strip():
        workup = without_found(workup)
    given = {key: text.strip() for key, text in request.readings.items() if text.strip()}
    try:
        advice = outer_readings.advice_on_outer(workup, given, request.start, request.heard)
    except InputFaults as wrong:
        listed = fault_list(wrong.faults, request.source, workup.instrument.octave_fret)
        return json_reply({"faults": listed, "notes": []})
    after, done = advice.next, round_of(advice)
    return json_reply(
        {
            "lines": [asdict(line) for line in advice_lines(advice, label_of)],
            "verdict": None if advice.verdict is None else advice.verdict.value,
            "next": None if after is None else after.as_dict(),
            "round": None if done is None else done.as_dict(),
            "picture": moves_picture.as_svg(advice).decode(),
            "notes": note_list(notes(advice), request.source),
            "faults": [],
        }
    )


def _rounds(request: Request) -> Reply:
    listed = (words.round_lines(number, one) for number, one in enumerate(request.rounds, 1))
    return json_reply({"rounds": [[asdict(line) for line in lines] for lines in listed], "faults": []})


def _heard(request: Request) -> Reply:
    return json_reply(next_step(work_up(request.instrument()), request.heard, request.plucks))


def listen(body: bytes) -> Reply:
    """What a sound says: the query, a line's end, and the WAV. Raises `Malformed` and `InputFaults`."""
    query, _, sound = body.partition(b"\n")
    said = in_sound(query.decode("latin-1"), sound)
    if said is None:
        raise Malformed
    return json_reply(said)


ROUTES = {"readings": _readings, "rounds": _rounds, "heard": _heard}
