"""Oldest and newest libraries are tried with tests that use them: .ci/versions.py."""

import re
import runpy
import tomllib
from pathlib import Path

import pytest
from sources import ROOT

VERSIONS = runpy.run_path(str(ROOT / ".ci" / "versions.py"))
TESTS, ELSEWHERE = VERSIONS["TESTS"], VERSIONS["ELSEWHERE"]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def named(requirements):
    return {re.split("[<>=!~; ]", one)[0].lower() for one in requirements}


def numbers(version):
    return tuple(map(int, version.split(".")))


def test_no_library_that_users_install_is_left_untried():
    for_users, for_tests = named(PROJECT["dependencies"]), named(PROJECT["optional-dependencies"]["test"])
    assert TESTS.keys() | ELSEWHERE == for_users | for_tests
    assert TESTS.keys() & ELSEWHERE == set()
    assert for_users <= TESTS.keys()


@pytest.mark.parametrize("path", sorted(set(TESTS.values())))
def test_tests_of_the_libraries_are_there(path):
    place, _, name = path.partition("::")
    assert (ROOT / place).exists()
    if name:
        assert f"def {name.partition('[')[0]}(" in (ROOT / place).read_text(encoding="utf-8")


def test_every_python_with_a_classifier_is_tried():
    listed = {one.rpartition(" ")[2] for one in PROJECT["classifiers"] if re.search(r":: 3\.\d+$", one)}
    assert listed <= set(VERSIONS["PYTHONS"])


def test_pins_are_at_or_above_the_bounds():
    """Else nobody could install what drew the examples."""
    pins = dict(
        line.partition(";")[0].lower().replace("_", "-").split("==")
        for line in (ROOT / ".ci" / "constraints.txt").read_text(encoding="utf-8").splitlines()
        if "==" in line
    )
    for one in (*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]):
        name, least = one.partition(";")[0].lower().split(">=")
        assert numbers(pins[name]) >= numbers(least), one


def test_own_arguments_of_pytest_replace_the_quick_tests():
    assert VERSIONS["split"](["3.12", "--", "-n", "2", "tests"]) == (["3.12"], ["-n", "2", "tests"])
    assert VERSIONS["split"](["3.12"]) == (["3.12"], list(dict.fromkeys(TESTS.values())))


def test_report_is_counted_with_errors_as_failures_and_a_crash_as_neither(tmp_path):
    report = tmp_path / "report.xml"
    assert VERSIONS["counted"](report) == (None, None)
    report.write_text('<testsuites><testsuite tests="10" skipped="1" failures="2" errors="3"/></testsuites>')
    assert VERSIONS["counted"](report) == (4, 5)


def test_table_shows_what_could_not_be_installed():
    outcome = VERSIONS["Outcome"]
    lines = VERSIONS["table"](
        [outcome("3.11.7", "oldest", False), outcome("3.11.7", "newest", True, 9, 0)]
    ).splitlines()
    assert lines == [
        "Python  libraries  installed  passed  failed",
        "3.11.7  oldest     no         –       –",
        "3.11.7  newest     yes        9       0",
    ]


def test_python_that_is_not_here_is_refused_in_a_sentence():
    with pytest.raises(SystemExit, match="there is no such Python here; give a version"):
        VERSIONS["wanted"](str(Path("no") / "python"))
