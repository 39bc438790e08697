"""Where the user's settings and printers are kept."""

from pathlib import Path


def user_folder() -> Path:
    """The folder of the user's settings, or where it would be."""
    from platformdirs import user_config_path

    return user_config_path("bridge-jigs", appauthor=False)


def settings_path() -> Path:
    """The user's settings file, or where it would be."""
    return user_folder() / "settings.toml"


def printers_folder() -> Path:
    """The folder of the printers' files, or where it would be."""
    return user_folder() / "printers"
