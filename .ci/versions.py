"""Try the project with the oldest and the newest libraries that pyproject.toml allows, on each Python of this machine.

    .venv/bin/python .ci/versions.py [PYTHON]... [-- PYTEST-ARGUMENT...]

PYTHON is a version (3.12) or the path of an interpreter. The default is each version from 3.11 that pyenv or the system has.
The default tests are quick, and at least one of them uses each library. Needs the package index, and uv or pip.
"""

import os
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
PYTHONS = ("3.11", "3.12", "3.13", "3.14")
RESOLUTIONS = {"oldest": "lowest-direct", "newest": "highest"}

SLIP = (
    "tests/geometry/test_tolerance.py::test_slip_off_the_middle_is_weighed_where_its_second_order_is_right[0.3-octave]"
)
TRUE_SIZE = (
    "tests/published/test_true_size.py::test_every_mark_is_where_the_numbers_say_within_a_micrometre[banjo-right]"
)
TESTS = {
    "click": "tests/jigs/cli/test_help.py",
    "ezdxf": "tests/jigs/cutting/test_settings.py::test_colours_and_widths_of_the_settings_reach_both_formats",
    "flask": "tests/jigs/page/test_units.py::test_field_shows_its_length_in_the_unit_of_the_switch",
    "hershey-fonts": "tests/jigs/cutting/test_engraving.py",
    "hypothesis": "tests/jigs/instrument/test_found_file.py",
    "markdown-it-py": "jigs",
    "mpmath": "tests/published/test_constants.py",
    "numpy": "geometry",
    "pdfplumber": TRUE_SIZE,
    "pikepdf": "tests/jigs/demo/test_valid_examples.py::test_viewer_opens_an_example_without_repairs[loan-banjo-7-fork]",
    "pillow": "tests/jigs/page/test_launcher.py::test_icon_is_a_picture_in_black_on_white",
    "platformdirs": "tests/jigs/cutting/test_settings.py::test_settings_are_shown_as_they_are_with_their_place",
    "pydantic": "tests/jigs/instrument/test_reference.py",
    "pypdf": "tests/jigs/export",
    "pypdfium2": TRUE_SIZE,
    "pytest": "tests/jigs/export",
    "pytest-xdist": "tests/jigs/export",
    "rectpack": "tests/jigs/cutting/test_nesting.py::test_squares_that_tile_the_stock_fill_it",
    "reportlab": "tests/jigs/export",
    "resvg-py": "tests/jigs/page/test_launcher.py::test_icon_is_a_picture_in_black_on_white",
    "rich": "jigs",
    "scipy": "tests/published/test_stiffness.py",
    "shapely": "tests/jigs/cutting/test_parts.py::test_outlines_and_windows_run_opposite_ways",
    "soundfile": "tests/jigs/input/test_sound.py::test_recording_of_every_kind_is_heard_as_another_library_hears_it",
    "statsmodels": "tests/geometry/test_robust.py::test_odds_of_a_rule_are_those_of_statsmodels_loss",
    "svgpathtools": "tests/jigs/cutting/test_settings.py::test_colours_and_widths_of_the_settings_reach_both_formats",
    "svgwrite": "tests/jigs/export",
    "tomli": "tests/jigs/instrument/test_found_file.py",
    "tomlkit": "tests/jigs/instrument/test_found_file.py",
    "uncertainties": SLIP,
    "waitress": "tests/jigs/page/test_guarded.py::test_the_server_says_the_same",
}
"""A quick test for each direct dependency that uses it."""

ELSEWHERE = {"atheris", "axe-playwright-python", "build", "hatchling", "mypy", "playwright", "ruff"}
"""Only developers run these, and no user gets them. CI does, in the versions of .ci/constraints.txt."""


class Outcome(NamedTuple):
    """One environment: how many tests passed and failed, or None where they could not run."""

    python: str
    libraries: str
    installed: bool
    passed: int | None = None
    failed: int | None = None


def main() -> None:
    asked, tests = split(sys.argv[1:])
    pythons = [wanted(one) for one in asked] or [path for number in PYTHONS if (path := kept(number))]
    outcomes = []
    with tempfile.TemporaryDirectory(prefix="versions-") as folder:
        uv = found_uv(Path(folder))
        for python in pythons:
            for libraries in RESOLUTIONS:
                outcomes.append(tried(uv, python, libraries, tests, Path(folder)))
    print(table(outcomes))
    missing = [number for number in PYTHONS if not asked and not kept(number)]
    if missing:
        print(f"Not tried, because this machine does not have it: Python {', '.join(missing)}.")
    sys.exit(any(not one.installed or one.failed != 0 for one in outcomes))


def split(arguments: list[str]) -> tuple[list[str], list[str]]:
    """The Pythons before ``--``, and what pytest gets: what is after it, or the quick tests."""
    if "--" in arguments:
        at = arguments.index("--")
        return arguments[:at], arguments[at + 1 :]
    return arguments, list(dict.fromkeys(TESTS.values()))


def wanted(asked: str) -> Path:
    """The interpreter that a user asks for."""
    path = kept(asked) if re.fullmatch(r"3\.\d+", asked) else Path(asked)
    if path is None or not path.is_file():
        sys.exit(f"{asked}: there is no such Python here; give a version that pyenv has, or the path of an interpreter")
    return path


def kept(number: str) -> Path | None:
    """The interpreter of a version, from pyenv or else from the system."""
    pyenv = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")) / "versions"
    system = shutil.which(f"python{number}", path="/usr/bin:/usr/local/bin:/opt/homebrew/bin")
    return next(iter([*sorted(pyenv.glob(f"{number}.*/bin/python")), *([Path(system)] if system else [])]), None)


def found_uv(folder: Path) -> str:
    """The uv of this machine, or one that pip puts into the temporary folder."""
    if uv := shutil.which("uv"):
        return uv
    pip = [sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    if subprocess.run([*pip, "--target", str(folder / "uv"), "uv"], check=False).returncode:
        sys.exit("uv is needed, and pip cannot install it; install uv and run this again")
    return str(folder / "uv" / "bin" / "uv")


def tried(uv: str, python: Path, libraries: str, tests: list[str], folder: Path) -> Outcome:
    """Make an environment, run the tests in it, and remove it."""
    ask = "import platform; print(platform.python_version())"
    version = subprocess.check_output([python, "-c", ask], text=True).strip()
    print(f"\n== Python {version}, {libraries} libraries", flush=True)
    home, report = folder / f"{version}-{libraries}", folder / f"{version}-{libraries}.xml"
    inside = home / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    install = [uv, "pip", "install", "--quiet", "--python", str(inside), "--resolution", RESOLUTIONS[libraries]]
    try:
        for command in ([uv, "venv", "--quiet", "--python", str(python), str(home)], [*install, "-e", f"{ROOT}[test]"]):
            if subprocess.run(command, cwd=folder, check=False).returncode:
                return Outcome(version, libraries, installed=False)
        quiet = ["-n", "1", "-p", "no:cacheprovider", "--tb=short", "-m", "slow or not slow"]
        subprocess.run([inside, "-m", "pytest", *quiet, f"--junitxml={report}", *tests], cwd=ROOT, check=False)
        return Outcome(version, libraries, True, *counted(report))
    finally:
        shutil.rmtree(home, ignore_errors=True)


def counted(report: Path) -> tuple[int, int] | tuple[None, None]:
    """How many tests passed and failed, from pytest's report. Skipped tests are neither."""
    if not report.exists():
        return None, None
    suites = list(ET.parse(report).iter("testsuite"))
    ran, skipped, failed, broken = (
        sum(int(suite.get(count, 0)) for suite in suites) for count in ("tests", "skipped", "failures", "errors")
    )
    return ran - skipped - failed - broken, failed + broken


def table(outcomes: list[Outcome]) -> str:
    """All outcomes, a line for each environment."""
    rows = [("Python", "libraries", "installed", "passed", "failed")]
    for one in outcomes:
        counts = ["–" if count is None else str(count) for count in (one.passed, one.failed)]
        rows.append((one.python, one.libraries, "yes" if one.installed else "no", *counts))
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return "\n".join("  ".join(map(str.ljust, row, widths)).rstrip() for row in rows)


if __name__ == "__main__":
    main()
