"""A guide's Markdown laid out for a terminal, or for a pipe."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from jigs.cli import guide_words as words
from jigs.guide.guides import ENDING, EXAMPLES

if TYPE_CHECKING:
    from markdown_it.token import Token

WIDEST = 100
"""Columns. Longer lines are hard to read."""

_STYLES = {
    "markdown.h1": "bold",
    "markdown.h2": "bold underline",
    "markdown.h3": "bold",
    "markdown.code": "bold",
    "markdown.item.number": "none",
    "markdown.item.bullet": "none",
    "markdown.table.border": "none",
    "markdown.table.header": "bold",
}


def laid_out(text: str, styled: bool, columns: int) -> str:
    """The text, with headings in bold if it is ``styled``; links name the guide or the file that they lead to.

    >>> print(laid_out("# One\\n\\nSee [the bench](bench.md#keep), `jigs keys`.", False, 60))
    One
    <BLANKLINE>
    See the bench (jigs guide bench), `jigs keys`.
    <BLANKLINE>
    """
    from rich.console import Console
    from rich.markdown import Markdown
    from rich.theme import Theme

    console = Console(
        width=min(columns, WIDEST),
        theme=Theme(_STYLES),
        color_system="standard" if styled else None,
        force_terminal=styled,
        legacy_windows=False,
    )
    shown = Markdown(text, hyperlinks=False, justify="left")
    for token in shown.parsed:
        token.info = ""
        if token.children is not None:
            token.children = list(_without_links(token.children, styled))
    with console.capture() as captured:
        console.print(shown)
    return "\n".join(line.rstrip() for line in captured.get().strip().split("\n")) + "\n"


def _without_links(tokens: "Sequence[Token]", styled: bool) -> "Iterator[Token]":
    """The words of a paragraph: pictures and links as text, code between its own marks where nothing else shows it."""
    from markdown_it.token import Token

    to = ""
    for token in tokens:
        if token.type == "image":
            yield Token("text", "", 0, content=words.picture(token.content, _target(str(token.attrs["src"]))))
        elif token.type == "link_open":
            to = _target(str(token.attrs["href"]))
        elif token.type == "link_close":
            yield Token("text", "", 0, content=f" ({to})" if to else "")
        elif token.type == "code_inline" and not styled:
            yield Token("text", "", 0, content=f"`{token.content}`")
        else:
            yield token


def _target(link: str) -> str:
    """What a reader of a terminal does with a link.

    >>> _target("bench.md#keep"), _target("../../out_examples/a.pdf"), _target("#here")
    ('jigs guide bench', 'a.pdf', '')
    """
    file = link.partition("#")[0]
    return words.to_guide(file.removesuffix(ENDING)) if "/" not in file and file else file.removeprefix(EXAMPLES)
