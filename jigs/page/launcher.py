"""A launcher on Linux: the page in the menu of the user's programs, with an icon, so that it starts without a terminal.

The entry follows the Desktop Entry Specification 1.5, the icon's place the Icon Theme Specification 0.13, both of
freedesktop.org.
"""

import os
import re
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from jigs.faults import Place
from jigs.page import starting_words as words
from jigs.system.user_folder import all_programs_folder
from jigs.system.whole_files import write_own

NAME = "bridge-jigs"
_PLACE = Place(option="install-launcher")

_RESERVED = frozenset(" \t\n\"'\\><~|&;$*?#()`")
"""What may only be in an argument that is quoted."""

_ESCAPES = {"\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r"}
"""How a value of the file has these characters."""


def install(options: Sequence[str]) -> tuple[Path, Path]:
    """Write the entry, which starts the page with these options, and its icon: their places. Raises `InputFaults`."""
    if not sys.platform.startswith("linux"):
        raise words.launcher_elsewhere().refusal(_PLACE)
    # -P: no folder that the menu happens to start it in may hold modules of its own
    entry = desktop_entry([sys.executable, "-P", "-m", "jigs", "page", *options])
    home = all_programs_folder()
    icons = home / "icons" / "hicolor"
    entry_path, icon_path = home / "applications" / f"{NAME}.desktop", icons / "scalable" / "apps" / f"{NAME}.svg"
    _write(icon_path, icon())
    _write(entry_path, entry)
    with suppress(OSError):
        os.utime(icons)  # the specification's sign that icons have changed
    return entry_path, icon_path


def _write(path: Path, text: str) -> None:
    try:
        write_own(text.encode(), path, over=True)
    except OSError as error:
        raise words.launcher_unwritable(path, error.strerror or str(error)).refusal(_PLACE) from None


def desktop_entry(command: Sequence[str]) -> str:
    """The desktop entry that runs a command. Raises `InputFaults` if no entry can."""
    values = {
        "Type": "Application",
        "Version": "1.1",  # it uses nothing newer, and validators of old know it
        "Name": words.LAUNCHER_NAME,
        "Comment": words.LAUNCHER_COMMENT,
        "Keywords": _list(words.LAUNCHER_KEYWORDS),
        "Icon": NAME,
        "Exec": _exec(command),
        "Terminal": "false",
        "Categories": _list(("AudioVideo", "Audio", "Music")),
    }
    lines = (f"{key}={''.join(_ESCAPES.get(char, char) for char in value)}" for key, value in values.items())
    return "\n".join(("[Desktop Entry]", *lines, ""))


def _list(items: Sequence[str]) -> str:
    return "".join(f"{item};" for item in items)


def _exec(command: Sequence[str]) -> str:
    """A command as the key Exec has it, in UTF-8."""
    line = " ".join(map(_argument, [*_by_way_of(command[0]), *command]))
    try:
        line.encode()
    except UnicodeEncodeError:
        raise words.launcher_unquotable(" ".join(command)).refusal(_PLACE) from None
    return line


def _by_way_of(program: str) -> Sequence[str]:
    """What starts a program whose path cannot be first: the specification allows no "=" there, and GLib finds no "%"."""
    return ("/bin/sh", "-c", 'exec "$0" "$@"') if {"=", "%"} & set(program) else ()


def _argument(text: str) -> str:
    """An argument of the command, quoted if it has to be.

    >>> [_argument(text) for text in ("--port", "loan banjos", "50%", 'a "$b"')]
    ['--port', '"loan banjos"', '50%%', '"a \\\\"\\\\$b\\\\""']
    """
    percent_doubled = text.replace("%", "%%")
    if percent_doubled and _RESERVED.isdisjoint(percent_doubled):
        return percent_doubled
    escaped = re.sub(r'(["`$\\])', r"\\\1", percent_doubled)
    return f'"{escaped}"'


_SIDE, _CROWN, _FLOOR, _ARCH = 64, 34, 54, 42
"""The icon's side, and how far down on it the strings bear, the bridge stands, and its arches begin."""

_STRINGS = ((15, 19), (26.3, 27.7), (37.7, 36.3), (49, 45))
"""Across, at the bridge and at the far end."""

_FAR_END = 8
_HALF_CROWN, _HALF_WAIST, _WAIST = 22, 20, 39
_FEET = ((7, 17), (28, 36), (47, 57))
"""The bridge from the front: half its widths, how far down its waist is, and where each foot begins and ends."""

_WIDE = 2


def icon() -> str:
    """The icon: a bridge with three feet, and four strings that run away from it."""
    from svgwrite import Drawing

    inside = _SIDE - _WIDE
    picture = Drawing(size=(_SIDE, _SIDE), viewBox=f"0 0 {_SIDE} {_SIDE}", debug=False)
    edge = {"fill": "white", "stroke": "black", "stroke_width": _WIDE}
    picture.add(picture.rect((_WIDE / 2, _WIDE / 2), (inside, inside), rx=_SIDE / 8, **edge))
    for near, far in _STRINGS:
        picture.add(picture.line((near, _CROWN), (far, _FAR_END), stroke="black", stroke_width=_WIDE))
    picture.add(picture.path(_bridge(), fill="black"))
    return f"{picture.tostring()}\n"


def _bridge() -> list[tuple[str | float, ...]]:
    """The outline of the bridge, from its bass end at the crown round by the treble end."""
    middle, last = _SIDE / 2, _FEET[-1]
    outline: list[tuple[str | float, ...]] = [("M", middle - _HALF_CROWN, _CROWN), ("L", middle + _HALF_CROWN, _CROWN)]
    outline += [("L", middle + _HALF_WAIST, _WAIST), ("L", last[1], _FLOOR), ("L", last[0], _FLOOR)]
    for right, left in zip(_FEET[:0:-1], _FEET[-2::-1], strict=True):
        top = (right[0] + left[1]) / 2
        outline += [("Q", right[0] - 1, _ARCH, top, _ARCH), ("Q", left[1] + 1, _ARCH, left[1], _FLOOR)]
        outline += [("L", left[0], _FLOOR)]
    return [*outline, ("L", middle - _HALF_WAIST, _WAIST), ("Z",)]
