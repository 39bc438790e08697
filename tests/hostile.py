"""Instrument files as anybody might write them: right, nearly right, and meant to harm. Strategies for hypothesis."""

import copy
import tomllib

import tomlkit
from hypothesis import strategies as st

from geometry.lengths import parse_mm
from jigs.instrument.opening import preset_names, preset_text
from jigs.sheets.paper import PAPERS
from jigs.templates.catalogue import NAMES

MM_PER_INCH = 25.4
_PRESETS = {name: tomllib.loads(preset_text(name)) for name in preset_names()}


def lengths(low, high):
    """A length as people write it: a number of millimetres, or text with a unit."""
    mm = st.floats(low, high, allow_nan=False).map(lambda value: round(value, 3))
    inches = mm.map(lambda value: f"{value / MM_PER_INCH:.5f} in")
    return st.one_of(mm, mm.map("{} mm".format), inches)


def share(value, least=0.8, most=1.25):
    """A length between so many times another."""
    return lengths(least * value, most * value)


def some(**keys):
    """A table with some of these keys."""
    return st.fixed_dictionaries({}, optional=keys)


def one_of(**keys):
    """A table with one of these keys, or none."""
    return st.one_of(st.just({}), *(st.fixed_dictionaries({key: value}) for key, value in keys.items()))


NAMES_OF_PEOPLE_S_OWN = st.one_of(
    st.sampled_from(
        ["Loan 7", "Ré ♭ mineur", "  two  words ", "<script>alert(1)</script>", "\"&amp;'", "a" * 60, "גיטרה 3", "琴"]
    ),
    st.text(st.characters(categories=["L", "N", "P", "S"]), min_size=1, max_size=40),
)


@st.composite
def instruments(draw):
    """An instrument's data: a preset's, each value somewhat off, with tables that it may lack. It may still be refused."""
    data = copy.deepcopy(_PRESETS[draw(st.sampled_from(sorted(_PRESETS)))])
    scale = float(parse_mm(str(data["scale"])))
    data |= {"name": draw(NAMES_OF_PEOPLE_S_OWN), "hand": draw(st.sampled_from(["right", "left"]))}
    if draw(st.booleans()):
        data["scale"] = draw(share(scale, 0.96, 1.08))
    else:
        del data["scale"]
        data["nut_to_fret_12"] = draw(share(scale / 2, 0.96, 1.08))
    starts = max(entry.get("starts_at_fret", 0) for entry in data["strings"])
    if not isinstance(data.get("fret_rule"), list):
        data["frets"] = draw(st.integers(12 + starts, 28))
        data |= draw(some(fret_rule=st.sampled_from(["equal", "eighteen"])))
    data |= draw(some(fret_crown_width=lengths(1, 2.6)))
    data["action"] = draw(some(nut=lengths(0.1, 0.8), relief=lengths(0, 0.3), finger=lengths(0, 8))) | {
        "fret_12": draw(lengths(1.2, 4))
    }
    aims = {"tune_to": st.sampled_from(["octave", "all frets", "nut and saddle"]), "frets": st.integers(3, 12)}
    data["compensation"] = draw(some(**aims, bridge_fit=st.sampled_from(["outer", "all"])))
    for entry in data["strings"]:
        entry.update(draw(some(nut_height=lengths(0.1, 1.0), pair=st.booleans())))
    if draw(st.integers(0, 3)) == 0:
        data["strings"] = data["strings"][: draw(st.integers(1, len(data["strings"])))]
        if "steps" in data["bridge"]:
            data["bridge"]["steps"] = data["bridge"]["steps"][: len(data["strings"])]
    spaced = st.sampled_from(["centres", "gaps"])
    bridge = data["bridge"]
    bridge |= draw(
        some(spaced=spaced, height=lengths(8, 30), thickness=share(bridge["thickness"]), crown=lengths(1, 7))
    )
    bridge.pop("face", None)
    if draw(st.integers(0, 3)) == 0:
        bridge |= {"feet": draw(st.integers(2, 4)), "foot": draw(lengths(4, bridge["length"] / 5))}
    data["nut"] |= draw(some(spaced=spaced, spacing=share(data["nut"]["spacing"], 0.8, 1.05)))
    measured = draw(st.booleans())
    data["board"] |= draw(some(slot=lengths(0.4, 0.8), dots=st.lists(st.integers(1, data["frets"]), max_size=6)))
    data["board"] |= draw(one_of(end_width=lengths(36, 62), fret_12_width=lengths(36, 62)))
    last_fret = 1.09 * scale * (1 - 2 ** (-data["frets"] / 12))
    data["board"] |= (
        draw(st.fixed_dictionaries({"end": share(last_fret, 1.0, 1.05), "over_top": lengths(1, 20)}))
        if measured
        else {}
    )
    data["tail"] |= draw(some(slip=st.floats(0, 1), afterlength=lengths(20, 250)))
    if draw(st.booleans()):
        edges = one_of(fret_12_to_near_edge=lengths(90, 200), fret_12_to_far_edge=lengths(380, 470))
        data["rim"] = draw(some(head=lengths(270, 290))) | draw(edges)
    if measured:
        data["top"] = draw(
            some(notches=lengths(0.4 * scale, 0.6 * scale), arch=st.sampled_from(["circular", "parabolic"]))
        )
        data["top"] |= (
            {"arch_rise": draw(lengths(2, 25)), "arch_span": draw(lengths(200, 450))} if draw(st.booleans()) else {}
        )
    sd = {"scale": lengths(0, 1), "gauge": lengths(0, 0.02), "laying": lengths(0, 1), "print_percent": st.floats(0, 2)}
    data["tolerance"] = draw(some(**sd, slip_from=st.floats(0, 0.5), slip_to=st.floats(0.5, 1)))
    return data


WRONG = st.one_of(
    st.sampled_from([0, -1, 1e308, -1e308, 5e-324, 2**63 - 1, float("nan"), float("inf"), -float("inf"), True, [], {}]),
    st.sampled_from(
        ["", " ", "26 1/4", "1/0 in", "9" * 400 + " in", "١٢ mm", "3,5", "0x10", "1e9 mm", "NaN", "inf in"]
    ),
    st.sampled_from(["<b>&amp;", "\u202e\ud7ff", "rock", "C99", "𝟛 mm", "0.0000001", "1e-300", "²"]),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=60),
    st.lists(st.one_of(st.floats(), st.integers(-1000, 1000), st.text(max_size=3)), max_size=40),
    st.dictionaries(st.text(min_size=1, max_size=5), st.integers(0, 9), max_size=3),
)
"""What does not belong where it is put."""

AT_THE_EDGE = st.one_of(
    st.sampled_from(
        [0, 0.0, 1, 0.1, 0.2, 1e-9, 12, 24, 36, 150, 150.0, 1500, 2.9999999, "0.1 mm", "1500 mm", "1/64 in"]
    ),
    lengths(0, 2000),
    st.integers(0, 40),
)
"""What may be just right or just wrong."""


def places(data):
    """Every place of the data that a slip may hit: (container, key)."""
    found = [(data, key) for key in data if not isinstance(data[key], dict)]
    found += [(data, key) for key in ("strings", "bridge", "action") if key in data]
    for value in data.values():
        if isinstance(value, dict):
            found += [(value, key) for key in value]
        elif isinstance(value, list):
            found += [(entry, key) for entry in value if isinstance(entry, dict) for key in entry]
    return found


@st.composite
def nearly(draw):
    """An instrument with one to three slips in it: something left out, wrong, at the edge, or under another name."""
    data = draw(instruments())
    for _ in range(draw(st.integers(1, 3))):
        container, key = draw(st.sampled_from(places(data)))
        slip = draw(st.sampled_from(["gone", "wrong", "edge", "edge", "renamed"]))
        value = container.pop(key)
        if slip == "renamed":
            container[draw(st.text(st.characters(codec="ascii"), min_size=1, max_size=12))] = value
        elif slip != "gone":
            container[key] = draw(WRONG if slip == "wrong" else AT_THE_EDGE)
    return data


def as_file(data):
    """The data as the bytes of a file."""
    return tomlkit.dumps(data).encode("utf-8", "surrogatepass")


SPLINTERS = st.one_of(
    st.binary(max_size=12), st.sampled_from([b"\0", b'"', b"[[", b"]", b"=", b"\r", b"\xff\xfe", b"0", b"-"])
)


@st.composite
def torn(draw):
    """The bytes of a good file with a piece cut out, doubled or replaced."""
    content = as_file(draw(instruments()))
    start = draw(st.integers(0, len(content)))
    stop = draw(st.integers(start, min(len(content), start + 40)))
    return content[:start] + draw(SPLINTERS) + content[stop:]


HARM = st.one_of(
    st.binary(max_size=300),
    st.integers(1, 3000).map(lambda depth: b"a = " + b"[" * depth + b"]" * depth),
    st.integers(1, 800).map(lambda depth: b"a" + b".a" * depth + b" = 1"),
    st.integers(1, 200).map(lambda many: b"[[strings]]\n" * many),
    st.integers(1, 5000).map(lambda digits: b'name = "x"\nscale = ' + b"9" * digits),
    st.integers(1, 5000).map(lambda many: b'name = "' + b"\xf0\x9f\xaa\x95" * many + b'"\nscale = 650'),
)
"""Meant to harm: bytes, nesting, numbers without end."""

GOOD = instruments().map(as_file)
FILES = st.integers(0, 9).flatmap(
    lambda n: GOOD if n < 5 else nearly().map(as_file) if n < 8 else torn() if n < 9 else HARM
)
"""Half of them good, three in ten nearly so."""

USUAL_PAPER = st.sampled_from([*PAPERS, "300x900", "1000x1500", "1000x1500"])
ODD_PAPER = st.sampled_from(["60x60", "0x0", "nanx9", "a4;rm", "9999x9999", "-210x297", "210x"])

NUMBERS = (
    [],
    ["--json"],
    ["--csv"],
    ["--at", "668 / 670"],
    ["--at", "350"],
    ["--at", "nan"],
    ["--json", "--at", "26 1/4 in"],
)
OPTIONS = (
    ("--datum-fret", ("12", "13", "15", "20"), ("0", "1", "99")),
    ("--kerf", ("0", "0.15", "0.4"), ("7", "-1", "nan")),
    ("--corner", ("0", "3"), ("10.1",)),
    ("--web", ("0.5", "6"), ("31",)),
    ("--stock", ("0.3", "3"), ("4",)),
    ("--clearance", ("0", "0.5"), ("2.5",)),
    ("--rim", ("nut", "tail"), ("west",)),
)


@st.composite
def commands(draw):
    """What is asked of a file: numbers in one of their forms, or one template in every format, with some options."""
    if draw(st.integers(0, 4)) == 0:
        return ["numbers", *draw(st.sampled_from(NUMBERS))]
    odd = draw(st.integers(0, 14)) == 0
    paper = draw(ODD_PAPER if odd and draw(st.booleans()) else USUAL_PAPER)
    asked = ["draw", draw(st.sampled_from(NAMES)), "--format", "pdf,svg,dxf", "--paper", paper]
    for option, usual, wrong in OPTIONS:
        if draw(st.integers(0, 6)) == 0:
            asked += [option, draw(st.sampled_from(wrong if odd else usual))]
    asked += ["--sure"] if draw(st.integers(0, 9)) else []
    flags = ("--datum-over", "--datum-end", "--to-bridge", "--untiled")
    return asked + [flag for flag in flags if draw(st.integers(0, 6)) == 0]
