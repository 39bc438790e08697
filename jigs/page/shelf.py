"""The shelf on the page: the user's instruments in a folder, to open, copy, save and draw all at once.

A request names a file by a name that the shelf lists, or a new file by a name of letters and digits. No other text of a
request becomes a path.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from jigs.export.archive import archive
from jigs.faults import Fault, InputFaults, Place, attempt, spoken
from jigs.instrument.file import parse
from jigs.page import bench
from jigs.page import shelf_words as words
from jigs.page.faults_at_fields import fault_list
from jigs.page.form.fields import label_of
from jigs.page.form.forms import SHELF, SHELF_FILE, SHELF_TEMPLATES
from jigs.page.request import Malformed, Reply, Request, json_reply
from jigs.press.order import DEFAULT_TEMPLATE, read_order
from jigs.rack import shelf, shelf_drawn
from jigs.rack.report import Item, Report, Status
from jigs.rack.run import Interrupted
from jigs.rack.words import outcome
from jigs.workup.work_up import work_up

_LIKE_A_RACK = "pdf,svg"
"""The formats of a rack, if none are ordered."""

_SAID_ANOTHER_WAY = {
    "folder-in-use": words.drawing_already(),
    "folder-unwritable": words.drawn_folder_unwritable(),
}
"""Faults of a rack by their codes, and what the page says instead: it cannot choose another folder."""

_FIELDS = {"file": SHELF_FILE, "templates": SHELF_TEMPLATES}
"""Where a fault in an option is shown."""


def _folder(request: Request) -> Path:
    """The folder of the shelf. Raises `InputFaults` if there is none."""
    if request.shelf is None:
        raise words.no_shelf().refusal(Place())
    return request.shelf


def _asked(request: Request, key: str) -> str:
    """What the route needs besides. Raises `Malformed`."""
    if key not in request.asked:
        raise Malformed
    return request.asked[key]


def _list(request: Request) -> Reply:
    folder = _folder(request)
    entries, more = shelf.entries(folder)
    return json_reply(
        {
            "folder": str(folder),
            "files": [_entry(entry) for entry in entries],
            "more": words.more_files(more),
            "new": shelf.free_name(folder, shelf.stem_of(_own_name(request))),
            "drawn": shelf_drawn.is_drawn(folder),
            "faults": [],
        }
    )


def _entry(entry: shelf.Entry) -> dict[str, Any]:
    facts = [entry.kind] if entry.kind else []
    facts += [] if entry.found is None else [words.place_kept(entry.found)]
    facts += [] if entry.last is None else [words.last_reading(entry.last)]
    return {
        "file": entry.file,
        "stamp": entry.stamp,
        "name": entry.name,
        "facts": facts,
        "fault": _in_short(entry.faults) if entry.faults else "",
        "opens": entry.is_text,
    }


def _in_short(faults: Sequence[Fault]) -> str:
    first = _of_a_file("", faults[:1])[0]
    sentence = "; ".join(part for part in (first["what"], first["remedy"]) if part)
    return words.fault_in_short(first["where"], sentence, len(faults) - 1)


def _of_a_file(file: str, faults: Iterable[Fault]) -> list[dict[str, str]]:
    """Faults of a file that the form does not fill in, in the page's words: they have no field."""
    listed = fault_list([fault.at(source="") for fault in faults])
    return [{**one, "field": "", "where": ": ".join(filter(None, (file, one["where"])))} for one in listed]


def _own_name(request: Request) -> str:
    """What the instrument is called, or its file."""
    try:
        name = request.fields.get("name") or request.data().get("name")
    except InputFaults:
        name = None
    return name if isinstance(name, str) and name.strip() else request.stem


def _open(request: Request) -> Reply:
    opened = shelf.opened(_folder(request), _asked(request, "file"))
    return json_reply({"name": opened.file, "text": opened.text, "stamp": opened.stamp, "faults": []})


def _save(request: Request) -> Reply:
    folder, file, stamp = _folder(request), _asked(request, "file"), _asked(request, "stamp")
    faults: list[Fault] = []
    text = attempt(faults, request.instrument_text)
    if text is not None:
        attempt(faults, lambda: work_up(parse(text.encode(), request.source)))
    if not stamp:
        file = attempt(faults, shelf.read_name, file) or ""
    if faults or text is None:
        raise InputFaults([_at_its_field(fault) for fault in faults])
    try:
        saved = shelf.save(folder, file, text.encode(), stamp)
    except shelf.Conflict as conflict:
        said = {"why": conflict.why.value, "text": words.conflict(conflict.why, file), "free": conflict.free}
        return json_reply({"conflict": {**said, "file": file}, "faults": []})
    return json_reply({"name": file, "text": text, "stamp": saved, "faults": []})


def _at_its_field(fault: Fault) -> Fault:
    """A fault in an option at the field of the shelf that gives it."""
    key = _FIELDS.get(fault.place.option)
    return fault if key is None else replace(fault, place=Place(table=SHELF, key=key))


def _copy(request: Request) -> Reply:
    return json_reply({"name": shelf.copy(_folder(request), _asked(request, "file")), "faults": []})


def _draw(request: Request) -> Reply:
    folder = _folder(request)
    given = {key: request.draw[key] for key in ("paper", "printer") if request.draw.get(key, "").strip()}
    templates = [one.strip() for one in (request.asked.get("templates") or DEFAULT_TEMPLATE).split(",")]
    try:
        order = read_order(templates, {**given, "format": _LIKE_A_RACK}, "templates", leave_out=True)
        report = shelf_drawn.draw(folder, order)
    except InputFaults as wrong:
        return json_reply({"faults": [one for fault in wrong.faults for one in _on_the_page(fault, folder)]})
    except Interrupted as stopped:
        raise words.stopped_drawing(stopped.done, stopped.of).refusal(Place()) from None
    return json_reply(_as_dict(report, folder))


def _on_the_page(fault: Fault, folder: Path) -> list[dict[str, str]]:
    """A fault of the rack as the page shows it: a file by its name, and no option of the command line."""
    path = Path(fault.place.source)
    if fault.code in _SAID_ANOTHER_WAY:
        return fault_list([_SAID_ANOTHER_WAY[fault.code].at(Place())])
    if fault.code == "files-of-another":
        return _of_a_file(path.name, [words.others_drawings(path.stem).at(Place())])
    if fault.place.source and path.parent == folder:
        return _of_a_file(path.name, [fault])
    return fault_list([_at_its_field(fault)])


def _as_dict(report: Report, folder: Path) -> dict[str, Any]:
    made, unchanged, nothing, faulty = map(report.count, (Status.MADE, Status.UNCHANGED, Status.NOTHING, Status.FAULTY))
    incomplete = sum(bool(item.missing) for item in report.items)
    names = {name for item in report.items for name in item.files}
    without = [Path(item.source).name for item in report.items if item.status is Status.NOTHING]
    return {
        "outcome": outcome(made, unchanged, nothing, faulty, incomplete),
        "files": [_drawn(item) for item in report.items],
        "names": sorted({*names, *report.summary}),
        "index": shelf_drawn.INDEX,
        "nothing": words.nothing_for(without) if without else "",
        "left": words.left_over(report.left_over) if report.left_over else "",
        "troubles": [one for fault in report.faults for one in _on_the_page(fault, folder)],
        "faults": [],
    }


def _drawn(item: Item) -> dict[str, Any]:
    """What became of a file."""
    missing = [words.missing(one.names) for one in item.missing]
    return {
        "file": Path(item.source).name,
        "status": item.status.value,
        "names": list(item.files),
        "missing": missing,
    }


def _index(request: Request) -> Reply:
    return Reply(200, "application/pdf", shelf_drawn.index(_folder(request)))


def _archive(request: Request) -> Reply:
    return Reply(200, "application/zip", archive(shelf_drawn.drawings(_folder(request))))


def _log(request: Request) -> Reply:
    from jigs.readings.run import keep

    log = shelf.log_of(_folder(request), _asked(request, "file"))
    advice = bench.advised(request)
    try:
        keep(advice, str(log), None)
    except InputFaults as wrong:
        why = spoken(wrong.faults[0].what, label_of)
        raise words.log_unusable(log.name, why).refusal(Place()) from None
    return json_reply({"log": log.name, "faults": []})


ROUTES = {
    "shelf-list": _list,
    "shelf-open": _open,
    "shelf-save": _save,
    "shelf-copy": _copy,
    "shelf-draw": _draw,
    "shelf-index": _index,
    "shelf-archive": _archive,
    "shelf-log": _log,
}
FILES = {"shelf-index", "shelf-archive"}
"""Routes whose answer is a file."""

LONGER = {"shelf-list": 60.0, "shelf-draw": 600.0, "shelf-archive": 60.0}
"""The seconds that these may take, because they are about all instruments."""

AT_ONCE = {"shelf-list"}
"""Those that never wait for the others: only the first list of a large shelf takes long."""
