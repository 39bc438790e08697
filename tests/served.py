"""The page as a browser meets it: a server in a process of its own, and what is sent to it."""

import json
import os
import queue
import re
import signal
import subprocess
import sys
import threading
import time
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.client import HTTPConnection

from samples import ROOT

LIMIT_BYTES = 64 * 1024
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
    """What there is to ask, whoever answers: ``ask(method, path, body, headers)`` is the answerer's own."""

    def post(self, path, asked):
        """Ask as the page does."""
        return self.ask("POST", path, json.dumps(asked).encode(), {"Content-Type": "application/json"})

    def drawn(self, *given, **more):
        """A drawing that must be there."""
        reply = self.post("/draw", state(*given, **more))
        assert reply.status == 200, reply.body
        assert reply.data["faults"] == []
        return reply.data

    def faults(self, *given, **more):
        """The faults of a drawing that must not be there."""
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
    told: list = field(default_factory=list)

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
    """The same application in this process, behind no server: what it reads and how it fails can be watched."""

    application: object

    def ask(self, method, path, body=None, headers=None):
        from werkzeug.test import Client

        sent = {"Host": "127.0.0.1:8000", **(headers or {})}
        answer = Client(self.application).open(path, method=method, data=body, headers=sent)
        try:
            return Reply(answer.status_code, {name.lower(): text for name, text in answer.headers}, answer.get_data())
        finally:
            answer.close()


def in_process(ask=None):
    """The application, answering in this process at once; ``ask`` answers in another way."""
    from jigs.page.answers import answer
    from jigs.page.app import make_app

    made = make_app(ask or answer)
    made.config["PROPAGATE_EXCEPTIONS"] = True  # a crash is seen as itself, not as status 500
    return InProcess(made)


def dawdling(route, body):
    """Answers, but takes half a minute over one who asks it to dawdle, and dies with one who says so."""
    from jigs.page.answers import answer

    if b"dawdle" in body:
        time.sleep(30)
    if b"drop dead" in body:
        os._exit(3)
    return answer(route, body)


@contextmanager
def serving(folder, *options, opening=False, python=sys.executable, **environment):
    """``jigs page`` on a free port, in a process that stands in ``folder``; Ctrl-C ends it.

    ``opening``: with the browser that the environment names.
    """
    quietly = [] if opening else ["--no-browser"]
    command = [python, "-m", "jigs", "page", *quietly, *(options or ("--port", "0"))]
    process = subprocess.Popen(
        command,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1", **environment},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    told, lines = [], queue.Queue()
    reader = threading.Thread(target=_listen, args=(process.stdout, told, lines), daemon=True)
    reader.start()
    try:
        yield Served(_port(lines, told), process, told)
    finally:
        stop(process)
        reader.join(10)
        process.stdout.close()


def stop(process, seconds=15):
    """Press Ctrl-C once; a server that does not mind it is killed, and that is an error."""
    if process.poll() is None:
        process.send_signal(signal.SIGINT)
    try:
        return process.wait(seconds)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
        raise AssertionError("the server did not end with Ctrl-C") from None


def _listen(stream, told, lines):
    for line in stream:
        told.append(line)
        lines.put(line)
    lines.put(None)


def _port(lines, told):
    end = time.monotonic() + _START_SECONDS
    while True:
        line = lines.get(timeout=max(end - time.monotonic(), 0.01))
        assert line is not None, f"the server ended: {''.join(told)}"
        found = _ADDRESS.search(line)
        if found:
            return int(found[1])
