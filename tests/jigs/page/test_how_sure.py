"""How sure a place is, beside the drawing: it speaks of the template that is drawn, never of another one."""

import re

import pytest
from samples import run
from served import state

from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.templates.catalogue import NAMES
from jigs.workup.sureness import how_sure
from jigs.workup.work_up import work_up

PLACES_NONE = [name for name in NAMES if name not in ("fork", "setup-card", "gauge", "top", "head")]
HEAD = {"rim.fret_12_to_near_edge": "200", "rim.head": "280"}


def said(application, preset, draw, fields=None):
    """The figure in mm, and the rest of its sentence."""
    figure = next(one for one in application.drawn(preset, fields, draw)["headline"] if one["name"] == "how sure")
    return float(re.findall(r"\d+\.\d", figure["figure"])[0]), figure["rest"]


def of_fret(preset, fret):
    """The same figure for a sheet against this fret, from the numbers."""
    workup = work_up(parse(preset_text(preset).encode(), preset))
    sure = how_sure(workup, fret)
    return sure.of_line(float(workup.across_mm[workup.outer_strings[0]])).half_width_mm


@pytest.mark.parametrize(
    ("preset", "draw", "fret"),
    [
        ("banjo", {"template": "gauge"}, 22),
        ("banjo", {"template": "gauge", "datum-fret": "17"}, 17),
        ("banjo", {"template": "gauge", "wedges": "true"}, 22),
        ("mandolin", {"template": "top", "datum-fret": "15"}, 15),
    ],
    ids=str,
)
def test_part_is_as_sure_as_the_fret_that_it_lies_against_makes_it(application, tmp_path, preset, draw, fret):
    figure, rest = said(application, preset, draw)
    name = {"gauge": "gauge", "top": "top template"}[draw["template"]]
    assert f"with a printed {name} against fret {fret};" in rest
    assert figure == pytest.approx(of_fret(preset, fret), abs=0.0501)
    options = [word for key, text in list(draw.items())[1:] for word in (f"--{key}", *([text] * (text != "true")))]
    run("draw", preset, draw["template"], *options, "--format", "svg", "--out", tmp_path)
    (drawn,) = tmp_path.iterdir()
    assert f"fret {fret}" in drawn.read_text()


@pytest.mark.parametrize("template", ["fork", "setup-card"])
@pytest.mark.parametrize("fret", ["", "15"])
def test_fork_and_card_speak_of_the_fork_that_is_drawn(application, template, fret):
    draw = {"template": template, "paper": "a3"} | ({"datum-fret": fret} if fret else {})
    _, rest = said(application, "banjo", draw)
    against = re.search(r"with a fork against fret (\d+);", rest)
    sheet = application.drawn("banjo", draw=draw)["sheets"][0]
    assert against
    assert f"fret {against[1]}" in re.sub(r"\s+", " ", sheet)
    assert not fret or against[1] == fret


@pytest.mark.parametrize("template", PLACES_NONE)
def test_template_that_does_not_place_the_bridge_says_so(application, template):
    figure, rest = said(application, "banjo", {"template": template})
    assert f"(the {template} template does not place the bridge)" in rest
    assert figure == said(application, "banjo", {"template": "fork"})[0]


def test_templates_that_start_elsewhere_say_what_that_adds(application):
    assert (
        "the head template adds the error of its distance" in said(application, "banjo", {"template": "head"}, HEAD)[1]
    )
    from_end = {"template": "top", "datum-end": "true"}
    assert (
        "adds the error of its distance to the end" in said(application, "mandolin", from_end, {"board.end": "260"})[1]
    )


@pytest.mark.parametrize("template", [name for name in NAMES if name not in ("head", "top")])
def test_every_template_speaks_of_itself_or_of_its_fork(application, template):
    _, rest = said(application, "banjo", {"template": template})
    assert template in rest or template == "setup-card"


def test_template_that_cannot_be_drawn_speaks_of_a_fork_and_of_itself(application):
    page = application.post("/draw", state("banjo", draw={"template": "head"})).data
    assert page["faults"]
    assert "the head template adds" in page["headline"][-1]["rest"]
