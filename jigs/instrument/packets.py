"""A set of strings as text, as people write it down: ``D4 .010, B3 .012, G3 .014, D3 .022w, G4 .010``.

Each string has its note and its gauge as the packet prints it. A gauge alone counts for the note that the string has. Behind
it can follow ``core .011``, and a wrap or a material.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from typing import get_args

from geometry.lengths import MM_PER_INCH
from geometry.strings import NoteError, pitch_hz
from jigs.faults import Wrong
from jigs.input.gauges import Gauge, is_marked_wound, with_w
from jigs.input.words import note_unread
from jigs.instrument import found_words as words
from jigs.instrument.keys import Material, StringEntry, Wrap
from jigs.instrument.words import core_too_thick

LONGEST_SET = 1000
_BETWEEN = re.compile(r"\s*[;\n]\s*|\s*,\s+|\s*,(?=[A-Ga-g#.])")
_BEFORE_A_NOTE = re.compile(r"\s+(?=[A-Ga-g][#♯b♭]?-?\d\s)")
_BARE = r"[#.]?\d[\d.]*[wW]?"
_GAUGES_ONLY = re.compile(rf"{_BARE}(\s+{_BARE})+|{_BARE}([,-]{_BARE}){{2,}}", re.ASCII)
"""Gauges with spaces, hyphens or bare commas between, as shops list them."""
_ONE = re.compile(
    r"(?:(?P<note>[A-Ga-g][#♯b♭]?-?\d)(?:\s+|$))?(?P<gauge>[#.,\d][^a-zA-Z]*(?:in|mm|thou|\")?\s?[wW]?)"
    r"(?:\s+core\s+(?P<core>[#.,\d][^a-zA-Z]*(?:in|mm|thou|\")?))?(?:\s+(?P<what>[\w/ -]+))?",
)
_GAUGE, _CORE = (
    Gauge(0.1, 4, "a string", "thin", "thick"),
    Gauge(0.05, 3, "a core", "thin", "thick", may_be_wound=False),
)
_MATERIALS, _WRAPS = get_args(Material), get_args(Wrap)
_DECIMALS_IN, _SAME_MM = 4, 1e-6
"""Decimals of an inch that packets print, and how near a gauge must be to one of those to be written so."""


@dataclass(frozen=True)
class PacketString:
    """A string of a set: None for what the text does not say. ``gauge`` and ``core`` in mm."""

    note: str | None
    gauge: float
    wound: bool
    core: float | None = None
    wrap: str | None = None
    material: str | None = None


@dataclass(frozen=True)
class StringSet:
    """A set of strings, and the text that it was read from."""

    text: str
    strings: tuple[PacketString, ...]


def read_strings(value: object) -> StringSet:
    """A set of strings for what somebody wrote. Raises `Wrong`.

    >>> one, two = read_strings("D4 .010, D3 .022w core .010 nickel-plated steel").strings
    >>> one.note, round(one.gauge, 3), two.wound, two.wrap
    ('D4', 0.254, True, 'nickel-plated steel')
    >>> [string.note for string in read_strings(".010 .012 .014").strings]
    [None, None, None]
    """
    if not isinstance(value, str) or not value.strip() or len(value) > LONGEST_SET:
        raise Wrong(words.no_strings(value))
    plain = value.replace("\N{NO-BREAK SPACE}", " ").strip().rstrip(",;")
    between = _BETWEEN if re.search(r"[,;\n]", plain) else _BEFORE_A_NOTE
    parts = re.split(r"[\s,-]+", plain) if _GAUGES_ONLY.fullmatch(plain) else between.split(plain)
    return StringSet(value.strip(), tuple(_read_one(n, part) for n, part in enumerate(parts, 1)))


def _read_one(n: int, text: str) -> PacketString:
    found = _ONE.fullmatch(text.strip())
    if found is None:
        raise Wrong(words.string_unread(n, text))
    try:
        gauge = _GAUGE.read(found["gauge"].strip())
        core = None if found["core"] is None else float(_CORE.read(found["core"].strip()))
        if found["note"] is not None:
            pitch_hz(found["note"])
    except Wrong as wrong:
        raise Wrong(words.string_wrong(n, wrong.says)) from None
    except NoteError as error:
        raise Wrong(words.string_wrong(n, note_unread(error))) from None
    what = found["what"]
    if what is not None and what not in (*_MATERIALS, *_WRAPS):
        raise Wrong(words.what_unknown(n, what, list(dict.fromkeys((*_MATERIALS, *_WRAPS)))))
    wound = is_marked_wound(gauge) or core is not None or (what in _WRAPS and what not in _MATERIALS)
    if core is not None and core >= gauge:
        raise Wrong(words.string_wrong(n, core_too_thick(core, gauge)))
    wrap = what if wound and what in _WRAPS else None
    material = what if what in _MATERIALS and wrap is None else None
    return PacketString(found["note"], gauge, wound, core, wrap, material)


def written(entries: tuple[StringEntry, ...], usual_wrap: str | None = None) -> str:
    """The strings of an instrument as such a text, so that it reads back as the same strings.

    ``usual_wrap``: to be written where the file leaves a wrap to what is usual.
    """
    return ", ".join(" ".join(_parts(entry, usual_wrap)) for entry in entries)


def in_short(entry: StringEntry) -> str:
    """Note and gauge of a string, as in such a text."""
    return " ".join(islice(_parts(entry, None), 2))


def _parts(entry: StringEntry, usual_wrap: str | None) -> Iterator[str]:
    yield entry.note
    gauge = as_printed(entry.gauge)
    yield with_w(gauge) if entry.is_wound else gauge
    if entry.is_wound and (entry.core is not None or entry.turns is not None):
        yield f"core {as_printed(entry.core_mm)}"
    wrap = entry.wrap or usual_wrap
    if entry.is_wound and wrap is not None:
        yield wrap
    elif entry.material != "steel":
        yield entry.material


def as_printed(mm: float) -> str:
    """A gauge as packets print it, with more decimals only if it has them; in mm if it has too many.

    >>> as_printed(0.254), as_printed(0.2921), as_printed(0.3)
    ('.010', '.0115', '0.3 mm')
    """
    inches = round(mm / float(MM_PER_INCH), _DECIMALS_IN)
    if abs(inches * float(MM_PER_INCH) - mm) > _SAME_MM:
        return f"{mm:g} mm"
    whole, decimals = f"{inches:.{_DECIMALS_IN}f}".split(".")
    return f"{whole.lstrip('0')}.{decimals.rstrip('0').ljust(3, '0')}"
