"""The command line for a newcomer: what it writes, and what it refuses, in sentences."""

import csv
import io
import json
import os
import subprocess
import sys

import pytest
from samples import PRESETS, ROOT, SMALL_FILE, run

STRING = '[[strings]]\nnote = "D4"\ngauge = "0.010 in"\n'
HEAD = 'name = "x"\nkind = "banjo"\nscale = "26 1/4 in"\n'
WIDE = ("draw", "banjo", "--set", "bridge.length=160")
"""A banjo whose fork fits on A4 whole, but not in pieces with their crosses."""


def refused(tmp_path, content, *expected, arguments=()):
    """Draw from a file with this content: refused, in sentences, with nothing written."""
    path, out = tmp_path / "mine.toml", tmp_path / "out"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    status, printed, shown = run("draw", path, "--out", out, *arguments)
    assert status == 2, printed + shown
    assert not out.exists()
    assert "Traceback" not in shown
    for words in expected:
        assert words in shown, shown
    for line in shown.splitlines():
        assert ": " in line
        assert "; " in line, f"no remedy: {line}"
    return shown


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ("", ["is empty"]),
        (" \n\n", ["is empty"]),
        (b"name = '\xff'\n", ["line 1", "UTF-8"]),
        ('name = "x"\nscale = \n', ["line 2"]),
        ('name = "x"\nname = "y"\n', ["line 2"]),
        (HEAD + "fretts = 22\n" + STRING, ["fretts", 'did you mean "frets"']),
        (HEAD + STRING + 'guage = "0.01 in"\n', ["string 1, guage", 'did you mean "gauge"']),
        (HEAD + STRING + "[action]\nfret12 = 3\n", ["[action] fret12", 'did you mean "fret_12"']),
        (HEAD + 'frets = "many"\n' + STRING, ["frets", "not a whole number"]),
        (HEAD.replace("26 1/4 in", "26 1/4 inn") + STRING, ["scale", 'unknown unit "inn"', "mm, cm, in or ft"]),
        (HEAD.replace('"26 1/4 in"', "0") + STRING, ["scale", "zero"]),
        (HEAD.replace('"26 1/4 in"', "-650") + STRING, ["scale", "negative"]),
        (HEAD.replace('"26 1/4 in"', "nan") + STRING, ["scale", "nan"]),
        (HEAD.replace('"26 1/4 in"', "inf") + STRING, ["scale", "beyond any instrument"]),
        (HEAD.replace('"26 1/4 in"', "1e300") + STRING, ["scale", "beyond any instrument"]),
        (HEAD.replace("26 1/4 in", "26 1/4 ft") + STRING, ["scale", "too long"]),
        (
            HEAD.replace('"26 1/4 in"', "35") + STRING,
            ["scale", 'for inches write "35 in", for centimetres write "35 cm"'],
        ),
        (HEAD.replace("26 1/4 in", "26, 25 in") + STRING, ["scale", "comma"]),
        (HEAD.replace('"26 1/4 in"', "26,25") + STRING, ["line 3", "; write scale = 26.25"]),
        (HEAD.replace("26 1/4 in", "26 1/0 in") + STRING, ["scale", "zero"]),
        (
            HEAD + 'nut_to_fret_12 = "333.4 mm"\n' + STRING,
            ["scale: both scale and nut_to_fret_12", "keep one"],
        ),
        ('name = "x"\n' + STRING, ["scale: the scale length is missing"]),
        (HEAD + STRING.replace("D4", "H4"), ["string 1, note", "not a note"]),
        (HEAD + STRING.replace("D4", "D9"), ["string 1, note", "octave"]),
        (HEAD + STRING + 'core = "0.010 in"\n', ["string 1, core", "not thinner"]),
        (
            HEAD + STRING + 'wound = false\nwrap = "nickel"\n',
            ["string 1, wrap", "is wound", "keep the one that is right"],
        ),
        (HEAD + STRING + STRING + "starts_at_fret = 25\n", ["string 2, starts_at_fret"]),
        (
            HEAD + "frets = 16\n" + STRING + STRING + "starts_at_fret = 5\n",
            ["string 2, starts_at_fret", "octave beyond the 16 frets", "fret 4 is the last"],
        ),
        (HEAD + STRING + STRING + "starts_at_fret = 23\n", ["beyond the 22 frets"]),
        (HEAD + STRING + "starts_at_fret = 5\n", ["all strings start at a fret"]),
        (HEAD + STRING * 25, ["strings", "there are 25", "24"]),
        (HEAD, ["strings", "there is no string"]),
        (HEAD + STRING.replace("D4", "D5"), ["string 1, gauge", "would break"]),
        (HEAD + STRING + "[action]\nnut = 3\nfret_12 = 2\n", ["[action] fret_12", "lower than the nut allows"]),
        (HEAD + STRING + "[action]\nfinger = 200\n", ["[action] finger", "too long"]),
        (HEAD + STRING + "[bridge]\nface = 20\n", ["[bridge] face", "more than its thickness"]),
        (HEAD + STRING + "[bridge]\nspacing = 100\n", ["[bridge] spacing", "more than the bridge's length"]),
        (HEAD + STRING + "[tail]\nslip = 1.5\n", ["[tail] slip", "the most is 1"]),
        ("name = 3\n" + HEAD[11:] + STRING, ["name", "text in quotes"]),
        (HEAD.replace('"x"', '""') + STRING, ["name", "empty"]),
        (HEAD.replace('"x"', '"a\\u0007b"') + STRING, ["name", "cannot be printed"]),
        ("strings = 3\n" + HEAD, ["strings", "each under [[strings]]"]),
        ("action = 3\n" + HEAD + STRING, ["[action]", "must be a table"]),
        (HEAD + "hand = 'up'\n" + STRING, ["hand", "choose right or left"]),
        (HEAD + STRING + 'pair = "yes"\n', ["string 1, pair", "true or false"]),
        (HEAD + STRING + "unit_mass = 0.4\n", ["string 1, unit_mass", "g/m"]),
        (HEAD + STRING + 'modulus = "2 GPA"\n', ["string 1, modulus", "GPa"]),
        (HEAD + STRING + '[pitch]\na4 = "high"\n', ["[pitch] a4", "not a number"]),
        (HEAD + STRING + "[compensation]\nframes = 1\n", ["[compensation] frames", 'did you mean "frets"']),
        (HEAD + STRING + "[compensation]\nfrets = 30\n", ["[compensation] frets", "the most is 22"]),
        (
            HEAD + STRING + '[compensation]\ntune_to = "nut and saddle"\nfrets = 2\n',
            ["[compensation] frets", "3 or more"],
        ),
        (HEAD + STRING + "[pitch]\na4 = nan\n", ["[pitch] a4", "not a number"]),
        (
            HEAD.replace("26 1/4", "13 7/8") + STRING + "[action]\nfinger = 18\n" + STRING + "starts_at_fret = 8\n",
            ["string 2"],
        ),
        (HEAD + "relief = 0.1\n" + STRING, ["relief", "belongs under [action]"]),
        (HEAD + "strings = [[1], 2]\n", ["strings", "each under [[strings]]"]),
        (HEAD + 'hand = "a\\nb\\u001b[31m"\n' + STRING, ["hand", "\\n"]),
        (HEAD + STRING.replace('"0.010 in"', "0.12"), ["string 1, gauge", '; write "0.12 in" or "0.12 mm"']),
        (HEAD + STRING.replace('"0.010 in"', "010"), ["line 6", '; write gauge = ".010"']),
        (HEAD + STRING.replace('"0.010 in"', "24w"), ["line 6", '; write gauge = "24w"']),
        (HEAD + "[strings]\nnote = 3\n" + STRING, ["line", "double brackets"]),
        (HEAD.replace('"26 1/4 in"', "26 1/4"), ["line 3", '; write scale = "26 1/4"']),
        (HEAD.replace('"26 1/4 in"', "“26 1/4 in”"), ["line 3", "curly quotes"]),
        ("scale = 650\n".encode("utf-16"), ["UTF-8"]),
        ("scale = 650\n".encode("utf-16-le"), ["UTF-8"]),
        (
            HEAD.replace("26 1/4 in", "150 mm") + STRING.replace("D4", "Gb2").replace('"0.010 in"', "0.346"),
            ["string 1"],
        ),
        (
            HEAD.replace("26 1/4 in", "7 in").replace("banjo", "other")
            + STRING.replace("D4", "G1").replace("0.010", "0.100"),
            ["string 1", "stiff"],
        ),
        (
            HEAD.replace("26 1/4", "13 7/8") + STRING.replace("D4", "G1").replace("0.010", "0.040"),
            ["string 1", "is string 1 wound?"],
        ),
        ("x = " + "[" * 5000 + "]" * 5000, ["nested"]),
        ("x = " + "9" * 5000, ["too long, to read"]),
        (b"#" * (1 << 21), ["larger than a megabyte"]),
    ],
)
def test_slip_in_the_file_is_named_with_its_place_and_remedy(tmp_path, content, expected):
    refused(tmp_path, content, "mine.toml", *expected)


def test_file_with_gauges_and_lengths_as_people_write_them_gives_the_same_sheet(tmp_path):
    """Else a technician would have to look up how to write what the packet and the rule say."""
    values = [
        ('"26 1/4 in"', '"0.010 in"', '"0.022 in w"', "2.9", '"1 11/16 in"'),
        ('"26¼"', '"#10"', '"22w"', '"2,9"', '"1 11/16"'),
        ("26.25", "10", '".022W"', "2.9", "1.6875"),
        ('"26,25"', '".010"', '"0,022 w"', '"2,9 mm"', '"1-11/16"'),
    ]
    drawn = set()
    for scale, plain, wound, action, spacing in values:
        path = tmp_path / "mine.toml"
        path.write_text(
            HEAD.replace('"26 1/4 in"', scale)
            + STRING.replace('"0.010 in"', plain)
            + STRING.replace("D4", "D3").replace('"0.010 in"', wound)
            + f"[action]\nfret_12 = {action}\n[bridge]\nspacing = {spacing}\n"
        )
        status, printed, said = run("numbers", path, "--json", "--at", "26⅜")
        assert status == 0, said
        drawn.add(printed)
    assert len(drawn) == 1


def test_all_faults_of_a_file_are_listed_at_once(tmp_path):
    content = (
        'name = "x"\nscale = -1\nfretts = 3\n[action]\nnut = 3\nfret_12 = 1\n'
        '[[strings]]\nnote = "H4"\ngauge = 0.3\n[[strings]]\ngauge = 0.5\ncore = 0.6\n'
    )
    shown = refused(
        tmp_path, content, "scale", "fretts", "fret_12", "string 1, note", "string 2, note", "string 2, core"
    )
    assert len(shown.splitlines()) == 6


def test_missing_file_and_folder_are_named(tmp_path):
    for path, words in ((tmp_path / "none.toml", "no such file"), (tmp_path, "is a folder")):
        status, _, shown = run("numbers", path)
        assert status == 2
        assert str(path) in shown
        assert words in shown


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (("draw", "mandolni"), 'did you mean "mandolin"'),
        (("presets", "banj"), 'NAME: there is no preset "banj"; did you mean "banjo"'),
        (("keys", "bridg"), 'TABLE: there is no table "bridg"; did you mean "bridge"'),
        (("printer", "show", "nosuch"), 'NAME: there is no printer "nosuch"'),
        (("draw", "mandolin", "frok"), 'did you mean "fork"'),
        (("draw", "mandolin", "--paper", "a44"), 'did you mean "a4"'),
        (("draw", "mandolin", "--paper", "8.5x11"), "write 8.5inx11in, or write letter"),
        (("draw", "mandolin", "--paper", "8½ x 13"), "write 8½inx13in"),
        (("draw", "mandolin", "--paper", "9000x9000"), "out of range"),
        (("draw", "mandolin", "--paper", "axb"), '"axb" is not a size of paper'),
        (("draw", "mandolin", "--paper", "9x"), '--paper: "9x" is not a size of paper'),
        (("rack", "mandolin", "--sheet", "9x", "gauge"), '"9x" is not a size of stock'),
        (("draw", "mandolin", "--paper", "130x200"), "does not fit"),
        (("draw", "mandolin", "--format", "pfd"), 'did you mean "pdf"'),
        (("draw", "mandolin", "--datum-fret", "99"), "choose 1 to 20"),
        (("draw", "banjo", "--set", "bridge.length=170"), "or one long sheet with --untiled"),
        (("numbers", "mandolin", "--at", "35"), "is not a place for this bridge"),
        (("numbers", "mandolin", "--at", "here"), "is not a length"),
        (("numbers", "mandolin", "--at", "1/2/3"), '--at: "1/2/3" is not one place, nor two; for two places write'),
        (("numbers", "mandolin", "--at", "354 / 355 / 356"), "is not one place, nor two"),
        (("numbers", "mandolin", "--at", "14in/13 7/8in"), "is not one place, nor two"),
        (("numbers", "mandolin", "--at", ""), "is not a length"),
        (("numbers", "mandolin", "--json", "--csv"), "choose one"),
        ((*WIDE, "--datum-fret", "12"), "or draw without --datum-fret"),
        (("draw", "x" * 5000), "x"),
    ],
)
def test_slip_on_the_command_line_is_named_with_what_would_work(tmp_path, monkeypatch, arguments, expected):
    monkeypatch.chdir(tmp_path)
    status, _, shown = run(*arguments)
    assert status == 2
    assert expected in shown
    assert not list(tmp_path.iterdir())


def test_fault_in_an_option_or_argument_is_not_placed_in_the_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.toml").write_text(SMALL_FILE, encoding="utf-8")
    wrong_kind, too_wide = (run("draw", "mine.toml", *more)[2] for more in (["head"], ["--paper", "130x200"]))
    assert wrong_kind.startswith("TEMPLATE: the head template is for banjos; ")
    assert too_wide.startswith("--paper: the fork does not fit on 130 x 200 mm ")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        (("mine.toml",), "jigs draw mine.toml"),
        (("mine.toml", "fork"), "jigs draw mine.toml fork"),
        (("print", "mine.toml"), "jigs draw mine.toml"),
        (("print",), "jigs draw banjo"),
        (("my 2.toml", "gauge"), 'jigs draw "my 2.toml" gauge'),
        (("darw",), "jigs draw banjo"),
        (("darw", "mine.toml"), "jigs draw mine.toml"),
        (("Draw", "mine.toml"), "jigs draw mine.toml"),
        (("banjo",), "jigs draw banjo"),
        (("tenor-banjoo", "fork"), "jigs draw tenor-banjo fork"),
        (("gauge", "mandolin"), "jigs draw mandolin gauge"),
        (("numbrs",), "jigs numbers banjo"),
        (("init",), "jigs new mine.toml"),
        (("create", "own.toml"), "jigs new own.toml"),
        (("board.csv",), "jigs survey board.csv"),
        (("help", "draw"), "jigs draw --help"),
        (("help",), "jigs --help"),
        (("printer", "shet"), "jigs printer sheet"),
        (("printer", "delete", "laser"), None),
        (("zzzz",), None),
    ],
)
def test_word_that_is_not_a_command_leads_to_the_one_that_was_meant(typed, meant):
    status, printed, shown = run(*typed)
    assert (status, printed) == (2, "")
    last = shown.splitlines()[-1]
    if meant is None:
        assert last.endswith("--help` for a list")
    else:
        assert last.endswith(f"is not a command; did you mean `{meant}`?")


def test_word_with_a_control_character_is_shown_safely():
    assert "\x1b" not in run("dr\x1b[31maw")[2]


def test_missing_measurement_is_named_once():
    status, _, shown = run("draw", "banjo", "head")
    assert status == 2
    assert shown.startswith("preset banjo: [rim] fret_12_to_near_edge: ")
    assert shown.count("fret_12_to_near_edge") == 1
    assert shown.endswith("; measure it, and fill in its value\n")


def test_folder_that_cannot_be_written_is_named(tmp_path):
    (tmp_path / "file").write_text("kept")
    status, _, shown = run("draw", "mandolin", "--out", tmp_path / "file" / "deeper")
    assert status == 2
    assert "cannot be written" in shown
    assert "file" in shown
    assert (tmp_path / "file").read_text() == "kept"


def test_folder_with_the_name_of_a_drawing_is_left_alone(tmp_path):
    (tmp_path / "mandolin-fork.svg").mkdir()
    status, _, shown = run("draw", "mandolin", "--out", tmp_path)
    assert status == 2
    assert "mandolin-fork.svg" in shown
    assert [path.name for path in tmp_path.iterdir()] == ["mandolin-fork.svg"]


def test_draw_says_what_it_wrote_and_the_three_numbers_that_matter(tmp_path):
    status, printed, shown = run("draw", "banjo", "--out", tmp_path)
    assert (status, shown) == (0, "")
    *written, treble, bass, slant = printed.splitlines()
    assert written[:2] == [f"wrote {tmp_path / name}" for name in ("banjo-fork.pdf", "banjo-fork.svg")]
    assert set(written) == {f"wrote {path}" for path in tmp_path.iterdir()}
    assert "string 1 D4" in treble
    assert "string 4 D3" in bass
    assert "slant" in slant


def test_one_format_alone_can_be_drawn(tmp_path):
    run("draw", "banjo", "--format", "svg", "--out", tmp_path)
    assert (tmp_path / "banjo-fork.svg").exists()
    assert {path.suffix for path in tmp_path.iterdir()} == {".svg"}


@pytest.mark.parametrize("name", PRESETS)
def test_every_preset_is_a_file_to_start_from(tmp_path, name):
    status, text, _ = run("presets", name)
    assert status == 0
    assert "common practice" in text
    assert "Replace each with what you measure" in text
    (tmp_path / "mine.toml").write_text(text)
    from_file = run("numbers", tmp_path / "mine.toml", "--json")
    assert from_file == run("numbers", name, "--json")


def test_presets_are_listed():
    assert run("presets")[1].split() == [
        "archtop-guitar", "banjo", "banjo-ukulele", "bouzouki", "cello-banjo", "flat-top-guitar", "long-neck-banjo",
        "mandola", "mandolin", "mountain-dulcimer", "octave-mandolin", "plectrum-banjo", "tenor-banjo",
    ]  # fmt: skip


def test_programs_find_the_promised_keys():
    numbers = json.loads(run("numbers", "banjo", "--json")[1])
    assert {"name", "scale_mm", "frets", "strings", "bridge"} <= set(numbers)
    assert {"fret", "from_nut_mm", "from_previous_mm", "to_bridge_mm"} == set(numbers["frets"][0])
    assert {
        "string", "note", "pitch_hz", "unit_mass_g_per_m", "tension_n", "strength_ratio", "stretch", "stiffness",
        "setback_mm", "nut_setback_mm", "cents", "rms_cents", "cents_per_mm",
    } <= set(numbers["strings"][0])  # fmt: skip
    assert {"theoretical_mm", "treble_mm", "bass_mm", "centre_mm", "slant_deg", "left_cents"} <= set(numbers["bridge"])
    assert [len(string["cents"]) for string in numbers["strings"]] == [22, 22, 22, 22, 17]
    assert len(numbers["bridge"]["left_cents"]) == 5


def test_places_are_those_of_the_outer_full_length_strings():
    numbers = json.loads(run("numbers", "banjo", "--json")[1])
    bridge, strings = numbers["bridge"], numbers["strings"]
    assert bridge["treble_mm"] == pytest.approx(numbers["scale_mm"] + strings[0]["setback_mm"], abs=1e-9)
    assert bridge["bass_mm"] == pytest.approx(numbers["scale_mm"] + strings[3]["setback_mm"], abs=1e-9)
    assert [bridge["left_cents"][n] for n in (0, 3)] == pytest.approx([0, 0], abs=1e-6)


def test_string_without_a_table_of_strengths_has_none(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(
        SMALL_FILE.replace('note = "E5"\ngauge = "0.011 in"', 'note = "E5"\ngauge = 0.5\nmaterial = "nylon"')
    )
    numbers = json.loads(run("numbers", path, "--json")[1])
    assert numbers["strings"][0]["strength_ratio"] is None
    assert numbers["strings"][1]["strength_ratio"] > 0


def test_spreadsheet_rows_hold_what_json_holds():
    rows = list(csv.DictReader(io.StringIO(run("numbers", "mandolin", "--csv")[1])))
    numbers = json.loads(run("numbers", "mandolin", "--json")[1])
    assert {tuple(row) for row in rows} == {("part", "number", "quantity", "value")}
    found = {(row["part"], row["number"], row["quantity"]): row["value"] for row in rows}
    assert len(found) == len(rows)
    assert float(found["string", "3", "setback_mm"]) == numbers["strings"][2]["setback_mm"]
    assert float(found["fret", "7", "from_nut_mm"]) == numbers["frets"][6]["from_nut_mm"]
    assert float(found["string", "2", "cents at own fret 12"]) == numbers["strings"][1]["cents"][11]
    assert float(found["bridge", "", "slant_deg"]) == numbers["bridge"]["slant_deg"]


def test_table_can_be_read():
    table = run("numbers", "mandolin")[1]
    assert "13 7/8 in" in table
    assert "1 pair" in table
    assert len([line for line in table.splitlines() if line.strip()[:2].strip().isdigit()]) >= 24


def test_bridge_where_it_is_now_shows_what_it_reads():
    numbers = json.loads(run("numbers", "mandolin", "--json", "--at", "354.0")[1])
    stands = numbers["as_it_stands"]
    assert stands["treble_mm"] == stands["bass_mm"] == 354.0
    far = json.loads(run("numbers", "mandolin", "--json", "--at", "13 15/16 in / 14 1/32 in")[1])["as_it_stands"]
    assert far["treble_mm"] == pytest.approx((13 + 15 / 16) * 25.4)
    assert far["bass_mm"] == pytest.approx((14 + 1 / 32) * 25.4)
    assert stands["octave_cents"][3] > far["octave_cents"][3]


def test_string_near_its_breaking_load_is_warned_about(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(HEAD + STRING.replace("D4", "A♭4"))
    status, _, shown = run("numbers", path)
    assert status == 0
    assert "note: string 1" in shown
    assert "eyes away" in shown


def test_unlikely_scale_and_setback_are_worth_a_note(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(HEAD.replace("26 1/4", "35") + '[[strings]]\nnote = "D2"\ngauge = "0.030 in"\n')
    shown = run("numbers", path)[2]
    assert "unusual for a banjo" in shown
    assert "from the theoretical line" in shown


@pytest.mark.slow
def test_same_input_gives_the_same_bytes_whatever_the_machine_is_set_to(tmp_path):
    """Across time zone, locale, hash seed and working folder."""
    settings = (
        {"TZ": "Pacific/Kiritimati", "LC_ALL": "C", "PYTHONHASHSEED": "1"},
        {"TZ": "America/St_Johns", "LC_ALL": "C.UTF-8", "LANG": "de_DE.UTF-8", "PYTHONHASHSEED": "77"},
    )
    mine = tmp_path / "mine.toml"
    mine.write_text(run("presets", "banjo")[1])
    found = []
    for n, setting in enumerate(settings):
        folder = tmp_path / str(n)
        folder.mkdir()
        command = [sys.executable, "-m", "jigs", "draw", str(mine), "--all", "--format", "pdf,svg,dxf", "--out", "."]
        environment = {**os.environ, **setting, "PYTHONPATH": str(ROOT)}
        subprocess.run(command, cwd=folder, env=environment, check=True, capture_output=True)
        found.append({path.name: path.read_bytes() for path in folder.iterdir()})
    assert found[0] == found[1]
    assert len(found[0]) >= 2


@pytest.mark.slow
def test_demo_writes_what_out_examples_holds(tmp_path):
    assert run("demo", "--out", tmp_path)[0] == 0
    made = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    kept = {path.name: path.read_bytes() for path in (ROOT / "out_examples").iterdir()}
    assert made == kept


@pytest.mark.skipif(not os.path.isdir("/proc/self/task"), reason="counts threads in /proc")
def test_numbers_start_no_threads_that_wait_for_each_other():
    """On a busy machine they made ten minutes of plucks take three times the work."""
    code = "from jigs.__main__ import _get_ready as go; go([]); import numpy, os; print(len(os.listdir('/proc/self/task')))"
    environment = {name: value for name, value in os.environ.items() if not name.endswith("_NUM_THREADS")}
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment)
    assert found.stdout == "1\n"


def test_fork_does_not_load_what_only_others_need(tmp_path):
    code = (
        "import sys, numpy\n"
        "of_numpy = set(sys.modules)\n"
        "from jigs.cli.main import main\n"
        f"main(['draw', 'mandolin', '--out', {str(tmp_path)!r}], standalone_mode=False)\n"
        "others = 'jigs.printers.kept jigs.cutting.settings jigs.cli.rack jigs.page platformdirs ezdxf shapely flask '\\\n"
        "    'jigs.press.kit jigs.cutting.nesting rectpack numpy.ma numpy.polynomial'\n"
        "print(sorted((set(others.split()) & set(sys.modules)) - of_numpy))"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.splitlines()[-1] == "[]"


def test_help_answers_without_the_heavy_libraries():
    code = "import sys, jigs.cli.main; print(sorted({'numpy', 'reportlab', 'svgwrite', 'pydantic'} & set(sys.modules)))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


@pytest.mark.parametrize(
    ("template", "option"),
    [
        ("gauge", "--datum-end"),
        ("gauge", "--datum-over"),
        ("fork", "--kerf=0.2"),
        ("fork", "--rim=nut"),
        ("crown", "--untiled"),
    ],
)
def test_option_that_no_template_uses_is_pointed_out(tmp_path, template, option):
    status, _, shown = run("draw", "mandolin", template, option, "--format", "svg", "--out", tmp_path)
    assert status == 0
    assert f"note: {option.split('=')[0]}: this option has no effect here; it applies to " in shown


@pytest.mark.parametrize(
    ("before", "begun", "found"),
    [
        ([], "dr", [("plain", "draw")]),
        (["draw"], "mando", [("file", "mando"), ("plain", "mandola"), ("plain", "mandolin")]),
        (["draw", "mine.toml"], "fret", [("plain", "fretboard")]),
        (["draw", "mine.toml", "--out"], "sh", [("dir", "sh")]),
        (["presets"], "ten", [("plain", "tenor-banjo")]),
        (["readings", "mine.toml", "--log"], "b", [("file", "b")]),
        (["rack"], "sh", [("file", "sh")]),
        (["survey"], "bo", [("file", "bo")]),
        (["printer", "check", "kitchen", "--out"], "sh", [("dir", "sh")]),
    ],
)
def test_shell_that_completes_commands_goes_on_completing_file_names(before, begun, found):
    from click.shell_completion import ShellComplete

    from jigs.cli.main import main

    shown = ShellComplete(main, {}, "jigs", "_JIGS_COMPLETE").get_completions(before, begun)
    assert [(one.type, one.value) for one in shown] == found


@pytest.mark.parametrize("command", ["draw", "numbers", "readings"])
@pytest.mark.parametrize("folder", [".", "..", "/"])
def test_folder_instead_of_a_file_is_called_a_folder(command, folder):
    status, _, shown = run(command, folder)
    assert status == 2
    assert "is a folder; name the instrument file in it" in shown or "there is no such file" in shown


def test_gauge_that_is_ten_times_too_thick_is_refused(tmp_path):
    (tmp_path / "mine.toml").write_text(HEAD + STRING.replace("0.010", "0.1"), encoding="utf-8")
    status, _, shown = run("draw", tmp_path / "mine.toml", "--out", tmp_path / "out")
    assert status == 2
    assert "would pull" in shown
    assert not (tmp_path / "out").exists()


def test_key_of_the_head_that_was_added_at_the_end_is_shown_where_it_belongs(tmp_path):
    text = HEAD + STRING + '[tail]\nafterlength = 100\nfret_rule = "eighteen"\n'
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    assert (
        "fret_rule belongs at the top of the file, before the first [table]"
        in run("numbers", tmp_path / "mine.toml")[2]
    )


INTERRUPTED = """
import os, signal, sys
import jigs.cli.main
from jigs.__main__ import main

def building_a_model():
    try:
        os.kill(os.getpid(), signal.SIGINT)
        for _ in range(10**6):
            pass
    except KeyboardInterrupt:
        raise ValueError("an error of the library's own") from None

jigs.cli.main.main = building_a_model
main()
"""


def test_interrupt_that_a_library_wraps_in_its_own_error_still_ends_without_a_traceback():
    ended = subprocess.run([sys.executable, "-c", INTERRUPTED], check=False, capture_output=True, text=True, cwd=ROOT)
    assert (ended.returncode, ended.stderr) == (1, "Stopped.\n")
    failed = INTERRUPTED.replace("os.kill(os.getpid(), signal.SIGINT)", "raise KeyboardInterrupt")
    ended = subprocess.run([sys.executable, "-c", failed], check=False, capture_output=True, text=True)
    assert "the library's own" in ended.stderr
