"""What the page beside the examples says."""

from collections.abc import Iterator

from jigs.templates.catalogue import TEMPLATES

FILE = "file"
OWN_FILE = "toml"
OTHER_NAMES = {"jsonl": "log", "setup-card": "setup card"}
"""What files are called whose names say it otherwise."""

HEAD = (
    "# Examples",
    "",
    "For everyone who wants to see what bridge-jigs draws, before installing anything. The instruments belong to an invented"
    " village library that lends them; their measures are invented too. `jigs demo` writes this folder, this page included.",
    "",
    "![A banjo from above: the fork lies under its strings, and the bridge's feet meet its line](fork-in-use.svg)",
    "",
    "A PDF is the page to print, at true size. Its SVG is the same page, or, of a part to cut, the part alone. A DXF is for"
    " a cutter. Print at 100%, and measure both rulers before you trust a sheet.",
    "",
)
INSTRUMENTS = ("## Files", "", "| what | drawings |", "| --- | --- |")

_OF_INSTRUMENT = {
    "loan-banjo-7.toml": "five strings; set by ear in three rounds",
    "loan-banjo-7-kept.toml": "the place that was found is kept",
    "loan-banjo-7-new-strings.toml": "a year later, with other strings",
    "loan-mandolin-3.toml": "a stepped saddle; its top is measured",
    "loan-mandolin-4.toml": "everything was cut for it",
    "loan-octave-mandolin-1.toml": "a long scale on paper",
    "loan-tenor-banjo-2.toml": "left-handed",
    "new-mandolin.toml": "a builder's, not made yet",
}
"""What is particular about each instrument."""

BESIDES = {
    "old-mandolin-board": "An old board, measured fret by fret: which scale, which rule",
    "printer-sheet": "The sheet that measures a printer",
}
"""What belongs to no instrument, by how its files' names begin, except the picture at the top."""

_OTHER_DRAWINGS = {
    "page": "pages of a part to cut, which show it in use",
    "kit": "all parts of an instrument on one sheet of stock",
    "readings, log": "what a tuner showed, round by round; the picture of the rounds, and their log for programs",
    "compare": "how far the bridge moves for other strings",
}


def instrument(file: str, name: str) -> str:
    """What an instrument is, with a link to its file.

    >>> instrument("loan-tenor-banjo-2.toml", "Loan tenor banjo 2")
    '[Loan tenor banjo 2](loan-tenor-banjo-2.toml): left-handed'
    """
    return f"[{name}]({file}): {_OF_INSTRUMENT[file]}"


def drawings() -> Iterator[str]:
    """What each drawing is, a line each."""
    yield from ("## What each is", "")
    for entry in TEMPLATES:
        yield f"- **{entry.name}**: {entry.description}"
    for name, what in _OTHER_DRAWINGS.items():
        yield f"- **{name}**: {what[0].upper()}{what[1:]}."
