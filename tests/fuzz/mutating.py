"""Changes to texts that a fuzzer of bytes hardly finds: whole words, values and lines, as other inputs have them."""

import json
import random
import re

_TOKEN = re.compile(rb"[A-Za-z_][\w-]*|[-+]?\d+(?:\.\d*)?(?:[eE][-+]?\d+)?|\"[^\"\n]{0,60}\"|\s+|[^\w\s]")
_VALUE = re.compile(rb"^([ \t]*[\w.-]+[ \t]*=[ \t]*)([^\n#]+)", re.MULTILINE)
_NUMBER = re.compile(rb"\d+(?:\.\d+)?")

_VALUES = [
    *b"0 -1 0.5 12 37 1e308 5e-324 nan -inf true [] {} 1979-05-27 07:32:00".split(),
    *(b'""', b"[1, 2]", b'"1/0 in"', b'"26 1/4"', b'"1,234 mm"', b"9" * 400, b'"' + b"x" * 400 + b'"', b'"\\u202e"'),
]
"""Of a key in TOML."""

_WORDS = [
    *["0", "-1", "nan", "12", "0.5", "1e308", "½", "٣", "−5", "/", "<b>", "�"],
    *("", " ", "1/0 in", "26 1/4", "1,234 mm", "1 / 2 / 3", "\u2028", "x" * 400, "9" * 400),
]
_LEAVES = [*_WORDS, None, True, 0, -1, 0.5, 12, 1e308, -1e308, 5e-324, 2**63, 10**40, [], {}, [[]], ["a"]]
"""Of JSON, the first of them texts."""

_EDGES = [
    *b"0 -0 0.0 1 -1 2 3 0.5 12 24 36 37 99 100 1000 0.1 1e-9 1e308 -1e308 5e-324 9007199254740993 1/0".split(),
    *b"9223372036854775807 -9223372036854775809 nan inf -inf 1979-05-27 07:32:00 0x7fffffff true false null".split(),
    *b'[] {} [[]] # ; , / | "" <b>&amp; "\\ud800" "\\u0000"'.split(),
    *(one.encode() for one in "½٣−\u2028\u202e\x85"),
    *(b"\x0c", b"\r", b"\r\n", b"\t", b"\0", b"\x85", b"\xff", b"\xef\xbb\xbf", b"\xed\xa0\x80"),
    *(b'"26 1/4"', b'"1/0 in"', b'"1,234 mm"', b"9" * 400, b'"' + b"9" * 400 + b'"'),
]
"""Of any text."""

_IS_REQUEST = b"\n\n{"
_SCALES = (0.1, 0.5, 0.9, 1.1, 2, 10, 25.4)
_LONGEST_LEAF = 4000


class Mutator:
    """Changes an input; what it puts in is from the ``inputs`` that it was made with, or a value at some edge."""

    def __init__(self, inputs):
        self._tokens = sorted({token for one in inputs for token in _TOKEN.findall(one) if len(token) <= 80}) or _EDGES
        self._lines = sorted({line for one in inputs for line in one.splitlines(keepends=True) if len(line) <= 2000})
        self._values = sorted({value.strip() for one in inputs for _, value in _VALUE.findall(one)}) or _VALUES
        self._texts = (
            sorted({text for one in inputs for text in _texts_of(_json(one.rpartition(b"\n\n")[2]))}) or _WORDS
        )

    def changed(self, data, most, seed):
        """The data with one to four changes, at most so long. The same seed makes the same."""
        rng = random.Random(seed)
        for _ in range(rng.choice((1, 1, 1, 2, 4))):
            inside = 0.9 if _IS_REQUEST in data else 0.6
            way = (
                self._inside
                if rng.random() < inside
                else rng.choice((self._scaled, self._line, self._token, self._token))
            )
            data = way(data, rng)[:most]
        return data

    def _inside(self, data, rng):
        """A value of a key or of JSON changed, so that the whole can still be read."""
        head, gap, body = data.rpartition(b"\n\n")
        tree = _json(body)
        if isinstance(tree, dict | list) and tree:
            text = json.dumps(self._tree(tree, rng), ensure_ascii=rng.random() < 0.5)
            return head + gap + text.encode(errors="surrogatepass")
        found = [match.span(2) for match in _VALUE.finditer(data)]
        if not found:
            return self._token(data, rng)
        start, end = rng.choice(found)
        return data[:start] + rng.choice(self._values if rng.random() < 0.6 else _VALUES) + data[end:]

    def _tree(self, tree, rng):
        """The same tree with one node changed."""
        keys = list(tree) if isinstance(tree, dict) else range(len(tree))
        key, what = rng.choice([key for key in keys if tree[key] not in ({}, [])] or keys), rng.random()
        below = tree[key]
        if isinstance(below, dict | list) and below and what < 0.97:
            tree[key] = self._tree(below, rng)
        elif what < 0.05:
            del tree[key]
        elif what < 0.1 and isinstance(tree, dict):
            tree[rng.choice(self._texts)] = below
        elif what < 0.1:
            tree.insert(0, below)
        elif isinstance(below, str) and what < 0.6:
            changed = self.changed(below.encode(errors="surrogatepass"), _LONGEST_LEAF, rng.random())
            tree[key] = changed.decode(errors="replace")
        elif isinstance(below, str) and what < 0.95:
            tree[key] = rng.choice(self._texts if what < 0.8 else _WORDS)
        elif isinstance(below, int | float) and abs(below) < 1e300 and what < 0.6:
            tree[key] = below * rng.choice(_SCALES)
        else:
            tree[key] = rng.choice(_LEAVES)
        return tree

    def _scaled(self, data, rng):
        """A number somewhat off, or in other units."""
        found = [match.span() for match in _NUMBER.finditer(data)]
        if not found:
            return self._token(data, rng)
        start, end = rng.choice(found)
        number = float(data[start : min(end, start + 20)]) * rng.choice(_SCALES)
        return data[:start] + (b"%d" if rng.random() < 0.4 else b"%.5g") % number + data[end:]

    def _token(self, data, rng):
        tokens = [match.span() for match in _TOKEN.finditer(data)]
        if not tokens:
            return rng.choice(self._tokens)
        start, end = rng.choice(tokens)
        what = rng.random()
        if what < 0.4:
            new = rng.choice(self._tokens)
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


def _json(text):
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        return None


def _texts_of(tree):
    """Every text of a tree, keys among them."""
    if isinstance(tree, str):
        yield tree
    for one in tree if isinstance(tree, list) else [*tree, *tree.values()] if isinstance(tree, dict) else ():
        yield from _texts_of(one)
