"""Every option and every key that README and guides name is there, and the program reads every piece of a file."""

import re
import tomllib

import click
import pytest
from guides import DEVELOPERS, GUIDES, README, Code, Fragment, document
from samples import ROOT

from jigs.cli.main import main
from jigs.cutting.settings import CutterKeys, PenKeys
from jigs.drawing.items import CUT_LAYERS
from jigs.faults import Place
from jigs.input.tables import read_section
from jigs.instrument.reference import MODELS

RUN = [README, *GUIDES]

KEYS = {f"{table}.{key}" if table else key for table, model in MODELS.items() for key in model.model_fields}
KEYS |= {f"cutter.{key}" for key in CutterKeys.model_fields}
KEYS |= {f"cutter.{layer.value}.{key}" for layer in CUT_LAYERS for key in PenKeys.model_fields}
TABLES = {key.rpartition(".")[0] for key in KEYS if "." in key}
BARE_KEYS = {key.rpartition(".")[2] for key in KEYS}
FILES = r"\.(toml|csv|pdf|svg|dxf|jsonl?|wav|md|html|txt|py)$"


def named(path):
    return path.stem


def table_faults(table, keys):
    """What is wrong with the keys of one table, by its name; a key that is not there is none."""
    known = {"cutter": CutterKeys} | {f"cutter.{layer.value}": PenKeys for layer in CUT_LAYERS} | MODELS
    if table not in known:
        return [f"there is no table [{table}]"]
    plain = {key: value for key, value in keys.items() if f"{table}.{key}" not in known}
    faults = []
    read_section(known[table], plain, {}, Place(table=table), faults)
    return [str(fault) for fault in faults if fault.place.key in plain]


def fragment_faults(text):
    """What is wrong with a piece of a TOML file: each table with its keys as the program reads them."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        return [str(error)]
    tables = {"": {}}
    for key, value in data.items():
        if isinstance(value, dict):
            tables[key] = value
            tables |= {f"{key}.{below}": inner for below, inner in value.items() if isinstance(inner, dict)}
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            tables |= {f"{key}#{n}": each for n, each in enumerate(value)}
        else:
            tables[""][key] = value
    return [fault for table, keys in tables.items() for fault in table_faults(table.partition("#")[0], keys)]


@pytest.mark.parametrize("path", RUN, ids=named)
def test_every_piece_of_a_file_is_one_that_the_program_reads(path):
    faults = [
        f"{document(path).at(part)}: {fault}"
        for part in document(path).of(Fragment)
        for fault in fragment_faults(part.text)
    ]
    assert faults == []


def all_options(command=main):
    """Every option of every command."""
    with click.Context(command) as context:
        own = {option for each in command.get_params(context) for option in each.opts + each.secondary_opts}
        below = command.list_commands(context) if isinstance(command, click.Group) else ()
        return own.union(*(all_options(command.get_command(context, name)) for name in below))


def unknown_names(code, options):
    """What code in the text names that is not there: an option, a table or a key. None of them: nothing."""
    if code.startswith("--"):
        named_ = re.findall(r"(?<![\w-])--[a-z][\w-]*", code)
        return [one for one in named_ if one not in options]
    if found := re.fullmatch(r"\[\[?([a-z][a-z._]*)\]\]?(?: ([a-z]\w*)\b.*)?", code):
        table, key = found.groups()
        return [code] if table not in TABLES or (key and f"{table}.{key}" not in KEYS) else []
    if re.search(FILES, code) or (ROOT / code).exists():
        return []
    if found := re.fullmatch(r"([a-z_]+)\.(?:\d+\.)?([a-z]\w*)(?: ?=.*)?", code):
        return [] if ".".join(found.groups()) in KEYS else [code]
    if found := re.fullmatch(r"([a-z]\w*) = .+", code):
        return [] if found[1] in BARE_KEYS else [code]
    if re.fullmatch(r"[a-z]\w*_\w+", code):
        return [] if code in BARE_KEYS else [code]
    return []


@pytest.mark.parametrize("path", [*RUN, DEVELOPERS], ids=named)
def test_every_option_and_key_in_the_text_is_there(path):
    if path == DEVELOPERS:
        codes = [part for part in document(path).of(Code) if part.text.startswith("--")]
    else:
        codes = document(path).of(Code)
    options = all_options()
    faults = {document(path).at(part): unknown for part in codes if (unknown := unknown_names(part.text, options))}
    assert faults == {}


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("[board]\nslot = 0.5\n[[strings]]\nnote = 'E5'\ngauge = '.011'\n", ""),
        ("scale = '26 1/4 in'\n[cutter]\nkerf = 0.2\n[cutter.cut]\nwidth = 0.1\n", ""),
        ("[board]\nslots = 0.5\n", 'did you mean "slot"'),
        ("[boards]\nslot = 0.5\n", "there is no table [boards]"),
        ("[board]\nslot = 'wide'\n", "slot"),
        ("[[strings]]\nnot = 'E5'\n", "not"),
        ("[cutter]\nkerfs = 0.2\n", "kerfs"),
        ("[cutter.cut]\nwidths = 0.2\n", "widths"),
        ("scales = 300\n", "scales"),
        ("frets_measured = [33.7, 65.5, …]\n", "line 1"),
    ],
)
def test_a_piece_that_the_program_would_refuse_is_seen(text, wrong):
    faults = fragment_faults(text)
    assert (faults == []) if not wrong else (wrong in " ".join(faults)), faults


@pytest.mark.parametrize(
    ("code", "there"),
    [
        ("--paper letter", True),
        ("--papper letter", False),
        ("--datum-fret", True),
        ("[bridge] face", True),
        ("[bridge] faces", False),
        ("[bridge]", True),
        ("[brige]", False),
        ("[[strings]]", True),
        ("[cutter] kerf", True),
        ("[100, 200, 300]", True),
        ("bridge.face", True),
        ("bridge.faces", False),
        ("strings.1.gauge", True),
        ("strings.1.gage", False),
        ("mine.toml", True),
        ('tune_to = "all frets"', True),
        ('tuned_to = "all frets"', False),
        ("nut_to_fret_12", True),
        ("nut_to_fret_13", False),
        ("stop", True),
    ],
)
def test_an_option_or_a_key_that_is_not_there_is_seen(code, there):
    assert (unknown_names(code, all_options()) == []) == there
