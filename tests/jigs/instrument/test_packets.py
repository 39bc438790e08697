"""Strings as a packet prints them: each is taken as it is meant, or refused at the string that is wrong.

Without these, a w or a core would be lost on the way, and the bridge be placed for other strings.
"""

import pytest

from jigs.faults import Wrong, spoken
from jigs.instrument.packets import PacketString, read_strings

D3 = ("D3", 0.5588, True)


@pytest.mark.parametrize(
    ("text", "strings"),
    [
        ("D4 .010, B3 .012", [("D4", 0.254, False), ("B3", 0.3048, False)]),
        ("D3 .022w core .011; G3 .014\nB3 .012", [(*D3, 0.2794), ("G3", 0.3556, False), ("B3", 0.3048, False)]),
        ("D3 .022w core .011 nickel", [(*D3, 0.2794, "nickel")]),
        (".010 .012w", [(None, 0.254, False), (None, 0.3048, True)]),
        (".010,.012,.014W", [(None, 0.254, False), (None, 0.3048, False), (None, 0.3556, True)]),
        (".010-.012-.014", [(None, 0.254, False), (None, 0.3048, False), (None, 0.3556, False)]),
        ("D4 .010 B3 .012,", [("D4", 0.254, False), ("B3", 0.3048, False)]),
        ("D4 .010,B3 .012;", [("D4", 0.254, False), ("B3", 0.3048, False)]),
        ("D3 .022w phosphor bronze", [(*D3, None, "phosphor bronze")]),
        ("D3 .022 nickel", [(*D3, None, "nickel")]),
        ("D3 .022w steel", [(*D3, None, "steel")]),
        ("D4 .010 steel", [("D4", 0.254, False, None, None, "steel")]),
        ("E4 .025 nylon", [("E4", 0.635, False, None, None, "nylon")]),
        ("G3 0.4 mm", [("G3", 0.4, False)]),
        ("E♭4\N{NO-BREAK SPACE}.010", [("E♭4", 0.254, False)]),
    ],
)
def test_strings_are_taken_as_they_are_meant(text, strings):
    found = read_strings(text)
    assert found.text == text.strip()
    wanted = [PacketString(*one) for one in strings]
    assert [one.gauge for one in found.strings] == pytest.approx([one.gauge for one in wanted])
    assert [one.core for one in found.strings] == pytest.approx([one.core for one in wanted])
    for one, other in zip(found.strings, wanted, strict=True):
        assert (one.note, one.wound, one.wrap, one.material) == (other.note, other.wound, other.wrap, other.material)


@pytest.mark.parametrize(
    ("text", "code", "said"),
    [
        ("", "string-set-unread", '"" is not a set of strings; write each as on its packet'),
        (3, "string-set-unread", "3 is not a set of strings"),
        ("D4 .010, " * 200, "string-set-unread", "is not a set of strings"),
        ("D4 .010, what", "string-set-string-unread", 'string 2, "what", cannot be read; write note and gauge'),
        ("D4 .010, D4", "string-set-string-unread", 'string 2, "D4", cannot be read'),
        ("H4 .010", "string-set-string-unread", 'string 1, "H4 .010", cannot be read'),
        ("D3 .022w core .030w", "string-set-string-unread", "string 1"),
        (
            "D4 .010, B3 .012 zinc",
            "string-set-word-unknown",
            'string 2: "zinc" is unknown; choose steel, nylon, phosphor',
        ),
        ("D4 .010, B3 .0001", "gauge-too-thin", 'string 2: ".0001" is too thin for a string; write .004'),
        ("D4 .010, B3 9 mm", "gauge-too-thick", 'string 2: "9 mm" is too thick'),
        ("D3 .022w core .022", "core-too-thick", "string 1: a core of 0.022 in is not thinner"),
    ],
)
def test_a_string_that_cannot_be_is_refused_by_its_number(text, code, said):
    with pytest.raises(Wrong) as wrong:
        read_strings(text)
    says = wrong.value.says
    assert says.code == code
    assert said in f"{spoken(says.what)}; {spoken(says.remedy)}"
