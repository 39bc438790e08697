"""The page on a port of this computer, until Ctrl-C."""

import socket
import threading
import webbrowser
from collections.abc import Callable

from jigs.faults import InputFaults, Place
from jigs.page import words
from jigs.page.app import make_app
from jigs.page.processes import Processes
from jigs.page.request import LARGEST_BODY_BYTES

ADDRESS = "127.0.0.1"
USUAL_PORT = 8311
"""Our own choice; if it is taken, any free one."""

ANY_PORT, FIRST_FREE_PORT, LAST_PORT = 0, 1024, 65535
"""Lower ports are the system's own, RFC 6335."""

_THREADS = 16
_MOST_CONNECTIONS = 400
_LARGEST_READ_BYTES = 128 * LARGEST_BODY_BYTES
"""The server cuts off anything larger; up to here the page refuses it in its own words."""


def read_port(text: str | None) -> int | None:
    """A port, None for no text. Raises `InputFaults`."""
    if text is None:
        return None
    plain = text.strip()
    port = int(plain[:9]) if plain.isascii() and plain.isdecimal() else -1
    if port != ANY_PORT and not FIRST_FREE_PORT <= port <= LAST_PORT:
        raise words.no_port(text, FIRST_FREE_PORT, LAST_PORT).refusal(Place(option="port"))
    return port


def bound(port: int | None) -> socket.socket:
    """A socket on loopback: on this port, or else on the usual one or any free one. Raises `InputFaults`."""
    wanted = [port] if port is not None else [USUAL_PORT, 0]
    for n, one in enumerate(wanted, 1):
        ours = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        ours.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            ours.bind((ADDRESS, one))
        except OSError as error:
            ours.close()
            if n == len(wanted):
                raise _taken(one, error) from None
        else:
            return ours
    raise AssertionError


def _taken(port: int, error: OSError) -> InputFaults:
    return words.port_taken(port, str(error.strerror)).refusal(Place(option="port"))


def serve(port: int | None, open_browser: bool, say: Callable[[str], None]) -> None:
    """Serve the page until an interrupt. ``say`` shows the user its address. Raises `InputFaults`."""
    from waitress.server import create_server

    with bound(port) as ours:
        processes = Processes()
        try:
            server = create_server(
                make_app(processes.ask),
                sockets=[ours],
                threads=_THREADS,
                connection_limit=_MOST_CONNECTIONS,
                max_request_body_size=_LARGEST_READ_BYTES,
                ident="",
            )
            address = f"http://{ADDRESS}:{ours.getsockname()[1]}/"
            say(words.serving(address))
            if open_browser:
                threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
            try:
                server.run()
            except KeyboardInterrupt:
                pass
            finally:
                server.close()
        finally:
            processes.close()
