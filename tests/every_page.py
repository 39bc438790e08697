"""Every template of an instrument on a paper, drawn and read back: what is refused, and what is wrong on its pages."""

import math
import tomllib
from functools import cache

from instruments import edited
from pages import faults_of
from samples import BANJOS, filed, measured

from jigs.faults import InputFaults
from jigs.press.order import Order
from jigs.press.press import prepare
from jigs.sheets.paper import PAPERS
from jigs.templates.catalogue import NAMES

_SEMITONES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_FLATS = {"Db": "C#", "Eb": "D#", "Gb": "F#", "Ab": "G#", "Bb": "A#"}
MM_PER_INCH = 25.4


def drawn(workup, stem, template, paper):
    """The PDF of a template, None where the instrument lacks a measurement for it. Raises `InputFaults` if it is refused."""
    order = Order((template,), PAPERS[paper], ("pdf",), leave_out=True, sure=True)
    return prepare(workup, order, stem).files.get(f"{stem}-{template}.pdf")


def wrong_with(workup, stem, papers, templates=NAMES, refusable=False):
    """What is wrong on every page, and what is refused, a sentence each. ``refusable``: a part may be too large."""
    for template in templates:
        for paper in papers:
            where = f"{stem} {template} {paper} {workup.instrument.head.hand}"
            try:
                content = drawn(workup, stem, template, paper)
            except InputFaults as refused:
                codes = {fault.code for fault in refused.faults}
                if not refusable or codes != {"paper-too-small"}:
                    yield f"{where}: refused, {refused.faults[0]}"
                continue
            if content is not None:
                yield from (f"{where}, page {page}: {wrong}" for page, wrong in faults_of(content))


def complete(name, hand="right"):
    """A preset; a banjo with the measurements that its head's template needs."""
    return measured(name, *(("head",) if name in BANJOS else ()), hand=hand)


@cache
def scaled(name, inches, hand):
    """A preset as long as that, its strings tuned so that they are about as tight."""
    data = tomllib.loads(filed(name))
    usual = complete(name).scale_mm
    steps = round(12 * math.log2(usual / (inches * MM_PER_INCH)))
    notes = {n: {"note": _transposed(string["note"], steps)} for n, string in enumerate(data["strings"])}
    head = {"scale": None, "nut_to_fret_12": inches * MM_PER_INCH / 2, "hand": hand}
    return edited(name, head=head, strings=notes)


def _transposed(note, steps):
    letters, octave = note[:-1], int(note[-1])
    place = _SEMITONES.index(_FLATS.get(letters, letters)) + 12 * octave + steps
    return f"{_SEMITONES[place % 12]}{place // 12}"
