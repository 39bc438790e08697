"""Where the user's settings, printers and instruments are kept, and what this computer has to remember."""

from pathlib import Path

_NAME = "bridge-jigs"


def user_folder() -> Path:
    """The folder of the user's settings, or where it would be."""
    from platformdirs import user_config_path

    return user_config_path(_NAME, appauthor=False)


def settings_path() -> Path:
    """The user's settings file, or where it would be."""
    return user_folder() / "settings.toml"


def printers_folder() -> Path:
    """The folder of the printers' files, or where it would be."""
    return user_folder() / "printers"


def shelf_folder() -> Path:
    """The folder of the user's instruments, or where it would be."""
    from platformdirs import user_data_path

    return user_data_path(_NAME, appauthor=False) / "instruments"


def state_folder() -> Path:
    """The folder of what the program remembers from one run to the next, or where it would be."""
    from platformdirs import user_state_path

    return user_state_path(_NAME, appauthor=False)


def all_programs_folder() -> Path:
    """The folder in which every program of the user has its data, menu entries and icons, or where it would be."""
    from platformdirs import user_data_path

    return user_data_path()
