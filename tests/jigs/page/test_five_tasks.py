"""Five tasks of a newcomer who reads nothing but the page; what they download is what the command line makes."""

import page_tasks
import pytest
from browsing import Visit
from page_tasks import LENGTHS, MOST_FIELDS, PRINTER, ROUNDS
from samples import run
from served import serving


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    """A page whose user has no printer yet, in a settings folder of their own."""
    folder = tmp_path_factory.mktemp("newcomer")
    with serving(folder, XDG_CONFIG_HOME=str(folder / "settings")) as running:
        yield running


@pytest.fixture
def newcomer(browser, server, tmp_path):
    """Does a task in a window of their own: who did it. The page's own errors fail the test."""
    visits = []

    def do(task):
        visits.append(Visit(browser, server.address, {"viewport": {"width": 1366, "height": 768}}))
        someone, _ = page_tasks.done(task, visits[-1].page, server.address)
        assert someone.fields <= MOST_FIELDS
        for name, content in someone.files:
            (tmp_path / name).write_bytes(content)
        return someone

    yield do
    errors = [error for one in visits for error in one.errors]
    for one in visits:
        one.leave()
    assert errors == []


def drawn_by_the_command_line(folder, file, *options):
    """What ``jigs draw`` makes of an instrument file, by its name."""
    out = folder / "by-the-command-line"
    status, _, said = run("draw", folder / file, *options, "--paper", "a4", "--out", out)
    assert status == 0, said
    return {path.name: path.read_bytes() for path in out.iterdir()}


@pytest.mark.parametrize("task", [page_tasks.banjo_fork, page_tasks.mandolin_fork], ids=["banjo", "mandolin"])
def test_newcomer_prints_a_fork_of_their_own_measurements(newcomer, tmp_path, task):
    (pdf, content), (file, _) = newcomer(task).files
    assert drawn_by_the_command_line(tmp_path, file, "--format", "pdf") == {pdf: content}


def test_newcomer_measures_a_printer_and_prints_a_fork_that_is_corrected(newcomer, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    (sheet, check), (pdf, content), (file, _) = newcomer(page_tasks.printer_measured).files
    run("printer", "sheet", "--paper", "a4", "--format", "pdf", "--out", tmp_path / "check")
    assert (tmp_path / "check" / sheet).read_bytes() == check
    across, down, diagonals = (list(LENGTHS.values())[n : n + 2] for n in (0, 2, 4))
    lengths = ("--across", *across, "--down", *down, "--diagonals", *diagonals)
    assert run("printer", "add", PRINTER, "--paper", "a4", *lengths)[0] == 0
    assert drawn_by_the_command_line(tmp_path, file, "--format", "pdf", "--printer", PRINTER) == {pdf: content}


def test_newcomer_listens_in_two_rounds_and_keeps_the_place(newcomer, tmp_path):
    ((file, content),) = newcomer(page_tasks.two_rounds).files
    mine, log = tmp_path / "by-the-command-line.toml", tmp_path / "log"
    mine.write_text(run("presets", "banjo")[1])
    for n, read in enumerate(ROUNDS):
        options = ["--at", "line"] if n == 0 else []
        for string, harmonics, fretted in ((1, *read[:2]), (4, *read[2:])):
            options += ["--string", string]
            for pair in zip(harmonics.split("/"), fretted.split("/"), strict=True):
                options += ["--harmonic", pair[0], "--fretted", pair[1]]
        said = run("readings", mine, *options, "--log", log)[1]
        assert ("stop" in said.lower()) == (n == 1)
    assert run("keep", mine, "--log", log)[0] == 0
    assert file == "banjo.toml"
    assert content == mine.read_bytes()


def test_newcomer_has_a_gauge_cut(newcomer, tmp_path):
    (dxf, content), (file, _) = newcomer(page_tasks.gauge_to_cut).files
    assert drawn_by_the_command_line(tmp_path, file, "gauge", "--format", "dxf") == {dxf: content}
