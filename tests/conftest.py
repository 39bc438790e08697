"""What every test stands on: a user without settings or instruments, in this process and in those that it starts."""

import gc
import os
import shutil
import signal
from importlib.util import find_spec

import pytest

from jigs.__main__ import GARBAGE_WAITS_FOR

# As the program has it: a worker of the tests holds much more, and looking through that takes seconds at a time.
gc.set_threshold(GARBAGE_WAITS_FOR)

# Before numpy is imported: every worker of the tests has a core, and more threads would only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:  # as in a job that a shell runs in the background
    signal.signal(signal.SIGINT, signal.default_int_handler)

collect_ignore = ["elsewhere/sitecustomize.py"]
"""What only a Python of its own may load; on Windows also tests of signals, locks and terminals that it does not have."""

OF_OTHER_SYSTEMS = (
    *("trouble", "jigs/cli/test_guide", "jigs/cli/test_new", "jigs/page/test_starting", "jigs/rack/test_rack"),
    *("jigs/rack/test_shelf", "jigs/system/test_whole_files"),
    *("slow/test_kept_whole", "slow/test_nothing_lost", "slow/test_on_other_systems"),
)
if not hasattr(os, "fork"):
    collect_ignore += [f"{name}.py" for name in OF_OTHER_SYSTEMS]

BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
"""The first needs two thirds of the others' time."""

FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items):
    """What needs a browser is slow, except what is marked quick."""
    for item in items:
        if "chromium" in getattr(item, "fixturenames", ()) and not item.get_closest_marker("quick"):
            item.add_marker("slow")


@pytest.fixture(scope="session", autouse=True)
def _no_settings(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        for kind in ("CONFIG", "DATA", "STATE"):
            patch.setenv(f"XDG_{kind}_HOME", str(tmp_path_factory.mktemp(f"no-{kind.lower()}")))
        yield


def _without(what, needed):
    """Skip what cannot be tested here, or fail where this variable says that it must be."""
    if os.environ.get(needed):
        pytest.fail(what)
    pytest.skip(what)


@pytest.fixture(scope="session")
def chromium():
    """Starts Chromium without a window, with more flags than the usual. Where there is none, its tests are skipped, or fail
    if they are needed.
    """
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        _without(
            f"there is no browser for this test; install Chromium, as one of {', '.join(BROWSERS)}",
            "JIGS_NEED_BROWSER",
        )
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        yield lambda *flags: playwright.chromium.launch(executable_path=found, args=[*FLAGS, *flags])


@pytest.fixture(scope="session")
def browser(chromium):
    """Chromium without a window."""
    running = chromium()
    yield running
    running.close()


@pytest.fixture(scope="session")
def librecad():
    """LibreCAD. Where there is none, its tests are skipped, or fail if they are needed."""
    if not shutil.which("librecad"):
        _without("LibreCAD is needed for this test; install librecad", "JIGS_NEED_LIBRECAD")


@pytest.fixture(scope="session")
def ogr():
    """OGR. Where there is none, its tests are skipped, or fail if they are needed."""
    if not shutil.which("ogr2ogr"):
        _without("OGR's ogr2ogr is needed for this test; install gdal-bin", "JIGS_NEED_OGR")


@pytest.fixture(scope="session")
def poppler():
    """Poppler's programs. Where there are none, their tests are skipped, or fail if they are needed."""
    if not all(map(shutil.which, ("pdftoppm", "pdfinfo"))):
        _without("poppler's pdftoppm and pdfinfo are needed for this test; install poppler-utils", "JIGS_NEED_POPPLER")


@pytest.fixture(scope="session")
def atheris():
    """The fuzzer. Where there is none, its tests are skipped, or fail if they are needed."""
    if find_spec("atheris") is None:
        _without("the fuzzer atheris is needed for this test; PyPI has it for Linux on x86-64", "JIGS_NEED_ATHERIS")
