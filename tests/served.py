"""The page as a browser meets it: a server in a process of its own, and what is sent to it."""

import json
import os
import queue
import re
import signal
import struct
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.client import HTTPConnection
from pathlib import Path

import pytest
from samples import ROOT, run

LIMIT_BYTES, SOUND_LIMIT_BYTES = 64 * 1024, 2000 * 1024
_ADDRESS = re.compile(r"http://127\.0\.0\.1:(\d+)/")
_START_SECONDS = 60


def state(preset="banjo", fields=None, draw=None, readings=None, base=None):
    """What the page sends for a preset, or for another base, with this filled in."""
    return {
        "base": base or {"preset": preset},
        "fields": fields or {},
        "draw": draw or {},
        "readings": readings or {},
    }


def own_file(text, name="mine.toml"):
    """The base of a form that started from the user's own file."""
    return {"text": text, "name": name}


def silence(size=20_000):
    """A WAV file of this size, of 16 bit at 48 kHz, in which nothing sounds."""
    form = struct.pack("<4sIHHIIHH", b"fmt ", 16, 1, 1, 48000, 96000, 2, 16)
    return (
        b"RIFF"
        + struct.pack("<I", size - 8)
        + b"WAVE"
        + form
        + b"data"
        + struct.pack("<I", size - 44)
        + bytes(size - 44)
    )


@dataclass(frozen=True)
class Reply:
    """What came back."""

    status: int
    headers: dict
    body: bytes

    @property
    def kind(self):
        return self.headers.get("content-type", "")

    @property
    def data(self):
        assert self.kind.startswith("application/json"), self.kind
        return json.loads(self.body)


class Asking:
    """Requests, whatever answers them: ``ask(method, path, body, headers)`` is the answerer's own."""

    def post(self, path, sent):
        """Ask as the page does."""
        return self.ask("POST", path, json.dumps(sent).encode(), {"Content-Type": "application/json"})

    def drawn(self, *given, **more):
        """The reply with a drawing; a fault fails the test."""
        reply = self.post("/draw", state(*given, **more))
        assert reply.status == 200, reply.body
        assert reply.data["faults"] == []
        return reply.data

    def faults(self, *given, **more):
        """The faults of a drawing; a drawing fails the test."""
        reply = self.post("/draw", state(*given, **more))
        assert reply.status == 200, reply.body
        assert reply.data["faults"]
        assert not reply.data.get("sheets")
        return reply.data["faults"]


@dataclass(frozen=True)
class Served(Asking):
    """A running server. Every question has a connection of its own, so that many may ask at once."""

    port: int
    process: subprocess.Popen
    printed: list = field(default_factory=list)

    @property
    def address(self):
        return f"http://127.0.0.1:{self.port}/"

    def ask(self, method, path, body=None, headers=None):
        connection = HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            connection.request(method, path, body, headers or {})
            answer = connection.getresponse()
            return Reply(answer.status, {name.lower(): text for name, text in answer.getheaders()}, answer.read())
        finally:
            connection.close()


@dataclass(frozen=True)
class InProcess(Asking):
    """The same application in this process, without a server, so that tests see what it reads and how it fails."""

    application: object

    def ask(self, method, path, body=None, headers=None):
        from werkzeug.test import Client

        sent = {"Host": "127.0.0.1:8000", **(headers or {})}
        answer = Client(self.application).open(path, method=method, data=body, headers=sent)
        try:
            return Reply(answer.status_code, {name.lower(): text for name, text in answer.headers}, answer.get_data())
        finally:
            answer.close()


OWN_KEY = "the key of this page"


def in_process(ask=None, stop=lambda: None):
    """The application, answering in this process at once, or by another ``ask``."""
    from jigs.page.answers import answer
    from jigs.page.app import make_app

    made = make_app(ask or answer, OWN_KEY, stop)
    made.config["PROPAGATE_EXCEPTIONS"] = True  # a crash is seen as itself, not as status 500
    return InProcess(made)


@contextmanager
def printed_by_the_command_line():
    """Collects the faults and notes that the command line prints meanwhile, as values by their lines."""
    from jigs.faults import Fault, Note

    values = {}
    with pytest.MonkeyPatch.context() as patch:
        for kind in (Fault, Note):
            patch.setattr(kind, "__str__", _recorded(kind.__str__, values))
        yield values


def _recorded(written, values):
    def text(value):
        line = written(value)
        values[line] = value
        return line

    return text


def on_the_page(fault):
    """The code of a fault, what is wrong and what to do, as the page is to show it."""
    from jigs.faults import on_one_line, spoken
    from jigs.page.form.fields import label_of

    return fault.code, *(on_one_line(spoken(words, label_of)) for words in (fault.what, fault.remedy))


def lines_on_the_page(lines):
    """Lines of advice of the command line's JSON, as the page is to show them."""
    from jigs.faults import Option, named_in_file
    from jigs.page.form.fields import label_of

    named, label = (name(Option("at")) for name in (named_in_file, label_of))
    return [{**line, "text": line["text"].replace(named, label)} for line in lines]


def shown(faults):
    """The same of faults that the page sent."""
    return [(fault["code"], fault["what"], fault["remedy"]) for fault in faults]


def refused_by_the_command_line(*arguments):
    """The faults with which the command line refuses, as the page is to show them; none if it does not refuse."""
    with printed_by_the_command_line() as values:
        status, _, printed = run(*arguments)
    assert status in (0, 2), printed
    return [on_the_page(values[line]) for line in printed.splitlines()] if status else []


def dawdling(route, body):
    """Answers, but takes half a minute over a request to dawdle, and dies at a request to drop dead."""
    from jigs.page.answers import answer

    if b"dawdle" in body:
        time.sleep(30)
    if b"drop dead" in body:
        os._exit(3)
    return answer(route, body)


@contextmanager
def serving(folder, *options, opening=False, python=sys.executable, **environment):
    """``jigs page`` on a free port, in a process whose folder is ``folder``; Ctrl-C ends it.

    ``opening``: with the browser that the environment names. Unless the environment names others, it has folders of its own
    for the user's data and for what it remembers, so that it finds neither another page nor the user's instruments.
    """
    quietly = [] if opening else ["--no-browser"]
    command = [python, "-m", "jigs", "page", *quietly, *(options or ("--port", "0"))]
    with tempfile.TemporaryDirectory() as own:
        process = subprocess.Popen(command, cwd=folder, env=environment_of(own, environment), **_PIPED)
        printed, lines = [], queue.Queue()
        reader = threading.Thread(target=_listen, args=(process.stdout, printed, lines), daemon=True)
        reader.start()
        try:
            yield Served(_port(lines, printed), process, printed)
        finally:
            stop(process)
            reader.join(10)
            process.stdout.close()


_PIPED = {"stdin": subprocess.DEVNULL, "stdout": subprocess.PIPE, "stderr": subprocess.STDOUT, "text": True}


def environment_of(folder, given=()):
    """The environment of a user whose folders are in ``folder``, unless others are ``given``, and who has no screen."""
    inherited = {
        name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER")
    }
    own = {f"XDG_{kind}_HOME": str(Path(folder, kind.lower())) for kind in ("STATE", "DATA")}
    return {**inherited, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1", **own, **dict(given)}


def stop(process, seconds=15):
    """Press Ctrl-C once. A server that goes on is killed, and the test fails."""
    if process.poll() is None:
        process.send_signal(signal.SIGINT)
    try:
        return process.wait(seconds)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
        raise AssertionError("the server did not end with Ctrl-C") from None


def _listen(stream, printed, lines):
    for line in stream:
        printed.append(line)
        lines.put(line)
    lines.put(None)


def _port(lines, printed):
    end = time.monotonic() + _START_SECONDS
    while True:
        line = lines.get(timeout=max(end - time.monotonic(), 0.01))
        assert line is not None, f"the server ended: {''.join(printed)}"
        found = _ADDRESS.search(line)
        if found:
            return int(found[1])
