"""The guides as HTML, and the examples that they show, each drawn when it is first asked for."""

from collections.abc import Iterator, Sequence
from functools import cache
from typing import TYPE_CHECKING

from jigs.guide.guides import ENDING, EXAMPLES, guide, guides, slug
from jigs.page import words
from jigs.page.request import Reply

if TYPE_CHECKING:
    from markdown_it.token import Token

EXAMPLE = "example"
"""The route that draws an example."""

FOLDER = "examples/"
"""Where a guide's page finds the examples."""

_KINDS = {"svg": "image/svg+xml", "pdf": "application/pdf", "dxf": "image/vnd.dxf", "jsonl": "application/x-ndjson"}
_SCROLLS = {"class": "wide", "role": "region", "tabindex": "0"}
_OTHER_KIND = "text/plain; charset=utf-8"


@cache
def as_html(name: str) -> str:
    """A guide as HTML. Markup in it is text, and its links lead to what the page has. Raises `InputFaults` if unknown."""
    from markdown_it import MarkdownIt

    reader = MarkdownIt("commonmark", {"html": False}).enable("table")
    tokens = list(_for_the_page(reader.parse(guide(name).text)))
    html: str = reader.renderer.render(tokens, reader.options, {})
    return html


@cache
def examples() -> frozenset[str]:
    """The names of all examples that guides show or link to."""
    return frozenset(name for one in guides() for name in one.examples)


def example(name: str) -> Reply:
    """An example as a file. ``name`` is one of `examples`."""
    from jigs.demo.examples import example as drawn

    return Reply(200, _KINDS.get(name.rpartition(".")[2], _OTHER_KIND), drawn(name))


def _for_the_page(tokens: "Sequence[Token]") -> "Iterator[Token]":
    """Headings with ids, and tables in boxes that scroll by themselves."""
    from markdown_it.token import Token

    for place, token in enumerate(tokens):
        if token.type == "heading_open":
            token.attrs["id"] = slug(tokens[place + 1].content)
        elif token.type == "table_open":
            yield Token("box_open", "div", 1, attrs={**_SCROLLS, "aria-label": words.TABLE}, block=True)
        elif token.type == "inline":
            token.children = list(_led_here(token.children or ()))
        elif token.type == "fence":
            token.info = ""
        yield token
        if token.type == "table_close":
            yield Token("box_close", "div", -1, block=True)


def _led_here(tokens: "Sequence[Token]") -> "Iterator[Token]":
    """Words with links to the page's own places; a link to a file that the page does not have becomes text."""
    leads = True
    for token in tokens:
        if token.type == "link_open":
            to = _target(str(token.attrs["href"]))
            leads = to is not None
            token.attrs["href"] = to or ""
        elif token.type == "image":
            token.attrs |= {"src": _target(str(token.attrs["src"])) or "", "loading": "lazy"}
        if leads or not token.type.startswith("link_"):
            yield token


def _target(link: str) -> str | None:
    """Where a link of a guide leads on the page; None if nowhere.

    >>> _target("bench.md#keep-the-place"), _target("../../out_examples/loan-banjo-7-fork.pdf")
    ('bench#keep-the-place', 'examples/loan-banjo-7-fork.pdf')
    >>> _target("../../README.md") is None, _target("#words"), _target("https://example.org") is None
    (True, '#words', True)
    """
    if link.startswith(EXAMPLES):
        return FOLDER + link.removeprefix(EXAMPLES)
    file, mark, heading = link.partition("#")
    if not file or (file.endswith(ENDING) and "/" not in file):
        return f"{file.removesuffix(ENDING)}{mark}{heading}"
    return None
