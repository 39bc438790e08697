"""Old boards on the page: distances that were typed or pasted, to what `jigs survey` finds, and to fields of the form.

The text is a survey file as it is. While a line is being typed, its faults wait: the board is then what the other lines say.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from jigs.faults import Fault, InputFaults, Note, Place
from jigs.input.text import lines_of
from jigs.input.toml import data_of
from jigs.instrument.filled import as_fields
from jigs.page import boards_words as words
from jigs.page.faults_at_fields import fault_list, note_list
from jigs.page.form.forms import BOARDS, BOARDS_TEXT, READING_ERROR
from jigs.page.request import Malformed, Reply, Request, json_reply
from jigs.press.order import DEFAULT_PAPER

if TYPE_CHECKING:
    from jigs.survey.file import SurveyedBoard

FILES = {"survey-pdf"}
"""Routes whose answer is a file."""

_TYPING = "typing"
"""The line that is being typed, counted from 1; none once the user rests."""

_EMPTY = {"survey-empty", "file-empty"}
_WAITS = {*_EMPTY, "survey-one-fret-not-octave", "survey-too-few-frets"}
"""Codes of what is not a fault yet: more lines are to come."""

_MOST_FAULTS = 12
_ABOVE = ("scale", "nut_to_fret_12", "fret_rule", "frets_measured")
"""The fields that a board replaces: those that it leaves empty are emptied."""


def _survey(request: Request) -> Reply:
    text, typing = _asked(request)
    if not text.strip():
        return _waiting("")
    try:
        board, unfinished = _surveyed(request, text, typing)
    except InputFaults as wrong:
        faults = [fault for fault in wrong.faults if fault.code not in _WAITS]
        if not faults:
            first = wrong.faults[0]
            return _waiting("" if first.code in _EMPTY else words.waits(first))
        return json_reply({"faults": fault_list(_shown(faults), request.source), "notes": []})
    return json_reply({**_found(board, request), "unfinished": unfinished, "faults": []})


def _waiting(why: str) -> Reply:
    """Too little to find anything, and what is missing."""
    return json_reply({"waits": why, "faults": [], "notes": []})


def _asked(request: Request) -> tuple[str, int]:
    """The text, and the line that is being typed, 0 for none. Raises `Malformed`."""
    typing = request.asked.get(_TYPING, "") or "0"
    if not set(request.asked) <= {BOARDS_TEXT, READING_ERROR, _TYPING} or not (typing.isascii() and typing.isdigit()):
        raise Malformed
    return request.asked.get(BOARDS_TEXT, ""), int(typing[:9])


def _surveyed(request: Request, text: str, typing: int) -> "tuple[SurveyedBoard, bool]":
    """The board, and whether the line that is being typed had to be left out. Raises `InputFaults`."""
    try:
        return _board(request, text), False
    except InputFaults:
        lines = lines_of(text)
        if not 1 <= typing <= len(lines):
            raise
        lines[typing - 1] = "\n"
    return _board(request, "".join(lines)), True


def _board(request: Request, text: str) -> "SurveyedBoard":
    """The surveyed board. Raises `InputFaults`, each at its field."""
    from jigs.survey.file import parse

    try:
        return parse(text.encode(), _file(request), request.asked.get(READING_ERROR, "").strip() or None)
    except InputFaults as wrong:
        raise InputFaults([_at_its_field(fault) for fault in wrong.faults]) from None


def _file(request: Request) -> str:
    """What a file of the lines is called."""
    return f"{_stem(request)}.csv"


def _stem(request: Request) -> str:
    return f"{request.stem}-board"


def _at_its_field(fault: Fault) -> Fault:
    key = READING_ERROR if fault.place.option == READING_ERROR else BOARDS_TEXT
    what = fault.what if fault.place.line is None else words.in_line(fault.place.line, fault.what)
    return replace(fault, place=Place(table=BOARDS, key=key), what=what)


def _shown(faults: Sequence[Fault]) -> list[Fault]:
    """As many faults as anybody reads at once."""
    if len(faults) <= _MOST_FAULTS + 1:
        return list(faults)
    more = words.more_faults(len(faults) - _MOST_FAULTS).at(Place(table=BOARDS, key=BOARDS_TEXT))
    return [*faults[:_MOST_FAULTS], more]


def _found(board: "SurveyedBoard", request: Request) -> dict[str, Any]:
    """What the page shows of a board."""
    from jigs.survey import picture, tables
    from jigs.survey import words as survey_words

    drawn = board.survey.best.residual_mm is not None
    use = _as_fields(board)
    return {
        "measured": survey_words.how_measured(board),
        "findings": survey_words.findings(board),
        "columns": survey_words.ABOVE_COLUMNS,
        "rows": tables.fret_rows(board),
        "below": survey_words.BELOW_COLUMNS,
        "picture": picture.as_svg(board).decode() if drawn else "",
        "no_pdf": "" if drawn else words.TOO_FEW_TO_DRAW,
        "pdf": f"{_stem(request)}-survey.pdf",
        "csv": _file(request),
        "use": use,
        "used": list(_used(board, use, request)),
        "notes": note_list([*survey_words.notes(board), *_fewer_frets(use, request)], request.source),
    }


def _as_fields(board: "SurveyedBoard") -> dict[str, str]:
    """The fields of the instrument that this board fills in, "" for those that it empties."""
    from jigs.survey.tables import paste_lines

    return dict.fromkeys(_ABOVE, "") | as_fields(data_of("\n".join(paste_lines(board))))


def _listed(use: Mapping[str, str]) -> int:
    """How many frets are listed as measured; 0 if the rule has them."""
    return int(use["frets"]) if use["frets_measured"] else 0


def _fewer_frets(use: Mapping[str, str], request: Request) -> Iterator[Note]:
    before = _frets_before(request).strip()
    if before.isascii() and before.isdigit() and int(before[:9]) > _listed(use) > 0:
        yield words.fewer_frets(_listed(use), int(before[:9])).note()


def _used(board: "SurveyedBoard", use: Mapping[str, str], request: Request) -> Iterator[str]:
    """What "Use this board" fills in, a sentence each, and what it does not."""
    survey = board.survey
    measured = {int(fret) for fret in survey.frets}
    count = _listed(use)
    guessed = [fret for fret in range(1, count + 1) if fret not in measured]
    yield from words.used(float(use["scale"]), survey.best.rule, count, guessed, _frets_before(request))
    offset = survey.best.offset
    if offset is None:
        yield words.NUT_UNKNOWN
    elif offset.differs_from_zero:
        yield words.nut_kept(offset) if count else words.nut_lost(offset, len(measured))
    if survey.named and not count:
        yield words.frets_lost()


def _frets_before(request: Request) -> str:
    try:
        own, _ = request.own_fields()
    except InputFaults:
        return ""
    return request.fields.get("frets", own.get("frets", ""))


def _pdf(request: Request) -> Reply:
    from jigs.sheets.paper import paper_named
    from jigs.survey import picture

    text, _ = _asked(request)
    board = _board(request, text)
    paper = paper_named(request.draw.get("paper", "").strip() or DEFAULT_PAPER)
    (content,) = picture.files(board, paper, ("pdf",), _stem(request)).values()
    return Reply(200, "application/pdf", content)


ROUTES = {"survey": _survey, "survey-pdf": _pdf}
