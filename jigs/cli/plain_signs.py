"""Signs for an output that lacks the right ones: a file or a pipe on Windows takes no true minus, and some take less."""

import codecs

PLAINLY = "jigs-plainly"
"""The error handler of an output: a sign that it lacks becomes one that reads the same, or else a question mark."""

_ALIKE = {
    "−": "-",
    "–": "-",
    "±": "+/-",
    "×": "x",
    "·": "-",
    "“": '"',
    "”": '"',
    "‘": "'",
    "’": "'",
    "…": "...",
    "\N{NO-BREAK SPACE}": " ",
    "°": " deg",
    "♯": "#",
    "♭": "b",
    "→": "->",
    "←": "<-",
    "≥": ">=",
    "≤": "<=",
}


def _plainly(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    text = error.object[error.start : error.end]
    return "".join(_ALIKE.get(char, "?") for char in text), error.end


codecs.register_error(PLAINLY, _plainly)
