"""The project's own source text, as the tests of its rules read it."""

import ast
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parent.parent
JIGS, GEOMETRY = sorted(ROOT.glob("jigs/**/*.py")), sorted(ROOT.glob("geometry/**/*.py"))
MODULES = [*GEOMETRY, *JIGS]


def relative(path):
    """A path from the project's folder, with slashes."""
    return path.relative_to(ROOT).as_posix()


@cache
def tree(path):
    """A module's syntax."""
    return ast.parse(path.read_text(encoding="utf-8"))


def functions(node):
    """Every function in it, however deep."""
    return [each for each in ast.walk(node) if isinstance(each, ast.FunctionDef | ast.AsyncFunctionDef)]
