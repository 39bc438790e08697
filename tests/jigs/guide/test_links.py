"""Every link of README, guides and gallery leads somewhere, and every guide has a beginning, pictures and a last resort."""

import pytest
from guides import DEVELOPERS, GALLERY, GUIDES, README, Heading, Link, Picture, document, read
from samples import ROOT

from jigs.guide.guides import slug

LINKED = [README, DEVELOPERS, GALLERY, *GUIDES]
EXAMPLES = ROOT / "out_examples"

LAST = "If it does not work"
TO_THE_WEB = frozenset[str]()
"""Addresses that a document may link to. A guide is read where there may be no network."""


def named(path):
    return path.relative_to(ROOT).with_suffix("").as_posix()


def nowhere(doc, link):
    """Why a link leads nowhere; None if it leads to a file of the project and, if it names one, to a heading in it."""
    if "://" in link.to or link.to.startswith("mailto:"):
        return None if link.to in TO_THE_WEB else "leads to the web"
    file, mark, anchor = link.to.partition("#")
    target = (doc.path.parent / file).resolve() if file else doc.path
    if not target.is_relative_to(ROOT):
        return "leads out of the project"
    if target != doc.path and not target.exists():
        return "there is no such file"
    if mark and target.suffix != ".md":
        return "only a document has headings"
    there = doc if target == doc.path else document(target) if mark else None
    return f"there is no heading #{anchor}" if mark and anchor not in there.anchors else None


@pytest.mark.parametrize("path", LINKED, ids=named)
def test_every_link_and_every_picture_leads_to_a_file_and_its_heading(path):
    doc = document(path)
    faults = [f"{doc.at(link)}: {link.to}: {why}" for link in doc.of(Link) if (why := nowhere(doc, link))]
    assert faults == []


@pytest.mark.parametrize("path", [README, GALLERY, *GUIDES], ids=named)
def test_a_document_for_users_has_links(path):
    assert document(path).of(Link)


def test_the_readme_lists_every_guide_in_a_table():
    assert {path.relative_to(ROOT).as_posix() for path in GUIDES} - document(README).in_tables == set()


@pytest.mark.parametrize("path", GUIDES, ids=named)
def test_a_guide_begins_with_a_title_and_a_paragraph_and_ends_with_what_to_do_if_it_does_not_work(path):
    doc = document(path)
    assert doc.kinds[:3] == ("h1", "heading_close", "paragraph_open")
    headings = [(heading.level, heading.text) for heading in doc.of(Heading)]
    assert [level for level, _ in headings].count(1) == 1
    assert [text for level, text in headings if level == 2][-1] == LAST
    assert doc.kinds[-1] != "heading_close", "nothing is said there"


@pytest.mark.parametrize("path", GUIDES, ids=named)
def test_a_picture_of_a_guide_is_an_example_alone_in_its_paragraph_and_says_what_it_shows(path):
    doc = document(path)
    for picture in doc.of(Picture):
        where = f"{doc.at(picture)}: {picture.to}"
        assert (path.parent / picture.to).resolve().parent == EXAMPLES, where
        assert picture.to.endswith(".svg"), where
        assert picture.alone, where
        assert len(picture.text.split()) >= 3, where


@pytest.mark.parametrize("path", GUIDES, ids=named)
def test_the_page_calls_headings_as_sites_that_show_repositories_do(path):
    """The page makes an address of a heading itself. A heading that is there twice would have one address."""
    doc = document(path)
    assert [slug(heading.text) for heading in doc.of(Heading)] == doc.anchors


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("[a](bench.py)", "no such file"),
        ("[a](guides.py)", None),
        ("[a](guides.py#names)", "only a document"),
        ("[a](../../DEVELOPERS.md#the-map)", None),
        ("[a](../../DEVELOPERS.md#the-maps)", "no heading"),
        ("[a](../../../elsewhere)", "out of the project"),
        ("[a](https://example.org)", "to the web"),
        ("<https://example.org>", "to the web"),
        ("![a](../../out_examples/none.svg)", "no such file"),
        ("![a](../../out_examples/loan-banjo-7-fork.svg)", None),
        ("[a](#here-and-there)", None),
        ("[a](#here-and-there-1)", None),
        ("[a](#here-and-there-2)", "no heading"),
    ],
)
def test_a_link_that_leads_nowhere_is_seen(text, why):
    doc = read(f"# Here, *and* `there`\n\n## Here and there\n\n{text}\n", GUIDES[0].parent / "own.md")
    (link,) = doc.of(Link)
    found = nowhere(doc, link)
    assert (found is None) if why is None else (why in found)
