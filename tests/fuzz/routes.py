"""Requests to the page, as its server hands them on: answered in this process, with a shelf and a printer of its own.

An input is a request as it goes over the wire: the line with method and path, headers, an empty line, the body. What the
server sets itself is set here.
"""

import io
import json
import os
import re
import shutil
from functools import cache, partial
from pathlib import Path
from urllib.parse import unquote_to_bytes

from fuzz.scratch import scratch

from jigs.instrument.opening import preset_text
from jigs.page import bench, boards, drawing, keeping, other_strings, printing, shelf, takes, units
from jigs.page.answers import IN_LINE, LISTEN, answer
from jigs.page.app import HEADERS, make_app
from jigs.page.request import LARGEST_BODY_BYTES
from jigs.printers import kept

DRAWING = {*drawing.ROUTES, *takes.ROUTES, *units.ROUTES} - IN_LINE
BENCH = {*bench.ROUTES, *keeping.ROUTES, LISTEN}
SHELF = {*boards.ROUTES, *other_strings.ROUTES, *printing.ROUTES, *shelf.ROUTES} - IN_LINE
"""Routes that draw many sheets at once draw them as the others do one, and would take all of the time."""

KEY = "the key of this page"
_KINDS = ("application/", "audio/", "image/", "text/", "font/")
_METHOD = re.compile(rb"[A-Z]{1,10}")
_HEADER = re.compile(rb"([A-Za-z][A-Za-z-]{0,30}): ?([\x20-\x7e\x80-\xff]*)")
_CHANGES = ("/printer-", "/shelf-")

PRINTER = """
name = "Laser"
paper = "a4"
width = 190.0
height = 277.0
reading_error = 0.1
across = [189.4, 189.5]
down = [276.9, 276.8]
"""


def of(routes, raw):
    """A post to one of these routes; nothing for any other request."""
    path = raw.partition(b"\n")[0].partition(b"?")[0]
    if path.startswith(b"POST /") and path.removeprefix(b"POST /").decode("latin-1") in routes:
        any_request(raw)


def any_request(raw):
    """Any request: an answer in the promised form, with every header that guards the page."""
    head, _, body = raw.partition(b"\n\n")
    line, *lines = head.split(b"\n")
    method, _, target = line.partition(b" ")
    if not _METHOD.fullmatch(method) or not target.startswith(b"/") or len(body) > LARGEST_BODY_BYTES:
        return
    path, _, query = target.partition(b"?")
    if path.removeprefix(b"/").decode("latin-1") in IN_LINE:
        return
    headers = {one[1].decode().lower(): one[2].decode("latin-1") for one in map(_HEADER.fullmatch, lines) if one}
    status, sent, content = _answered(method.decode(), path, query, headers, body)
    assert 200 <= status < 500, (status, content[:500])
    for name, value in HEADERS.items():
        assert sent.get(name) == value, name
    kind = sent.get("Content-Type", "")
    assert not content or kind.startswith(_KINDS), kind
    if kind.startswith("application/json") and method != b"HEAD":
        _is_safe_json(content)


def _is_safe_json(content):
    assert not set(b"<>&") & set(content)
    data = json.loads(content, parse_constant=_no_number)
    for fault in data["faults"]:
        assert fault["what"], fault
        assert (fault["where"] + fault["what"] + fault["remedy"]).isprintable(), fault
        assert fault["code"] != "value-wrong", fault


def _no_number(name):
    raise AssertionError(f"{name} is not a number in JSON")


def _answered(method, path, query, headers, body):
    app, folder = _app()
    plain = unquote_to_bytes(path)
    changes = plain.decode("latin-1").startswith(_CHANGES)
    if changes:
        _furnish(folder)
    host = headers.pop("host", "127.0.0.1:8000")
    environ = {
        "REQUEST_METHOD": method, "SCRIPT_NAME": "", "PATH_INFO": plain.decode("latin-1"),
        "QUERY_STRING": query.decode("latin-1"), "SERVER_NAME": "127.0.0.1", "SERVER_PORT": "8000",
        "SERVER_PROTOCOL": "HTTP/1.1", "REMOTE_ADDR": "127.0.0.1", "HTTP_HOST": host,
        "CONTENT_LENGTH": str(len(body)), "wsgi.version": (1, 0), "wsgi.url_scheme": "http",
        "wsgi.input": io.BytesIO(body), "wsgi.errors": io.StringIO(), "wsgi.multithread": True,
        "wsgi.multiprocess": False, "wsgi.run_once": False, "wsgi.input_terminated": True,
    }  # fmt: skip
    if "content-type" in headers:
        environ["CONTENT_TYPE"] = headers.pop("content-type")
    environ |= {f"HTTP_{name.upper().replace('-', '_')}": text for name, text in headers.items() if name not in _OWN}
    started = []
    reply = app(environ, lambda status, sent, _=None: started.append((int(status[:3]), dict(sent))))
    try:
        content = b"".join(reply)
    finally:
        if hasattr(reply, "close"):
            reply.close()
    if changes:
        _furnish(folder)
    return (*started[0], content)


_OWN = {"content-length", "transfer-encoding"}
"""Headers that the server reads itself."""


@cache
def _app():
    folder = scratch() / "shelf"
    _furnish(folder)
    app = make_app(partial(answer, shelf=folder), KEY, lambda: None)
    app.config["PROPAGATE_EXCEPTIONS"] = True
    return app, folder


def _furnish(folder):
    """The shelf and the printers as they are before each request that may change them."""
    assert Path(os.environ["XDG_CONFIG_HOME"]) in kept.folder().parents, "these are the user's own printers"
    for old in (folder, kept.folder()):
        shutil.rmtree(old, ignore_errors=True)
        old.mkdir(parents=True)
    (folder / "mine.toml").write_text(preset_text("banjo"), encoding="utf-8")
    (folder / "broken.toml").write_text("scale = ", encoding="utf-8")
    Path(kept.folder() / "laser.toml").write_text(PRINTER, encoding="utf-8")
