"""Work for several processes at once. It stops when it is done, when the user asks, or when its parent process is gone.

Processes are spawned, not forked: they start alike on every system and inherit no lock. They import what they need once.
"""

import gc
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from itertools import islice
from multiprocessing.connection import wait as wait_for
from typing import TypeVar

from jigs.faults import Place
from jigs.system import words
from jigs.system.interrupts import ASKING, listened_to

MOST_JOBS = 128
WORTH_A_PROCESS = 30
"""Pieces of work that are worth another process, whose start takes as long as some twenty of them."""

_AHEAD = 3

Given = TypeVar("Given")
Found = TypeVar("Found")


class Stopped(Exception):
    """The user asked to stop, and all work in hand is finished."""


class WorkerLost(Exception):
    """A worker process ended by itself, most likely because memory ran out."""


def cores() -> int:
    """How many cores this process may use."""
    usable = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(usable, MOST_JOBS)


def read_jobs(text: str | None) -> int:
    """A number of processes. Raises `InputFaults`."""
    if text is None:
        return cores()
    plain = text.strip()
    if not (plain.isascii() and plain.isdecimal() and 1 <= int(plain[:9]) <= MOST_JOBS):
        raise words.no_number_of_processes(text, MOST_JOBS).refusal(Place(option="jobs"))
    return int(plain)


class Brake:
    """Whether the user asked to stop. The second time, it no longer waits for work in hand."""

    def __init__(self) -> None:
        self.pulled = False

    def pull(self, *_signal: object) -> None:
        """Ask to stop."""
        if self.pulled:
            raise KeyboardInterrupt
        self.pulled = True

    def check(self) -> None:
        """Raise `Stopped` if the user asked to stop."""
        if self.pulled:
            raise Stopped


@contextmanager
def brake() -> Iterator[Brake]:
    """Turn stop signals into a request to stop at the next good place."""
    held = Brake()
    if threading.current_thread() is not threading.main_thread():
        yield held
        return
    before = listened_to()
    try:
        for number in before:
            signal.signal(number, held.pull)
        yield held
    finally:
        for number, does in before.items():
            signal.signal(number, does)


def each(
    work: Callable[[Given], Found], items: Sequence[Given], jobs: int, held: Brake, worth: int = WORTH_A_PROCESS
) -> Iterator[Found]:
    """What ``work`` makes of each item, in the order in which they are finished.

    Starts one more process for every ``worth`` items, up to ``jobs``. Raises `Stopped` if the user asked to stop, once all
    work in hand is finished, and `WorkerLost`.
    """
    processes = min(jobs, len(items) // worth + 1)
    pool = _pool(processes) if processes > 1 else None
    if pool is None:
        for item in items:
            held.check()
            yield work(item)
        return
    try:
        yield from _shared(pool, work, iter(items), _AHEAD * processes, held)
    except BrokenProcessPool:
        held.check()
        raise WorkerLost from None
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _pool(processes: int) -> ProcessPoolExecutor | None:
    """The processes, or None on a system that cannot run them."""
    try:
        return ProcessPoolExecutor(processes, multiprocessing.get_context("spawn"), _begin)
    except (ImportError, NotImplementedError, OSError):
        return None


def _shared(
    pool: ProcessPoolExecutor, work: Callable[[Given], Found], items: Iterator[Given], ahead: int, held: Brake
) -> Iterator[Found]:
    under_way: set[Future[Found]] = set()
    while True:
        if held.pulled:
            under_way = {future for future in under_way if not future.cancel()}
        else:
            for item in islice(items, ahead - len(under_way)):
                under_way.add(_submitted(pool, work, item))
        if not under_way:
            break
        finished, under_way = wait(under_way, return_when=FIRST_COMPLETED)
        for future in finished:
            yield future.result()
    held.check()


def _submitted(pool: ProcessPoolExecutor, work: Callable[[Given], Found], item: Given) -> "Future[Found]":
    """Submit, which may start a process."""
    with deaf_children(ASKING):
        return pool.submit(work, item)


@contextmanager
def deaf_children(signals: Iterable[signal.Signals]) -> Iterator[None]:
    """Processes that start in this block inherit these signals as blocked, and never receive them.

    Their parent receives the signals and lets them finish. A process that died at work would break the pool for all.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, signals)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin() -> None:
    """Set up a worker: it ends with its parent, and collects garbage less often."""
    gc.set_threshold(50_000)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    wait_for([sentinel])
    os._exit(1)
