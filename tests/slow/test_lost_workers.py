"""A process that ends by itself costs the piece of work that it was at, and no other."""

import os

import pytest

from jigs.system.workers import Brake, WorkerLost, each

pytestmark = pytest.mark.slow


def ends_at_two(number):
    if number in (7, 40):
        os._exit(3)
    return number, "done"


def ends(_number):
    os._exit(3)


def lost(number):
    return number, "lost"


def test_two_of_many_pieces_are_lost_and_all_others_are_done_once():
    found = sorted(each(ends_at_two, range(62), 2, Brake(), lost=lost))
    assert found == [(n, "lost" if n in (7, 40) else "done") for n in range(62)]


def test_system_that_ends_every_process_is_not_tried_for_ever():
    with pytest.raises(WorkerLost):
        list(each(ends, range(200), 2, Brake(), lost=lost))
