"""What the page gives is what `jigs draw` writes from the instrument file that the page gives, byte for byte."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import PRESETS, run
from served import (
    lines_on_the_page,
    on_the_page,
    own_file,
    printed_by_the_command_line,
    refused_by_the_command_line,
    shown,
    state,
)

from jigs.instrument.opening import preset_text
from jigs.templates.catalogue import NAMES

pytestmark = pytest.mark.slow

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
    {"strings": "6", "strings.6.note": "C3", "strings.6.gauge": ".026w", "strings.1.material": "nylon"},
    {"strings.5.starts_at_fret": "", "strings.5.note": "C4", "board.dots": "5, 7, 12", "action.finger": "4"},
]


def written_by_the_command_line(folder, path, draw, kind):
    """What `jigs draw` does with an instrument file: (files by name, faults as the page is to show them)."""
    arguments = [draw.get("template", "fork"), "--format", kind, "--out", folder / kind]
    for option, text in draw.items():
        if option != "template":
            arguments += [f"--{option}"] if text == "true" else [f"--{option}", text]
    faults = refused_by_the_command_line("draw", path, *arguments)
    if faults:
        return {}, sorted(faults)
    return {made.name: made.read_bytes() for made in (folder / kind).iterdir()}, []


def assert_same(folder, asking, sent):
    """Both formats of a drawing, or both refusals; whether there is a drawing."""
    page, pdf, file = (asking.post(route, sent) for route in ("/draw", "/pdf", "/file"))
    assert (page.status, file.status) == (200, 200)
    path = folder / page.data.get("file", "mine.toml")
    path.write_bytes(file.body)
    files, faults = written_by_the_command_line(folder, path, sent["draw"], "svg")
    assert sorted(shown(page.data["faults"])) == faults
    given = zip(page.data.get("names", ()), page.data.get("sheets", ()), strict=True)
    assert {name: sheet.encode() for name, sheet in given} == files
    files, faults = written_by_the_command_line(folder, path, sent["draw"], "pdf")
    if faults:
        assert pdf.status == 422
        assert sorted(shown(pdf.data["faults"])) == faults
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


AS_PEOPLE_WRITE = [
    ({"scale": "26¼"}, {"scale": "26 1/4 in"}),
    (
        {"strings.4.gauge": ".024w", "strings.1.gauge": "#10"},
        {"strings.4.gauge": "24 thou w", "strings.1.gauge": "0.010 in"},
    ),
    ({"action.fret_12": "2,9"}, {"action.fret_12": "2.9"}),
    ({"bridge.spacing": "1 11/16"}, {"bridge.spacing": "1 11/16 in"}),
]


@pytest.mark.parametrize(("written", "meant"), AS_PEOPLE_WRITE, ids=str)
def test_gauges_and_lengths_are_taken_as_people_write_them(application, written, meant):
    """Else the page would refuse what the packet and the rule say."""
    drawn, expected = (
        application.post("/draw", state("banjo", fields, {"template": "gauge", "kerf": kerf})).data
        for fields, kerf in ((written, "0,2"), (meant, "0.2"))
    )
    assert drawn["faults"] == []
    assert drawn["sheets"] == expected["sheets"]


@pytest.mark.parametrize("draw", EVERY_DRAW, ids=lambda draw: f"{draw['template']}-{len(draw)}")
def test_every_option_does_what_it_does_on_the_command_line(tmp_path, application, draw):
    assert assert_same(tmp_path, application, state("banjo", ON_A_BANJO, draw))


@pytest.mark.parametrize("fields", FILLED, ids=lambda fields: "-".join(fields)[:40])
def test_whatever_is_filled_in_is_drawn_as_the_command_line_draws_it(tmp_path, application, fields):
    assert assert_same(tmp_path, application, state("banjo", fields))


def test_a_steep_slant_is_refused_at_the_string_that_makes_it_until_it_is_confirmed(tmp_path, application):
    plain = {"strings.4.gauge": ".022", "strings.4.core": "", "strings.4.wrap": ""}
    (tmp_path / "refused").mkdir()
    assert not assert_same(tmp_path / "refused", application, state("banjo", plain))
    page = application.post("/draw", state("banjo", plain)).data
    (fault,) = page["faults"]
    assert fault["field"] == "strings.4.gauge"
    assert fault["remedy"] == "is string 4 wound? then write “Gauge”: .022w, or confirm with “The slant is right”"
    assert page["headline"]
    assert assert_same(tmp_path, application, state("banjo", plain, {"sure": "true"}))


@settings(max_examples=12, deadline=None)
@given(
    st.sampled_from(PRESETS),
    st.integers(3000, 7000),
    st.integers(20, 35),
    st.sampled_from(["right", "left"]),
    st.sampled_from(["a4", "letter", "a3"]),
)
def test_any_scale_and_action_are_drawn_as_the_command_line_draws_them(
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
    text = preset_text("banjo").replace("# or, as measured:", "# measured twice:")
    sent = state(base=own_file(text), fields={"action.fret_12": "2.75"})
    kept = application.post("/file", sent).body.decode()
    assert "# measured twice:" in kept
    changed = [pair for pair in zip(text.splitlines(), kept.splitlines(), strict=True) if pair[0] != pair[1]]
    assert [new.split("#")[0].split() for _, new in changed] == [["fret_12", "=", "2.75"]]


def test_opened_file_fills_the_form_with_what_it_says(application):
    opened = application.post("/open", state(base=own_file(preset_text("banjo")))).data
    assert opened["faults"] == []
    assert opened["strings"] == 5
    for key, text in {
        "name": "Five-string banjo", "scale": "26 1/4 in", "frets": "22", "action.fret_12": "3.0",
        "strings.4.wrap": "nickel-plated steel", "strings.5.starts_at_fret": "5", "compensation.tune_to": "octave",
    }.items():  # fmt: skip
        assert opened["fields"][key] == text
    assert "rim.head" not in opened["fields"]


@pytest.mark.parametrize("preset", PRESETS)
def test_form_filled_with_what_a_file_says_draws_what_the_file_draws(application, preset):
    """Every field typed once more with its own value changes no line of the drawing. A name that is typed names its file."""
    opened = application.post("/open", state(preset)).data["fields"]
    assert application.drawn(preset, opened)["sheets"] == application.drawn(preset, {"name": opened["name"]})["sheets"]


def test_numbers_beside_the_drawing_are_those_of_the_command_line(application, tmp_path):
    page = application.drawn("tenor-banjo", {"scale": "23 in"})
    (tmp_path / page["file"]).write_bytes(application.post("/file", state("tenor-banjo", {"scale": "23 in"})).body)
    printed = run("draw", tmp_path / page["file"], "--out", tmp_path)[1].splitlines()
    said = ["{name}: {figure}{joint}{rest}".format(**one) for one in page["headline"]]
    assert [line.partition("; nut side of its feet ")[0] for line in said[:3]] == printed[-3:]
    assert said[3].startswith("how sure: ± ")
    numbers = json.loads(run("numbers", tmp_path / page["file"], "--json")[1])
    assert f"{numbers['bridge']['treble_mm']:.1f} mm" in said[0]


def test_notes_are_those_of_the_command_line(application, tmp_path):
    sent = state("banjo", {"scale": "35 in", "strings.1.note": "D3"}, {"paper": "a3"})
    page = application.post("/draw", sent).data
    (tmp_path / "mine.toml").write_bytes(application.post("/file", sent).body)
    with printed_by_the_command_line() as values:
        printed = run("draw", tmp_path / "mine.toml", "--paper", "a3", "--format", "svg", "--out", tmp_path)[2]
    untouched, *notes = page["notes"]
    assert untouched["code"] == "values-from-preset"
    assert "string heights, bridge" in untouched["text"]
    assert notes
    assert all(set(note) == {"code", "field", "where", "says", "text", "first"} for note in page["notes"])
    expected = [values[line.removeprefix("note: ")] for line in printed.splitlines()]
    assert sorted(note["code"] for note in notes) == sorted(note.code for note in expected)
    assert all(any(on_the_page(note)[1] in one["says"] for one in notes) for note in expected)


def test_feet_are_where_the_figures_say(application):
    said = application.drawn("mandolin", {"bridge.thickness": "8"})["headline"]
    crown, feet = (float(said[0][part].split(" mm")[0].split()[-1]) for part in ("figure", "rest"))
    assert crown - feet == pytest.approx(4.0, abs=0.11)


def test_new_string_with_its_old_core_is_noticed(application):
    measured = own_file(preset_text("cello-banjo").replace('# core = "0.031 in"', 'core = "0.031 in"'))
    notes = application.drawn(base=measured, fields={"strings.4.gauge": ".070w"})["notes"]
    assert [(note["field"], note["code"]) for note in notes if "0.031 in" in note["text"]] == [
        ("strings.4.core", "core-of-old-string")
    ]
    both = application.drawn(base=measured, fields={"strings.4.gauge": ".070w", "strings.4.core": "0.033 in"})["notes"]
    assert not [note for note in both if note["code"] == "core-of-old-string"]


def test_figures_are_shown_beside_a_drawing_that_cannot_be_made(application):
    page = application.post("/draw", state("banjo", draw={"template": "top"})).data
    assert page["faults"]
    (*places, sure), (*drawn, by_fork) = page["headline"], application.drawn("banjo")["headline"]
    assert places == drawn
    assert (sure["name"], sure["figure"]) == (by_fork["name"], by_fork["figure"])


def test_what_the_file_says_may_be_typed_as_it_is(application):
    plain = application.drawn("banjo", {"scale": "26 1/4 in", "strings.1.note": "D4", "board.dots": "5, 7"})
    typed = {"scale": 'scale = "26 1/4 in"', "strings.1.note": '"D4"', "board.dots": "dots = [5, 7]"}
    assert application.drawn("banjo", typed)["sheets"] == plain["sheets"]


def test_scale_far_too_short_is_marked_instead_of_every_string(application):
    half = application.post("/draw", state("banjo", {"scale": "264"})).data["faults"]
    assert [(fault["field"], fault["code"]) for fault in half] == [("scale", "scale-perhaps-half")]
    faults = application.post("/draw", state("banjo", {"scale": "160"})).data["faults"]
    assert len(faults) > 1
    assert {fault["field"] for fault in faults} == {"scale"}
    assert [fault["where"] for fault in faults] == [f"Scale length, string {n}" for n in range(1, len(faults) + 1)]


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
    sent = state("banjo", draw=draw)
    assert_same(tmp_path, application, sent)
    without = state("banjo", draw={key: text for key, text in draw.items() if key not in ("printer", "kerf")})
    if draw.keys() != without["draw"].keys():
        routes = ("/pdf", "/draw") if "kerf" in draw else ("/pdf",)
        for route in routes:
            assert application.post(route, sent).body != application.post(route, without).body


@pytest.mark.usefixtures("own_settings")
def test_own_printers_can_be_chosen_on_the_page(application):
    assert b'<option value="kitchen">kitchen</option>' in application.ask("GET", "/").body


def test_settings_with_a_mistake_in_them_are_refused_with_their_file(tmp_path, application, own_settings):
    own_settings.write_text("[cutter]\nkerf = 'wide'\n")
    sent = state("banjo", draw={"template": "gauge", "paper": "a3"})
    page = application.post("/draw", sent).data
    assert "sheets" not in page
    assert shown(page["faults"]) == written_by_the_command_line(tmp_path, "banjo", sent["draw"], "svg")[1]
    assert [(fault["field"], fault["where"]) for fault in page["faults"]] == [("", f"{own_settings}: [cutter] kerf")]
    printer = own_settings.parent / "printers" / "kitchen.toml"
    printer.write_text("name = 3")
    for fault in application.faults("banjo", draw={"printer": "kitchen"}):
        assert fault["field"] == ""
        assert fault["where"].startswith(f"{printer}")


def test_part_without_a_page_on_this_paper_has_a_note_before_its_pdf_is_wanted(application):
    wide = {"bridge.length": "200"}
    small, large = (state("banjo", wide, {"template": "gauge", "paper": paper}) for paper in ("letter", "a3"))
    (fault,) = application.post("/pdf", small).data["faults"]
    assert fault["field"] == "draw.paper"
    drawn = application.post("/draw", small).data
    assert drawn["names"] == ["banjo-gauge.svg"], "the part for a cutter needs no paper"
    assert drawn["pdf"] is None
    (note,) = (one for one in drawn["notes"] if one["code"] == "part-without-page")
    assert fault["what"] in note["says"]
    assert note["field"] == "draw.paper"
    assert application.post("/pdf", large).status == 200
    assert "part-without-page" not in {note["code"] for note in application.post("/draw", large).data["notes"]}


READ = {
    "one-each": ("banjo", "+1", "+4.5", "-2", "-8.5", {}),
    "three-each": ("banjo", "2 / 1 / 2", "4 / 4 / 5", "-2/-1,5/-2", "−8.5 / -9/ -8", {}),
    "one-harmonic-for-all": ("banjo", "1", "4 / 4.5 / 5", "-2", "-8.5 / -9", {}),
    "hertz-among-cents": ("banjo", "587.5 Hz / 1", "588.1Hz / 2", "-2 / 1", "-3 / 0.5", {}),
    "stepped-saddle": ("mandolin", "0 / 1 / 0", "3 / 4 / 4", "0 / 0 / 1", "-4 / -4 / -3", {"touch-error": "1,2"}),
    "stop": ("tenor-banjo", "0 / 1 / 0", "0.5 / 1 / 0", "0 / 0 / 1", "0 / 0.5 / 1", {"tuner-error": "0.3"}),
    "octave-at-fret-7": ("mountain-dulcimer", "0 / 1 / 0", "3 / 4 / 4", "0", "-4 / -4 / -3", {"touch-error": "0"}),
    "another-octave": ("mountain-dulcimer", "0", "90", "0", "-90", {}),
}


@pytest.mark.parametrize("place", ["", "line", "{treble_mm:.1f} / {bass_mm:.2f}"], ids=["unknown", "line", "measured"])
@pytest.mark.parametrize("given", READ.values(), ids=READ)
def test_readings_give_the_advice_of_the_command_line(application, given, place):
    preset, *tones, errors = given
    keys = ("treble-harmonic", "treble-fretted", "bass-harmonic", "bass-fretted")
    numbers = json.loads(run("numbers", preset, "--json")[1])
    at = {"at": place.format(**numbers["bridge"])} if place else {}
    read = {**dict(zip(keys, tones, strict=True)), **errors, **at}
    page = application.post("/readings", state(preset, readings=read)).data
    last = len(numbers["strings"]) if preset != "banjo" else 4
    options = [word for name, text in at.items() for word in (f"--{name}", text)]
    for string, harmonics, fretted in ((1, *tones[:2]), (last, *tones[2:])):
        options += ["--string", string]
        reference = harmonics.split("/")
        for n, note in enumerate(fretted.split("/")):
            options += ["--harmonic", reference[n]] if n < len(reference) else []
            options += ["--fretted", note]
    options += [word for name, text in errors.items() for word in (f"--{name}", text)]
    with printed_by_the_command_line() as values:
        status, printed, noted = run("readings", preset, *options)
    assert status == 0, noted
    as_json = json.loads(run("readings", preset, *options, "--json")[1])
    assert page["faults"] == []
    assert page["lines"] == lines_on_the_page(as_json["lines"])
    assert [f"{'  ' if line['indented'] else ''}{line['text']}" for line in as_json["lines"]] == printed.splitlines()
    assert (page["verdict"], page["next"]) == (as_json["verdict"], as_json["next"])
    expected = [values[line.removeprefix("note: ")] for line in noted.splitlines()]
    assert [note["code"] for note in page["notes"]] == [note.code for note in expected]
    assert all(on_the_page(note)[1] in one["says"] for note, one in zip(expected, page["notes"], strict=True))
    assert page["picture"].startswith("<")
    assert sum(one["repeats"] for one in as_json["strings"]) == sum(len(text.split("/")) for text in tones[1::2])


def test_same_input_gives_the_same_bytes(application, server):
    sent = state("mandolin", {"scale": "14 in"})
    for route in ("/draw", "/pdf", "/file"):
        assert application.post(route, sent).body == application.post(route, sent).body
        assert application.post(route, sent).body == server.post(route, sent).body
