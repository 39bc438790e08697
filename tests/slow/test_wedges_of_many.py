"""A thousand random instruments, either hand: their wedges set each end of the feet to the cents that they read."""

import random

import pytest
from instruments import edited
from samples import BANJOS, HANDS, PRESETS, WALL
from share import share
from wedge_shapes import laid, marks_of, off_and_turned

from jigs.cutting.cutter import Cutter
from jigs.faults import InputFaults
from jigs.press import press
from jigs.press.order import Order
from jigs.templates.options import Options

pytestmark = pytest.mark.slow

PARTS, EACH = share(10), 100


def some_instrument(chance):
    """A preset with another hand, scale, bridge and action; its strings keep their notes."""
    name = chance.choice(PRESETS)
    usual = edited(name).instrument
    spacing = usual.bridge.spacing * chance.uniform(0.85, 1.1)
    length = max(usual.bridge.length * chance.uniform(0.8, 1.4), spacing + 4)
    thickness, part_of_it = chance.uniform(5, 14), chance.uniform(0.2, 0.8)
    tables = {
        "bridge": {
            "spacing": spacing,
            "length": length,
            "thickness": thickness,
            "face": thickness * part_of_it,
        },
        "action": {"fret_12": chance.uniform(1.5, 3.5), "nut": chance.uniform(0.3, 0.8)},
    }
    if name in BANJOS and chance.random() < 0.5:
        tables["bridge"] |= {"feet": chance.choice((2, 3)), "foot": length * chance.uniform(0.15, 0.25)}
    head = {"hand": chance.choice(HANDS), "scale": usual.head.scale_mm * chance.uniform(0.97, 1.03)}
    return edited(name, head=head, **tables)


@pytest.mark.parametrize("part", range(PARTS))
def test_every_mark_of_a_thousand_instruments_is_true(part, record_property):
    chance, done, worst = random.Random(170 + part), 0, [0.0, 0.0]
    while done < EACH:
        kerf = chance.choice((0.0, 0.2, 0.4))
        try:
            workup = some_instrument(chance)
            options = Options(wedges=True, cutter=Cutter(kerf_mm=kerf))
            printed = press.prepare(workup, Order(("gauge",), WALL, ("svg",), options, sure=True), "x")
        except InputFaults:
            continue
        gauge = laid(workup, printed.files["x-gauge.svg"], kerf)
        for end in ("treble", "bass"):
            for cents in marks_of(gauge, end)[:: chance.choice((1, 3))]:
                off, turned = off_and_turned(gauge, end, cents)
                worst = [max(worst[0], abs(off)), max(worst[1], turned)]
        done += 1
    record_property("worst_mm", float(worst[0]))
    record_property("worst_deg", float(worst[1]))
    assert worst[0] < 0.01
    assert worst[1] < 0.02
