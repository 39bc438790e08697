"""A process that ends by itself costs the piece of work that it was at, and no other."""

import pytest

from jigs.system.workers import Brake, WorkerLost, each

pytestmark = pytest.mark.slow


ENDS = "__import__('os')._exit(3)"
"""What a worker evaluates: a function of this module could not be imported there."""


def lost(text):
    return f"lost: {text}"


def test_two_of_many_pieces_are_lost_and_all_others_are_done_once():
    pieces = [ENDS if n in (7, 40) else str(n) for n in range(62)]
    found = list(each(eval, pieces, 2, Brake(), lost=lost))
    assert sorted(one for one in found if isinstance(one, int)) == [n for n in range(62) if n not in (7, 40)]
    assert [one for one in found if not isinstance(one, int)] == [lost(ENDS)] * 2


def test_system_that_ends_every_process_is_not_tried_for_ever():
    with pytest.raises(WorkerLost):
        list(each(eval, [ENDS] * 200, 2, Brake(), lost=lost))
