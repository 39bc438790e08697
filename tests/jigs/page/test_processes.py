"""Workers of the page: whatever becomes of them, drawing goes on."""

import threading
from functools import partial

import pytest
from lingering import lingering, short_of
from served import in_process, state

from jigs.page import processes
from jigs.page.serve import _THREADS

pytestmark = pytest.mark.slow

MORE_THAN_THERE_ARE_THREADS = _THREADS + 4


def test_workers_that_die_as_they_start_are_replaced_once_there_is_memory(tmp_path, monkeypatch):
    monkeypatch.setattr(processes, "LONGEST_WAIT_S", 3.0)
    gone = tmp_path / "no memory left"
    workers = processes.Processes(2, 30, partial(short_of, str(gone)))
    try:
        asking = in_process(workers.ask)
        asking.drawn()
        asking.drawn()
        gone.touch()
        assert {asking.post("/draw", state()).status for _ in range(4)} == {503}
        gone.unlink()
        assert [asking.post("/draw", state()).status for _ in range(6)][-3:] == [200] * 3
    finally:
        workers.close()


def test_drawing_goes_on_however_many_wait_for_what_takes_longer():
    """Each that waits has a thread of the server, and the drawing needs one."""
    workers = processes.Processes(2, 30, lingering)
    try:
        asking = in_process(workers.ask)
        asking.drawn()
        at_once, replies = threading.Event(), []

        def ask():
            replies.append(asking.post("/shelf-draw", {**state(), "asked": {}}).status)
            if len(replies) == MORE_THAN_THERE_ARE_THREADS // 2:
                at_once.set()

        waiting = [threading.Thread(target=ask) for _ in range(MORE_THAN_THERE_ARE_THREADS)]
        for one in waiting:
            one.start()
        assert at_once.wait(30)
        assert set(replies[: MORE_THAN_THERE_ARE_THREADS // 2]) == {503}
        for one in waiting:
            one.join(60)
        assert 200 in replies
    finally:
        workers.close()


def test_large_shelf_is_listed_however_long_it_takes_and_while_it_is_drawn():
    workers = processes.Processes(2, 0.5, lingering)
    try:
        asking = in_process(workers.ask)
        asking.drawn()
        asking.drawn()
        drawing = [threading.Thread(target=asking.post, args=("/shelf-draw", state())) for _ in range(4)]
        for one in drawing:
            one.start()
        assert asking.post("/shelf-list", state()).status == 200
        assert any(one.is_alive() for one in drawing)
        for one in drawing:
            one.join(60)
    finally:
        workers.close()
