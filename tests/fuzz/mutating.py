"""Changes to texts that a fuzzer of bytes hardly finds: whole words, numbers and lines, as other inputs have them."""

import random
import re

_TOKEN = re.compile(rb"[A-Za-z_][\w-]*|[-+]?\d+(?:\.\d*)?(?:[eE][-+]?\d+)?|\"[^\"\n]{0,60}\"|\s+|[^\w\s]")
_EDGES = [
    *b"0 -0 0.0 1 -1 2 3 0.5 12 24 36 37 99 100 1000 0.1 1e-9 1e308 -1e308 5e-324 9007199254740993".split(),
    *b"9223372036854775807 -9223372036854775809 nan inf -inf 1979-05-27 07:32:00 0x7fffffff true false null".split(),
    *b'[] {} [[]] # ; , / | "" <b>&amp; "\\ud800" "\\u0000"'.split(),
    *["½", "٣", "−", "\u2028", "\u202e", "\x85", "1/0"],
    *(b"\x0c", b"\r", b"\r\n", b"\t", b"\0", b"\x85", b"\xff", b"\xef\xbb\xbf", b"\xed\xa0\x80"),
    *(b'"26 1/4"', b'"1/0 in"', b'"1,234 mm"', b"9" * 400, b'"' + b"9" * 400 + b'"'),
]
_EDGES = [edge.encode() if isinstance(edge, str) else edge for edge in _EDGES]


class Mutator:
    """Changes an input; what it puts in is from the ``inputs`` that it was made with, or a number at some edge."""

    def __init__(self, inputs):
        self._tokens = sorted({token for one in inputs for token in _TOKEN.findall(one) if len(token) <= 80})
        self._lines = sorted({line for one in inputs for line in one.splitlines(keepends=True) if len(line) <= 2000})

    def changed(self, data, most, seed):
        """The data with one to four changes, at most so long. The same seed makes the same."""
        rng = random.Random(seed)
        for _ in range(rng.choice((1, 1, 2, 4))):
            data = (self._line(data, rng) if rng.random() < 0.3 else self._token(data, rng))[:most]
        return data

    def _token(self, data, rng):
        tokens = [match.span() for match in _TOKEN.finditer(data)]
        if not tokens:
            return rng.choice(self._tokens or _EDGES)
        start, end = rng.choice(tokens)
        what = rng.random()
        if what < 0.4:
            new = rng.choice(self._tokens or _EDGES)
        elif what < 0.7:
            new = rng.choice(_EDGES)
        elif what < 0.8:
            new = b""
        elif what < 0.9:
            first, last = rng.choice(tokens)
            new = data[first:last]
        elif what < 0.99:
            new = data[start:end] * 2
        else:
            new = data[start:end] * 2 ** rng.randrange(4, 14)
        return data[:start] + new + data[end:]

    def _line(self, data, rng):
        lines = data.splitlines(keepends=True) or [b""]
        at, what = rng.randrange(len(lines)), rng.random()
        if what < 0.4 and self._lines:
            lines.insert(at, rng.choice(self._lines))
        elif what < 0.6 and self._lines:
            lines[at] = rng.choice(self._lines)
        elif what < 0.75:
            del lines[at]
        elif what < 0.9:
            other = rng.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
        elif what < 0.98:
            lines.insert(rng.randrange(len(lines)), lines[at])
        else:
            lines[at:at] = [lines[at]] * 2 ** rng.randrange(4, 12)
        return b"".join(lines)
