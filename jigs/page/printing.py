"""Printers measured on the page: the check sheet, the lengths read on it, and the printers that the user keeps.

The lengths are those of the command line, each in a field of its own. A field takes several readings of its length with
slashes between. Every fault is at its field.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from jigs.faults import Fault, InputFaults, Place, attempt
from jigs.page import printing_words as words
from jigs.page.faults_at_fields import fault_list, note_list
from jigs.page.form.forms import LENGTHS, PRINTER, PRINTER_NAME, READING_ERROR
from jigs.page.request import Malformed, Reply, Request, json_reply
from jigs.press.order import DEFAULT_PAPER
from jigs.printers import check_sheet, kept
from jigs.printers.measured import AS_NAME, from_words
from jigs.printers.printer import SPANS, Printer
from jigs.printers.words import check_lines, in_lines, in_one_line, notes
from jigs.sheets.paper import Paper, paper_named

PDF = ("pdf",)
FILES = {"printer-sheet", "printer-check-sheet"}
"""Routes whose answer is a file."""

_REPLACE = "replace"
_BETWEEN = re.compile(r"\s+/\s*|/\s+|/(?!(?:2|4|8|16|32|64|128)(?![\d.,]))")
"""A slash between two readings: with a space beside it, or one that is not within a fraction of an inch."""

_MISSING = "printer-reading-missing"


@dataclass(frozen=True)
class Typed:
    """The form as it was filled in: texts without a value yet are empty. ``read``: the readings of each length's field."""

    name: str
    paper: Paper
    read: Mapping[str, tuple[str, ...]]
    reading_error: str | None

    def written(self) -> dict[str, tuple[str, ...]]:
        """The readings as the command line takes them: those of both lengths in turn."""
        both = {option: [self.read[key] for key in LENGTHS[option]] for option in SPANS}
        return {
            option: tuple(text for n in range(max(map(len, pair))) for text in (one[n] for one in pair if n < len(one)))
            for option, pair in both.items()
        }

    def missing(self) -> dict[str, str]:
        """What is missing before this is a printer, in words, by its field."""
        return ({} if self.name else {PRINTER_NAME: words.ITS_NAME}) | dict(self._missing_lengths())

    def _missing_lengths(self) -> Iterator[tuple[str, str]]:
        for option, keys in LENGTHS.items():
            counts = [len(self.read[key]) for key in keys]
            spans = [span.name for span in SPANS[option]]
            if option == "diagonals" and counts in ([0, 0], [1, 0]):
                continue
            for key, count, span, other in zip(keys, counts, spans, reversed(spans), strict=True):
                if not count:
                    yield key, span
                elif count < max(counts):
                    yield key, words.more_readings(span, other)


def _typed(request: Request) -> Typed:
    """The form of a request. Raises `Malformed`, and `InputFaults` for a paper that is none."""
    known = {PRINTER_NAME, READING_ERROR, _REPLACE, *(key for keys in LENGTHS.values() for key in keys)}
    if not set(request.asked) <= known:
        raise Malformed
    given = {key: text.strip() for key, text in request.asked.items()}
    read = {key: _readings(given.get(key, "")) for keys in LENGTHS.values() for key in keys}
    return Typed(given.get(PRINTER_NAME, ""), _paper(request), read, given.get(READING_ERROR) or None)


def _readings(text: str) -> tuple[str, ...]:
    """The readings of a field; a slash at the end is one behind which nothing was typed yet.

    >>> _readings("189.4/189.5 / 189,6 /"), _readings("7 31/64 in / 7 15/32in"), _readings("")
    (('189.4', '189.5', '189,6'), ('7 31/64 in', '7 15/32in'), ())
    """
    plain = text.strip().rstrip("/ ")
    return tuple(_BETWEEN.split(plain)) if plain else ()


def _paper(request: Request) -> Paper:
    return paper_named(request.draw.get("paper", "").strip() or DEFAULT_PAPER)


def _measured(typed: Typed) -> Printer:
    """The printer. Raises `InputFaults`, each at its field."""
    try:
        return from_words(typed.name or words.UNNAMED, typed.paper, typed.written(), typed.reading_error)
    except InputFaults as wrong:
        raise InputFaults([_at_its_field(fault) for fault in wrong.faults]) from None


def _faults_so_far(typed: Typed) -> list[Fault]:
    """What is wrong with what is filled in, although something is missing. Each length is read by itself."""
    name, error = typed.name or words.UNNAMED, typed.reading_error
    faults: list[Fault] = []
    for option, keys in LENGTHS.items():
        for key in keys:
            found: list[Fault] = []
            attempt(found, from_words, name, typed.paper, {option: typed.read[key]}, error)
            own = [fault for fault in found if fault.place.option == option and fault.code != _MISSING]
            faults += [_at(key, fault) for fault in own]
            others = [_at_its_field(fault) for fault in found if fault.place.option not in SPANS]
            faults += [fault for fault in others if fault not in faults]
    return faults


def _at_its_field(fault: Fault) -> Fault:
    option = fault.place.option
    if option == AS_NAME.option:
        return _at(PRINTER_NAME, fault)
    if option == READING_ERROR:
        return _at(READING_ERROR, fault)
    if option not in SPANS:
        return fault
    by_name = {span.name: key for span, key in zip(SPANS[option], LENGTHS[option], strict=True)}
    return _at(by_name.get(fault.place.key, LENGTHS[option][0]), fault)


def _at_the_choice(fault: Fault) -> Fault:
    """A fault of a printer's name where the printers are chosen."""
    return replace(fault, place=Place(option=PRINTER)) if fault.place == AS_NAME else fault


def _at(key: str, fault: Fault) -> Fault:
    return replace(fault, place=Place(table=PRINTER, key=key))


# ---- routes


def _sheet(request: Request) -> Reply:
    (content,) = check_sheet.files(_paper(request), PDF).values()
    return Reply(200, "application/pdf", content)


def _try(request: Request) -> Reply:
    typed = _typed(request)
    missing, printer = typed.missing(), None
    faults: list[Fault] = []
    if set(missing) <= {PRINTER_NAME}:
        printer = attempt(faults, _measured, typed)
    else:
        faults = _faults_so_far(typed)
    return json_reply(
        {
            "lines": [] if printer is None else in_lines(printer),
            "notes": [] if printer is None else note_list(list(notes(printer))),
            "missing": words.still_missing(list(missing.values())),
            "picture": check_sheet.picture(typed.paper).decode(),
            "sheet": f"{check_sheet.stem(typed.paper)}.pdf",
            "faults": fault_list(faults),
        }
    )


def _keep(request: Request) -> Reply:
    typed = _typed(request)
    missing = typed.missing()
    if missing:
        raise InputFaults([words.missing(what).at(Place(table=PRINTER, key=key)) for key, what in missing.items()])
    printer = _measured(typed)
    try:
        path = kept.save(printer, request.asked.get(_REPLACE) == "true")
    except InputFaults as wrong:
        raise InputFaults([_at_its_field(fault) for fault in wrong.faults]) from None
    return json_reply({**_all(), "kept": path.stem, "said": words.kept(printer.name)})


def _list(_: Request) -> Reply:
    return json_reply(_all())


def _all() -> dict[str, Any]:
    """The printers that are kept, each with its errors in one line."""
    return {"printers": [{"name": name, "line": _in_one_line(name)} for name in kept.known()], "faults": []}


def _in_one_line(name: str) -> str:
    try:
        return in_one_line(kept.load(name))
    except InputFaults:
        return words.damaged(name)


def _chosen(request: Request) -> str:
    """The name of the printer that is asked for. Raises `Malformed`."""
    if set(request.asked) != {PRINTER_NAME}:
        raise Malformed
    return request.asked[PRINTER_NAME]


def _forget(request: Request) -> Reply:
    try:
        path = kept.remove(_chosen(request))
    except InputFaults as wrong:
        raise InputFaults([_at_the_choice(fault) for fault in wrong.faults]) from None
    return json_reply({**_all(), "said": words.forgotten(path.stem)})


def _check(request: Request) -> Reply:
    printer = kept.load(_chosen(request))
    paper = paper_named(printer.paper)
    return json_reply(
        {
            "lines": check_lines(printer, paper),
            "notes": note_list(list(notes(printer))),
            "sheet": f"{check_sheet.stem(paper, printer)}.pdf",
            "faults": [],
        }
    )


def _check_sheet(request: Request) -> Reply:
    printer = kept.load(_chosen(request))
    (content,) = check_sheet.files(paper_named(printer.paper), PDF, printer).values()
    return Reply(200, "application/pdf", content)


ROUTES = {
    "printer-sheet": _sheet,
    "printer-try": _try,
    "printer-keep": _keep,
    "printer-list": _list,
    "printer-forget": _forget,
    "printer-check": _check,
    "printer-check-sheet": _check_sheet,
}
