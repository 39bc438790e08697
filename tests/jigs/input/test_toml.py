"""How deep a text may be nested, before any parser sees it: a parser took 3 GB for a key of 60,000 parts."""

import json
import random
import re

import pytest
import tomli
from samples import run
from served import own_file, state
from sources import JIGS, relative

from jigs.input.toml import MOST_LEVELS, TooDeep, check_depth, data_of, document_of
from jigs.instrument.opening import preset_names, preset_text
from jigs.page.answers import answer

PARTS = 2000
BOMB = f"# a bomb\nname = 'x'\na{'.a' * PARTS} = 1\n"
SAYS = "line 3: this is nested too deeply"

DEEP = {
    "key": "a" + ".a" * PARTS + " = 1",
    "key with spaces": "a" + " . a" * PARTS + " = 1",
    "quoted key": "a" + '."a=["' * PARTS + " = 1",
    "heading": "[a" + ".a" * PARTS + "]",
    "list": "x = " + "[" * PARTS + "]" * PARTS,
    "list of lists": "x = [" + "\n[\n1," * PARTS + "]" * PARTS + "]",
    "tables": "x = " + "{a = " * PARTS + "1" + "}" * PARTS,
    "key in a table": "x = {b = 1, a" + ".a" * PARTS + " = 1}",
    "a little of each": "x" + ".a = {a" * MOST_LEVELS + " = 1" + "}" * MOST_LEVELS,
}
BEFORE = {
    "nothing": "",
    "texts": "a = '\"' # '''\nb = \"'\\\"[\"\nc = ''\n",
    "long texts": 'a = """\n"" [[[ \\""" ."""""\nb = \'\'\'[[["""\'\'\'\'\'\nc = """"""\nd = \'\'\'\'\'\'\n',
    "a list": "a = [\n1.5, '.', # ]\n]\n",
    "other line ends": "a = 1\r\n[b]\r\n",
}


@pytest.mark.parametrize("before", BEFORE.values(), ids=BEFORE)
@pytest.mark.parametrize("deep", DEEP.values(), ids=DEEP)
def test_deep_text_is_refused_unread_at_its_line(deep, before):
    tomli.loads(before)
    at = before.count("\n") + 1
    for read in (data_of, document_of):
        with pytest.raises(TooDeep) as refused:
            read(before + deep)
        assert refused.value.line in range(at, at + 2 * MOST_LEVELS + 1)


@pytest.mark.parametrize("name", preset_names())
def test_every_preset_is_shallow(name):
    check_depth(preset_text(name))


SHALLOW = (
    *BEFORE.values(),
    f'x = """{DEEP["key"]}\n[[[[[[[[[[[[[[[[[[[[[[[["""\n',
    f"# {DEEP['key']}\n",
    f"x = '{'[' * PARTS}' # {'.' * PARTS}\n",
    "x = [" + "1.5, " * PARTS + "]\n",
    "x = [" + "[1.5], " * PARTS + "]\n",
    "x = [" + "{a.b = 1.5}, " * PARTS + "]\n",
    "[[strings]]\nbore.a.b = 1\n" * PARTS,
)


@pytest.mark.parametrize("text", SHALLOW, ids=range(len(SHALLOW)))
def test_long_text_that_is_not_deep_is_read(text):
    check_depth(text)


def test_key_is_counted_wherever_a_parser_would_read_it():
    """Random texts of TOML's own marks: after whatever a parser can read, a deep key is seen."""
    dice, read = random.Random(1), 0
    pieces = [*"ab.=[]{},\n'\"#\\ ", '"""', "'''", "1.5", "a = ", "[a]\n", "a.b = 1\n", "[[b]]\n", "{a = 1}", "'a.b'"]
    for _ in range(5000):
        text = "".join(dice.choices(pieces, k=dice.randint(1, 12)))
        try:
            tomli.loads(text)
        except tomli.TOMLDecodeError:
            continue
        read += 1
        check_depth(text)
        with pytest.raises(TooDeep):
            check_depth(f"{text}\n{DEEP['key']}")
    assert read > 200


def test_nothing_else_parses_toml():
    """So no reader, of files or of the page, can be given a text that was not counted."""
    parses = re.compile(r"\b(tomllib|tomli\.loads?|tomlkit\.(parse|loads?)|from (tomli|tomlkit) import)\b")
    found = [relative(path) for path in JIGS if parses.search(path.read_text(encoding="utf-8"))]
    assert found == ["jigs/input/toml.py"]


# ---- every reader


@pytest.mark.parametrize(
    "command",
    [
        ("numbers", "FILE"),
        ("draw", "FILE"),
        ("readings", "FILE", "--string", "1", "--harmonic", "2", "--fretted", "1"),
        ("keep", "FILE", "--at", "666 / 667"),
        ("compare", "FILE", "--strings", "D4 .011, B3 .013, G3 .016, D3 .024w, G4 .011"),
        ("survey", "FILE"),
        ("readings", "banjo", "--file", "FILE"),
    ],
    ids=" ".join,
)
def test_file_is_refused_at_its_line_and_stays(tmp_path, command):
    file = tmp_path / "mine.toml"
    file.write_text(BOMB)
    status, _, said = run(*(str(file) if word == "FILE" else word for word in command))
    assert (status, SAYS in said) == (2, True), said
    assert file.read_text() == BOMB


def test_printers_file_and_settings_are_refused_at_their_lines(tmp_path, monkeypatch):
    from jigs.system.user_folder import printers_folder, settings_path

    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    printers_folder().mkdir(parents=True)
    (printers_folder() / "laser.toml").write_text(BOMB)
    settings_path().write_text(BOMB)
    status, _, said = run("printer", "show", "laser")
    assert (status, SAYS in said) == (2, True), said
    status, _, said = run("draw", "banjo", "gauge", "--out", tmp_path)
    assert (status, SAYS in said) == (2, True), said


def test_rack_names_the_file_and_its_line(tmp_path):
    (tmp_path / "bomb.toml").write_text(f"strings = 3\n{BOMB}")
    status, _, said = run("rack", tmp_path, "--out", tmp_path / "out", "--format", "svg", "--jobs", "1")
    assert (status, "bomb.toml: line 4: this is nested too deeply" in said) == (2, True), said


@pytest.mark.parametrize("route", ["open", "draw", "file", "readings"])
def test_page_answers_at_the_line(route):
    reply = answer(route, json.dumps(state(base=own_file(BOMB), fields={"scale": "26 in"})).encode())
    (fault,) = json.loads(reply.body)["faults"]
    assert (fault["code"], fault["where"]) == ("toml-too-deep", "Your file, line 3")
