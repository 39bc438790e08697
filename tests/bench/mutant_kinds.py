"""Which mutants mutants_sample.py makes of a file: mutmut's own operators, on functions, constants, defaults and classes.

Not made, because no number, no key and no decision changes:

- the text of a sentence: literals with a space, labels and hints of keys, and in a ``words`` module every literal except
  codes, keys of a table and what is compared. The same where such a text becomes None;
- docstrings, annotations, decorators, imports, type aliases, and the type of a ``cast``;
- ``strict`` of ``zip``: it stops a slip of ours, and no input reaches it.
"""

import re
from dataclasses import dataclass
from pathlib import Path

import libcst as cst
from libcst import matchers as m
from libcst.metadata import MetadataWrapper, PositionProvider
from mutmut.mutation.mutators import mutation_operators

_CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)+")
_SPOKEN_KEYWORDS = {"within", "empty", "label", "hint", "title", "help"}
_STATEMENTS = (cst.SimpleStatementLine, cst.If, cst.For, cst.While, cst.With, cst.Try, cst.FunctionDef, cst.ClassDef)


@dataclass(frozen=True)
class Mutant:
    """A file with one change: where it is, what was and what is, which names it is about, and the whole new source."""

    path: Path
    lines: range
    function: str
    names: frozenset[str]
    was: str
    now: str
    source: str


class Changes(cst.CSTVisitor):
    """Collects (node, changed node, what is around it) of a file."""

    METADATA_DEPENDENCIES = (PositionProvider,)

    def __init__(self, words):
        self.words, self.around, self.found = words, [], []

    def on_visit(self, node):
        if isinstance(node, cst.Annotation | cst.Decorator | cst.Import | cst.ImportFrom) or self._is_alias(node):
            return False
        for kind, operator in mutation_operators:
            if isinstance(node, kind):
                self.found += [(node, new, (*self.around,)) for new in operator(node) if not self._left_out(node, new)]
        self.around.append(node)
        return True

    def on_leave(self, original_node):
        if self.around and self.around[-1] is original_node:
            self.around.pop()

    @staticmethod
    def _is_alias(node):
        return (isinstance(node, cst.AnnAssign) and m.matches(node.annotation.annotation, m.Name("TypeAlias"))) or (
            isinstance(node, cst.Assign) and m.matches(node.value, m.Call(func=m.Name("TypeVar")))
        )

    def _left_out(self, node, new):
        """Whether a change is one of those that are not made."""
        if isinstance(node, cst.SimpleString):
            return self._spoken(node, self.around)
        if isinstance(node, cst.Assign | cst.AnnAssign):
            return node.value is not None and self._is_text(node.value, (*self.around, node))
        if isinstance(node, cst.Name) and self.around:
            return m.matches(self.around[-1], m.Arg(keyword=m.Name("strict")))
        if isinstance(node, cst.Call) and isinstance(new, cst.Call):
            touched = [one for one in node.args if not any(one is other for other in new.args)]
            return any(self._is_text(one.value, (*self.around, node, one)) or _idle(node, one) for one in touched)
        return False

    def _is_text(self, value, around):
        """Whether a value is a sentence or a part of it."""
        if isinstance(value, cst.ConcatenatedString):
            return any(self._is_text(one, around) for one in (value.left, value.right))
        if isinstance(value, cst.Tuple):
            return any(self._is_text(one.value, around) for one in value.elements)
        if isinstance(value, cst.FormattedString):
            said = "".join(part.value for part in value.parts if isinstance(part, cst.FormattedStringText))
            return self.words or " " in said
        return isinstance(value, cst.SimpleString) and self._spoken(value, around)

    def _spoken(self, node, around):
        text = node.evaluated_value
        if not isinstance(text, str) or len(around) < 2:
            return True
        last, before = around[-1], around[-2]
        if isinstance(last, cst.Arg) and isinstance(before, cst.Call):
            if last.keyword is not None and last.keyword.value in _SPOKEN_KEYWORDS:
                return True
            if m.matches(before.func, m.Name("key")) and any(last is one for one in before.args[:2]):
                return last.keyword is None
            if m.matches(before.func, m.Name("Says")) and last is before.args[-1]:
                return False
        if isinstance(last, cst.Comparison | cst.ComparisonTarget | cst.Index):
            return False
        if isinstance(last, cst.DictElement) and last.key is node:
            return " " in text
        return " " in text or (self.words and not _CODE.fullmatch(text))


def _idle(call, argument):
    """An argument that no input reaches."""
    strict = argument.keyword is not None and argument.keyword.value == "strict"
    return strict or (m.matches(call.func, m.Name("cast")) and argument is call.args[0])


class _Replace(cst.CSTTransformer):
    def __init__(self, old, new):
        self.old, self.new = old, new

    def on_leave(self, original_node, updated_node):
        return self.new if original_node is self.old else updated_node


def changes_of(path):
    """Of a file: the wrapper of its tree, its places, and every change."""
    wrapper = MetadataWrapper(cst.parse_module(path.read_text()))
    visitor = Changes("words" in path.stem)
    wrapper.visit(visitor)
    return wrapper, visitor.found


def mutant_of(path, wrapper, change):
    """The mutant of one change."""
    node, new, around = change
    places = wrapper.resolve(PositionProvider)
    statement = next((one for one in reversed(around) if isinstance(one, _STATEMENTS)), node)
    simple = isinstance(statement, cst.SimpleStatementLine) and node in places
    at = places.get(statement if simple else node) or places[statement]
    functions = [one.name.value for one in around if isinstance(one, cst.FunctionDef | cst.ClassDef)]
    targets = [one.target for one in around if isinstance(one, cst.AnnAssign)]
    targets += [each.target for one in around if isinstance(one, cst.Assign) for each in one.targets]
    if isinstance(node, cst.Assign | cst.AnnAssign):
        targets += [node.target] if isinstance(node, cst.AnnAssign) else [each.target for each in node.targets]
    names = {name.value for target in targets for name in m.findall(target, m.Name())} | set(functions[-1:])
    code = wrapper.module.code_for_node
    changed = wrapper.module.visit(_Replace(node, new)).code
    lines = range(at.start.line, at.end.line + 1)
    was, now = (" ".join(code(one).split()) for one in (node, new))
    return Mutant(path, lines, ".".join(functions), frozenset(names), was, now, changed)
