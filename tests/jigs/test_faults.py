"""A fault as a value: its place, its sentence in the reader's own names, its code, and how faults are collected."""

import pickle

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jigs.faults import (
    LONGEST_PART,
    Fault,
    InputFaults,
    Key,
    Note,
    Option,
    Place,
    Says,
    Wrong,
    attempt,
    either,
    nearest,
    on_one_line,
    spoken,
)

steady = settings(deadline=None, derandomize=True)

WORDS = ("measure ", Key("rim", "head"), ", or draw without ", Option("datum-fret"))
SAYS = Says(("both ", Key("", "scale"), " are given"), ("keep ", Option("paper", "a3")), "both-given")

parts = (
    st.text(max_size=8) | st.builds(Key, st.just("rim"), st.text("ab", min_size=1)) | st.builds(Option, st.just("kerf"))
)


# ---- sentences


@steady
@given(st.lists(parts).map(tuple))
def test_every_key_and_option_is_said_by_its_reader_s_name(words):
    said = spoken(words, lambda name: f"<{name.key if isinstance(name, Key) else name.name}>")
    assert said == "".join(p if isinstance(p, str) else f"<{p.key if isinstance(p, Key) else p.name}>" for p in words)


def test_the_command_line_says_keys_and_options_as_they_are_typed():
    assert spoken(WORDS) == "measure [rim] head, or draw without --datum-fret"
    assert spoken(("fill in ", Key("strings", "gauge", '".010"'))) == 'fill in gauge = ".010"'
    assert spoken("no key") == "no key"


def test_a_fault_is_said_as_where_what_and_remedy():
    fault = SAYS.at(Place("mine.toml", key="scale"))
    assert str(fault) == "mine.toml: scale: both scale are given; keep --paper a3"
    assert fault.sentence(lambda _: "that") == "both that are given; keep that"
    assert str(Says("skipped", "", "skipped").at(Place())) == "skipped"


def test_a_note_does_not_repeat_the_file():
    note = SAYS.note(Place("mine.toml", "rim", "head"))
    assert type(note) is Note
    assert str(note) == "[rim] head: both scale are given; keep --paper a3"
    assert SAYS.note().place == Place()


@pytest.mark.parametrize("code", ["", "Both", "both given", "both_given", "-both", "both-", "both--given"])
def test_a_code_in_another_form_is_refused(code):
    with pytest.raises(AssertionError):
        Fault(Place(), "what", "remedy", code)


@steady
@given(st.text(max_size=2 * LONGEST_PART))
def test_what_a_user_wrote_stays_on_one_line_and_is_not_endless(text):
    line = on_one_line(text)
    assert line.isprintable()
    assert len(line) <= LONGEST_PART + 1
    if text.isprintable() and len(text) <= LONGEST_PART:
        assert line == text


def test_a_long_text_is_cut_with_an_ellipsis():
    assert on_one_line("x" * LONGEST_PART) == "x" * LONGEST_PART
    assert on_one_line("x" * (LONGEST_PART + 1)) == "x" * LONGEST_PART + "…"


def test_control_characters_in_names_and_sentences_are_escaped():
    fault = Fault(Place("a\nb.toml", key="c\td"), "e\x1bf", "g\rh", "code")
    assert str(fault) == r"a\nb.toml: c\td: e\x1bf; g\rh"


# ---- places


@pytest.mark.parametrize(
    ("place", "where"),
    [
        (Place(), ""),
        (Place(key="scale"), "scale"),
        (Place(table="rim", key="head"), "[rim] head"),
        (Place(table="rim"), "[rim]"),
        (Place(table="strings"), "strings"),
        (Place(table="strings", key="gauge"), "strings, gauge"),
        (Place(table="strings", string=4), "string 4"),
        (Place(table="strings", key="gauge", string=4), "string 4, gauge"),
        (Place(line=16, column=3), "line 16"),
        (Place(line=16, string=2), "line 16, string 2"),
        (Place(table="readings", row=3), "readings, row 3"),
        (Place(table="readings", row=3, string=2), "readings, row 3, string 2"),
        (Place(option="kerf"), "--kerf"),
        (Place(option="template"), "TEMPLATE"),
        (Place(option="harmonic", string=1), "string 1, --harmonic"),
    ],
)
def test_a_place_is_said_from_the_outside_in(place, where):
    assert place.where == where
    assert str(Fault(place, "what", "remedy", "code")) == (f"{where}: " if where else "") + "what; remedy"


@pytest.mark.parametrize("kind", [Fault, Note])
def test_a_fault_moved_to_another_place_is_otherwise_the_same(kind):
    fault = kind(Place("mine.toml", key="scale"), WORDS, "remedy", "code")
    moved = fault.at(string=3, key="gauge")
    assert moved == kind(Place("mine.toml", key="gauge", string=3), WORDS, "remedy", "code")
    assert type(moved) is kind
    assert fault.place == Place("mine.toml", key="scale")


def test_a_fault_goes_from_process_to_process():
    fault = SAYS.at(Place("mine.toml", key="scale"))
    assert pickle.loads(pickle.dumps(fault)) == fault


# ---- many faults


def test_all_faults_are_said_a_line_each():
    first, second = SAYS.at(Place(key="scale")), SAYS.at(Place(option="kerf"))
    wrong = InputFaults([first, second])
    assert wrong.faults == (first, second)
    assert str(wrong).splitlines() == [str(first), str(second)]
    assert SAYS.refusal(first.place).faults == (first,)


def test_attempts_collect_their_faults_and_go_on():
    faults = []

    def refuse(number):
        raise SAYS.refusal(Place(line=number))

    assert attempt(faults, int, "7", 8) == 7
    assert attempt(faults, refuse, 1) is None
    assert attempt(faults, refuse, 2) is None
    assert [fault.place.line for fault in faults] == [1, 2]
    with pytest.raises(ZeroDivisionError):
        attempt(faults, divmod, 1, 0)


def test_a_value_found_wrong_keeps_what_is_said_and_the_key_at_fault():
    wrong = Wrong(SAYS, "scale")
    assert (wrong.says, wrong.key) == (SAYS, "scale")
    assert str(wrong) == "both scale are given; keep --paper a3"
    assert str(Wrong(Says("alone", "", "code"))) == "alone"


# ---- remedies

KNOWN = ("banjo", "mandolin", "tenor-banjo")


SLIPS = {"mandolni": "mandolin", "BANJO": "banjo", "tenor banjo": "tenor-banjo"}


@pytest.mark.parametrize(("written", "meant"), SLIPS.items())
def test_a_slip_finds_the_word_that_was_meant(written, meant):
    assert nearest(written, KNOWN) == f'did you mean "{meant}"?'


def test_an_unlike_word_gets_all_that_are_known():
    assert nearest("zither", iter(KNOWN)) == "choose banjo, mandolin or tenor-banjo"


@steady
@given(st.lists(st.text("abc", min_size=1, max_size=5), max_size=6))
def test_a_choice_names_every_word_once_and_in_order(words):
    assert either(words).replace(" or ", ", ").split(", ") == (words or [""])
    assert either(words).count(" or ") == (len(words) > 1)
