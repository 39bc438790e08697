"""All that the room of instruments says, as its users read it: what ``tests/jigs/instrument/said`` holds.

``PYTHONPATH=tests python tests/whole_sentences.py`` writes that anew after a change. Then read what changed, as they would.
"""

import os
import tempfile
from contextlib import chdir
from pathlib import Path

from click.testing import CliRunner
from refused_files import REFUSED, B, M, data_with
from samples import PRESETS, run

from jigs.cli.main import main
from jigs.faults import Check, InputFaults
from jigs.instrument.file import from_data
from jigs.instrument.opening import preset_text

SAID = Path(__file__).parent / "jigs" / "instrument" / "said"

ODD = [
    (B, {"scale": 838.3}),
    (M, {"scale": 300}),
    (B, {"bridge.crown": 7.6}),
    (B, {"bridge.thickness": None}),
    (M, {"bridge.steps": None, "tail.afterlength": None, "nut.spacing": None}),
    (B, {"strings.5.starts_at_fret": 0}),
    (B, {"strings.1.note": "D3"}),
    (B, {"strings.1.gauge": ".022"}),
    (B, {"strings.1.note": "D#4", "strings.1.gauge": ".0175"}),
    (B, {"strings.1.note": "A4"}),
    (B, {"strings.4.core": "0.007 in"}),
    (B, {"strings.4.core": "0.017 in"}),
    (B, {"action.fret_12": 1.7, "action.finger": 1.0, "action.nut": 0.9}),
    (B, {"action.fret_12": 4.4, "action.nut": 0.05}),
    (B, {"bridge.thickness": 4.0, "bridge.crown": 2.0}),
    (B, {"bridge.thickness": 12.5}),
    (B, {"bridge.face": 1.1}),
    (B, {"bridge.face": 2.0}),
    (M, {"bridge.steps": [0, 0.14, 0, 0]}),
    (M, {"bridge.steps": [0, 1.9, 0, 0]}),
    (M, {"bridge.crown": 1.5, "bridge.steps": [0, 1.0, -1.0, 0]}),
    (B, {"bridge.spacing": 20}),
    (B, {"bridge.spacing": 63, "bridge.length": 70}),
    (B, {"tail.afterlength": 410, "tail.headlength": 401}),
    (M, {"strings.1.material": "nylon", "strings.1.gauge": ".030"}),
]
"""Files that are taken, with a value that is more likely a slip."""

SET = [
    ("=3",),
    ("scale",),
    ("scale=",),
    ("scal=650",),
    ("action=3",),
    ("strings=3",),
    ("scale=650", "scale=651"),
    ("strings.6.gauge=.010",),
    ("strings.gauge=.010",),
    ("gauge=.010",),
    ("fret_12=3",),
    ("strings.4.gauge=.16",),
    ("action.fret_12=high",),
    ("board.dots=5,x",),
    ("bridge.steps=0,0,0",),
    ("scale=650", "nut_to_fret_12=325"),
    ("found.treble=669",),
    ("nut.zero_fret=true", "action.nut=0.4"),
]
SETS_OF_STRINGS = [
    "x",
    "D4 .010, B3",
    "D4 .010",
    ".10 .12 .14 .22w .10",
    "D4 .010, B3 .012, G3 .014, D3 W22, G4 .010",
    "D4 .010, B3 .012, G3 .014, D3 .022w core .030, G4 .010",
    "D4 .010, B3 .012, G3 .014, D3 .022w zinc, G4 .010",
    "D .010, B .012, G .014, D .022w, G .010",
    "D4 .020, B3 .012, G3 .014, D3 .022w, G4 .010",
]
NEW = {
    "banjo": (
        *(
            "99",
            "zither",
            "mandolni",
            "\x1b",
            "banjo",
            "up",
            "left",
            "26 1/4 in",
            "scale 13 1/8 in",
            "scale = 26 1/4 in",
        ),
        *("none", "22", "high", "25", "6", "<", "3", "9", "2", "0.5", *SETS_OF_STRINGS, "<"),
        *("D4 .010, B3 .012, G3 .016, D3 .024, G4 .010", "maybe", "yes", "0, 0, 0", "0, 9, 0, 0, 0"),
        *("0", "7", "1", "72", "x" * 61, "Mine"),
    ),
    "mandolin": ("mandolin", "r", "705", "<", "177", "", "15", "", "", "", "", "", "", "", "1.6"),
    "mountain-dulcimer": ("mountain-dulcimer", "", "scale 650", "", "", "", "n"),
    "cello-banjo": ("cello-banjo", "", "", "24", "", "", "", "", "1, 2, 3, 4 5", ""),
}
"""Answers to the questions of ``jigs new``; Enter for all that follow."""

NAMES = ("mine", "con.toml", "there.toml", "folder", "folder.toml", "no/where.toml", "a\nb.toml", "mine.TOML.")


def all_of_it():
    """Every text, by the file that holds it."""
    with tempfile.TemporaryDirectory() as folder, chdir(folder):
        Path("there.toml").touch()
        Path("folder.toml").mkdir()
        Path("folder").mkdir()
        return {
            "refused.txt": _lines(_said((name, wrong) for name, wrong, *_ in REFUSED)),
            "noted.txt": _lines(_said(ODD)),
            "set.txt": _lines(_set()),
            "names.txt": _lines(_names()).replace(os.sep, "/"),
            "keys.txt": run("keys")[1],
            "keys.json": run("keys", "--json")[1],
            **{f"new-{name}.txt": _new(name, answers) for name, answers in NEW.items()},
        }


def _lines(texts):
    return "".join(f"{text}\n" for text in texts)


def _called(name, edits):
    return f"# {name}: {', '.join(f'{key} = {value!r}' for key, value in edits.items())}"


def _said(files):
    """Of each file, what it is refused for, or else what is noted."""
    for name, edits in files:
        yield _called(name, edits if "strings" not in edits else {"strings": "…"})
        try:
            said = from_data(data_with(name, edits), "mine.toml").notes
        except InputFaults as refused:
            said = refused.faults
        for one in said:
            yield f"{one}{f' [{one.about}]' if isinstance(one, Check) else ''}"


def _set():
    for texts in SET:
        yield f"# {' '.join(texts)}"
        yield run("numbers", B, *(word for text in texts for word in ("--set", text)))[2].strip()
    for text in SETS_OF_STRINGS:
        yield f"# {text}"
        yield run("compare", B, "--strings", text)[2].strip()


def _names():
    for name in NAMES:
        yield f"# {name[:20]!r}"
        yield CliRunner().invoke(main, ["new", name], input="\n" * 30).stderr.strip().replace(name, name[:20])


def _new(name, answers):
    said = CliRunner().invoke(
        main, ["new", f"{name}.toml"], input="".join(f"{one}\n" for one in (*answers, *[""] * 30))
    )
    written = Path(f"{name}.toml")
    assert written.exists(), said.output
    own = [
        line for line in written.read_text(encoding="utf-8").splitlines() if line not in preset_text(name).splitlines()
    ]
    written.unlink()
    return said.output + _lines(["# not as in the preset:", *own])


if __name__ == "__main__":
    assert set(NEW) <= set(PRESETS)
    SAID.mkdir(exist_ok=True)
    for file, text in all_of_it().items():
        (SAID / file).write_text(text, encoding="utf-8", newline="\n")
