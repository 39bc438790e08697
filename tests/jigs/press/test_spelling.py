"""A name that sheets or parts cannot write is replaced by the file's, and nothing is ever cut as ``????``."""

import io

import pytest
from odd_instruments import odd
from pages import pages_of
from pypdf import PdfReader
from readers import svg_layer
from samples import filed

from jigs.instrument.file import parse
from jigs.press.order import Order
from jigs.press.press import prepare
from jigs.sheets.paper import PAPERS
from jigs.workup.work_up import work_up

pytestmark = pytest.mark.slow

UNPRINTED = {
    "japanese": "図書館のマンドリン",
    "arabic": "بانجو المكتبة",
    "hebrew": "מנדולינה של הספרייה 6",
    "mixed": "Loan 琴 7",
}
UNENGRAVED = UNPRINTED | {"greek": "Μπάντζο της βιβλιοθήκης 3", "cyrillic": "Мандолина библиотеки 4"}
STEM = "loan-3"


def named(name):
    text = filed("mandolin", name=f'"{name}"')
    return work_up(parse(text.encode(), f"{STEM}.toml"))


def printed(name, template, formats="pdf", stem=STEM):
    return prepare(named(name), Order((template,), PAPERS["a3"], tuple(formats.split(","))), stem)


def engraved(content):
    return sorted(repr(pieces) for _, pieces, _ in svg_layer(content, "engrave"))


@pytest.mark.parametrize("template", ["fork", "gauge", "crown", "setup-card"])
@pytest.mark.parametrize("script", UNPRINTED)
def test_sheets_have_the_file_s_name_where_the_typeface_cannot_write_the_instrument_s(script, template):
    (content,) = printed(UNPRINTED[script], template).files.values()
    for page in pages_of(content):
        words = " ".join(page.texts)
        assert all(char.isascii() or char not in UNPRINTED[script] for char in words)
        assert "\N{REPLACEMENT CHARACTER}" not in words
        assert "????" not in words
        assert page.texts.count(STEM) >= 2, "as the name, and as the file"
    assert PdfReader(io.BytesIO(content)).metadata.title.endswith(f": {STEM}")


@pytest.mark.parametrize("script", ["greek", "cyrillic"])
def test_name_that_the_typeface_has_is_printed_although_it_cannot_be_engraved(script):
    (content,) = printed(UNENGRAVED[script], "gauge").files.values()
    assert UNENGRAVED[script] in pages_of(content)[0].texts


@pytest.mark.parametrize("template", ["gauge", "top"])
@pytest.mark.parametrize("script", UNENGRAVED)
def test_part_is_engraved_with_the_file_s_name_and_never_with_question_marks(script, template):
    (wanted,) = printed(STEM, template, "svg").files.values()
    (content,) = printed(UNENGRAVED[script], template, "svg").files.values()
    assert engraved(content) == engraved(wanted)
    (other,) = printed("????? ???", template, "svg").files.values()
    assert engraved(content) != engraved(other)


def test_where_the_file_s_name_cannot_be_written_either_the_kind_is():
    (content,) = printed("琴", "gauge", "svg", "楽器").files.values()
    (wanted,) = printed("mandolin", "gauge", "svg").files.values()
    assert engraved(content) == engraved(wanted)


@pytest.mark.parametrize("script", UNENGRAVED)
def test_note_says_what_sheets_and_parts_have_instead(script):
    notes = [note for note in printed(UNENGRAVED[script], "gauge").notes if note.place.key == "name"]
    assert notes
    assert all(STEM in str(note) for note in notes if note.code != "name-not-in-typeface" or script in UNPRINTED)
    assert "name-not-engraved" in {note.code for note in notes}


def test_ordinary_name_has_no_note_and_is_on_its_sheet_and_part():
    for name in ("Loan mandolin 7", "Žluť ½ ß", "Nº 7 in B♭"):
        made = printed(name, "gauge")
        assert not [note for note in made.notes if note.place.key == "name"]
        (content,) = made.files.values()
        assert name in pages_of(content)[0].texts


def test_odd_names_are_the_ones_of_the_odd_instruments():
    for stem, name in UNENGRAVED.items():
        if stem != "mixed":
            assert odd(stem).instrument.name == name
