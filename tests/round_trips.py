"""What goes out and comes back: instrument files as people have them, for the properties of every round trip."""

import tomllib
from dataclasses import fields
from difflib import unified_diff

from hostile import as_file, instruments
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from served import own_file, state

from jigs.faults import InputFaults
from jigs.instrument.file import parse
from jigs.page.form.fields import GROUPS, STRING_FIELDS

NAMES = st.sampled_from(["Loan 7", "Ré ♭ mineur", "two words", "גיטרה 3", "琴", "O'Brien, no. 5", "a = 1 # 2"])
COMMENTS = st.sampled_from(["# measured in November", "#  scale = 1", "# [found]", "", "   ", "# ♭ 26 1/4 in"])
BEHIND = st.sampled_from(["", "", "", "  # as found", " #", "\t# 2.5 mm"])
MORE_OF_STRINGS = (
    {"wrap": "nickel-plated steel", "wound": True},
    {"wound": True, "turns": 44},
    {"gauge": ".024w"},
    {"nut_height": "0,6"},
    {"peg": "3/4 in"},
    {"gauge": "0.27 mm"},
    {"unit_mass": "0.62 g/m", "modulus": "199 GPa"},
)
FIELDS = {
    "strings",
    *(field.key for group in GROUPS for field in group.fields),
    *(field.key for field in STRING_FIELDS),
}
"""What the form has a field for."""


TYPED = st.sampled_from(
    [("action.fret_12", "2.75"), ("strings.1.gauge", ".0105"), ("bridge.spacing", "41.5"), ("pitch.a4", "442.5")]
)
"""A field, and what is typed into it."""


def tried(examples):
    """So many examples, always the same ones; the suite's own checks of time count instead of Hypothesis's."""
    return settings(
        max_examples=examples,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
    )


@st.composite
def people_s_data(draw):
    """An instrument's data, with steps, lists and strings as people describe them. It is accepted."""
    data = draw(instruments())
    data["name"] = draw(NAMES)
    strings = len(data["strings"])
    for table, step in (("bridge", st.integers(-15, 15)), ("nut", st.integers(0, 7))):
        if draw(st.booleans()):
            data[table]["steps"] = [n / 10 for n in draw(st.lists(step, min_size=strings, max_size=strings))]
    if draw(st.booleans()):
        entry = data["strings"][-1]
        [entry.pop(key, None) for key in ("core", "turns", "wrap")]
        entry.update(draw(st.sampled_from(MORE_OF_STRINGS)))
    if draw(st.booleans()):
        data["action"]["press"] = 0.2
        data["action"].pop("finger", None)
    return data


@st.composite
def people_s_files(draw):
    """The text of an accepted instrument file, with comments between its lines and behind them, and any line end."""
    data = draw(people_s_data().filter(is_accepted))
    lines = []
    for line in as_file(data).decode().splitlines():
        lines += [draw(COMMENTS)] if draw(st.integers(0, 9)) == 0 else []
        lines.append(line + (draw(BEHIND) if "=" in line else ""))
    end = draw(st.sampled_from(["\n", "\n", "\r\n"]))
    return end.join(lines) + draw(st.sampled_from([end, ""]))


def is_accepted(data):
    try:
        parse(as_file(data), "mine.toml")
    except InputFaults:
        return False
    return True


def meaning(text):
    """All that an instrument file says once it is read, but where it was read from."""
    instrument = parse(text.encode(), "mine.toml")
    said = {one.name: getattr(instrument, one.name) for one in fields(instrument)}
    del said["source"], said["stringing"]
    return {**said, "wound": [entry.is_wound for entry in instrument.strings]}


def shown(application, text):
    """The fields of the form that opens a file, and how many strings it has."""
    opened = application.post("/open", state(base=own_file(text))).data
    assert opened["faults"] == []
    return opened["fields"] | {"strings": str(opened["strings"])}


def saved(application, text, filled_in):
    """The file that the page gives for a form that began with a text, and in which that was filled in."""
    reply = application.post("/file", state(base=own_file(text), fields=filled_in))
    assert reply.status == 200, reply.body
    return reply.body.decode()


def changes(before, after):
    """What the form sends to be as ``after``: what differs, "" for a key that goes. As `form.js` has it."""
    wanted = {key: after.get(key, "") for key in {**before, **after}}
    gone = [key for key in wanted if key not in after and key.startswith("strings.") and not kept_string(key, after)]
    return {
        key: value
        for key, value in wanted.items()
        if key not in gone
        and value.strip() != before.get(key, "").strip()
        and not (value == "" and before.get(key) == "false")
    }


def keys_of(data):
    """Every key of a file, by table and string."""
    for name, value in data.items():
        if name == "strings":
            yield from (f"strings.{n}.{key}" for n, entry in enumerate(value, 1) for key in entry)
        else:
            yield from (f"{name}.{key}" for key in value) if isinstance(value, dict) else (name,)


def kept_string(key, after):
    """Whether the string that a field is of is still listed."""
    return int(key.split(".")[1]) <= int(after["strings"])


def assert_untouched_is_the_same(application, text):
    assert saved(application, text, {}) == text


def assert_form_carries_the_instrument(application, text, other):
    """Into the form of any other file, and back into its own."""
    ours, theirs = shown(application, text), shown(application, other)
    assert set(ours) == {*keys_of(tomllib.loads(text)), "strings"}
    assert {key.rpartition(".")[2] if key.startswith("strings.") else key for key in ours} <= FIELDS
    made = saved(application, other, changes(theirs, ours))
    assert meaning(made) == meaning(text)
    again = shown(application, made)
    assert meaning(saved(application, made, changes(again, theirs))) == meaning(other)


def assert_one_field_changes_one_key(application, text, key, value):
    """A measurement that is typed changes that key, and no other line of the file."""
    after = saved(application, text, {key: value})
    assert shown(application, after) == shown(application, text) | {key: value}
    assert tomllib.loads(after) != tomllib.loads(text)
    diff = list(unified_diff(text.splitlines(), after.splitlines(), n=0, lineterm=""))[2:]
    lost = [line[1:] for line in diff if line.startswith("-")]
    assert len(lost) <= 1, lost
    assert all(line.lstrip().startswith(key.rpartition(".")[2]) for line in lost), lost
    assert ("\r\n" in after) == ("\r\n" in text)
    assert "\r" not in after.replace("\r\n", "")
