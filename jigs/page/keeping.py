"""A place that was found by ear, kept: the new text of the instrument file, as ``jigs keep`` would write it."""

import datetime
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from geometry.readings import Verdict
from jigs.faults import Fault, InputFaults, Key, Option, Place, spoken
from jigs.page import bench_words as words
from jigs.page.bench import advised
from jigs.page.faults_at_fields import fault_list, note_list
from jigs.page.form.fields import label_of
from jigs.page.form.forms import KEEP
from jigs.page.request import Reply, Request, json_reply
from jigs.readings.advice import ENDS
from jigs.readings.keep_words import kept_in_words
from jigs.readings.kept_place import Given, instrument_before, table_for, with_place
from jigs.readings.log import Step, step_of

_FIELD_OF = {
    "at": "treble",
    "feet-from-fret": "treble",
    "ticks": "treble",
    "wedges": "treble",
    "plus-minus": "plus-minus",
    "date": "date",
    "strings": "strings",
}
"""The field of a fault at an option of the command."""

_LABELS = {"at": words.HOW["at"], "sure": words.KEEP_ANYWAY}
"""Options that are called otherwise here than elsewhere on the page."""

_OF_THE_FRET = "keep-fret-unknown"

CONFIRMED = frozenset(("keep-far-from-computed", "keep-ticks-of-which-sheet", "slant-refused"))
"""Codes of what the user may confirm."""


def _keep(request: Request) -> Reply:
    """``asked``: how the user knows the place, the place, and what `Given` takes besides; ``sure``: whatever it is."""
    content, source = request.instrument_text().encode(), request.source
    try:
        before = instrument_before(content, source)
        table = table_for(before, _given(request), datetime.date.today(), lambda: _this_round(request))
        kept = with_place(content, table, before, source)
    except InputFaults as wrong:
        listed = fault_list([_at_its_field(fault) for fault in wrong.faults], source)
        may_confirm = all(fault.code in CONFIRMED for fault in wrong.faults)
        return json_reply({"faults": listed, "notes": [], "may_confirm": may_confirm})
    name = request.name or request.own_file
    lines = kept_in_words(kept.workup, kept.before, kept.on_paper, name, kept.zero, _called)
    return json_reply(
        {
            "text": kept.content.decode(),
            "name": name,
            "lines": [f"{line[:1].upper()}{line[1:]}" for line in lines],
            "notes": note_list(kept.workup.notes, source),
            "faults": [],
        }
    )


def _given(request: Request) -> Given:
    """What was filled in, as the command line takes it. Raises `InputFaults`."""
    asked = {key: text.strip() for key, text in request.asked.items() if text.strip()}
    return Given(
        **_place(asked),
        plus_minus=asked.get("plus-minus"),
        date=asked.get("date"),
        strings=asked.get("strings"),
        print_share=_print_share(request.draw.get("printer", "").strip()),
        sure="sure" in asked,
    )


def _place(asked: Mapping[str, str]) -> dict[str, Any]:
    """The place as the user knows it. Raises `InputFaults`."""
    how = asked.get("how", "")
    if how == "round":
        return {"log": ""}
    if how not in words.HOW:
        raise words.no_way(how).refusal(Place(table=KEEP, key="how"))
    ends = [asked[end] for end in ENDS if end in asked]
    needed = ENDS if how in ("ticks", "wedges") else ENDS[:1]
    missing = [words.no_end(end).at(Place(table=KEEP, key=end)) for end in needed if end not in asked]
    if missing:
        raise InputFaults(missing)
    place = " / ".join(ends)
    return {"feet_from_fret": (asked.get("fret", ""), place)} if how == "feet" else {how: place}


def _print_share(printer: str) -> float | None:
    if not printer:
        return None
    from jigs.printers.kept import load

    return load(printer).print_share


def _this_round(request: Request) -> Step:
    """The round that was read last, as a log has it. Raises `InputFaults`."""
    read = any(text.strip() for text in request.readings.values()) or request.heard
    if not read:
        raise words.no_round().refusal(Place(table=KEEP, key="how"))
    step, at = step_of(advised(request), len(request.rounds) + 1), Place(table=KEEP, key="how")
    if step.verdict != Verdict.STOP:
        raise words.not_stop(step.step).refusal(at)
    if step.next is None:
        raise words.place_unknown().refusal(at)
    return step


def _at_its_field(fault: Fault) -> Fault:
    """The fault at its field of this form; one of the instrument or of the readings stays."""
    place, fault = fault.place, replace(fault, what=spoken(fault.what, _called), remedy=spoken(fault.remedy, _called))
    if place == Place():
        return replace(fault, place=Place(table=KEEP, key="how"))
    if place.table == "found":
        key = next((end for end in ("bass", "fret") if place.key.endswith(end)), "treble")
    elif place.option in _FIELD_OF:
        key = "fret" if fault.code == _OF_THE_FRET else _FIELD_OF[place.option]
    else:
        return fault
    return replace(fault, place=Place(table=KEEP, key=key))


def _called(name: Key | Option) -> str:
    """What this form calls a key or an option."""
    return f"“{_LABELS[name.name]}”" if isinstance(name, Option) and name.name in _LABELS else label_of(name)


ROUTES = {"keep": _keep}
