"""How we speak, counted: no sentence is too long, and long ones become fewer. ``python tests/voice.py`` lists them."""

import pytest
from test_words import slips
from voice import GUIDES, LONG, TOO_LONG, lengths, not_read, of_document, passages, sentences, words

OVER_LONG = {
    "README": 0,
    "guides": 0,
    "examples": 0,
    "DEVELOPERS": 0,
    "help": 3,
    "messages": 1,
    "sheets": 0,
    "page": 0,
    "drawn": 6,
}
"""Sentences of more than twenty words, by source. These numbers only fall."""


@pytest.fixture(scope="module")
def read():
    return passages()


@pytest.mark.parametrize("source", OVER_LONG)
def test_no_sentence_is_too_long_to_be_read_once(read, source):
    too_long = [f"{one.where}: {n} words: {text}" for n, one, text in lengths(read[source]) if n > TOO_LONG]
    assert not too_long, "\n".join(too_long)


@pytest.mark.parametrize("source", OVER_LONG)
def test_long_sentences_only_become_fewer(read, source):
    long = [f"{one.where}: {n} words: {text}" for n, one, text in lengths(read[source]) if n > LONG]
    assert len(long) <= OVER_LONG[source], "\n".join(long)
    assert len(long) == OVER_LONG[source], "fewer than in OVER_LONG: lower its number"


@pytest.mark.parametrize("source", OVER_LONG)
def test_nobody_reads_a_word_that_we_do_not_say(read, source):
    found = [f"{one.where}: {word!r}, say: {better}" for one in read[source] for _, word, better in slips(one.text)]
    found += [f"{one.where}: {word!r}, say: {better}" for one in read[source] for word, better in not_read(one.text)]
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    "text",
    [
        "Somebody has to hold it.",
        "One must wait.",
        "Lay it upon the head.",
        "a soundpost would fall",
        "The sheet wants a name.",
    ],
)
def test_a_word_that_nobody_should_read_is_seen(text):
    assert list(not_read(text))


@pytest.mark.parametrize(
    "text",
    ["Nobody knows its core.", "one end", "Change one string at a time.", "whenever", "the tension hoop of the head"],
)
def test_a_word_that_people_read_passes(text):
    assert list(not_read(text)) == []


def test_every_source_is_read(read):
    """A count of nothing would always pass."""
    assert read.keys() == OVER_LONG.keys()
    least = {"README": 80, "guides": 500, "examples": 20, "DEVELOPERS": 300, "help": 150, "messages": 1000}
    for source, number in {**least, "sheets": 300, "page": 200, "drawn": 200}.items():
        assert sum(len(sentences(one.text)) for one in read[source]) >= number, source
    assert {one.where.partition(":")[0] for one in read["guides"]} == {f"jigs/guide/{path.name}" for path in GUIDES}


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("Cut along the wide lines.", [5]),
        ("Measure 26 1/4 in from the nut. Then `jigs draw mine.toml` it.", [5, 3]),
        ("It is 669.8 mm (26 3/8 in), ± 1.6 mm.", [5]),
        ("Hold it; do not move it: wait.", [7]),
        ("One paragraph\n\nand another", [2, 2]),
    ],
)
def test_words_are_counted_as_they_are_read(text, count):
    assert [words(sentence) for sentence in sentences(text)] == count


def test_a_long_sentence_is_seen_wherever_it_is_in_a_guide(tmp_path, monkeypatch):
    long = " ".join(["word"] * (TOO_LONG + 1))
    guide = tmp_path / "guide.md"
    guide.write_text(
        f"# A guide\n\n- {long}\n\n| a | b |\n| --- | --- |\n| c | {long} |\n\n```\n{long}\n```\n", encoding="utf-8"
    )
    monkeypatch.setattr("voice.relative", str)
    found = lengths(list(of_document(guide)))
    assert [n for n, _, _ in found if n > TOO_LONG] == [TOO_LONG + 1] * 2
