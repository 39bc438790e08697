"""The result of a run of mutants.sh: a table, and each mutant that no test caught, before and after.

python tests/bench/mutants_table.py [module ...]
"""

import ast
import difflib
import json
import sys
from pathlib import Path

FOUND = Path(__file__).resolve().parent.parent.parent / "mutants" / "geometry"
KILLED, SURVIVED, OUT_OF_TIME = (1, 3), (0,), (-24, 24, 36, 152, 255)


def functions(path):
    """Source lines of every function of a mutated module, by name."""
    source = path.read_text()
    lines = source.splitlines()
    found = (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.FunctionDef))
    return {node.name: lines[node.lineno - 1 : node.end_lineno] for node in found}


def main():
    rows, total = [], [0, 0, 0, 0]
    for results in sorted(FOUND.glob("*.py.meta")):
        module = results.name.removesuffix(".py.meta")
        codes = json.loads(results.read_text())["exit_code_by_key"]
        if not codes or (sys.argv[1:] and module not in sys.argv[1:]):
            continue
        source = functions(FOUND / f"{module}.py")
        for key, code in codes.items():
            if code is None or code in KILLED:
                continue
            name = key.split(".")[-1]
            was, now = source[name.rpartition("_mutmut_")[0] + "_mutmut_orig"], source[name]
            print(f"{module}: {name} [{code}]")
            for line in difflib.unified_diff(was[1:], now[1:], lineterm="", n=0):
                if not line.startswith(("---", "+++", "@@")):
                    print("   ", line[0], line[1:].strip())
        counts = [
            len(codes),
            *(sum(code in kind for code in codes.values()) for kind in (KILLED, OUT_OF_TIME, SURVIVED)),
        ]
        rows.append((module, counts))
        total = [one + other for one, other in zip(total, counts, strict=True)]
    print(
        "\n| module | mutants | killed | out of time | survived | share killed |\n| --- | --- | --- | --- | --- | --- |"
    )
    for module, (mutants, killed, late, survived) in [*rows, ("all", total)]:
        share = 100 * (killed + late) / mutants
        print(f"| {module} | {mutants} | {killed} | {late} | {survived} | {share:.1f} % |")


if __name__ == "__main__":
    main()
