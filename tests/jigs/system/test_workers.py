"""Worker processes and Ctrl-C: the terminal sends it to all of them, and only their parent may act on it."""

import signal
from multiprocessing import resource_tracker

import pytest

from jigs.system.workers import deaf_children


@pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="this system blocks no signals")
def test_first_worker_hears_no_ctrl_c_that_is_meant_for_the_program(monkeypatch):
    """Otherwise its traceback fills the user's terminal: it starts a helper, and that unblocks the signal."""
    helper = resource_tracker.ResourceTracker()
    monkeypatch.setattr(resource_tracker, "ensure_running", helper.ensure_running)
    try:
        with deaf_children([signal.SIGINT]):
            helper.getfd()  # as every spawned process does before it starts
            assert signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, [])
        assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, [])
    finally:
        helper._stop()
