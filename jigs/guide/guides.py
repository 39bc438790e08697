"""Which guides there are, and what they say. Each begins with its title and with a paragraph: who it is for."""

import re
from dataclasses import dataclass
from importlib import resources

from jigs.faults import Place
from jigs.guide import words

NAMES = ("player", "bench", "builder", "gauges", "printer", "old-frets", "strings", "words")
"""In the order in which they are listed: those for a person first, then those for a job."""

EXAMPLES = "../../out_examples/"
"""How a guide's links to pictures and examples begin, where the repository is browsed."""

ENDING = ".md"
_LINK = re.compile(r"\]\(([^)\s]+)\)")


@dataclass(frozen=True)
class Guide:
    """A guide as it was written, in Markdown.

    ``for_whom``: its first paragraph on one line.
    """

    name: str
    title: str
    for_whom: str
    text: str

    @property
    def examples(self) -> tuple[str, ...]:
        """The names of the examples that it shows or links to, each once."""
        linked = (link for link in _LINK.findall(self.text) if link.startswith(EXAMPLES))
        return tuple(dict.fromkeys(link.removeprefix(EXAMPLES) for link in linked))


def guide(name: str) -> Guide:
    """The guide of a name. Raises `InputFaults` for an unknown one.

    >>> guide("player").name
    'player'
    """
    if name not in NAMES:
        raise words.guide_unknown(name, NAMES).refusal(Place())
    text = resources.files("jigs.guide").joinpath(f"{name}{ENDING}").read_text(encoding="utf-8")
    title, for_whom, _ = text.split("\n\n", 2)
    return Guide(name, title.removeprefix("# "), " ".join(for_whom.split()), text)


def guides() -> tuple[Guide, ...]:
    """All guides, in the order of their names."""
    return tuple(map(guide, NAMES))


def slug(heading: str) -> str:
    """What links to a heading call it, as sites that show repositories do.

    >>> slug("Keep the place"), slug("What it does *not* know, and `[tolerance]`")
    ('keep-the-place', 'what-it-does-not-know-and-tolerance')
    """
    return re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")
