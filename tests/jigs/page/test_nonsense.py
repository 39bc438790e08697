"""Whatever is sent, there is an answer in the promised form: no crash, and nothing of the sender's as markup."""

import json
import xml.etree.ElementTree as ET

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from served import LIMIT_BYTES, own_file, state

from jigs.instrument.opening import preset_names, preset_text
from jigs.page.form.fields import DRAW_FIELDS, GROUPS, STRING_FIELDS

ROUTES = ("/open", "/draw", "/pdf", "/file", "/readings", "/rounds")
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
nearly = st.fixed_dictionaries(
    {
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
    st.sampled_from(["base", "fields", "draw", "readings", "start", "rounds", "more"]),
    shapes,
)

some = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def assert_answered(application, route, body):
    """An answer in the promised form, whatever was sent."""
    reply = application.ask("POST", route, body, {"Content-Type": "application/json"})
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
            assert set(note) == {"code", "field", "text"}
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
