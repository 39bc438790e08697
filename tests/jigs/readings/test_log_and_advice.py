"""A log that is read back goes on as the bench did: the same step, the same place, and the same advice on the next round."""

import pytest
from hypothesis import given
from logged_and_read import BY_ALL, STARTS, assert_log_goes_on_as_the_advice_did, benchwork
from round_trips import tried


@pytest.mark.parametrize("start", STARTS)
def test_round_after_a_log_is_the_round_after_the_advice(tmp_path_factory, start):
    """Else a player who goes on tomorrow would get other moves than one who goes on at once."""

    @tried(2)
    @given(benchwork((BY_ALL,), (start,)))
    def of_this_start(case):
        assert_log_goes_on_as_the_advice_did(tmp_path_factory.mktemp("log"), case)

    of_this_start()
