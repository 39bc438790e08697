"""Every guide can be found, and says at its beginning what it is and who it is for."""

import pytest
from sources import ROOT

from jigs.faults import InputFaults
from jigs.guide.guides import NAMES, guide, guides


def test_every_guide_that_is_written_is_listed():
    assert sorted(f"{name}.md" for name in NAMES) == sorted(p.name for p in (ROOT / "jigs" / "guide").glob("*.md"))


@pytest.mark.parametrize("one", guides(), ids=lambda one: one.name)
def test_a_guide_begins_with_its_title_and_who_it_is_for(one):
    assert one.text.startswith(f"# {one.title}\n\n")
    assert one.title
    assert one.for_whom.endswith(".")
    assert "#" not in one.for_whom
    assert "](" not in one.for_whom, "the list of guides shows it as plain text"


@pytest.mark.parametrize("name", ["", "playr", "../player", "player.md", "a\nb"])
def test_an_unknown_guide_is_refused_with_those_that_there_are(name):
    with pytest.raises(InputFaults) as refused:
        guide(name)
    (fault,) = refused.value.faults
    assert fault.code == "guide-unknown"
    nearest = 'did you mean "player"?'
    assert nearest in str(fault) or all(known in str(fault) for known in NAMES)
    assert "\n" not in str(fault)
