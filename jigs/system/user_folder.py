"""Where the user's own settings are kept."""

from pathlib import Path

_FILE = "settings.toml"


def settings_path() -> Path:
    """Where the user's settings are, or would be."""
    from platformdirs import user_config_path

    return user_config_path("bridge-jigs", appauthor=False) / _FILE
