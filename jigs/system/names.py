"""Names of files that every system takes."""

import os

KEPT_FOR_DEVICES = {
    *("con", "prn", "aux", "nul", "conin$", "conout$"),
    *(f"{port}{n}" for port in ("com", "lpt") for n in "0123456789¹²³"),
}
"""Windows keeps these for devices, whatever their ending."""

_NOT_ON_WINDOWS = '<>:"/\\|?*'
"""A colon would not be refused there: what is written goes out of sight, into a stream beside the file."""


def is_kept_for_a_device(name: str) -> bool:
    """Whether Windows takes this name of a file for a device.

    >>> [is_kept_for_a_device(name) for name in ("con", "Aux.toml", "nul .tar.gz", "con-1.toml", "icon.toml")]
    [True, True, True, False, False]
    """
    return name.partition(".")[0].partition(":")[0].rstrip(" ").lower() in KEPT_FOR_DEVICES


def own_name(stem: str) -> str:
    """The stem as a file's whole name before its ending: with a number if systems keep it for a device.

    >>> own_name("loan-banjo-7"), own_name("aux")
    ('loan-banjo-7', 'aux-1')
    """
    return f"{stem}-1" if is_kept_for_a_device(stem) else stem


def refused_character(name: str, system: str = os.name) -> str:
    """The first character of a file's name that this system does not take; empty if it takes them all.

    >>> refused_character("loan 7: banjo.toml", "nt"), refused_character("loan 7: banjo.toml", "posix")
    (':', '')
    """
    if system != "nt":
        return ""
    return next((char for char in name if char in _NOT_ON_WINDOWS), "")
