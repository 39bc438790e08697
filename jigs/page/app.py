"""The page as a WSGI application: which requests get an answer, and the headers of every reply.

It answers only to a loopback name, so that no foreign name that resolves to this computer reaches it. It takes posts only
from its own page. It serves a fixed list of files from memory.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from hmac import compare_digest
from http import HTTPStatus
from importlib import resources
from importlib.metadata import version
from urllib.parse import urlsplit

from flask import Flask, Response, abort, render_template, request
from jinja2 import DictLoader
from markupsafe import Markup, escape
from werkzeug.exceptions import HTTPException

from jigs.faults import Says, attempt
from jigs.guide.guides import NAMES, guide, guides
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_names, preset_text
from jigs.page import bench_words, how_to_measure, words
from jigs.page.answers import LISTEN, ROUTES
from jigs.page.boards_words import EXAMPLE as BOARD_EXAMPLE
from jigs.page.form.fields import BENCH_FIELDS, CHOICES, DRAW_FIELDS, STRING_FIELDS, TONE_FIELDS
from jigs.page.form.forms import BOARDS_FIELDS, KEEP_FIELDS, PRINTER_FIELDS, SETS_FIELDS, SHELF_FIELDS
from jigs.page.form.measuring import for_the_view
from jigs.page.guide import EXAMPLE, FOLDER, as_html, examples
from jigs.page.heard import LARGEST_SOUND_KIB
from jigs.page.printing_words import REPLACE
from jigs.page.request import BYTES_PER_KIB, LARGEST_BODY_BYTES, Reply, json_reply, refusal
from jigs.page.running import ROUTE as RUNNING
from jigs.page.shelf_words import ALL_TEMPLATES
from jigs.printers import kept as printer_files
from jigs.readings.advice import ENDS
from jigs.readings.rounds import ON_THE_LINE
from jigs.sheets.paper import PAPERS
from jigs.templates.catalogue import IN_WORDS, KIT_SHEET, OPTIONS

LOOPBACK = frozenset(("127.0.0.1", "localhost", "::1"))

HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; "
    "img-src 'self' data: blob:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "microphone=(self)",
    "Cache-Control": "no-store",
}

_PICTURE = "image/svg+xml"
_KINDS = {".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8"}
_WHY = {
    403: words.foreign(),
    404: words.nothing_here(),
}
"""What to say of an HTTP status, RFC 9110; of every other one, that the page does not send such a request."""


@dataclass(frozen=True)
class _Body:
    """What a post may hold: its content type, its largest size, and what to say of a larger one."""

    kind: str
    largest: int
    too_large: Says


_FORM = _Body("application/json", LARGEST_BODY_BYTES, words.too_large(LARGEST_BODY_BYTES // BYTES_PER_KIB))
_SOUND = _Body("audio/wav", LARGEST_SOUND_KIB * BYTES_PER_KIB, words.sound_too_large(LARGEST_SOUND_KIB))

Ask = Callable[[str, bytes], Reply]

STOP = "stop"
"""The route that ends the program."""


def make_app(ask: Ask, key: str, stop: Callable[[], None]) -> Flask:
    """The application; ``ask`` gives the answer to a route's request.

    ``key``: what this page knows itself by. ``stop`` ends the program; it is called once the answer is on its way.
    """
    app = Flask(__name__, static_folder=None, template_folder=None)
    static = _static()
    app.jinja_loader = DictLoader(_views())

    @app.before_request
    def guard() -> None:
        if not _is_loopback(request.host):
            abort(403)
        if request.method == "POST":
            if not _same_site():
                abort(403)
            body = _body()
            request.max_content_length = body.largest
            if request.mimetype != body.kind:
                abort(415)

    @app.after_request
    def say(response: Response) -> Response:
        response.headers.update(HEADERS)
        return response

    @app.errorhandler(HTTPException)
    def refused(error: HTTPException) -> Response:
        status = error.code or 400
        why = _body().too_large if status == 413 else _WHY.get(status, words.not_from_the_page())
        response = _response(refusal(status, why))
        if isinstance(error.get_response().headers.get("Allow"), str):
            response.headers["Allow"] = error.get_response().headers["Allow"]
        return response

    @app.get("/")
    def front() -> Response:
        return Response(render_template("page.html", **_words()), mimetype="text/html")

    @app.get("/static/<name>")
    def asset(name: str) -> Response:
        if name not in static:
            abort(404)
        kind, content = static[name]
        return Response(content, content_type=kind)

    for route in ROUTES:
        app.add_url_rule(
            f"/{route}", route, lambda route=route: _response(ask(route, request.get_data())), methods=["POST"]
        )

    @app.post(f"/{LISTEN}")
    def listen() -> Response:
        return _response(ask(LISTEN, request.query_string + b"\n" + request.get_data()))

    _add_own_answers(app, key, stop)
    _add_guides(app, ask)
    return app


def _add_own_answers(app: Flask, key: str, stop: Callable[[], None]) -> None:
    """What the page answers itself, without a worker: whether a key is its own, and the wish to stop the program."""

    @app.get(f"/{RUNNING}/<given>")
    def running(given: str) -> Response:
        if not compare_digest(given.encode(), key.encode()):
            abort(404)
        return Response(status=HTTPStatus.NO_CONTENT)

    @app.post(f"/{STOP}")
    def stopping() -> Response:
        request.get_data()
        response = _response(json_reply({"faults": [], "notes": []}))
        response.call_on_close(stop)
        return response


def _add_guides(app: Flask, ask: Ask) -> None:
    """A page for each guide, and the examples that it shows."""
    drawn: dict[str, Reply] = {}

    @app.get("/guide/<name>")
    def read(name: str) -> Response:
        if name not in NAMES:
            abort(404)
        page = render_template("guide.html", guide=guide(name), text=Markup(as_html(name)), guides=guides())
        return Response(page, mimetype="text/html")

    @app.get(f"/guide/{FOLDER}<name>")
    def example(name: str) -> Response:
        if name not in examples():
            abort(404)
        if name not in drawn:
            reply = ask(EXAMPLE, name.encode())
            if reply.status != HTTPStatus.OK:
                return _response(reply)
            drawn[name] = reply
        return _response(drawn[name])


def _body() -> _Body:
    """What the request that is answered may hold."""
    return _SOUND if request.path == f"/{LISTEN}" else _FORM


def _response(reply: Reply) -> Response:
    return Response(reply.body, reply.status, content_type=reply.kind)


def _static() -> Mapping[str, tuple[str, bytes]]:
    """All files that the page may load, by name, with their kinds."""
    files = {}
    for file in resources.files("jigs.page").joinpath("static").iterdir():
        kind = next((kind for ending, kind in _KINDS.items() if file.name.endswith(ending)), None)
        if kind is not None:
            files[file.name] = (kind, file.read_bytes())
    font = resources.files("jigs.drawing").joinpath("fonts/DejaVuSans.ttf")
    pictures = {name: (_PICTURE, content) for name, content in how_to_measure.files().items()}
    return {**files, **pictures, font.name: ("font/ttf", font.read_bytes())}


def _views() -> dict[str, str]:
    """The parts of the page by their names."""
    files = resources.files("jigs.page").joinpath("views").iterdir()
    return {file.name: file.read_text(encoding="utf-8") for file in files if file.name.endswith(".html")}


def _words() -> dict[str, object]:
    presets = [(name, parse(preset_text(name).encode(), name).name) for name in preset_names()]
    return {
        "steps": words.STEPS,
        "besides": words.BESIDES,
        "guides": guides(),
        **for_the_view(),
        "string_fields": STRING_FIELDS,
        "draw_fields": DRAW_FIELDS,
        "tone_fields": [replace(field, label=_with_octave_fret(field.label)) for field in TONE_FIELDS],
        "bench_fields": BENCH_FIELDS,
        "ends": ENDS,
        "on_the_line": ON_THE_LINE,
        "by_microphone": words.BY_MICROPHONE,
        "by_tuner": words.BY_TUNER,
        "still_processed": words.STILL_PROCESSED,
        "choices": CHOICES,
        "presets": presets,
        "templates": list(IN_WORDS.items()),
        "papers": list(PAPERS),
        "printers": attempt([], printer_files.known) or [],
        "printer_fields": PRINTER_FIELDS,
        "board_fields": BOARDS_FIELDS,
        "board_example": BOARD_EXAMPLE,
        "set_fields": SETS_FIELDS,
        "shelf_fields": {field.key: field for field in SHELF_FIELDS},
        "all_templates": ALL_TEMPLATES,
        "printer_replace": REPLACE,
        "kit_sheet": KIT_SHEET,
        "row_labels": bench_words.ROW_LABELS,
        "keep_fields": {field.key: field for field in KEEP_FIELDS},
        "keep_ways": bench_words.HOW,
        "keep_hints": bench_words.KEEP_HINTS,
        "keep_anyway": bench_words.KEEP_ANYWAY,
        "users": json.dumps({option.name: option.templates for option in OPTIONS}),
        "version": version("bridge-jigs"),
    }


def _with_octave_fret(label: str) -> Markup:
    """A label with the octave's fret in an element of its own, which the page fills with the instrument's."""
    return Markup(escape(label)).format(fret=Markup("<span data-octave-fret>12</span>"))


def _is_loopback(host: str) -> bool:
    """Whether a Host header names this computer: a loopback name, with or without a port."""
    try:
        parts = urlsplit(f"//{host}")
        return parts.hostname in LOOPBACK and parts.username is None and (parts.port is None or parts.port > 0)
    except ValueError:
        return False


def _same_site() -> bool:
    """Whether a post comes from this page, by the browser's own headers; other programs send none."""
    origin = request.headers.get("Origin")
    if request.headers.get("Sec-Fetch-Site", "same-origin") != "same-origin":
        return False
    return origin is None or origin == f"http://{request.host}"
