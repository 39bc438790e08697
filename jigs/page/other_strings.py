"""Other strings on the page: two sets, as on their packets, to what `jigs compare` says, and to fields of the form.

The strings that the user has are those of the form, unless another set is typed; the form is then as if that were filled in.
"""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

from jigs.faults import Fault, InputFaults, Place, Says, Wrong, attempt
from jigs.instrument import usual
from jigs.instrument.found_words import string_wrong
from jigs.instrument.instrument import Instrument
from jigs.instrument.packets import read_strings, written
from jigs.instrument.restring import changes, restrung
from jigs.page import other_strings_words as words
from jigs.page.faults_at_fields import fault_list, note_list
from jigs.page.form.forms import MAKE, NEW, NOW, SETS
from jigs.page.request import Malformed, Reply, Request, json_reply
from jigs.press.order import DEFAULT_PAPER
from jigs.workup.compare import Comparison
from jigs.workup.work_up import work_up

FILES = {"compare-pdf"}
"""Routes whose answer is a file."""


@dataclass(frozen=True, eq=False)
class Compared:
    """Both sets compared, and the fields that the new one fills in."""

    comparison: Comparison
    use: dict[str, str]
    same_make: bool


def _compare(request: Request) -> Reply:
    asked = _asked(request)
    own = {"own": written(request.instrument().strings)}
    if not asked[NEW]:
        return json_reply({**own, "waits": True, "faults": [], "notes": []})
    try:
        return json_reply({**own, **_shown(_compared(request, asked), request), "faults": []})
    except InputFaults as wrong:
        return json_reply({**own, "faults": fault_list(wrong.faults, request.source), "notes": []})


def _asked(request: Request) -> dict[str, str]:
    """What was typed, by the fields' keys. Raises `Malformed`."""
    if not set(request.asked) <= {NOW, NEW, MAKE} or request.asked.get(MAKE, "") not in ("", words.OTHER_MAKE):
        raise Malformed
    return {key: request.asked.get(key, "").strip() for key in (NOW, NEW, MAKE)}


def _compared(request: Request, asked: dict[str, str]) -> Compared:
    """Raises `InputFaults`: those of both sets at once."""
    from jigs.workup.compare import compare, with_strings

    faults: list[Fault] = []
    instrument, same_make = request.instrument(), not asked[MAKE]
    now = attempt(faults, _strung, instrument, asked[NOW], NOW, None) if asked[NOW] else instrument
    attempt(faults, _strung, now or instrument, asked[NEW], NEW, same_make)
    if faults or now is None:
        raise InputFaults(faults)
    use: dict[str, str] = {}
    old = work_up(instrument)
    if now.strings != instrument.strings:
        use = dict(changes(instrument.strings, now.strings)) | _found_with(instrument)
        with _blamed(NOW):
            old = work_up(_filled(request, use))
    new = _strung(old.instrument, asked[NEW], NEW, same_make)
    use |= dict(changes(old.instrument.strings, new.strings)) | _found_with(old.instrument, same_make)
    with _blamed(NEW):
        _filled(request, use)
        same, unlike = with_strings(old, asked[NEW], _place(NEW))
    return Compared(compare(old, same, unlike) if same_make else compare(old, unlike), use, same_make)


def _place(key: str) -> Place:
    return Place(table=SETS, key=key)


def _filled(request: Request, fields: Mapping[str, str]) -> Instrument:
    """The instrument of the form with these fields filled in as well. Raises `InputFaults`."""
    return replace(request, fields={**request.fields, **fields}).instrument()


def _strung(instrument: Instrument, text: str, key: str, same_make: bool | None) -> Instrument:
    """The instrument with the strings of a text. Raises `InputFaults` at the text's field."""
    try:
        return restrung(instrument, read_strings(text), _place(key), same_make)
    except Wrong as wrong:
        raise wrong.says.refusal(_place(key)) from None


@contextmanager
def _blamed(key: str) -> Iterator[None]:
    """Within this, `InputFaults` of the instrument's strings are at the field that the strings are typed in."""
    try:
        yield
    except InputFaults as wrong:
        raise InputFaults([_at(key, fault) for fault in wrong.faults]) from None


def _at(key: str, fault: Fault) -> Fault:
    if fault.place.table == SETS:
        return fault
    says = Says(fault.what, fault.remedy, fault.code)
    return (says if fault.place.string is None else string_wrong(fault.place.string, says)).at(_place(key))


def _found_with(before: Instrument, same_make: bool = False) -> dict[str, str]:
    """Where a place was found by ear: with which strings, which are no longer those of the form."""
    if not before.found.is_given or before.found.strings is not None:
        return {}
    strings = written(before.strings, usual.USUAL_WRAPS[before.head.kind])
    return {"found.strings": strings} | ({"found.same_make": "true"} if same_make else {})


def _shown(compared: Compared, request: Request) -> dict[str, Any]:
    """What the page shows of a comparison."""
    from jigs.press import compare_picture
    from jigs.workup import compare_tables, compare_words
    from jigs.workup.words import outer_in_words

    of, new = compared.comparison, compared.comparison.new
    ends, two_makes = len(of.end_moves_mm), of.other_make_mm[: len(of.end_moves_mm)]
    strings, places = outer_in_words(new), list(zip(*of.places_mm, strict=True))
    return {
        "picture": compare_picture.as_svg(of).decode(),
        "order": compare_words.order(of.end_moves_mm),
        "ends": [
            compare_words.end_line(n, strings[n], of.end_moves_mm[n], of.same_make_mm[n], places[n])
            for n in range(ends)
        ],
        "sure": [
            compare_words.how_sure(two_makes),
            *([] if compared.same_make else [words.counts_for_two_makes(two_makes)]),
            compare_tables.starts_from(of),
        ],
        "then": words.LISTEN_FIRST if of.within_doubt else words.THEN_LISTEN,
        "columns": compare_words.COLUMNS,
        "rows": compare_tables.string_rows(of),
        "below": [compare_words.CENTS, *([compare_words.ONE_OF_A_PAIR] if compare_tables.has_pairs(of) else [])],
        "notes": _notes(of, request.source),
        "pdf": f"{request.stem}-compare.pdf",
        "use": compared.use,
        "used": [words.used(written(new.instrument.strings)), *_of_found(compared)],
    }


def _of_found(compared: Compared) -> list[str]:
    return [words.FOUND_KEPT] if compared.comparison.old.found is not None else []


def _notes(of: Comparison, source: str) -> list[dict[str, str]]:
    """What is worth knowing of the old strings, of the new ones, and of both."""
    from jigs.workup.compare_tables import notes_of_sheet
    from jigs.workup.compare_words import with_the_new

    old, new = note_list(of.old.notes, source), note_list(of.new.notes, source)
    only_new = [{**note, "text": with_the_new(note["text"])} for note in new if note not in old]
    return [*old, *only_new, *note_list(list(notes_of_sheet(of)), source)]


def _pdf(request: Request) -> Reply:
    from jigs.press import compare_picture
    from jigs.sheets.paper import paper_named

    comparison = _compared(request, _asked(request)).comparison
    paper = paper_named(request.draw.get("paper", "").strip() or DEFAULT_PAPER)
    (content,) = compare_picture.files(comparison, paper, ("pdf",), request.stem).values()
    return Reply(200, "application/pdf", content)


ROUTES = {"compare": _compare, "compare-pdf": _pdf}
