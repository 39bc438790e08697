"""One server for many tests, and a fresh profile of the browser for each."""

import pytest
from served import in_process, serving


@pytest.fixture(scope="session")
def server(tmp_path_factory):
    """The page, served in a folder with nothing in it."""
    with serving(tmp_path_factory.mktemp("served")) as running:
        yield running


@pytest.fixture(scope="session")
def application():
    """The same application in this process."""
    return in_process()


@pytest.fixture
def visit(browser, server):
    """Open the page for the first time: ``visit()`` or ``visit(color_scheme="dark")``. Its own errors fail the test."""
    from browsing import Visit

    visits = []

    def visited(fragment="", **profile):
        visits.append(Visit(browser, server.address, profile))
        visits[-1].go(fragment)
        return visits[-1]

    yield visited
    errors = [error for one in visits for error in one.errors]
    for one in visits:
        one.leave()
    assert errors == []
