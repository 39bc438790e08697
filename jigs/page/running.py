"""The page that runs already, so that a second start opens it instead of another one.

A page that runs keeps a small record for its shelf in the user's folder: its port and a random key. The next start asks
that port whether it knows the key. A record that a crash left behind leads nowhere, or to another program, and counts for
nothing. Without a record, a page simply starts.
"""

import hashlib
import json
import os
import secrets
import socket
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from http import HTTPStatus
from pathlib import Path

from jigs import __version__
from jigs.system.user_folder import NoHome, state_folder
from jigs.system.whole_files import write_own

LOOPBACK_ADDRESS = "127.0.0.1"
ROUTE = "running"
"""Where a page says whether a key is its own: 204 if so, 404 if not."""

LONGEST_ASKING_S = 2.0
_KEY_BYTES = 16
_LARGEST_RECORD_BYTES = 200
_STATUS_LINE_BYTES = len("HTTP/1.1 204")


@dataclass(frozen=True)
class Running:
    """A page that runs: its port, and the key by which it is known."""

    port: int
    key: str

    @property
    def address(self) -> str:
        """Where the browser finds it."""
        return f"http://{LOOPBACK_ADDRESS}:{self.port}/"


def new_key() -> str:
    """A key that no other page has."""
    return secrets.token_hex(_KEY_BYTES)


def found(shelf: Path | None) -> Running | None:
    """The page of this version that runs for this shelf, if it answers."""
    record = _read(shelf)
    return record if record is not None and _knows_its_key(record) else None


@contextmanager
def recorded(page: Running, shelf: Path | None) -> Iterator[None]:
    """Keep a record of this page meanwhile, if the user's folder can be written."""
    try:
        path = _record_path(shelf)
    except NoHome:
        yield
        return
    with suppress(OSError):
        write_own(json.dumps({"port": page.port, "key": page.key}).encode(), path, over=True)
    try:
        yield
    finally:
        if _read(shelf) == page:  # not that of a page that started since
            with suppress(OSError):
                path.unlink()


def _record_path(shelf: Path | None) -> Path:
    """Where the record for a shelf is. Another version of the program has another one: it may need another page.

    Raises `NoHome`.
    """
    what = os.fsencode(f"{__version__}\n{shelf or ''}")
    return state_folder() / "pages" / f"{hashlib.sha256(what).hexdigest()}.json"


def _read(shelf: Path | None) -> Running | None:
    """The record for a shelf, None if there is none or it is damaged."""
    try:
        with _record_path(shelf).open("rb") as file:
            data = json.loads(file.read(_LARGEST_RECORD_BYTES))
        port, key = data["port"], data["key"]
    except (NoHome, OSError, ValueError, TypeError, KeyError, RecursionError):
        return None
    is_whole = type(port) is int and 0 < port < 1 << 16 and isinstance(key, str) and key.isascii() and key.isalnum()
    return Running(port, key) if is_whole else None


def _knows_its_key(page: Running) -> bool:
    """Whether the program at its port is this page: it refuses another key, and takes this one."""
    end = time.monotonic() + LONGEST_ASKING_S
    return (
        _status(page.port, new_key(), end) == HTTPStatus.NOT_FOUND
        and _status(page.port, page.key, end) == HTTPStatus.NO_CONTENT
    )


def _status(port: int, key: str, end: float) -> int | None:
    """The HTTP status of the answer to a key, None if none comes before the ``end``."""
    sent = (f"GET /{ROUTE}/{key} HTTP/1.1", f"Host: {LOOPBACK_ADDRESS}:{port}", "Connection: close", "", "")
    line = b""
    with suppress(OSError), socket.create_connection((LOOPBACK_ADDRESS, port), timeout=_left(end)) as asked:
        asked.sendall("\r\n".join(sent).encode())
        while len(line) < _STATUS_LINE_BYTES:
            asked.settimeout(_left(end))
            part = asked.recv(_STATUS_LINE_BYTES - len(line))
            if not part:
                break
            line += part
    protocol, _, status = line.partition(b" ")
    return int(status) if protocol == b"HTTP/1.1" and status.isdigit() else None


def _left(end: float) -> float:
    """The seconds that are left, never none: a socket without them would not wait at all."""
    return max(end - time.monotonic(), 0.001)
