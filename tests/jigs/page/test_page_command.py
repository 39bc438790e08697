"""`jigs page` as its user starts and stops it."""

import signal
import socket
import time
from pathlib import Path

import pytest
from samples import faults_are_sentences, run
from served import serving, state, stop

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("port", ["abc", "-1", "65536", "1.5", "", "80 80", "9" * 40, "٨٠"])
def test_wrong_port_is_refused_in_a_sentence(tmp_path, port):
    status, printed, refusal = run("page", "--no-browser", "--port", port)
    assert printed == ""
    faults_are_sentences(status, refusal, tmp_path / "nothing")


def test_port_that_is_taken_is_refused_in_a_sentence(tmp_path):
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        status, printed, refusal = run("page", "--no-browser", "--port", port)
    assert printed == ""
    faults_are_sentences(status, refusal, tmp_path / "nothing")
    assert str(port) in refusal


def test_without_a_port_a_second_page_finds_one_of_its_own(server, monkeypatch):
    from jigs.page import serve

    monkeypatch.setattr(serve, "USUAL_PORT", server.port)
    with serve.bound(None) as other:
        assert other.getsockname()[1] not in (0, server.port)


def children(process):
    """The processes that a process has started, where the system says so (proc(5))."""
    listed = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    if not listed.exists():
        pytest.skip("this system does not list the children of a process")
    return [int(pid) for pid in listed.read_text().split()]


def is_running(pid):
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except (FileNotFoundError, ProcessLookupError):
        return False


def assert_gone(pids):
    end = time.monotonic() + 20
    while any(map(is_running, pids)):
        assert time.monotonic() < end, "processes are left behind"
        time.sleep(0.05)


def test_page_that_is_killed_leaves_no_process_behind(tmp_path):
    with serving(tmp_path) as running:
        workers = children(running.process)
        assert workers
        running.process.send_signal(signal.SIGKILL)
        running.process.wait(20)
        assert_gone(workers)


def test_page_opens_in_the_browser_and_ends_with_ctrl_c(tmp_path):
    """The browser is here a script that writes down what it was given."""
    script, folder = tmp_path / "browser", tmp_path / "empty"
    script.write_text(f"#!/bin/sh\necho \"$1\" >> '{tmp_path}/opened'\n")
    script.chmod(0o755)
    folder.mkdir()
    with serving(folder, opening=True, BROWSER=str(script)) as running:
        assert running.post("/draw", state()).status == 200
        workers = children(running.process)
        assert stop(running.process) == 0
    assert (tmp_path / "opened").read_text().split() == [running.address]
    assert len(running.printed) == 1, "it printed more than the address"
    assert list(folder.iterdir()) == [], "something was written"
    assert_gone(workers)
    from jigs.page import serve

    with serve.bound(running.port) as again:
        assert again.getsockname()[1] == running.port


def test_address_is_printed_with_how_to_stop_the_page(server):
    assert server.address in server.printed[0]
    assert "this computer only" in server.printed[0]
    assert "Ctrl-C" in server.printed[0]
