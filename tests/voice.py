"""Count how we speak: words that nobody says here, and the lengths of sentences. ``python tests/voice.py`` prints a table.

Sources are what people read: README, guides, the page of the examples, DEVELOPERS.md, the help of every command, every text
of the program, and sheets as they are drawn. A code span counts as one word, and so does a figure with its unit.
"""

import ast
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from html import unescape
from pathlib import Path

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent.parent)]

from markdown_it import MarkdownIt
from sources import JIGS, ROOT, relative, tree

LONG, TOO_LONG = 20, 30
"""Words of a sentence: more than the first is long, more than the second is not written at all."""

GUIDES = sorted((ROOT / "jigs" / "guide").glob("*.md"))
DOCUMENTS = {
    "README": [ROOT / "README.md"],
    "guides": GUIDES,
    "examples": [ROOT / "out_examples" / "README.md"],
    "DEVELOPERS": [ROOT / "DEVELOPERS.md"],
}
MOST_LINKS = 4
"""More links make a list of files, not a sentence."""

SHEETS = ("jigs/templates", "jigs/drawing", "jigs/sheets")
"""Rooms whose words are printed on sheets."""

NOT_READ = {
    r"somebody|someone|anyone|anybody": "you, or a player, a technician, a builder",
    r"one (who|whose|must|may|should)": "you",
    r"thus|hence|thereby|thereof|therein|upon|whilst|shall|lest": "so, of it, on, while, will",
    r"registers on that": "say on what",
    r"sound ?posts?": "a banjo or mandolin has none: its tailpiece falls",
    r"(?<!tension )hoop (round|around|of) the head|stretcher band": "tension hoop",
    r"(sheet|file|page|field|program|command|template)s? (wants?|knows?|bears?)": "people do",
}
"""More words that nobody reads here, and terms that the trade does not use. In code and its comments they may be."""

_VALUE = "x"
_FIGURE = re.compile(
    r"[±+−-]?\d[\d.,/]*(?:[ -]\d+/\d+)?(?:\s?(?:mm|cm|in|cents?|c|N|Hz|kHz|GPa|s|dpi|per cent)\b|\s?[%°\"])?", re.ASCII
)
_END = re.compile(r"(?<=[.!?…])[\"”’)*]*\s+(?=[\"“‘(*]*[A-Z0-9±+−<`x]|'\w)|\s*\n\s*")
_BLOCK = re.compile(r"</?(?:p|li|h\d|td|th|dt|dd|div|section|button|option|label|summary|legend|span|a)\b[^>]*>", re.I)
_TAG = re.compile(r"<[^>]*>|\{[{%#].*?[}%#]\}", re.S)
_SCRIPT_STRING = re.compile(r"\"((?:\\.|[^\"\\\n])*)\"|'((?:\\.|[^'\\\n])*)'|`((?:\\.|[^`\\])*)`")


@dataclass(frozen=True)
class Passage:
    """A text that is read in one go, and where it is."""

    where: str
    text: str


def sentences(text: str) -> list[str]:
    """A text's sentences.

    >>> sentences("Cut it. Hold it low, e.g. so! Read 3.5 mm. `jigs draw` does it")
    ['Cut it.', 'Hold it low, e.g. so!', 'Read 3.5 mm.', '`jigs draw` does it']
    >>> sentences("Where it is, in mm. 'line': on the line")
    ['Where it is, in mm.', "'line': on the line"]
    """
    return [part.strip() for part in _END.split(text) if part.strip()]


def words(sentence: str) -> int:
    """How many words a sentence has.

    >>> words("It is 669.8 mm (26 3/8 in) from `the nut's edge` ± 1.6 mm.")
    7
    """
    plain = re.sub(r"`[^`]*`", _VALUE, sentence)
    plain = _FIGURE.sub(_VALUE, plain)
    return sum(any(map(str.isalnum, part)) for part in plain.split())


# ---- what people read


def of_document(path: Path) -> Iterator[Passage]:
    """Paragraphs, steps, cells and headings of a Markdown file, without what is to be typed."""
    for token in MarkdownIt("commonmark").enable("table").parse(path.read_text(encoding="utf-8")):
        if token.type == "inline" and sum(one.type == "link_open" for one in token.children) < MOST_LINKS:
            line = token.map[0] + 1 if token.map else 0
            text = "".join(
                _VALUE
                if one.type == "code_inline"
                else one.content
                if one.type == "text"
                else " " * ("break" in one.type)
                for one in token.children
            )
            yield Passage(f"{relative(path)}:{line}", text)


def of_help() -> Iterator[Passage]:
    """The help of every command, and of every option."""
    import click

    from jigs.cli.main import main

    def below(command: click.Command, name: str) -> Iterator[Passage]:
        for part in re.split(r"\n\s*\n", command.help or ""):
            if "\b" not in part:
                yield Passage(f"{name} --help", " ".join(part.split()))
        for option in command.params:
            if isinstance(option, click.Option) and option.help:
                yield Passage(f"{name} {option.opts[0]}", option.help)
        if isinstance(command, click.Group):
            context = click.Context(command)
            for each in command.list_commands(context):
                yield from below(command.get_command(context, each), f"{name} {each}")

    yield from below(main, "jigs")


def _docstrings(module: ast.Module) -> set[ast.AST]:
    return {
        node.value for node in ast.walk(module) if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }


def _text(node: ast.AST) -> str | None:
    """The text of an expression, with a short word for each value in it; None for what is not a text."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else None
    if isinstance(node, ast.JoinedStr):
        return "".join(_text(part) or _VALUE for part in node.values)
    if isinstance(node, ast.Tuple) and any(isinstance(_text(part), str) for part in node.elts):
        # The parts of a sentence, with keys and options between them, end and begin with a blank.
        texts = [_text(part) for part in node.elts]
        lines = sum(bool(text) and text[0].isupper() for text in texts)
        if lines < 2 and any(text and text != text.strip() for text in texts):
            return "".join(_VALUE if text is None else text for text in texts)
    return None


def of_module(path: Path) -> Iterator[Passage]:
    """Every text of a module that has several words, except docstrings."""
    module = tree(path)
    done = _docstrings(module)
    for node in ast.walk(module):
        if node in done:
            continue
        text = _text(node)
        if text is None:
            continue
        done |= set(ast.walk(node))
        if len(text.split()) > 2:
            yield Passage(f"{relative(path)}:{node.lineno}", text)


def of_page() -> Iterator[Passage]:
    """The views of the page, and the words of its scripts."""
    for path in sorted(ROOT.glob("jigs/page/views/*.html")):
        text = path.read_text(encoding="utf-8")
        for part in _BLOCK.split(_TAG.sub(lambda m: m[0] if _BLOCK.fullmatch(m[0]) else " x ", text)):
            plain = " ".join(unescape(part).split())
            if len(plain.split()) > 2:
                yield Passage(relative(path), plain)
    path = ROOT / "jigs" / "page" / "static" / "words.js"
    text = path.read_text(encoding="utf-8")
    for match in _SCRIPT_STRING.finditer(text):
        string = re.sub(r"\$\{[^}]*\}", _VALUE, match[1] or match[2] or match[3] or "")
        if len(string.split()) > 2:
            yield Passage(f"{relative(path)}:{text.count(chr(10), 0, match.start()) + 1}", string)


DRAWN_FOR = ("banjo", "mandolin", "archtop-guitar", "mountain-dulcimer")


def as_drawn() -> Iterator[Passage]:
    """What sheets and notes say of some instruments: a sentence made of an instrument's numbers is whole only there."""
    from samples import measured

    from jigs.drawing.room import DoesNotFit
    from jigs.faults import InputFaults
    from jigs.sheets.paper import PAPERS, room_on
    from jigs.templates.options import Options
    from jigs.templates.template import Lacks, templates

    orders = [(name, Options()) for name in templates()] + [("gauge", Options(wedges=True))]
    for preset in DRAWN_FOR:
        workup = measured(preset, *(("head",) if preset == "banjo" else ()))
        yield from (Passage(f"a note on {preset}", f"{note}.") for note in workup.notes)
        for name, options in orders:
            try:
                piece = templates()[name].draw(workup, room_on(PAPERS["a3"]), options)
            except (DoesNotFit, InputFaults, Lacks):
                continue
            said = piece.said
            lines = (
                said.title,
                said.datum,
                *said.steps,
                *said.notes,
                *said.cautions,
                *(text for _, text in said.legend),
            )
            for text in (*lines, piece.facts, *(f"{note}." for note in piece.notes)):
                yield Passage(f"{name} for {preset}", text.replace("\N{NO-BREAK SPACE}", " "))


def not_read(text: str) -> Iterator[tuple[str, str]]:
    """Words of `NOT_READ` in a text: (word, better)."""
    for pattern, better in NOT_READ.items():
        yield from ((match[0], better) for match in re.finditer(rf"\b(?:{pattern})\b", text, re.IGNORECASE))


def passages() -> dict[str, list[Passage]]:
    """Everything that people read, by source."""
    read = {name: [one for path in paths for one in of_document(path)] for name, paths in DOCUMENTS.items()}
    modules = [path for path in JIGS if "cli" not in path.parts or path.stem.endswith("words")]
    on_sheets = [path for path in modules if relative(path).startswith(SHEETS)]
    read["help"] = list(of_help())
    read["messages"] = [one for path in modules if path not in on_sheets for one in of_module(path)]
    read["sheets"] = [one for path in on_sheets for one in of_module(path)]
    read["page"] = list(of_page())
    read["drawn"] = list({one.text: one for one in as_drawn()}.values())
    return read


def lengths(of: list[Passage]) -> list[tuple[int, Passage, str]]:
    """Every sentence with its words, the longest first."""
    each = [(words(sentence), one, sentence) for one in of for sentence in sentences(one.text)]
    return sorted(each, key=lambda found: -found[0])


def main() -> None:
    """Print the table, and the sentences that are long; ``python tests/voice.py 30``: those of more than 30 words."""
    from test_words import slips

    print(f"{'':12}{'sentences':>10}{'longest':>9}{'over ' + str(LONG):>9}{'over ' + str(TOO_LONG):>9}{'wrong':>10}")
    every = passages()
    for name, read in every.items():
        counted = lengths(read)
        over = [sum(n > most for n, _, _ in counted) for most in (LONG, TOO_LONG)]
        wrong = sum(len([*slips(one.text), *not_read(one.text)]) for one in read)
        print(f"{name:12}{len(counted):10}{counted[0][0]:9}{over[0]:9}{over[1]:9}{wrong:10}")
    least = int(sys.argv[1]) if len(sys.argv) > 1 else LONG
    for read in every.values():
        for count, one, sentence in lengths(read):
            if count > least:
                print(f"{one.where}: {count} words: {sentence}")


if __name__ == "__main__":
    main()
