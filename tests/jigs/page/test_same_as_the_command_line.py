"""What the page gives is what `jigs draw` writes from the instrument file that the page gives, byte for byte."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import PRESETS, run
from served import own_file, state

from jigs.instrument.opening import preset_text
from jigs.templates.catalogue import NAMES

ON_A_BANJO = {"rim.head": "11 in", "rim.fret_12_to_near_edge": "157"}
EVERY_DRAW = [
    {"template": "fork", "paper": "legal", "datum-fret": "17", "datum-over": "true"},
    {"template": "fretboard", "paper": "a3", "to-bridge": "true"},
    {"template": "fretboard", "untiled": "true"},
    {"template": "gauge", "kerf": "0.2", "clearance": "0.15", "corner": "2", "web": "4", "stock": "1/32 in"},
    {"template": "gauge", "paper": "12 in x 400 mm", "datum-fret": "12"},
    {"template": "head", "rim": "tail", "kerf": "0.15"},
]
FILLED = [
    {"scale": "26 3/8 in", "action.fret_12": "2.8", "action.relief": "0.1"},
    {"name": "Ré ♭ <b>&amp;</b>", "hand": "left", "frets": "19"},
    {"scale": "", "nut_to_fret_12": "333.4 mm", "compensation.tune_to": "all frets", "tolerance.scale": "0.5"},
    {"strings": "4", "strings.4.gauge": "0.023 in", "strings.4.core": "0.010 in", "pitch.a4": "442"},
    {"strings": "6", "strings.6.note": "C3", "strings.6.gauge": "0.026 in", "strings.1.material": "nylon"},
    {"strings.5.starts_at_fret": "", "strings.5.note": "C4", "board.dots": "5, 7, 12", "action.finger": "4"},
]


def written_by_the_command_line(folder, path, draw, kind):
    """What `jigs draw` does with an instrument file: (files by name, what it refuses in words)."""
    arguments = [draw.get("template", "fork"), "--format", kind, "--out", folder / kind]
    for option, text in draw.items():
        if option != "template":
            arguments += [f"--{option}"] if text == "true" else [f"--{option}", text]
    status, _, told = run("draw", path, *arguments)
    if status:
        return {}, sorted(line.removeprefix(f"{path}: ") for line in told.splitlines())
    return {made.name: made.read_bytes() for made in (folder / kind).iterdir()}, []


def in_words(faults):
    """Faults of the page as the command line tells them."""
    return sorted(": ".join(part for part in (fault["where"], fault["what"]) if part) for fault in faults)


def assert_same(folder, asking, asked):
    """Both formats of a drawing, or both refusals; whether there is a drawing."""
    page, pdf, file = (asking.post(route, asked) for route in ("/draw", "/pdf", "/file"))
    assert (page.status, file.status) == (200, 200)
    path = folder / page.data.get("file", "mine.toml")
    path.write_bytes(file.body)
    files, told = written_by_the_command_line(folder, path, asked["draw"], "svg")
    assert in_words(page.data["faults"]) == told
    given = zip(page.data.get("names", ()), page.data.get("sheets", ()), strict=True)
    assert {name: sheet.encode() for name, sheet in given} == files
    files, told = written_by_the_command_line(folder, path, asked["draw"], "pdf")
    if told:
        assert pdf.status == 422
        assert in_words(pdf.data["faults"]) == told
        return False
    assert pdf.status == 200
    assert pdf.kind == "application/pdf"
    assert {page.data["pdf"]: pdf.body} == files
    return True


@pytest.mark.parametrize("template", NAMES)
@pytest.mark.parametrize("preset", PRESETS)
def test_every_drawing_of_every_preset_is_the_one_of_the_command_line(tmp_path, application, preset, template):
    fields = ON_A_BANJO if template == "head" and "banjo" in preset else {}
    for paper in ("a4", "a3"):
        folder = tmp_path / paper
        folder.mkdir()
        if assert_same(folder, application, state(preset, fields, {"template": template, "paper": paper})):
            return
    assert template in ("head", "top"), "there is none, on any paper"


@pytest.mark.parametrize("draw", EVERY_DRAW, ids=lambda draw: f"{draw['template']}-{len(draw)}")
def test_every_option_does_what_it_does_on_the_command_line(tmp_path, application, draw):
    assert assert_same(tmp_path, application, state("banjo", ON_A_BANJO, draw))


@pytest.mark.parametrize("fields", FILLED, ids=lambda fields: "-".join(fields)[:40])
def test_whatever_is_filled_in_is_drawn_as_the_command_line_draws_it(tmp_path, application, fields):
    assert assert_same(tmp_path, application, state("banjo", fields))


@settings(max_examples=12, deadline=None)
@given(
    st.sampled_from(PRESETS),
    st.integers(3000, 7000),
    st.integers(20, 35),
    st.sampled_from(["right", "left"]),
    st.sampled_from(["a4", "letter", "a3"]),
)
def test_scale_and_action_as_they_come_are_drawn_as_the_command_line_draws_them(
    tmp_path_factory, application, preset, tenths, action, hand, paper
):
    fields = {"scale": f"{tenths / 10}", "action.fret_12": f"{action / 10}", "hand": hand}
    assert_same(tmp_path_factory.mktemp("same"), application, state(preset, fields, {"paper": paper}))


def test_untouched_preset_comes_back_as_its_own_file(application):
    for preset in PRESETS:
        reply = application.post("/file", state(preset))
        assert reply.body.decode() == preset_text(preset)
        assert reply.kind == "application/toml; charset=utf-8"


def test_own_file_comes_back_with_its_comments_and_what_was_changed(application):
    text = preset_text("banjo").replace("# or, from the instrument:", "# measured twice:")
    asked = state(base=own_file(text), fields={"action.fret_12": "2.75"})
    kept = application.post("/file", asked).body.decode()
    assert "# measured twice:" in kept
    changed = [pair for pair in zip(text.splitlines(), kept.splitlines(), strict=True) if pair[0] != pair[1]]
    assert [new.split("#")[0].split() for _, new in changed] == [["fret_12", "=", "2.75"]]


def test_opened_file_fills_the_form_with_what_it_says(application):
    opened = application.post("/open", state(base=own_file(preset_text("banjo")))).data
    assert opened["faults"] == []
    assert opened["strings"] == 5
    for key, text in {
        "name": "Five-string banjo", "scale": "26 1/4 in", "frets": "22", "action.fret_12": "3.0",
        "strings.4.wrap": "phosphor bronze", "strings.5.starts_at_fret": "5", "compensation.tune_to": "octave",
    }.items():  # fmt: skip
        assert opened["fields"][key] == text
    assert "rim.head" not in opened["fields"]


@pytest.mark.parametrize("preset", PRESETS)
def test_form_filled_with_what_a_file_says_draws_what_the_file_draws(application, preset):
    """Every field typed once more as it stands changes no line of the drawing."""
    opened = application.post("/open", state(preset)).data["fields"]
    assert application.drawn(preset, opened)["sheets"] == application.drawn(preset)["sheets"]


def test_numbers_beside_the_drawing_are_those_that_the_command_line_tells(application, tmp_path):
    page = application.drawn("tenor-banjo", {"scale": "23 in"})
    (tmp_path / page["file"]).write_bytes(application.post("/file", state("tenor-banjo", {"scale": "23 in"})).body)
    told = run("draw", tmp_path / page["file"], "--out", tmp_path)[1].splitlines()
    said = [f"{name}: {figure}{rest}" for name, figure, rest in page["headline"]]
    assert [line.partition("; nut side of its feet ")[0] for line in said[:3]] == told[-3:]
    assert said[3].startswith("how sure: ± ")
    numbers = json.loads(run("numbers", tmp_path / page["file"], "--json")[1])
    assert f"{numbers['bridge']['treble_mm']:.1f} mm" in said[0]


def test_notes_are_those_that_the_command_line_tells(application, tmp_path):
    asked = state("banjo", {"scale": "35 in", "strings.1.note": "D3"}, {"paper": "a3"})
    page = application.post("/draw", asked).data
    (tmp_path / "mine.toml").write_bytes(application.post("/file", asked).body)
    told = run("draw", tmp_path / "mine.toml", "--paper", "a3", "--format", "svg", "--out", tmp_path)[2]
    untouched, *notes = page["notes"]
    assert untouched.startswith("taken from the preset, not from your instrument: string heights, bridge; ")
    assert notes
    assert sorted(f"note: {note}" for note in notes) == sorted(told.splitlines())


def test_feet_stand_where_the_figures_say(application):
    said = application.drawn("mandolin", {"bridge.thickness": "8"})["headline"]
    crown, feet = (float(said[0][n].split(" mm")[0].split()[-1]) for n in (1, 2))
    assert crown - feet == pytest.approx(4.0, abs=0.11)


def test_new_string_with_its_old_core_is_told(application):
    notes = application.drawn("banjo", {"strings.4.gauge": "0.026 in"})["notes"]
    assert any("string 4: its gauge is another, its core still 0.011 in" in note for note in notes)
    both = application.drawn("banjo", {"strings.4.gauge": "0.026 in", "strings.4.core": "0.013 in"})["notes"]
    assert not any("its core still" in note for note in both)


def test_how_sure_does_not_change_with_the_template_that_is_looked_at(application):
    said = [application.drawn("banjo", draw={"template": name})["headline"][3] for name in ("fork", "spacing", "gauge")]
    assert said[0] == said[1] == said[2]


def test_figures_stand_beside_a_drawing_that_cannot_be_made(application):
    page = application.post("/draw", state("banjo", draw={"template": "top"})).data
    assert page["faults"]
    assert page["headline"] == application.drawn("banjo")["headline"]


def test_what_a_fault_shows_may_be_typed_as_it_stands(application):
    plain = application.drawn("banjo", {"scale": "26 1/4 in", "strings.1.note": "D4", "board.dots": "5, 7"})
    typed = {"scale": 'scale = "26 1/4 in"', "strings.1.note": '"D4"', "board.dots": "dots = [5, 7]"}
    assert application.drawn("banjo", typed)["sheets"] == plain["sheets"]


def test_scale_far_too_short_is_blamed_rather_than_every_string(application):
    faults = application.post("/draw", state("banjo", {"scale": "264"})).data["faults"]
    assert len(faults) > 1
    assert {fault["field"] for fault in faults} == {"scale"}


@pytest.fixture
def own_settings(tmp_path, monkeypatch):
    """A user who measured a printer, and has a cutter."""
    from jigs.system.user_folder import settings_path

    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    measured = ("--across", "189.4", "--down", "276.5", "--diagonals", "335.1", "335.3")
    assert run("printer", "add", "kitchen", "--paper", "a4", *measured)[0] == 0
    settings_path().write_text('[cutter]\nkerf = 0.3\n[cutter.cut]\ncolour = "#ff0000"\n')
    return settings_path()


@pytest.mark.usefixtures("own_settings")
@pytest.mark.parametrize(
    "draw",
    [
        {"printer": "kitchen"},
        {"template": "spacing", "printer": "kitchen"},
        {"template": "gauge", "printer": "kitchen", "paper": "a3"},
        {"template": "gauge", "paper": "a3"},
        {"template": "gauge", "paper": "a3", "kerf": "0.1"},
    ],
    ids=str,
)
def test_own_printer_and_cutter_count_as_they_do_on_the_command_line(tmp_path, application, draw):
    asked = state("banjo", draw=draw)
    assert_same(tmp_path, application, asked)
    without = state("banjo", draw={key: text for key, text in draw.items() if key not in ("printer", "kerf")})
    if draw.keys() != without["draw"].keys():
        routes = ("/pdf", "/draw") if "kerf" in draw else ("/pdf",)
        for route in routes:
            assert application.post(route, asked).body != application.post(route, without).body


@pytest.mark.usefixtures("own_settings")
def test_own_printers_can_be_chosen_on_the_page(application):
    assert b'<option value="kitchen">kitchen</option>' in application.ask("GET", "/").body


def test_settings_with_a_mistake_in_them_are_told_in_the_words_of_the_command_line(tmp_path, application, own_settings):
    own_settings.write_text("[cutter]\nkerf = 'wide'\n")
    asked = state("banjo", draw={"template": "gauge", "paper": "a3"})
    page = application.post("/draw", asked).data
    assert "sheets" not in page
    told = written_by_the_command_line(tmp_path, "banjo", asked["draw"], "svg")[1]
    assert [line.removeprefix(f"{own_settings}: ") for line in told] == in_words(page["faults"])
    (own_settings.parent / "printers" / "kitchen.toml").write_text("name = 3")
    assert application.faults("banjo", draw={"printer": "kitchen"})


def test_part_that_has_no_page_on_this_paper_is_said_to_have_none_before_it_is_asked_for(application):
    small, large = (state("archtop-guitar", draw={"template": "gauge", "paper": paper}) for paper in ("a4", "a3"))
    (fault,) = application.post("/pdf", small).data["faults"]
    assert fault["field"] == "draw.paper"
    assert any(fault["what"] in note for note in application.post("/draw", small).data["notes"])
    assert application.post("/pdf", large).status == 200
    assert not any("PDF" in note for note in application.post("/draw", large).data["notes"])


def test_readings_give_the_advice_of_the_command_line(application):
    readings = {"treble-harmonic": "+1", "treble-fretted": "+4.5", "bass-harmonic": "-2", "bass-fretted": "-8.5"}
    page = application.post("/readings", state("banjo", readings=readings)).data
    bridge = json.loads(run("numbers", "banjo", "--json")[1])["bridge"]
    asked = [
        "--string",
        "1",
        "--harmonic",
        "+1",
        "--fretted",
        "+4.5",
        "--string",
        "4",
        "--harmonic",
        "-2",
        "--fretted",
        "-8.5",
        "--at",
    ]
    asked.append(f"{bridge['treble_mm']!r} / {bridge['bass_mm']!r}")
    assert page["lines"] == run("readings", "banjo", *asked)[1].splitlines()
    assert page["verdict"] == json.loads(run("readings", "banjo", *asked, "--json")[1])["verdict"]
    assert [f"note: {note}" for note in page["notes"]] == run("readings", "banjo", *asked)[2].splitlines()
    assert page["faults"] == []
    assert page["picture"].startswith("<")


def test_same_input_gives_the_same_bytes(application, server):
    asked = state("mandolin", {"scale": "14 in"})
    for route in ("/draw", "/pdf", "/file"):
        assert application.post(route, asked).body == application.post(route, asked).body
        assert application.post(route, asked).body == server.post(route, asked).body
