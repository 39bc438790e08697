"""How a page is found again, opened and stopped, and where it keeps the user's instruments."""

import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from samples import faults_are_sentences, run
from served import OWN_KEY, environment_of, in_process, serving, state, stop

from jigs.page import running
from jigs.page.running import Running

pytestmark = pytest.mark.slow

JSON = {"Content-Type": "application/json"}


@pytest.fixture
def home(tmp_path, monkeypatch):
    """A user's folders, for this process and for pages: the environment, by name."""
    own = {f"XDG_{kind}_HOME": str(tmp_path / kind.lower()) for kind in ("STATE", "DATA")}
    for name, folder in own.items():
        monkeypatch.setenv(name, folder)
    return own


def started(tmp_path, home, *options, **more):
    """A second start, to its end: its status and what it printed."""
    environment = environment_of(tmp_path, {**home, **more})
    command = [sys.executable, "-m", "jigs", "page", *options]
    done = subprocess.run(
        command, cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=60, check=False
    )
    return done.returncode, done.stdout, done.stderr


def records(home):
    return sorted(Path(home["XDG_STATE_HOME"]).rglob("*.json"))


# ---- a second start


def test_second_start_opens_the_page_that_runs(tmp_path, home):
    script = tmp_path / "browser"
    script.write_text(f"#!/bin/sh\necho \"$1\" >> '{tmp_path}/opened'\n")
    script.chmod(0o755)
    with serving(tmp_path, **home) as page:
        status, printed, complaints = started(tmp_path, home, BROWSER=str(script))
        assert (status, complaints) == (0, "")
        assert "already at" in printed
        assert page.address in printed
        assert (tmp_path / "opened").read_text().split() == [page.address]
        assert started(tmp_path, home, "--port", str(page.port), "--no-browser")[:2] == (0, printed)
    assert records(home) == [], "it left a record of a page that has ended"


def test_record_is_for_the_user_alone_and_holds_no_path(tmp_path, home):
    with serving(tmp_path, **home):
        (record,) = records(home)
        assert record.stat().st_mode & 0o777 == 0o600
        assert set(json.loads(record.read_text())) == {"port", "key"}


@pytest.mark.parametrize("options", [["--port", "0"], ["--shelf", "other"]], ids=["port", "shelf"])
def test_second_page_is_started_where_one_is_asked_for(tmp_path, home, options):
    (tmp_path / "other").mkdir()
    with serving(tmp_path, **home) as first, serving(tmp_path, *options, **home) as second:
        assert second.port != first.port
        assert second.ask("GET", "/").status == 200


def test_shelf_is_the_same_by_any_of_its_names(tmp_path, home):
    shelf = Path(home["XDG_DATA_HOME"], "bridge-jigs", "instruments")
    with serving(tmp_path, **home) as page:
        assert shelf.is_dir(), "the default is made"
        (tmp_path / "link").symlink_to(shelf)
        for name in (str(shelf), f"{shelf}/", "link"):
            status, printed, _ = started(tmp_path, home, "--no-browser", "--shelf", name)
            assert (status, page.address in printed) == (0, True)


def test_two_starts_at_once_both_end_well(tmp_path, home):
    pages, failed = [], []

    def start():
        try:
            with serving(tmp_path, "--no-browser", **home) as page:
                pages.append((page.port, "already" in page.printed[0]))
                barrier.wait(30)
        except Exception as error:  # in a thread it would be lost
            failed.append(error)
            barrier.abort()

    barrier = threading.Barrier(2)
    both = [threading.Thread(target=start) for _ in range(2)]
    for one in both:
        one.start()
    for one in both:
        one.join(60)
    assert not failed
    assert len({port for port, _ in pages}) == sum(not second for _, second in pages)
    assert records(home) == []


def test_page_that_ends_leaves_the_record_of_a_later_one(home):
    first, second = Running(8311, "a" * 32), Running(8312, "b" * 32)
    with running.recorded(first, None):
        with running.recorded(second, None):
            pass
        with running.recorded(second, None):
            first_record = records(home)
            os.rename(first_record[0], first_record[0].with_suffix(".kept"))
        os.rename(first_record[0].with_suffix(".kept"), first_record[0])
    assert len(records(home)) == 1


@pytest.mark.parametrize(
    "record",
    [
        b"", b"{", b"[]", b"null", b"\xff", b"[" * 250, b"9" * 300, b'{"port": 8311}', b'{"port": "8311", "key": "a"}',
        b'{"port": 99999, "key": "a"}', b'{"port": true, "key": "a"}', b'{"port": 8311, "key": "a b\\r\\nX: y"}',
        b'{"port": 8311, "key": ""}', b'{"port": 8311, "key": "\xc3\xa9"}',
    ],
)  # fmt: skip
def test_damaged_record_counts_for_nothing(home, record):
    with running.recorded(Running(1, "a"), None):
        (path,) = records(home)
    path.write_bytes(record)
    assert running.found(None) is None
    path.unlink()
    path.mkdir()
    assert running.found(None) is None
    with running.recorded(Running(1, "a"), None):
        pass


class _Other(BaseHTTPRequestHandler):
    """Another program: answers everything with one status."""

    protocol_version = "HTTP/1.1"
    status = 204

    def do_GET(self):
        self.send_response(self.status)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def log_message(self, *_given):
        pass


@contextmanager
def another_program(status):
    """Another program on a port: a web server, or one that says nothing, or something else, or a byte now and then."""
    if isinstance(status, int):
        server = ThreadingHTTPServer(("127.0.0.1", 0), type("Other", (_Other,), {"status": status}))
        threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()
        yield server.server_port
        server.shutdown()
        server.server_close()
        return
    with socket.create_server(("127.0.0.1", 0)) as listening:

        def answer():
            try:
                while True:
                    line, _ = listening.accept()
                    with line:
                        for n in range(len(status)):
                            line.sendall(status[n : n + 1])
                            time.sleep(0.1)
                        time.sleep(5 if status == b"" else 0)
            except OSError:
                return

        threading.Thread(target=answer, daemon=True).start()
        yield listening.getsockname()[1]


@pytest.mark.parametrize("status", [204, 200, 404, 302, b"", b"SSH-2.0-x\r\n", b"HTTP/1.1 2", b"HTTP/1.1 204" * 9])
@pytest.mark.usefixtures("home")
def test_other_program_at_a_port_of_old_is_not_taken_for_the_page(monkeypatch, status):
    monkeypatch.setattr(running, "LONGEST_ASKING_S", 1.0)
    with another_program(status) as port, running.recorded(Running(port, "a" * 32), None):
        began = time.monotonic()
        assert running.found(None) is None
        assert time.monotonic() - began < 3, "it waited for too long"


def test_page_that_was_killed_misleads_nobody(tmp_path, home):
    with serving(tmp_path, **home) as killed:
        killed.process.send_signal(signal.SIGKILL)
        killed.process.wait(20)
    assert len(records(home)) == 1
    with serving(tmp_path, **home) as page:
        assert "already" not in page.printed[0]
        assert page.ask("GET", "/").status == 200
        assert page.address in started(tmp_path, home, "--no-browser")[1], "the old record was not replaced"


def test_page_starts_where_nothing_can_be_remembered_or_kept(tmp_path):
    (tmp_path / "file").write_text("")
    no_folder = str(tmp_path / "file")
    with serving(tmp_path, XDG_STATE_HOME=no_folder, XDG_DATA_HOME=no_folder) as page:
        assert page.post("/draw", state()).status == 200
        assert stop(page.process) == 0
    assert sum(line.startswith("note: ") for line in page.printed) == 1
    assert "keeps no instruments" in "".join(page.printed)


def test_key_is_asked_for_and_nothing_leaks():
    application = in_process()
    reply = application.ask("GET", f"/running/{OWN_KEY}")
    assert (reply.status, reply.body) == (204, b"")
    wrong = [application.ask("GET", f"/running/{key}") for key in (OWN_KEY[:-1], OWN_KEY + "x", OWN_KEY.upper(), "é")]
    assert {reply.status for reply in wrong} == {404}
    nothing = application.ask("GET", "/nothing").body
    assert {reply.body for reply in wrong} == {nothing}
    assert application.ask("GET", f"/running/{OWN_KEY}", headers={"Host": "evil.example"}).status == 403
    assert application.ask("POST", f"/running/{OWN_KEY}", b"{}", JSON).status == 405


# ---- no browser


def test_address_is_enough_where_there_is_no_browser(tmp_path, home):
    with serving(tmp_path, "--port", "0", opening=True, **home) as page:
        assert page.ask("GET", "/").status == 200
        status, printed, complaints = started(tmp_path, home)
        assert (status, complaints) == (0, "")
        assert stop(page.process) == 0
    for lines in (page.printed, printed.splitlines()):
        assert len(lines) == 2
        assert "no browser could be opened" in lines[1]
        assert page.address in lines[1]


@pytest.mark.parametrize("browser", ["/nowhere/browser", "false", "'", "%s"])
def test_browser_that_does_not_start_stops_nothing(tmp_path, home, browser):
    with serving(tmp_path, **home):
        status, printed, _ = started(tmp_path, home, BROWSER=browser, PATH="/usr/bin:/bin")
    assert status == 0
    assert "no browser could be opened" in printed


# ---- the shelf


@pytest.mark.parametrize("name", ["missing", "file", "", "file/inside", "x" * 300, "a\0b"])
def test_shelf_that_cannot_be_is_refused_in_a_sentence(tmp_path, monkeypatch, name):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "file").write_text("")
    status, printed, refusal = run("page", "--no-browser", "--shelf", name)
    assert printed == ""
    faults_are_sentences(status, refusal, tmp_path / "missing")
    assert refusal.startswith("--shelf: ")


def test_shelf_that_cannot_be_read_is_refused_in_a_sentence(tmp_path, monkeypatch):
    def denied(_folder):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", denied)  # root may read every folder
    status, _, refusal = run("page", "--no-browser", "--shelf", tmp_path)
    faults_are_sentences(status, refusal, tmp_path / "nothing")
    assert "Permission denied" in refusal


def test_folder_of_the_user_reaches_the_answers(tmp_path, monkeypatch):
    from jigs.page import processes, serve

    given = []

    class Recorded:
        def __init__(self, work):
            given.append(work.keywords["shelf"])
            raise KeyboardInterrupt

    monkeypatch.setattr(processes, "Processes", Recorded)
    with pytest.raises(KeyboardInterrupt):
        serve.open_page(0, serve.named_shelf(str(tmp_path)), False, print)
    assert given == [tmp_path.resolve()]


# ---- stopping


def test_page_is_stopped_from_the_page_after_it_has_answered(tmp_path, home):
    with serving(tmp_path, **home) as page:
        reply = page.post("/stop", {})
        assert (reply.status, reply.data["faults"]) == (200, [])
        assert page.process.wait(15) == 0
    assert len(page.printed) == 1, "it printed more than the address"
    assert records(home) == []


def test_page_in_the_background_of_a_shell_is_stopped_from_the_page(tmp_path, home):
    """There, Ctrl-C is ignored, so that the button must not depend on it."""
    script = tmp_path / "python"
    script.write_text(f"#!/bin/sh\ntrap '' INT\nexec '{sys.executable}' \"$@\"\n")
    script.chmod(0o755)
    with serving(tmp_path, python=str(script), **home) as page:
        assert page.post("/stop", {}).status == 200
        assert page.process.wait(15) == 0


def test_answer_that_is_under_way_is_finished_before_the_page_stops(tmp_path, home):
    with serving(tmp_path, **home) as page:
        page.drawn()
        line = socket.create_connection(("127.0.0.1", page.port), timeout=20)
        body = json.dumps(state("mandolin")).encode()
        head = f"POST /draw HTTP/1.1\r\nHost: 127.0.0.1:{page.port}\r\nContent-Type: application/json\r\n"
        line.sendall(f"{head}Content-Length: {len(body)}\r\n\r\n".encode() + body)
        time.sleep(0.01)
        assert page.post("/stop", {}).status == 200
        with line, line.makefile("rb") as answer:
            assert answer.readline().startswith(b"HTTP/1.1 200")
            assert b'"sheets"' in answer.read()
        assert page.process.wait(15) == 0


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_other_stop_signals_end_the_page_as_ctrl_c_does(tmp_path, home, number):
    # A page that is started by nohup goes on after a SIGHUP; these tests may be as well.
    before = signal.signal(number, signal.SIG_DFL)
    try:
        ends_by(tmp_path, home, number)
    finally:
        signal.signal(number, before)


def ends_by(tmp_path, home, number):
    with serving(tmp_path, **home) as page:
        page.process.send_signal(number)
        assert page.process.wait(15) == 0
    assert len(page.printed) == 1
    assert records(home) == []


@pytest.mark.parametrize(
    "headers",
    [
        {"Content-Type": "text/plain"},
        {"Content-Type": "application/x-www-form-urlencoded"},
        {},
        {**JSON, "Host": "evil.example"},
        {**JSON, "Origin": "https://evil.example"},
        {**JSON, "Origin": "null"},
        {**JSON, "Sec-Fetch-Site": "cross-site"},
        {**JSON, "Sec-Fetch-Site": "same-site"},
    ],
    ids=str,
)
def test_no_other_site_can_stop_the_page(headers):
    stops = []
    application = in_process(stop=lambda: stops.append(1))
    assert application.ask("POST", "/stop", b"{}", headers).status in (403, 415)
    assert application.ask("POST", "/stop", b" " * (64 * 1024 + 1), JSON).status == 413
    for method in ("GET", "HEAD", "PUT", "OPTIONS"):
        application.ask(method, "/stop")
    assert stops == []
    assert application.ask("POST", "/stop", b"{}", JSON).status == 200
    assert stops == [1]


def test_a_hundred_requests_at_once_write_nothing_in_the_terminal(tmp_path, home):
    """The server's library would warn of its queue, and a user would not know what to do about it."""
    with serving(tmp_path, **home) as page:
        first = list(page.printed)
        asking = [threading.Thread(target=page.ask, args=("GET", "/")) for _ in range(100)]
        for one in asking:
            one.start()
        for one in asking:
            one.join(60)
        assert page.ask("GET", "/").status == 200
        assert page.printed == first
