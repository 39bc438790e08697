"""The README and the guides as tests read them: commands, what they print, files to type, keys, links and pictures."""

import re
import shlex
from collections import Counter
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from urllib.parse import unquote

from markdown_it import MarkdownIt
from sources import ROOT

from jigs.guide.guides import NAMES

README, DEVELOPERS, GALLERY = ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "out_examples" / "README.md"
GUIDES = [ROOT / "jigs" / "guide" / f"{name}.md" for name in NAMES]
TWO_COMMANDS = "Two commands"
"""The README's heading over the commands that set up and test the project. They are not for users."""

OURS = ("jigs", ".venv/bin/jigs")
PROGRAMS = (*OURS, "pipx", "uv", "python3", "eval", "_JIGS_COMPLETE=fish_source")
"""How a command begins."""

SKIPPED = "…"
"""In what a command prints: any lines, or the rest of a line."""

TODAY = "«today»"
"""In what a command printed: a date that is today's. A guide shows the day on which it was written."""
DATE = re.compile(r"\b(\d{1,2} [A-Z][a-z]+ \d{4}|\d{4}-\d\d-\d\d)\b")

READER = MarkdownIt("commonmark").enable("table")
_WORD = re.compile(r"""(?:[^\s"'\\]|"(?:\\.|[^"\\])*"|'[^']*'|\\.)+""")


@dataclass(frozen=True)
class Part:
    """Something in a document, and the line where it is."""

    line: int
    text: str


@dataclass(frozen=True)
class Heading(Part):
    level: int


@dataclass(frozen=True)
class Command(Part):
    """A command, and what its block says that it prints. ``in_text``: it is code among words."""

    prints: tuple[str, ...] | None = None
    in_text: bool = False

    @property
    def raw_words(self):
        """Its words as they are written, without a comment behind them."""
        words = []
        for word in _WORD.findall(self.text):
            if word.startswith("#"):
                break
            words.append(word)
        return words

    @property
    def words(self):
        """Its words as the program gets them, without where its output goes."""
        words = [" ".join(shlex.split(word)) for word in self.raw_words]
        return words[: words.index(">")] if ">" in words else words

    @property
    def goes_to(self):
        """The file that gets what it prints."""
        raw = self.raw_words
        return shlex.split(raw[raw.index(">") + 1])[0] if ">" in raw else None

    @property
    def is_a_pattern(self):
        """Whether the reader must put a word of their own for one in capitals, as in ``jigs guide NAME``."""
        return any(re.search(r"\b[A-Z]{3,}\b", word) or SKIPPED in word for word in self.raw_words)


@dataclass(frozen=True)
class ToType(Part):
    """A file that the reader types."""

    name: str


class Fragment(Part):
    """A piece of a TOML file."""


class Code(Part):
    """Code among words that is not a command: a key, an option, a file's name."""


@dataclass(frozen=True)
class Link(Part):
    to: str


@dataclass(frozen=True)
class Picture(Link):
    """``alone``: nothing else is in its paragraph."""

    alone: bool


class Unclear(Part):
    """What a document must not hold, because no test would look at it."""


@dataclass(frozen=True)
class Document:
    path: Path
    parts: tuple[Part, ...]
    kinds: tuple[str, ...]
    """Its blocks in order, as markdown-it calls them."""
    in_tables: frozenset[str]
    """Where the links in its tables lead."""

    def __str__(self):
        return self.path.relative_to(ROOT).as_posix() if self.path.is_relative_to(ROOT) else self.path.name

    def of(self, *kinds):
        return [part for part in self.parts if isinstance(part, kinds)]

    def at(self, part):
        return f"{self}:{part.line}"

    @property
    def anchors(self):
        """What links to its headings call them."""
        seen = Counter()
        found = []
        for heading in self.of(Heading):
            slug = re.sub(r"[^\w\- ]", "", heading.text.lower()).replace(" ", "-")
            found.append(f"{slug}-{seen[slug]}" if seen[slug] else slug)
            seen[slug] += 1
        return found


def _commands_in(token, line):
    """The commands of a block, a line each; a line that ends in a backslash goes on in the next."""
    lines = token.content.rstrip("\n").split("\n")
    start = 0
    while start < len(lines):
        end = start
        while lines[end].endswith("\\") and end + 1 < len(lines):
            end += 1
        text = " ".join(part.rstrip("\\").strip() for part in lines[start : end + 1])
        if text and not text.startswith("#"):
            yield Command(line + start, text)
        start = end + 1


def _fence(token, before):
    """The parts of a block of code; ``before`` is the part before it, if nothing is between them."""
    line, info = token.map[0] + 2, token.info.split()
    match info:
        case ["toml"]:
            return [Fragment(line, token.content)]
        case ["csv" | "toml", name]:
            typed = ToType(line, token.content, name)
            return [typed, Fragment(line, token.content)] if info[0] == "toml" else [typed]
        case []:
            commands = list(_commands_in(token, line))
            are = [one.raw_words[0] in PROGRAMS for one in commands]
            if isinstance(before, Command) and before.prints is None and not any(are):
                prints = tuple(
                    each.replace("\N{NO-BREAK SPACE}", " ").rstrip() for each in token.content.rstrip("\n").split("\n")
                )
                return [Command(before.line, before.text, prints)]
            if all(are) and commands:
                return commands
            why = "lines that are not all commands" if any(are) else "neither a command nor directly after one"
            return [Unclear(line, f"{why}: {token.content.strip()}")]
    return [Unclear(line, f"a block of code called {token.info}")]


def _inline(token):
    """The parts in a piece of text."""
    line = token.map[0] + 1
    alone = [child.type for child in token.children] == ["image"]
    for child in token.children:
        if child.type in ("softbreak", "hardbreak"):
            line += 1
        elif child.type == "image":
            yield Picture(line, child.content, unquote(child.attrs["src"]), alone)
        elif child.type == "link_open":
            yield Link(line, child.attrs["href"], unquote(child.attrs["href"]))
        elif child.type == "code_inline":
            words = child.content.split()
            is_command = len(words) > 1 and words[0] in PROGRAMS
            yield Command(line, child.content, in_text=True) if is_command else Code(line, child.content)
        elif child.type == "html_inline":
            yield Unclear(line, f"HTML: {child.content}")


def read(text, path=ROOT / "guide.md"):
    """A document from its Markdown. The commands under `TWO_COMMANDS` are not among its parts."""
    tokens = READER.parse(text)
    parts, in_tables = [], set()
    fence_before, in_table, own = None, False, True
    for place, token in enumerate(tokens):
        part_before = parts[-1] if parts and fence_before == place - 1 else None
        if token.type == "heading_open":
            inner = tokens[place + 1]
            words = "".join(child.content for child in inner.children if child.type in ("text", "code_inline"))
            parts.append(Heading(token.map[0] + 1, words, int(token.tag[1])))
            own = words != TWO_COMMANDS
        elif token.type in ("table_open", "table_close"):
            in_table = token.type == "table_open"
        elif token.type == "fence" and own:
            found = _fence(token, part_before)
            if found and isinstance(part_before, Command) and found[0].line == part_before.line:
                parts.pop()
            parts += found
            fence_before = place
        elif token.type == "inline":
            found = list(_inline(token))
            in_tables |= {part.to for part in found if in_table and isinstance(part, Link)}
            parts += found
        elif token.type in ("html_block", "code_block"):
            parts.append(Unclear(token.map[0] + 1, f"{token.type}: {token.content.strip()}"))
    kinds = tuple(token.tag if token.type == "heading_open" else token.type for token in tokens if token.level == 0)
    return Document(path, tuple(parts), kinds, frozenset(in_tables))


@cache
def document(path):
    """A document of the project."""
    return read(path.read_text(encoding="utf-8"), path)


def mismatch(expected, printed):
    """What is wrong with what a command printed, in words; None if it is as expected. Both are lines."""
    pieces, piece = [], []
    for line in expected:
        if line.strip() == SKIPPED:
            pieces.append(piece)
            piece = []
        else:
            piece.append(line)
    pieces.append(piece)
    at, last = 0, len(pieces) - 1
    for n, piece in enumerate(pieces):
        starts = [0] if n == 0 else range(at, len(printed) - len(piece) + 1)
        if n == last and n > 0:
            starts = [max(at, len(printed) - len(piece))]
        found = next((start for start in starts if _all_match(piece, printed[start:])), None)
        if found is None:
            where = "begin with" if n == 0 else "end with" if n == last else "print"
            return "\n".join((f"it does not {where} what is shown:", *piece))
        at = found + len(piece)
    if at != len(printed):
        return f"it also prints {printed[at:]}"
    return None


def _all_match(piece, printed):
    return len(piece) <= len(printed) and all(map(line_matches, piece, printed))


def line_matches(expected, printed):
    """Whether a line that was printed is as expected."""
    if TODAY in printed:
        expected = DATE.sub(TODAY, expected)
    if expected.endswith(f" {SKIPPED}"):
        return printed.startswith(expected.removesuffix(SKIPPED).rstrip())
    return expected == printed
