"""Work for several processes at once. It stops when it is done, when the user asks, or when its parent process is gone.

Processes are spawned, not forked: they start alike on every system and inherit no lock. They import what they need once.
"""

import gc
import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from itertools import islice
from multiprocessing import resource_tracker
from multiprocessing.connection import wait as wait_for
from typing import TypeVar

from jigs.faults import Place
from jigs.system import words
from jigs.system.interrupts import ASKING, listened_to


def most_jobs(platform: str = sys.platform) -> int:
    """How many processes one run may start. Windows waits for 63 things at once, two of them not processes.

    >>> most_jobs("linux"), most_jobs("win32")
    (128, 61)
    """
    return 61 if platform == "win32" else 128


MOST_JOBS = most_jobs()
WORTH_A_PROCESS = 30
"""Pieces of work that are worth another process, whose start takes as long as some twenty of them."""

_AHEAD = 3
_MOST_LOST = 5
"""Of more lost processes, it is the system's fault and not that of single items."""

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
    work: Callable[[Given], Found],
    items: Sequence[Given],
    jobs: int,
    held: Brake,
    worth: int = WORTH_A_PROCESS,
    lost: Callable[[Given], Found] | None = None,
) -> Iterator[Found]:
    """What ``work`` makes of each item, in the order in which they are finished.

    Starts one more process for every ``worth`` items, up to ``jobs``. ``lost``: what became of an item whose process ended
    by itself, most likely because memory ran out; the others go on. Raises `Stopped` if the user asked to stop, once all
    work in hand is finished, and `WorkerLost` without ``lost``, or if it goes on happening.
    """
    processes = min(jobs, len(items) // worth + 1)
    pool = _pool(processes) if processes > 1 else None
    if pool is None:
        for item in items:
            held.check()
            yield work(item)
        return
    waiting, losses = iter(items), 0
    while pool is not None:
        under_way: dict[Future[Found], Given] = {}
        try:
            yield from _shared(pool, work, waiting, _AHEAD * processes, held, under_way)
            return
        except BrokenProcessPool:
            held.check()
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
        for found, is_lost in _one_by_one(work, under_way.values(), held, lost):
            losses += is_lost
            if losses > _MOST_LOST:
                raise WorkerLost
            yield found
        pool = _pool(processes)
    raise WorkerLost


def _one_by_one(
    work: Callable[[Given], Found], items: Iterable[Given], held: Brake, lost: Callable[[Given], Found] | None
) -> Iterator[tuple[Found, bool]]:
    """What becomes of items of which one ended its process, and whether it was this one: each alone in a process."""
    if lost is None:
        raise WorkerLost
    pool = None
    try:
        for item in items:
            held.check()
            pool = pool or _pool(1)
            if pool is None:
                raise WorkerLost
            try:
                yield _submitted(pool, work, item).result(), False
            except BrokenProcessPool:
                held.check()
                pool.shutdown(wait=True)
                pool = None
                yield lost(item), True
    finally:
        if pool is not None:
            pool.shutdown(wait=True, cancel_futures=True)


def _pool(processes: int) -> ProcessPoolExecutor | None:
    """The processes, or None on a system that cannot run them."""
    try:
        return ProcessPoolExecutor(processes, multiprocessing.get_context("spawn"), _begin)
    except (ImportError, NotImplementedError, OSError):
        return None


def _shared(
    pool: ProcessPoolExecutor,
    work: Callable[[Given], Found],
    items: Iterator[Given],
    ahead: int,
    held: Brake,
    under_way: "dict[Future[Found], Given]",
) -> Iterator[Found]:
    """What becomes of items in a pool. What is ``under_way`` when the pool breaks is in there: one of it broke the pool."""
    while True:
        if held.pulled:
            for future in [future for future in under_way if future.cancel()]:
                del under_way[future]
        else:
            _add_work(pool, work, islice(items, ahead - len(under_way)), under_way)
        if not under_way:
            break
        finished, _ = wait(under_way, return_when=FIRST_COMPLETED)
        for future in finished:
            found = future.result()
            del under_way[future]
            yield found
    held.check()


def _add_work(
    pool: ProcessPoolExecutor,
    work: Callable[[Given], Found],
    items: Iterable[Given],
    under_way: "dict[Future[Found], Given]",
) -> None:
    for item in items:
        future: Future[Found] = Future()
        under_way[future] = item
        submitted = _submitted(pool, work, item)
        del under_way[future]
        under_way[submitted] = item


def _submitted(pool: ProcessPoolExecutor, work: Callable[[Given], Found], item: Given) -> "Future[Found]":
    """Submit, which may start a process."""
    with deaf_children(ASKING):
        return pool.submit(work, item)


@contextmanager
def deaf_children(signals: Iterable[signal.Signals]) -> Iterator[None]:
    """Processes that start in this block inherit these signals as blocked, and never receive them.

    Their parent receives the signals and lets them finish. A process that died at work would break the pool for all.
    """
    if sys.platform == "win32" or not hasattr(signal, "pthread_sigmask"):
        yield
        return
    # The first spawned process starts a helper of the standard library's, and then SIGINT and SIGTERM are unblocked.
    resource_tracker.ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, signals)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def stay_deaf(signals: Iterable[signal.Signals]) -> None:
    """Ignore these signals from now on, on a system where a process cannot start without them."""
    if not hasattr(signal, "pthread_sigmask"):
        for number in signals:
            signal.signal(number, signal.SIG_IGN)


def _begin() -> None:
    """Set up a worker: it ends with its parent, and collects garbage less often."""
    stay_deaf(ASKING)
    gc.set_threshold(50_000)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    wait_for([sentinel])
    os._exit(1)
