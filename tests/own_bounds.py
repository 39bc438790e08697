"""Every constant of the model, by its module: what ``tests/geometry/bounds.txt`` holds.

``PYTHONPATH=tests:. python tests/own_bounds.py`` writes that anew. Before that, measure again what hangs on it: the slow
tests of listening and of rounds, and ``tests/bench``.
"""

import ast
import pkgutil
import re
from importlib import import_module
from pathlib import Path

import geometry

BOUNDS = Path(__file__).parent / "geometry" / "bounds.txt"
_CONSTANT = re.compile(r"_?[A-Z][A-Z0-9_]*")
_ELSEWHERE = re.compile(r"<(function|class|module|built-in)| at 0x|re\.compile|NormalDist|array\(|Context\(")
"""Values that are no numbers, or that libraries write in ways of their own."""


def all_of_them():
    """A line for each constant that a module defines, and its value to twelve digits."""
    lines = []
    for found in sorted(pkgutil.iter_modules(geometry.__path__), key=lambda one: one.name):
        module = import_module(f"geometry.{found.name}")
        for name in _assigned(ast.parse(Path(module.__file__).read_text(encoding="utf-8"))):
            value = re.sub(
                r"\d+\.\d{12,}(?!\d*e)", lambda number: f"{float(number[0]):.12g}", repr(getattr(module, name))
            )
            if _CONSTANT.fullmatch(name) and not _ELSEWHERE.search(value):
                lines.append(f"{found.name}.{name} = {' '.join(value.split())}\n")
    return "".join(lines)


def _assigned(tree):
    """The names that a module's own statements assign, in their order."""
    for node in tree.body:
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        yield from (name.id for target in targets if target for name in ast.walk(target) if isinstance(name, ast.Name))


if __name__ == "__main__":
    BOUNDS.write_text(all_of_them(), encoding="utf-8", newline="\n")
