"""The workup as figures: a table to read, JSON for programs, rows for a spreadsheet."""

from collections.abc import Iterator, Mapping
from typing import Any, TypeAlias, cast

from geometry.lengths import format_inches, format_mm, round_half_up
from jigs.instrument.packets import written
from jigs.wording import csv_text, in_columns, signed, with_minus
from jigs.workup.table_words import as_it_stands_heading, columns, fret_columns
from jigs.workup.words import headline, is_stepped, nut_cuts_in_words, nut_in_words, own_correction, rule_in_words
from jigs.workup.workup import FoundPlace, Workup

CsvRow: TypeAlias = tuple[object, object, object, object]
"""Part, number, quantity, value."""

EndPlaces: TypeAlias = tuple[float, float]
"""Where the bridge stands, from the nut: at the outer treble and bass strings, mm."""


def as_dict(workup: Workup, stands_at: EndPlaces | None = None) -> dict[str, Any]:
    """The numbers under their stable keys. ``stands_at``: treble and bass place of the bridge as it is now."""
    from jigs.workup import sureness

    sure = sureness.how_sure(workup)
    to_bridge = workup.to_bridge_mm.tolist()
    from_nut = workup.from_nut_mm.tolist()
    previous = [0.0, *from_nut[:-1]]
    treble, bass = workup.outer_places_mm
    numbers: dict[str, Any] = {
        "name": workup.instrument.name,
        "scale_mm": workup.scale_mm,
        "frets": [
            {"fret": n, "from_nut_mm": nut, "from_previous_mm": nut - before, "to_bridge_mm": bridge}
            for n, (nut, before, bridge) in enumerate(zip(from_nut, previous, to_bridge, strict=True), 1)
        ],
        "strings": [_string_dict(workup, n) | more for n, more in enumerate(sureness.string_fields(workup, sure))],
        "bridge": {
            "theoretical_mm": workup.scale_mm,
            "treble_mm": treble,
            "bass_mm": bass,
            "centre_mm": workup.line.centre_mm,
            "slant_deg": workup.line.slant_deg,
            "left_cents": workup.left_cents.tolist(),
            "left_rms_cents": workup.left_rms_cents.tolist(),
            "treble_string": workup.outer_strings[0] + 1,
            "bass_string": workup.outer_strings[1] + 1,
            "plus_minus_datum_fret": workup.instrument.octave_fret,
            **sureness.bridge_fields(workup, sure),
        },
    }
    if workup.found is not None:
        numbers["found"] = _found_dict(workup.found)
    if stands_at is not None:
        cents, octave = workup.cents_with_bridge_at(*stands_at)
        numbers["as_it_stands"] = {
            "treble_mm": stands_at[0],
            "bass_mm": stands_at[1],
            "octave_cents": octave.tolist(),
            "cents": [row[own].tolist() for row, own in zip(cents, workup.model.has_fret, strict=True)],
        }
    return numbers


def _found_dict(found: FoundPlace) -> dict[str, Any]:
    """A found place under its stable keys: where it was found, and the correction for the strings of then."""
    given = found.then.instrument.found
    treble, bass = found.places_mm
    computed_treble, computed_bass = found.then.outer_places_mm
    correction_treble, correction_bass = found.correction_mm
    return {
        "treble_mm": treble,
        "bass_mm": bass,
        "plus_minus_mm": given.plus_minus,
        "computed_treble_mm": computed_treble,
        "computed_bass_mm": computed_bass,
        "correction_treble_mm": correction_treble,
        "correction_bass_mm": correction_bass,
        "moved_treble_mm": found.moved_mm[0],
        "moved_bass_mm": found.moved_mm[1],
        "date": None if given.date is None else given.date.isoformat(),
        "strings": written(found.then.instrument.strings),
        "same_strings": found.same_strings,
        "same_make": given.same_make,
    }


def _string_dict(workup: Workup, i: int) -> dict[str, Any]:
    """A string's numbers under their stable keys."""
    entry, strung, back = workup.instrument.strings[i], workup.instrument.stringing, workup.setbacks
    return {
        "string": i + 1,
        "note": entry.note,
        "pair": entry.pair,
        "starts_at_fret": entry.starts_at_fret,
        "pitch_hz": float(strung.pitch_hz[i]),
        "unit_mass_g_per_m": float(1000 * strung.unit_mass_kg_per_m[i]),
        "tension_n": float(strung.tension_n[i]),
        "strength_ratio": strung.strength_ratio[i],
        "stretch": float(strung.stretch[i]),
        "stiffness": float(strung.stiffness[i]),
        "octave_harmonic_cents": float(workup.harmonic_cents[i]),
        "setback_mm": float(back.setback_mm[i]),
        "step_mm": float(workup.instrument.steps_mm[i]),
        "bears_at_mm": float(workup.bears_at_mm[i]),
        "nut_setback_mm": float(back.nut_setback_mm[i]),
        "cents": workup.cents[i][workup.model.has_fret[i]].tolist(),
        "rms_cents": float(workup.rms_cents[i]),
        "cents_per_mm": float(workup.cents_per_mm[i]),
    }


def as_json(workup: Workup, stands_at: EndPlaces | None = None) -> str:
    """The numbers as one JSON object."""
    import json

    return json.dumps(as_dict(workup, stands_at), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def as_csv(workup: Workup, stands_at: EndPlaces | None = None) -> str:
    """The numbers as rows of ``part, number, quantity, value``: one quantity a row, easy to filter."""
    return csv_text(_csv_rows(as_dict(workup, stands_at)))


def _csv_rows(numbers: Mapping[str, Any]) -> Iterator[CsvRow]:
    yield "part", "number", "quantity", "value"
    yield "instrument", "", "name", numbers["name"]
    yield "instrument", "", "scale_mm", numbers["scale_mm"]
    for part, key in (("fret", "frets"), ("string", "strings")):
        for row in numbers[key]:
            for quantity, value in row.items():
                if quantity != part:
                    yield from _csv_values(part, row[part], quantity, value)
    for part in ("bridge", "found", "as_it_stands"):
        for quantity, value in numbers.get(part, {}).items():
            if isinstance(value, list) and quantity != "contributions":
                for n, one in enumerate(value, 1):
                    yield from _csv_values(f"{part} string", n, quantity, one)
            else:
                yield from _csv_values(part, "", quantity, value)


def _csv_values(part: str, number: object, quantity: str, value: object) -> Iterator[CsvRow]:
    if quantity == "contributions":
        for source in cast("list[dict[str, object]]", value):
            yield part, number, f"plus_minus_mm from {source['name']}", source["mm"]
    elif isinstance(value, list):
        for fret, one in enumerate(value, 1):
            yield part, number, f"{quantity} at own fret {fret}", one
    else:
        yield part, number, quantity, "" if value is None else value


def as_table(workup: Workup, stands_at: EndPlaces | None = None) -> str:
    """The numbers as text: bridge, strings, how sure they are, frets."""
    from jigs.workup.sureness import how_sure, in_lines

    instrument = workup.instrument
    lines = [
        f"{instrument.name}: scale {_both(workup.scale_mm)}, aim: {instrument.compensation.tune_to.value},"
        f" frets: {rule_in_words(workup)}",
        "",
        *headline(workup),
        *filter(None, [own_correction(workup), nut_cuts_in_words(workup)]),
        "",
    ]
    lines += [*in_columns(_string_rows(workup)), ""]
    lines += [
        *columns(instrument.compensation.frets, is_stepped(instrument.bridge), bool(nut_cuts_in_words(workup))),
        "",
        *in_lines(workup, how_sure(workup)),
        "",
    ]
    fret_rows: list[tuple[str, ...]] = [fret_columns(nut_in_words(instrument))]
    previous = 0.0
    for n, (nut, bridge) in enumerate(zip(workup.from_nut_mm, workup.to_bridge_mm, strict=True), 1):
        steps = (nut, nut - previous, bridge)
        fret_rows.append((str(n), *(format_mm(s, 2) for s in steps), format_inches(nut)))
        previous = float(nut)
    lines += in_columns(fret_rows)
    if stands_at is not None:
        lines += ["", *_as_it_stands(workup, stands_at)]
    return "\n".join(lines) + "\n"


def _string_rows(workup: Workup) -> list[tuple[str, ...]]:
    strung, back = workup.instrument.stringing, workup.setbacks
    stepped = is_stepped(workup.instrument.bridge)
    places, left = ("setback", *(("step", "bears at") if stepped else ())), ("octave left", "rms left")
    rows: list[tuple[str, ...]] = [("string", "note", "tension", "load", *places, "nut", "rms", *left, "cents/mm")]
    for i, entry in enumerate(workup.instrument.strings):
        load = strung.strength_ratio[i]
        step, bears_at = workup.instrument.steps_mm[i], workup.bears_at_mm[i]
        rows.append(
            (
                f"{i + 1}{' pair' if entry.pair else ''}",
                f"{entry.note}{f' from {entry.starts_at_fret}' if entry.starts_at_fret else ''}",
                f"{round_half_up(strung.tension_n[i], 1)} N",
                "–" if load is None else f"{round_half_up(100 * load, 0)}%",
                f"{with_minus(back.setback_mm[i])} mm",
                *((f"{signed(step, 2)} mm", format_mm(bears_at)) if stepped else ()),
                f"{with_minus(back.nut_setback_mm[i])} mm",
                f"{round_half_up(workup.rms_cents[i], 1)} c",
                f"{with_minus(workup.left_cents[i], 1)} c",
                f"{round_half_up(workup.left_rms_cents[i], 1)} c",
                with_minus(workup.cents_per_mm[i]),
            )
        )
    return rows


def _as_it_stands(workup: Workup, stands_at: EndPlaces) -> list[str]:
    cents, octave = workup.cents_with_bridge_at(*stands_at)
    frets = [n for n in (1, 3, 5, 7, 10, 12, 15) if n <= cents.shape[1]]
    rows: list[tuple[str, ...]] = [("string", "octave", *(f"fret {n}" for n in frets))]
    for i, row in enumerate(cents):
        at_frets = (with_minus(row[n - 1], 1) if workup.model.has_fret[i, n - 1] else "–" for n in frets)
        rows.append((str(i + 1), with_minus(octave[i], 1), *at_frets))
    where = " and ".join(format_mm(place, 1) for place in dict.fromkeys(stands_at))
    return [as_it_stands_heading(where), *in_columns(rows)]


def _both(mm: float) -> str:
    return f"{format_mm(mm)} ({format_inches(mm)})"
