"""A template that cannot be drawn says what it lacks and leads to the field; nobody takes another drawing for it."""

import pytest
from served import state

from jigs.templates.catalogue import IN_WORDS, NAMES

TOO_SMALL = "150x200"


def lacks(application, preset, draw, fields=None):
    page = application.post("/draw", state(preset, fields, draw)).data
    assert page["faults"]
    assert "sheets" not in page
    return page["lacks"]


@pytest.mark.parametrize(
    ("preset", "draw", "fields", "goes_to"),
    [
        ("banjo", {"template": "head"}, {}, ["rim.fret_12_to_near_edge"]),
        ("mandolin", {"template": "top", "datum-end": "true"}, {}, ["board.end", "draw.datum-end"]),
        ("banjo", {"template": "top"}, {}, ["draw.template"]),
        ("mandolin", {"template": "head"}, {}, ["draw.template"]),
        ("banjo", {"template": "gauge", "kerf": "4"}, {}, ["draw.kerf"]),
        (
            "banjo",
            {"template": "head"},
            {"rim.fret_12_to_near_edge": "60"},
            ["rim.head", "bridge.length", "rim.fret_12_to_near_edge"],
        ),
    ],
    ids=lambda value: str(value)[:30],
)
def test_empty_sheet_leads_to_every_field_that_mends_it(application, preset, draw, fields, goes_to):
    said = lacks(application, preset, draw, fields)
    assert said["title"] == f"{draw['template']}: {IN_WORDS[draw['template']]}"
    assert [one["field"] for one in said["fields"]] == goes_to
    assert all(one["label"] for one in said["fields"])
    front = application.ask("GET", "/").body.decode()
    for one in said["fields"]:
        assert f'id="f-{one["field"]}"' in front
    assert said["sentences"]
    for sentence in said["sentences"]:
        assert sentence.endswith(".")
        assert sentence[0].isupper()
        assert not set("[`") & set(sentence)
        assert "--" not in sentence


@pytest.mark.parametrize(("preset", "wrong", "suits"), [("banjo", "top", "head"), ("mandolin", "head", "top")])
def test_template_of_another_kind_says_which_templates_suit(application, preset, wrong, suits):
    (sentence,) = lacks(application, preset, {"template": wrong})["sentences"]
    assert f"the {suits} template or the fork" in sentence


@pytest.mark.parametrize("template", ["fork", "spacing", "setup-card"])
def test_template_that_fits_no_sheet_of_this_paper_leads_to_the_paper(application, template):
    said = lacks(application, "cello-banjo", {"template": template, "paper": TOO_SMALL})
    assert said["title"].startswith(f"{template}: ")
    assert said["fields"][0] == {"field": "draw.paper", "label": "Paper"}


@pytest.mark.parametrize("template", ["gauge", "blank"])
def test_part_whose_page_does_not_fit_is_drawn_and_says_why_there_is_no_pdf(application, template):
    page = application.drawn("cello-banjo", draw={"template": template, "paper": TOO_SMALL})
    assert page["lacks"] is None
    assert page["pdf"] is None
    assert "does not fit" in page["no_pdf"]


@pytest.mark.parametrize(
    ("fields", "draw"),
    [
        ({"action.fret_12": "high"}, {"template": "head"}),
        ({"strings.4.gauge": ".022", "strings.4.core": "", "strings.4.wrap": ""}, {}),
        ({}, {"kerf": "wide", "template": "gauge"}),
    ],
    ids=["unread", "slant", "option"],
)
def test_fault_of_the_instrument_or_an_option_keeps_the_last_drawing_of_this_template(application, fields, draw):
    assert lacks(application, "banjo", draw, fields) is None


@pytest.mark.parametrize("template", NAMES)
def test_drawn_template_lacks_nothing(application, template):
    preset = {"head": "banjo", "top": "mandolin"}.get(template, "banjo")
    fields = {"rim.fret_12_to_near_edge": "200", "rim.head": "280"} if template == "head" else {}
    assert application.drawn(preset, fields, {"template": template})["lacks"] is None
