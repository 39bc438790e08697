"""Whatever is sent, there is an answer in the promised form: no crash, and nothing of the sender's as markup."""

import json
import struct
import xml.etree.ElementTree as ET
from urllib.parse import quote

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from served import LIMIT_BYTES, own_file, silence, state

from jigs.instrument.opening import preset_names, preset_text
from jigs.page.form.fields import DRAW_FIELDS, GROUPS, STRING_FIELDS

pytestmark = pytest.mark.slow

ROUTES = ("/open", "/draw", "/pdf", "/file", "/readings", "/rounds", "/heard")
PROMISED = {
    200: ("application/json", "application/pdf", "application/toml"),
    400: ("application/json",),
    413: ("application/json",),
    422: ("application/json",),
}
KEYS = [field.key for group in GROUPS for field in group.fields]
KEYS += [f"strings.{n}.{field.key.rsplit('.', 1)[-1]}" for field in STRING_FIELDS for n in (1, 5, 6)]
KEYS += [
    "strings",
    "strings.0.note",
    "strings.99.note",
    "strings.1",
    "action",
    "action.",
    ".nut",
    "strings.1.note.x",
    "colour",
]
DRAW_KEYS = ["template", "paper", "printer", *(field.key for field in DRAW_FIELDS)]
READING_KEYS = [
    "treble-harmonic",
    "treble-fretted",
    "bass-harmonic",
    "bass-fretted",
    "at",
    "tuner-error",
    "touch-error",
]
HOSTILE = [
    "", " ", "0", "-1", "1e999", "nan", "inf", "-0", "9" * 400, "0." + "9" * 400, "1/0", "1/" + "9" * 60,
    "26 1/4 in", "1 ft 2 in", "٣", "½", "1,5", "1_000", "0x10", "true", "null", "[]", "{}", "5", "5, 7, 12", ",",
    ", ".join(["1"] * 3000), "\\", '"', "'''", '"""', "\0", "\r\n", "\u2028", "\ud800", "\ufffe", "\u202e",
    "<svg onload=alert(1)>", "</script>", "&lt;", "]]>", "%s", "{{7*7}}", "${7*7}", "a4", "5000x5000", "130x200",
    "200x1e9", "fork", "all frets", "nut and saddle", "eighteen", "right", "2500 Hz", "293.9Hz", "+1",
    "669.8 / 670", "C-1", "B#9", "E♭4", "x" * 5000, "é" * 61, "name = 1", "[[strings]]", "# comment",
    "[action]\nnut = 9", "2 / 1 / 2", "1 / / 2", "/", "1/" * 3000,
]  # fmt: skip

texts = st.one_of(st.sampled_from(HOSTILE), st.text(max_size=40))
lengths = st.floats(0.01, 3000).map(lambda mm: f"{mm:.4g}")
plausible = st.one_of(lengths, st.integers(-2, 40).map(str), texts)
filled = st.dictionaries(st.sampled_from(KEYS), plausible, max_size=8)
bases = st.one_of(
    st.sampled_from(preset_names()).map(lambda name: {"preset": name}),
    st.sampled_from(preset_names()).map(lambda name: own_file(preset_text(name))),
    st.builds(own_file, texts, texts),
)
places = st.one_of(st.floats(0, 3000), st.integers(-1, 2000))
starts = st.one_of(
    st.none(), st.fixed_dictionaries({"treble_mm": places, "bass_mm": places, "round": st.integers(0, 5)})
)
ends = st.tuples(*[st.one_of(st.none(), st.floats(-90, 90))] * 2).map(list)
rounds = st.fixed_dictionaries(
    {"read_cents": ends, "moved_mm": ends, "verdict": st.sampled_from(["move", "stop"]), "next": starts}
)
pairs_heard = st.fixed_dictionaries(
    {
        "end": st.sampled_from(["treble", "bass", "middle"]),
        "cents": st.floats(-210, 210),
        "standard_error_cents": st.floats(-0.1, 210),
        "shared_error_cents": st.floats(-0.1, 210),
    }
)
small, tiny = st.floats(-200, 200), st.floats(0.0, 30.0)
lists = {"hz": st.floats(0, 20_000), "standard_error_cents": tiny, "level_db": small, "decay_per_s": small}
partials = st.integers(0, 6).flatmap(
    lambda count: st.fixed_dictionaries(
        {
            "number": st.lists(st.integers(0, 9), min_size=count, max_size=count).map(sorted),
            **{name: st.lists(one, min_size=count, max_size=count) for name, one in lists.items()},
            "glide_cents": small,
            "glide_error_cents": small,
        }
    )
)
nearly = st.fixed_dictionaries(
    {
        "heard": st.lists(pairs_heard, max_size=9),
        "plucks": st.fixed_dictionaries({}, optional={"open": partials, "octave": partials}),
        "start": starts,
        "rounds": st.lists(rounds, max_size=3),
        "base": bases,
        "fields": filled,
        "draw": st.dictionaries(st.sampled_from(DRAW_KEYS), plausible, max_size=4),
        "readings": st.dictionaries(st.sampled_from(READING_KEYS), plausible, max_size=6),
    }
)
scalars = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), texts, st.sampled_from([10**400, -(10**400), 2**63, 1e308])
)
shapes = st.recursive(
    scalars,
    lambda inner: st.one_of(st.lists(inner, max_size=5), st.dictionaries(texts, inner, max_size=5)),
    max_leaves=20,
)
misshapen = st.builds(
    lambda good, key, wrong: {**good, key: wrong},
    nearly,
    st.sampled_from(["base", "fields", "draw", "readings", "start", "rounds", "heard", "plucks", "more"]),
    shapes,
)

some = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def assert_answered(application, route, body, kind="application/json"):
    """An answer in the promised form, whatever was sent."""
    reply = application.ask("POST", route, body, {"Content-Type": kind})
    assert reply.status in PROMISED, (reply.status, reply.body[:500])
    assert reply.kind.startswith(PROMISED[reply.status]), reply.kind
    if reply.kind.startswith("application/json"):
        assert not set(b"<>&") & set(reply.body)
        data = json.loads(reply.body, parse_constant=lambda name: pytest.fail(f"{name} is not JSON"))
        assert isinstance(data["faults"], list)
        for fault in data["faults"]:
            assert set(fault) == {"code", "field", "where", "what", "remedy"}
            assert fault["code"]
            assert fault["what"]
            assert (fault["where"] + fault["what"] + fault["remedy"]).isprintable()
        for note in data.get("notes", ()):
            assert set(note) == {"code", "field", "where", "says", "text", "first"}
        for sheet in (*data.get("sheets", ()), *([data["picture"]] if data.get("picture") else ())):
            tags = {item.tag.rsplit("}")[-1] for item in ET.fromstring(sheet).iter()}
            assert not tags & {"script", "style", "a", "image", "use", "foreignObject", "animate", "set"}
    elif reply.kind.startswith("application/pdf"):
        assert reply.body.startswith(b"%PDF-")
    else:
        reply.body.decode()
    return reply


@pytest.mark.parametrize("route", ROUTES)
@some
@given(st.binary(max_size=300))
@example(b"")
@example(b"[" * 60_000)
@example(b'{"base":' * 8_000)
@example(b"1" * 10_000)
@example(b"NaN")
@example(b'{"base": {"preset": "banjo"}, "fields": {"scale": NaN}}')
@example('{"base": {"preset": "banjo"}}'.encode("utf-16"))
@example(b'\xef\xbb\xbf{"base": {"preset": "banjo"}}')
@example(b'{"base": {"preset": "banjo"}, "fields": {"name": "\\ud800"}}')
@example(b'{"base": {"preset": "\\udfff"}}')
@example(b'{"base": {"text": "\\ud800", "name": "x"}}')
@example(b'{"base": {"text": "a = 1", "name": "\\ud800"}}')
@example(b'{"base": {"preset": "banjo"}, "base": 3}')
@example(b'{"base": {"preset": "banjo"}, "fields": {"\\ud800": "1"}}')
@example(b" " * LIMIT_BYTES)
def test_any_bytes_are_answered(application, route, body):
    assert_answered(application, route, body)


@pytest.mark.parametrize("route", ROUTES)
@some
@given(shapes)
def test_json_of_any_shape_is_answered(application, route, sent):
    assert_answered(application, route, json.dumps(sent).encode())


@pytest.mark.parametrize("route", ROUTES)
@some
@given(misshapen)
def test_request_with_one_part_of_the_wrong_shape_is_answered(application, route, sent):
    assert_answered(application, route, json.dumps(sent).encode())


@pytest.mark.parametrize("route", ROUTES)
@some
@given(nearly)
def test_request_with_hostile_values_is_answered(application, route, sent):
    assert_answered(application, route, json.dumps(sent).encode()[:LIMIT_BYTES])


queries = st.builds(
    lambda hz, wanted: f"/listen?open_hz={quote(hz)}&wanted={quote(wanted)}",
    st.one_of(
        st.sampled_from(["293.66", "15", "6000", "14", "nan", "inf", "-1", "1e9", ""]),
        st.text("0123456789.e-", max_size=8),
    ),
    st.sampled_from(["open", "octave", "harmonic", "fret", "", "open&wanted=octave"]),
)
headers = st.builds(
    lambda codec, channels, rate, bits, claimed: struct.pack(
        "<4sI4s4sIHHIIHH4sI",
        b"RIFF",
        36,
        b"WAVE",
        b"fmt ",
        16,
        codec,
        channels,
        rate,
        rate,
        channels * bits // 8 % 65536,
        bits,
        b"data",
        claimed,
    ),
    st.sampled_from([0, 1, 3, 6, 7, 0x55, 0xFFFE]),
    st.sampled_from([0, 1, 2, 32, 65535]),
    st.sampled_from([0, 1, 8000, 16000, 48000, 192000, 2**32 - 1]),
    st.sampled_from([0, 8, 16, 24, 32, 64, 65535]),
    st.sampled_from([0, 1, 4000, 2**31, 2**32 - 1]),
)
sounds = st.builds(lambda head, body, times: head + body * times, headers, st.binary(max_size=200), st.integers(1, 300))


@some
@given(queries, st.one_of(st.binary(max_size=300), sounds, st.integers(0, 300).map(lambda size: silence()[:size])))
@example("/listen", silence())
@example("/listen?open_hz=293.66&wanted=open", b"")
@example("/listen?open_hz=293.66&wanted=open", silence(44))
@example("/listen?open_hz=293.66&wanted=open&more=%00%0a", silence())
@example("/listen?open_hz=293.66&wanted=open", silence()[:44] + b"\xff\x7f" * 20_000)
@example("/listen?open_hz=293.66&wanted=octave", silence()[:44] + bytes(range(256)) * 300)
def test_any_sound_is_answered_in_one_sentence(application, path, sound):
    reply = assert_answered(application, path, sound, "audio/wav")
    assert len(reply.data["faults"]) == (reply.status != 200)


def test_noise_that_is_not_a_number_is_refused(application):
    """A WAV of floats may hold anything."""
    for value in (float("nan"), float("inf"), 1e38):
        head = struct.pack(
            "<4sI4s4sIHHIIHH4sI", b"RIFF", 36, b"WAVE", b"fmt ", 16, 3, 1, 48000, 192000, 4, 32, b"data", 80_000
        )
        reply = assert_answered(
            application, "/listen?open_hz=293.66&wanted=open", head + struct.pack("<f", value) * 20_000, "audio/wav"
        )
        assert reply.status == 422


NESTED = {
    "lists": lambda depth: "x = " + "[" * depth + "]" * depth,
    "lists of strings": lambda depth: "strings = " + "[" * depth + "]" * depth,
    "lists in a table": lambda depth: "[action]\nnut = " + "[" * depth + "]" * depth,
    "tables": lambda depth: "x = " + "{a = " * depth + "1" + "}" * depth,
    "dotted": lambda depth: ".".join("a" * depth) + " = 1",
    "headed": lambda depth: f"[{'.'.join('a' * depth)}]",
}


@pytest.mark.parametrize("depth", [30, 150, 400, 3000])
@pytest.mark.parametrize("text", NESTED.values(), ids=NESTED)
def test_own_file_that_is_nested_deep_is_answered(application, text, depth):
    for fields in ({}, {"scale": "26 in", "strings": "3", "strings.1.note": "D4"}):
        sent = json.dumps(state(base=own_file(text(depth)), fields=fields)).encode()
        for route in ("/open", "/file", "/draw"):
            assert_answered(application, route, sent)


STRANGE = [
    "x = 1979-05-27T07:32:00Z", "scale = 07:32:00", "strings = [1979-05-27]", 'strings = [{note = "D4"}, 3]',
    "action = []", 'action.nut = 1\n[action.more]\nx = 1', "[[action]]\nnut = 1", '"" = 1', '"a.b" = 1',
    "scale = nan\nframes = inf", "strings = {}", "[strings]\nnote = 'D4'", "[strings.x]", 'name = """\na\nb"""',
    "x = 0xDEAD\ny = 0o7\nz = 0b1", "scale = 1e400", f"frets = {10**50}", "strings = []",
    'strings = [{note = "D4", gauge = 0.25}, {note = "G3", gauge = 0.4}]', "board.dots = [[1], 2]",
    "action = {nut = 0.5, fret_12 = 2.0}", "kind = ['banjo']", "strings = [[{note = 'D4'}]]", "\r\nname = 'x'\r\n",
    "name = 'x' # \u2028", "frets_measured = ['a', {}]", "[pitch]\n[pitch.a4]", "name = '\u202e'",
    "'scale' = '26 in'", "\"sc\\u0061le\" = '26 in'",
]  # fmt: skip


@pytest.mark.parametrize("text", STRANGE, ids=lambda text: repr(text)[:40])
def test_own_file_of_strange_data_is_answered_with_every_field_filled_in(application, text):
    """What TOML can say and a form cannot: dates, lists in lists, tables that are lists and the other way round."""
    for key in (
        "name",
        "scale",
        "action.nut",
        "action.fret_12",
        "strings",
        "strings.1.note",
        "strings.2.gauge",
        "board.dots",
    ):
        for value in ("", "4", "26 in"):
            sent = json.dumps(state(base=own_file(text), fields={key: value})).encode()
            for route in ("/open", "/file", "/draw"):
                assert_answered(application, route, sent)


@pytest.mark.parametrize("text", STRANGE, ids=lambda text: repr(text)[:40])
def test_what_was_filled_in_is_what_the_file_then_says(application, text):
    sent = state(base=own_file(text), fields={"scale": "26.5 in", "tail.slip": "0.25"})
    reply = application.post("/file", sent)
    if reply.status == 422:
        return
    import tomllib

    kept = tomllib.loads(reply.body.decode())
    assert kept["scale"] == "26.5 in"
    assert kept["tail"]["slip"] == 0.25
