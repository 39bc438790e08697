"""The user's browser, opened at the page's address."""

import os
import sys
import webbrowser
from collections.abc import Callable

from jigs.page.starting_words import no_browser

SCREENS = ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER")
"""What the environment has, one at least, where a browser has a screen; ``BROWSER`` is the user's own choice."""


def open_browser(address: str, say: Callable[[str], None]) -> None:
    """Open the address, and ``say`` so if there is no browser. It may last until the browser ends."""
    if not (_has_screen() and _opened(address)):
        say(no_browser(address))


def _has_screen() -> bool:
    """Whether a browser has a screen here. Without one, only browsers of the terminal are left, which run no scripts."""
    return sys.platform in ("win32", "cygwin", "darwin") or any(map(os.environ.get, SCREENS))


def _opened(address: str) -> bool:
    try:
        return webbrowser.open(address)
    except (webbrowser.Error, OSError, ValueError):  # ValueError: a BROWSER with a lone quote
        return False
