"""After readings that place no bridge: what may be wrong and how likely, which rows to read next, what to check."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any

from geometry.causes import Cause
from geometry.diagnosis import FRETS_TO_READ, LEAST_FRETS
from geometry.readings import Verdict
from jigs.faults import Command, Key, Words, spoken
from jigs.page import bench_words as words
from jigs.page.form.fields import label_of
from jigs.page.readings import TABLE, TONES
from jigs.page.words import VIEW_OF
from jigs.readings.advice import ENDS, Advice, Reason
from jigs.readings.checked import Against
from jigs.readings.diagnosis import StringDiagnosis, diagnoses
from jigs.readings.diagnosis_words import suspect_in_full
from jigs.readings.words import AdviceLine, advice_lines, verdict_line

ROWS = "rows"
"""The key of a lead to the rows of any string and fret; another leads to its ``field`` or ``view``."""

_LEAST_WEIGHT = 0.01
_OF_A_DIAGNOSIS = "diagnosis"
_SCALE, _ACTION, _NUT_ACTION = Key("", "scale"), Key("action", "fret_12"), Key("action", "nut")

_MEASURED = {
    Cause.NUT_HIGH: (_NUT_ACTION,),
    Cause.NUT_LOW: (_NUT_ACTION,),
    Cause.NUT_NEAR: (_SCALE,),
    Cause.NUT_FAR: (_SCALE,),
    Cause.TOUCH: (_ACTION,),
    Cause.ACTION_HIGH: (_ACTION,),
    Cause.ACTION_LOW: (_ACTION,),
}
"""The measurements to check for a cause."""

_FOUND_BY = {
    Cause.NUT_NEAR: Command("survey"),
    Cause.NUT_FAR: Command("survey"),
    Cause.FRET: Command("survey"),
    Cause.STRINGS_OTHER: Command("compare"),
}
"""What else finds a cause."""

Lead = dict[str, str]


def diagnosis_of(advice: Advice) -> list[dict[str, Any]]:
    """Each string that was read elsewhere than at the octave: what the lines of advice say of it, and its likely causes."""
    return [
        {
            "string": advice.workup.instrument.string_in_words(one.string),
            "lines": [asdict(line) for line in _lines_of(advice, one)],
            "causes": list(_causes_of(advice, one)) if len(one.frets) >= LEAST_FRETS else [],
        }
        for one in advice.diagnoses
        if set(one.frets) != {int(advice.workup.octave_frets[one.string])}
    ]


def _lines_of(advice: Advice, one: StringDiagnosis) -> Iterator[AdviceLine]:
    lines = advice_lines(replace(advice, diagnoses=(one,)), label_of)
    return (line for line in lines if line.kind.startswith(_OF_A_DIAGNOSIS))


def _causes_of(advice: Advice, one: StringDiagnosis) -> Iterator[dict[str, Any]]:
    for suspect in one.suspects:
        if suspect.weight > _LEAST_WEIGHT:
            yield {"name": suspect_in_full(suspect, one, advice.workup), "weight": float(suspect.weight)}


def rows_to_read(advice: Advice) -> list[dict[str, str]]:
    """Rows to read next, with what they are compared with: strings that count too, or frets for a diagnosis."""
    if advice.verdict is Verdict.SOMETHING_ELSE:
        return [] if advice.reason is Reason.OTHER_FRET else list(_frets_to_read(advice))
    octave = advice.workup.octave_frets
    inner = [n for n in advice.unread if n not in advice.workup.outer_strings]
    return [_row(n, int(octave[n]), Against.HARMONIC) for n in inner] or list(_next_of_named(advice))


def _row(string: int, fret: int, against: Against) -> dict[str, str]:
    return {"string": str(string + 1), "fret": str(fret), "against": against.value}


def _next_of_named(advice: Advice) -> Iterator[dict[str, str]]:
    """The frets that a diagnosis asks for next."""
    for one in advice.diagnoses:
        if one.named is None and one.next_fret is not None:
            yield _next_row(advice, one.string, one.next_fret)


def _frets_to_read(advice: Advice) -> Iterator[dict[str, str]]:
    """Of the string that is farthest off and not explained: frets enough for a diagnosis, the most telling first."""
    known = advice.diagnoses or diagnoses(advice.workup, advice.readings, advice.errors, advice.start)
    off = {one.string: abs(one.cents - one.aim_cents) for one in advice.strings}
    unexplained = [one for one in known if one.named is None and one.next_fret is not None]
    if not unexplained:
        return
    one = max(unexplained, key=lambda each: off.get(each.string, 0.0))
    for fret in _telling(advice, one):
        yield _next_row(advice, one.string, fret)


def _telling(advice: Advice, one: StringDiagnosis) -> Iterator[int]:
    has = advice.workup.model.has_fret[one.string]
    first = [] if one.next_fret is None else [one.next_fret]
    frets = [n for n in dict.fromkeys((*first, *FRETS_TO_READ)) if n not in one.frets and n <= int(has.sum())]
    yield from frets[: max(LEAST_FRETS - len(one.frets), 1)]


def _next_row(advice: Advice, string: int, fret: int) -> dict[str, str]:
    is_octave = fret == advice.workup.octave_frets[string]
    return _row(string, fret, Against.HARMONIC if is_octave else Against.OPEN)


def leads(advice: Advice, rows: Sequence[Mapping[str, str]]) -> list[Lead]:
    """What to do next and where on the page, so that nobody is left with a verdict alone. ``rows``: those to read."""
    kind = verdict_line(advice).kind
    if kind == "verdict-read-again":
        return [_to_field(words.READ_ALL_AGAIN, f"{TABLE}.{ENDS[0]}-{TONES[0]}")]
    found = list(_for_reason(advice)) if advice.verdict is Verdict.SOMETHING_ELSE else list(_unread(advice))
    if rows:
        octave = all(row["against"] == Against.HARMONIC for row in rows)
        found.append({"text": words.READ_STRINGS if octave else words.READ_FRETS, ROWS: "next"})
    return found


def _unread(advice: Advice) -> Iterator[Lead]:
    """An outer string that nobody read."""
    outer = dict(zip(ENDS, advice.workup.outer_strings, strict=True))
    for end, string in outer.items():
        if string in advice.unread and advice.verdict is Verdict.STOP:
            name = advice.workup.instrument.string_in_words(string)
            yield _to_field(words.read_unread([name]), f"{TABLE}.{end}-{TONES[0]}")
            return


def _for_reason(advice: Advice) -> Iterator[Lead]:
    read = [one.string for one in advice.strings]
    match advice.reason:
        case Reason.OTHER_FRET:
            farthest = max(advice.strings, key=lambda one: abs(one.cents)).string
            name = advice.workup.instrument.string_in_words(farthest)
            yield _to_field(words.read_again(name), _reading_of(advice, farthest))
            return
        case Reason.TOO_FAR:
            yield _to_field(words.check(_SCALE), "scale")
            yield from _strings(read[:1])
        case Reason.TOO_SLANTED:
            yield from _strings(read[:2])
        case _:
            yield from _for_causes(advice)
            yield _to_field(words.FIRST_READING, f"{TABLE}.{ENDS[0]}-{TONES[0]}")


def _for_causes(advice: Advice) -> Iterator[Lead]:
    named = {one.named.cause: one.string for one in advice.diagnoses if one.named is not None and one.is_elsewhere}
    for cause, string in named.items():
        for key in _MEASURED.get(cause, ()):
            yield _to_field(words.check(key), f"{key.table}.{key.key}" if key.table else key.key)
        if cause is Cause.STRINGS_OTHER:
            yield from _strings([string])
        if cause in _FOUND_BY:
            command = _FOUND_BY[cause]
            yield {"text": spoken(words.open_view(command), label_of), "view": VIEW_OF[command.name]}


def _strings(strings: list[int]) -> Iterator[Lead]:
    for n in strings:
        yield _to_field(words.check_string(n + 1), f"strings.{n + 1}.gauge")


def _reading_of(advice: Advice, string: int) -> str:
    """The field of a string's reading at the octave, or the rows."""
    outer = advice.workup.outer_strings
    return f"{TABLE}.{ENDS[outer.index(string)]}-{TONES[1]}" if string in outer else f"{TABLE}.{ENDS[0]}-{TONES[0]}"


def _to_field(text: Words, field: str) -> Lead:
    return {"text": spoken(text, label_of), "field": field}
