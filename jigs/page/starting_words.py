"""What is said while the page starts, besides the page itself. It loads fast: a second start needs nothing else."""

from pathlib import Path

from jigs.faults import Option, Says

# ---- the port


def no_port(text: str, first: int, last: int) -> Says:
    """Something else where a port is meant."""
    remedy = f"write a number from {first} to {last}, or 0 for any that is free"
    return Says(f'"{text}" is not a port for this', remedy, "port-unread")


def port_taken(port: int, reason: str) -> Says:
    """A port that another program has."""
    remedy = ("give another, or none: without ", Option("port"), " the page finds a free one")
    return Says(f"port {port} is not free ({reason})", remedy, "port-taken")


# ---- where the page is


def serving(address: str) -> str:
    """Where the page is."""
    return f"the page is at {address} (this computer only); Ctrl-C stops it"


def already_serving(address: str) -> str:
    """Where the page is that an earlier start serves."""
    return f"the page is already at {address} (this computer only)"


def no_browser(address: str) -> str:
    """No browser, where the page was to be opened in it."""
    return f"no browser could be opened: open {address} yourself, in a browser on this computer"


# ---- the shelf

_OTHER_SHELF = ("name another folder with ", Option("shelf"))


def shelf_missing(text: str) -> Says:
    """A folder that does not exist."""
    return Says(f'there is no folder "{text}"', ("make it, or ", *_OTHER_SHELF), "shelf-missing")


def shelf_is_file(text: str) -> Says:
    """A file where a folder is meant."""
    return Says(f'"{text}" is a file', "name the folder that it is in", "shelf-is-file")


def shelf_unreadable(text: str, reason: str) -> Says:
    """A folder that the system does not let us read."""
    remedy = ("check its permissions, or ", *_OTHER_SHELF)
    return Says(f'the folder "{text}" cannot be read ({reason})', remedy, "shelf-unreadable")


def no_usual_shelf(folder: Path, reason: str) -> Says:
    """A note that the user's own folder cannot be made or read."""
    what = f'the page keeps no instruments: the folder "{folder}" cannot be used ({reason})'
    return Says(what, _OTHER_SHELF, "shelf-unusable")


def no_home_for_a_shelf() -> Says:
    """A note that the user has no folder of their own."""
    return Says("the page keeps no instruments: this user has no home folder", _OTHER_SHELF, "shelf-without-home")


# ---- the launcher

LAUNCHER_NAME = "Bridge jigs"
LAUNCHER_COMMENT = "Print jigs that place a loose banjo or mandolin bridge"
LAUNCHER_KEYWORDS = ("banjo", "mandolin", "bridge", "intonation", "frets")


def launcher_elsewhere() -> Says:
    """A system whose menus work in another way."""
    remedy = "start the page with `jigs page`, or make a shortcut to that command"
    return Says("this is for Linux", remedy, "launcher-elsewhere")


def launcher_unquotable(path: str) -> Says:
    """A command that a desktop entry cannot hold."""
    remedy = "install the program in a folder with a plain name, and try again"
    return Says(f'no menu can start "{path}"', remedy, "launcher-unquotable")


def launcher_unwritable(path: Path, reason: str) -> Says:
    """A file of the launcher that the system does not let us write."""
    remedy = "check the permissions of its folder, and the disk"
    return Says(f'"{path}" cannot be written ({reason})', remedy, "launcher-unwritable")


def launcher_installed(entry: Path, icon: Path) -> tuple[str, ...]:
    """Where the launcher is, and how to remove it."""
    return (
        f"wrote {entry}",
        f"wrote {icon}",
        f'"{LAUNCHER_NAME}" is now in the menu of your programs. To remove it, delete these two files.',
    )
