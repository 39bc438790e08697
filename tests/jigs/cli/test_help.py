"""The help of every command: one short line that says what it does, and each option in it once."""

import shlex

import click
import pytest
from click.testing import CliRunner
from samples import run

from geometry.printing import READING_ERROR_MM
from geometry.readings import TOUCH_ERROR_CENTS, TUNER_ERROR_CENTS
from geometry.survey import RULE_READING_ERROR_MM
from jigs.cli.main import COMMANDS, main
from jigs.cli.words import EXAMPLES
from jigs.cutting.nesting import GAP_MM
from jigs.instrument.found import USUAL_PLUS_MINUS_MM
from jigs.sheets.paper import PAPERS
from jigs.templates.catalogue import OPTIONS, TEMPLATES

LONGEST_FIRST_LINE = 60


def commands():
    """Every command and subcommand, with the words that call it."""
    for name in COMMANDS:
        command = main.get_command(click.Context(main), name)
        yield (name,), command
        for sub, of_sub in getattr(command, "commands", {}).items():
            yield (name, sub), of_sub


ALL = dict(commands())


def help_of(*name):
    status, shown, _ = run(*name, "--help")
    assert status == 0
    return " ".join(shown.split())


@pytest.mark.parametrize("name", ALL, ids=" ".join)
def test_first_line_of_a_commands_help_is_short_enough_for_a_list(name):
    first = ALL[name].help.strip().splitlines()[0]
    assert len(first) <= LONGEST_FIRST_LINE, first
    assert first.endswith(".")
    assert "…" not in help_of(*name[:-1])


@pytest.mark.parametrize("width", [80, 100, 200])
@pytest.mark.parametrize("name", ["draw", "rack"])
def test_help_has_a_line_for_each_template(name, width, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(width))
    shown = CliRunner().invoke(main, [name, "--help"], terminal_width=min(width, 100) - 2).stdout
    lines = shown.partition("Templates:\n")[2].partition("\n\n")[0].splitlines()
    assert [line.split(maxsplit=1) for line in lines] == [[entry.name, entry.description] for entry in TEMPLATES]


NEEDS_AN_ARGUMENT = [
    name for name, command in ALL.items() if any(p.required for p in command.params if isinstance(p, click.Argument))
]


@pytest.mark.parametrize("name", NEEDS_AN_ARGUMENT, ids=" ".join)
def test_command_without_its_argument_shows_what_to_type(name):
    status, printed, shown = run(*name)
    assert (status, printed) == (2, "")
    example = EXAMPLES[" ".join(name)]
    assert shown.splitlines()[-1].endswith(f" is missing; for example, type `{example}`")
    assert "Traceback" not in shown


def test_most_commands_need_an_argument_and_are_tested_for_it():
    assert {("draw",), ("numbers",), ("keep",), ("rack",), ("printer", "add")} <= set(NEEDS_AN_ARGUMENT)


@pytest.mark.parametrize(("name", "example"), EXAMPLES.items())
def test_example_is_in_the_help_on_a_line_of_its_own_and_its_command_takes_every_word(name, example):
    assert f"  Example:\n    {example}\n" in run(*name.split(), "--help")[1]
    program, *typed = shlex.split(example)
    assert program == "jigs"
    called = next(path for path in (tuple(typed[:2]), tuple(typed[:1])) if path in ALL)
    ALL[called].make_context(called[-1], typed[len(called) :])


def test_every_command_has_an_example_or_takes_nothing():
    without = {" ".join(name) for name in ALL} - EXAMPLES.keys()
    assert without == {"demo", "printer list", "printer sheet"}


def test_bare_program_shows_its_help_and_where_to_start():
    _, shown, said = run()
    assert "Start with `jigs new mine.toml`" in shown + said


@pytest.mark.parametrize("name", ["draw", "rack"])
def test_help_lists_every_template_and_option_of_the_catalogue_and_every_paper(name):
    shown = help_of(name)
    for entry in TEMPLATES:
        assert f"{entry.name} {entry.description}" in shown
    for option in OPTIONS:
        assert f"--{option.name} " in shown
        assert option.full_help in shown
        assert option.default in shown
    assert ", ".join(PAPERS) in shown
    assert "As for draw" not in shown


def test_paper_format_and_folder_are_said_alike_by_every_command():
    begins = {
        "--paper": ("PAPER", "Paper"),
        "--format": ("FORMATS", "Formats, with commas: pdf"),
        "--out": ("FOLDER", "Folder to write"),
    }
    found = [(name, param) for name in ALL for param in ALL[name].params if param.opts[0] in begins]
    assert {name for name, _ in found} >= {("draw",), ("rack",), ("survey",), ("readings",), ("printer", "check")}
    for name, param in found:
        metavar, words = begins[param.opts[0]]
        assert param.metavar == metavar, name
        assert words in param.help, name
        assert f"{param.opts[0]} {metavar} " in help_of(*name)


@pytest.mark.parametrize("name", ALL, ids=" ".join)
def test_every_option_of_a_command_says_what_it_sets(name):
    for param in ALL[name].params:
        if isinstance(param, click.Option):
            assert param.help, param.name


@pytest.mark.parametrize(
    ("name", "option", "used"),
    [
        (("rack",), "--gap", f"{GAP_MM:g} mm"),
        (("readings",), "--tuner-error", f"{TUNER_ERROR_CENTS:g}"),
        (("readings",), "--touch-error", f"{TOUCH_ERROR_CENTS:g}"),
        (("listen",), "--touch-error", f"{TOUCH_ERROR_CENTS:g}"),
        (("survey",), "--reading-error", f"from the file, from repeated readings, or {RULE_READING_ERROR_MM:g} mm"),
        (("printer", "add"), "--reading-error", f"{READING_ERROR_MM:g} mm"),
        (("keep",), "--plus-minus", f"{USUAL_PLUS_MINUS_MM:g} mm; more for a place on paper"),
    ],
)
def test_default_in_the_help_is_the_one_that_is_used(name, option, used):
    """It is written as text there, so that help need not wait for the rooms that hold it."""
    (shown,) = [param.show_default for param in ALL[name].params if option in param.opts]
    assert shown == used


def test_every_command_that_prints_json_says_so_alike():
    found = {name: param.help for name in ALL for param in ALL[name].params if "--json" in param.opts}
    assert len(found) >= 9
    assert len(set(found.values())) == 1


@pytest.mark.parametrize("name", [(), ("draw",), ("rack",)], ids=" ".join)
def test_help_says_what_each_exit_status_means(name):
    shown = run(*name, "--help")[1]
    statuses = shown.partition("Exit status:\n")[2].splitlines()
    assert [line.split()[0] for line in statuses] == ["0", "1", "2", "3"], "a line each"
    assert "nothing written" in statuses[2]
    assert "the rest is written" in statuses[3]
