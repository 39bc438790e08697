"""One order from plain words: the same for the command line, the page and the rack, and every fault of it at once."""

import pytest
from samples import preset

from jigs.faults import InputFaults
from jigs.press import press
from jigs.press.order import Order, read_order
from jigs.sheets.paper import PAPERS
from jigs.templates.catalogue import CUT_FROM_STOCK, NAMES
from jigs.wording import listed


def refused(templates, given, **more):
    with pytest.raises(InputFaults) as wrong:
        read_order(templates, given, **more)
    return {(fault.place.option, fault.code) for fault in wrong.value.faults}


def test_nothing_but_a_template_orders_what_the_help_promises():
    order = read_order(["fork"], {})
    assert (order.templates, order.paper, order.formats) == (("fork",), PAPERS["a4"], ("pdf", "svg"))
    assert order == Order()


def test_every_fault_of_an_order_is_shown_at_once_with_its_option():
    given = {"format": "pfd", "rim": "left", "datum-fret": "last", "printer": "kitchen"}
    codes = refused(["frok", "gauge"], given)
    assert codes == {
        ("template", "template-unknown"),
        ("format", "format-unknown"),
        ("rim", "rim-side-unknown"),
        ("datum-fret", "datum-fret-unread"),
        ("printer", "printer-unknown"),
    }


def test_two_unknown_templates_are_both_shown_where_they_were_named():
    with pytest.raises(InputFaults) as wrong:
        read_order(["frok", "gage"], {}, named_in="templates")
    assert [str(fault) for fault in wrong.value.faults] == [
        '--templates: unknown template "frok"; did you mean "fork"?',
        '--templates: unknown template "gage"; did you mean "gauge"?',
    ]


def test_template_and_format_that_are_named_twice_are_drawn_once():
    order = read_order(["fork", "crown", "fork"], {"format": "svg, pdf,svg"})
    assert (order.templates, order.formats) == (("fork", "crown"), ("svg", "pdf"))


def test_option_without_effect_is_noted_with_the_templates_that_use_it():
    (note,) = read_order(["fork"], {"kerf": "0.2"}).notes
    assert (note.code, note.place.option) == ("option-idle", "kerf")
    parts = listed([name for name in NAMES if name in CUT_FROM_STOCK])
    assert str(note) == f"--kerf: this option has no effect here; it applies to {parts}"
    assert read_order(["fork", "gauge"], {"kerf": "0.2"}).notes == ()


def test_missing_measurement_is_blamed_on_its_key_and_a_wrong_kind_on_the_template():
    for name, template, place in (
        ("banjo", "head", "preset banjo: [rim] fret_12_to_near_edge"),
        ("banjo", "top", "preset banjo: TEMPLATE"),
    ):
        with pytest.raises(InputFaults) as wrong:
            press.prepare(preset(name), Order((template,)), "x")
        assert [str(fault.place) for fault in wrong.value.faults] == [place]


def test_template_that_lacks_a_measurement_is_skipped_among_many_with_a_note():
    printed = press.prepare(preset("banjo"), Order(("head", "top", "crown"), formats=("pdf",), leave_out=True), "x")
    assert list(printed.files) == ["x-crown.pdf"]
    (note,) = (note for note in printed.notes if note.code == "rim-missing")
    assert str(note).startswith("the head is not drawn: ")
    assert "[rim] fret_12_to_near_edge" in str(note)
