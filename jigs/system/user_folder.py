"""Where the user's settings, printers and instruments are kept, and what this computer has to remember."""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from jigs.faults import InputFaults, Place
from jigs.system import words

_NAME = "bridge-jigs"


class NoHome(InputFaults):
    """The user has no home folder, as in some containers. What is kept there is then not there."""

    def __init__(self) -> None:
        super().__init__([words.no_home().at(Place())])


@contextmanager
def some_home() -> Iterator[None]:
    """Within this, there is a home folder to look into: the root, if the user has none."""
    try:
        Path.home()
    except RuntimeError:
        os.environ["HOME"] = os.sep
        try:
            yield
        finally:
            del os.environ["HOME"]
    else:
        yield


def _found(find: Callable[[], Path]) -> Path:
    """A folder of the system's choice. Raises `NoHome`."""
    try:
        folder = find()
    except RuntimeError:
        raise NoHome from None
    if not folder.is_absolute():
        raise NoHome
    return folder


def user_folder() -> Path:
    """The folder of the user's settings, or where it would be. Raises `NoHome`."""
    from platformdirs import user_config_path

    return _found(lambda: user_config_path(_NAME, appauthor=False))


def settings_path() -> Path:
    """The user's settings file, or where it would be. Raises `NoHome`."""
    return user_folder() / "settings.toml"


def printers_folder() -> Path:
    """The folder of the printers' files, or where it would be. Raises `NoHome`."""
    return user_folder() / "printers"


def shelf_folder() -> Path:
    """The folder of the user's instruments, or where it would be. Raises `NoHome`."""
    from platformdirs import user_data_path

    return _found(lambda: user_data_path(_NAME, appauthor=False)) / "instruments"


def state_folder() -> Path:
    """The folder of what the program remembers from one run to the next, or where it would be. Raises `NoHome`."""
    from platformdirs import user_state_path

    return _found(lambda: user_state_path(_NAME, appauthor=False))


def all_programs_folder() -> Path:
    """The folder in which every program of the user has its data, menu entries and icons. Raises `NoHome`."""
    from platformdirs import user_data_path

    return _found(user_data_path)
