"""Mutants of code that mutmut does not change: constants, defaults and properties, by mutmut's own operators.

    PYTHONPATH=tests/bench python tests/bench/mutants_outside.py [module ...]
    SAMPLE=20 …                       no more than twenty of each module, always the same

Each mutant is a file changed in a copy of the project, judged there by the same tests in a process of its own.
Docstrings, annotations and type aliases are not changed. Survivors are printed.
"""

import os
import random
import shutil
import signal
import sys
import tempfile
from pathlib import Path

import libcst as cst
from libcst import matchers
from libcst.metadata import MetadataWrapper, PositionProvider
from mutmut.mutation.mutators import mutation_operators

ROOT = Path(__file__).resolve().parent.parent.parent
COPIED = ("geometry", "jigs", "tests", "out_examples", "README.md", "LICENSE", "pyproject.toml")
TESTS = ("geometry", "tests/geometry", "tests/published")
LONGEST_SECONDS = 240


class Outside(cst.CSTVisitor):
    """Collects mutants of module-level code, class bodies and decorated functions."""

    METADATA_DEPENDENCIES = (PositionProvider,)

    def __init__(self):
        self.found = []

    def visit_FunctionDef(self, node):
        return bool(node.decorators)

    def visit_AnnAssign(self, node):
        return not (
            isinstance(node.annotation.annotation, cst.Name) and node.annotation.annotation.value == "TypeAlias"
        )

    def visit_Assign(self, node):
        return not matchers.matches(node.value, matchers.Call(func=matchers.Name("TypeVar")))

    def on_visit(self, node):
        if isinstance(node, cst.Annotation | cst.Decorator | cst.Import | cst.ImportFrom):
            return False
        goes_on = super().on_visit(node)
        if goes_on:
            place = self.get_metadata(PositionProvider, node, None)
            line = place.start.line if place else 0
            for kind, operator in mutation_operators:
                if isinstance(node, kind):
                    self.found += [(line, node, changed) for changed in operator(node)]
        return goes_on


class Replace(cst.CSTTransformer):
    def __init__(self, old, new):
        self.old, self.new = old, new

    def on_leave(self, original_node, updated_node):
        return self.new if original_node is self.old else updated_node


def mutants(path):
    """(line, what was, what is, whole source) of each mutant of a file."""
    wrapper = MetadataWrapper(cst.parse_module(path.read_text()))
    visitor = Outside()
    wrapper.visit(visitor)
    for line, old, new in visitor.found:
        changed = wrapper.module.visit(Replace(old, new)).code
        yield line, wrapper.module.code_for_node(old), wrapper.module.code_for_node(new), changed


def judged(copy):
    """Pytest's exit code on the copy, in a process of its own."""
    child = os.fork()
    if child == 0:
        os.setsid()
        os.chdir(copy)
        sys.path[:0] = [str(copy), str(copy / "tests" / "bench")]
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        signal.alarm(LONGEST_SECONDS)
        import pytest

        code = 1
        try:
            code = int(pytest.main(["--rootdir=.", "-x", "-q", "-p", "no:cacheprovider", "-p", "mutant_run", *TESTS]))
        finally:
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def main():
    import mpmath  # noqa: F401  # what every child needs, once for all
    import numpy  # noqa: F401
    import pytest  # noqa: F401
    import scipy.optimize  # noqa: F401
    import statsmodels.api  # noqa: F401

    sys.dont_write_bytecode = True
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        for name in COPIED:
            (shutil.copytree if (ROOT / name).is_dir() else shutil.copy)(ROOT / name, copy / name)
        stats = ROOT / "mutants" / "mutmut-stats.json"
        if stats.exists():
            shutil.copy(stats, copy)
        if judged(copy) != 0:
            sys.exit("the tests fail without a mutant")
        for path in sorted((ROOT / "geometry").glob("*.py")):
            if sys.argv[1:] and path.stem not in sys.argv[1:]:
                continue
            place, killed, count = copy / "geometry" / path.name, 0, 0
            every = list(mutants(path))
            few = min(int(os.environ.get("SAMPLE", len(every))), len(every))
            for line, old, new, changed in random.Random(path.stem).sample(every, few):
                place.write_text(changed)
                code, count = judged(copy), count + 1
                killed += code != 0
                if code == 0:
                    print(f"{path.name}:{line}: {old.strip()} -> {new.strip()}", flush=True)
            shutil.copy(path, place)
            if count:
                print(f"== {path.stem}: {count} mutants, {killed} killed, {count - killed} survived", flush=True)


if __name__ == "__main__":
    main()
