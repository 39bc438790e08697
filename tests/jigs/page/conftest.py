"""A server that many tests ask, a browser that many tests use, and a fresh profile in it for each."""

import os
import shutil

import pytest
from served import in_process, serving

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


@pytest.fixture(scope="session")
def server(tmp_path_factory):
    """The page, served in a folder with nothing in it."""
    with serving(tmp_path_factory.mktemp("served")) as running:
        yield running


@pytest.fixture(scope="session")
def application():
    """The same application in this process."""
    return in_process()


@pytest.fixture(scope="session")
def browser():
    """Chromium without a window. Where there is none, its tests are skipped, or fail if they are needed."""
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        what = f"there is no browser for this test; install Chromium, as one of {', '.join(BROWSERS)}"
        if os.environ.get("JIGS_NEED_BROWSER"):
            pytest.fail(what)
        pytest.skip(what)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=found, args=[*FLAGS])
        yield running
        running.close()


@pytest.fixture
def visit(browser, server):
    """Open the page as somebody new: ``visit()`` or ``visit(color_scheme="dark")``. Its own errors fail the test."""
    from browsing import Visit

    visits = []

    def visited(fragment="", **profile):
        visits.append(Visit(browser, server.address, profile))
        visits[-1].go(fragment)
        return visits[-1]

    yield visited
    told = [error for one in visits for error in one.errors]
    for one in visits:
        one.leave()
    assert told == []
