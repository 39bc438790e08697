"""The page on a port of this computer, until it is stopped: by Ctrl-C, by another stop signal, or on the page itself.

What serves the page is imported late: a wrong option is refused, and a page that runs is found, without it.
"""

import logging
import signal
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jigs.faults import InputFaults, Note, Place
from jigs.page import running
from jigs.page import starting_words as words
from jigs.page.browser import open_browser
from jigs.page.running import LOOPBACK_ADDRESS, Running
from jigs.system.interrupts import listened_to
from jigs.system.user_folder import NoHome, shelf_folder

if TYPE_CHECKING:
    from jigs.page.app import Ask

USUAL_PORT = 8311
"""Our own choice; if it is taken, any free one."""

ANY_PORT, FIRST_FREE_PORT, LAST_PORT = 0, 1024, 65535
"""Lower ports are the system's own, RFC 6335."""

_THREADS = 16
_MOST_CONNECTIONS = 400
_LARGEST_READ_BODIES = 128
"""The server cuts off anything larger; up to here the page refuses it in its own words."""

_LONGEST_PARTING_S = 2.0
"""How long a page that is stopped on the page still sends what it has answered."""


def read_port(text: str | None) -> int | None:
    """A port, None for no text. Raises `InputFaults`."""
    if text is None:
        return None
    plain = text.strip()
    port = int(plain[:9]) if plain.isascii() and plain.isdecimal() else -1
    if port != ANY_PORT and not FIRST_FREE_PORT <= port <= LAST_PORT:
        raise words.no_port(text, FIRST_FREE_PORT, LAST_PORT).refusal(Place(option="port"))
    return port


def named_shelf(text: str) -> Path:
    """The folder of instruments that the user named. Raises `InputFaults`."""
    place = Place(option="shelf")
    try:
        folder = Path(text).resolve()
        if not text or not folder.exists():
            raise words.shelf_missing(text).refusal(place)
        if not folder.is_dir():
            raise words.shelf_is_file(text).refusal(place)
        next(folder.iterdir(), None)
    except (OSError, ValueError, RuntimeError) as error:
        raise words.shelf_unreadable(text, _reason(error)).refusal(place) from None
    return folder


def usual_shelf() -> tuple[Path | None, tuple[Note, ...]]:
    """The user's own folder of instruments, made if there is none; None with a note where that is impossible."""
    try:
        folder = shelf_folder()
    except NoHome:
        return None, (words.no_home_for_a_shelf().note(),)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        next(folder.iterdir(), None)
    except OSError as error:
        return None, (words.no_usual_shelf(folder, _reason(error)).note(),)
    return folder.resolve(), ()


def _reason(error: Exception) -> str:
    return (error.strerror if isinstance(error, OSError) else None) or str(error)


def bound(port: int | None) -> socket.socket:
    """A socket that listens on loopback: on this port, or else on the usual one or any free one. Raises `InputFaults`."""
    wanted = [port] if port is not None else [USUAL_PORT, 0]
    for n, one in enumerate(wanted, 1):
        ours = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        ours.setsockopt(socket.SOL_SOCKET, _alone(socket), 1)
        try:
            ours.bind((LOOPBACK_ADDRESS, one))
            ours.listen()  # two starts at once may both bind, but only one may listen
        except OSError as error:
            ours.close()
            if n == len(wanted):
                raise _taken(one, error) from None
        else:
            return ours
    raise AssertionError


def _alone(system: Any) -> int:
    """The option of a socket whose port no other program may have, but which need not wait until an earlier one is gone.

    On Windows, `SO_REUSEADDR` would let two programs have one port, and requests would go to either.
    """
    option: int = getattr(system, "SO_EXCLUSIVEADDRUSE", system.SO_REUSEADDR)
    return option


def _taken(port: int, error: OSError) -> InputFaults:
    return words.port_taken(port, str(error.strerror)).refusal(Place(option="port"))


def open_page(port: int | None, shelf: Path | None, in_browser: bool, say: Callable[[str], None]) -> None:
    """Open the page that runs already for this shelf, or serve one until it is stopped.

    ``say`` shows the user its address. Raises `InputFaults`.
    """
    page = running.found(shelf)
    if page is None or port not in (None, page.port):
        serve(port, shelf, in_browser, say)
        return
    say(words.already_serving(page.address))
    if in_browser:
        open_browser(page.address, say)


def serve(port: int | None, shelf: Path | None, in_browser: bool, say: Callable[[str], None]) -> None:
    """Serve the page until it is stopped. ``say`` shows the user its address. Raises `InputFaults`."""
    with bound(port) as ours:
        from jigs.page.answers import answer
        from jigs.page.processes import Processes

        processes = Processes(work=partial(answer, shelf=shelf))
        page = Running(ours.getsockname()[1], running.new_key())
        try:
            with (
                stop_signals_interrupt(),
                _Server(ours, processes.ask, page.key) as server,
                running.recorded(page, shelf),
            ):
                say(words.serving(page.address))
                if in_browser:
                    threading.Thread(target=open_browser, args=(page.address, say), daemon=True).start()
                server.answer_until_stopped()
        except KeyboardInterrupt:
            pass
        finally:
            processes.close()


class _Server:
    """The web server on a socket. It can be stopped from any thread."""

    def __init__(self, ours: socket.socket, ask: "Ask", key: str) -> None:
        from waitress.server import create_server

        from jigs.page.app import make_app
        from jigs.page.request import LARGEST_BODY_BYTES

        logging.getLogger("waitress").setLevel(logging.ERROR)  # its warnings of many requests are not for the user
        self._stopped = threading.Event()
        self._open_sockets: dict[int, Any] = {}
        self._server = create_server(
            make_app(ask, key, self.stop),
            map=self._open_sockets,
            sockets=[ours],
            threads=_THREADS,
            connection_limit=_MOST_CONNECTIONS,
            max_request_body_size=_LARGEST_READ_BODIES * LARGEST_BODY_BYTES,
            ident="",
        )

    def __enter__(self) -> "_Server":
        return self

    def __exit__(self, *_why: object) -> None:
        self._server.task_dispatcher.shutdown()
        self._server.close()

    def stop(self) -> None:
        """Have it stop, once what it has answered is sent."""
        self._stopped.set()
        self._server.pull_trigger()

    def answer_until_stopped(self) -> None:
        """Answer requests until somebody stops it."""
        while not self._stopped.is_set():
            self._wait_for_sockets()
        end = time.monotonic() + _LONGEST_PARTING_S
        while self._has_more_to_send() and time.monotonic() < end:
            self._wait_for_sockets()

    def _wait_for_sockets(self) -> None:
        """Read and send what can be read and sent within a second."""
        from waitress import wasyncore

        wasyncore.loop(timeout=1, use_poll=True, map=self._open_sockets, count=1)

    def _has_more_to_send(self) -> bool:
        channels = tuple(self._server.active_channels.values())
        return any(channel.requests or channel.total_outbufs_len for channel in channels)


@contextmanager
def stop_signals_interrupt() -> Iterator[None]:
    """Every stop signal that this process heeds is a `KeyboardInterrupt` meanwhile, as Ctrl-C is."""

    def interrupt(_number: int, _frame: object) -> None:
        raise KeyboardInterrupt

    before = listened_to()
    try:
        for number in before:
            signal.signal(number, interrupt)
        yield
    finally:
        for number, does in before.items():
            signal.signal(number, does)
