"""The mean of readings that were heard: as typed ones where their errors are alike, and never surer than what they share."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.mean_heard import HeardErrors, mean_heard
from geometry.readings import ReadingError, ReadingErrors, mean_readings

ERRORS = ReadingErrors(0.5, 0.7)
CENTS = st.floats(-20, 20)
SIZES = st.lists(st.lists(CENTS, min_size=1, max_size=6), min_size=1, max_size=4)


def heard_alike(count, own, shared=0.3):
    return HeardErrors(np.full(count, own), np.full(count, shared))


@given(SIZES, st.integers(1, 6))
def test_heard_readings_with_a_tuners_error_are_worth_what_typed_ones_are(repeats, references):
    repeats = [np.array(each) for each in repeats]
    counts = [min(references, len(each)) for each in repeats]
    typed = mean_readings(repeats, counts, ERRORS)
    for own in (np.sqrt(2) * ERRORS.tuner_cents, np.nan):
        heard = mean_heard(repeats, counts, ERRORS, [heard_alike(len(each), own, 0.0) for each in repeats])
        np.testing.assert_allclose(heard.cents, typed.cents, atol=1e-12)
        np.testing.assert_allclose(heard.standard_error_cents, typed.standard_error_cents, rtol=1e-12)
        assert heard.pair_error_cents == pytest.approx(typed.pair_error_cents, rel=1e-12)


@given(st.integers(1, 500), st.floats(0.01, 3.0), st.floats(0.05, 1.0))
def test_more_plucks_make_it_surer_but_never_surer_than_what_they_share(count, own, shared):
    few, many = (
        mean_heard([np.zeros(n)], [n], ERRORS, [heard_alike(n, own, shared)]).standard_error_cents[0]
        for n in (count, count + 1)
    )
    assert shared < many < few


def test_exact_pluck_counts_for_more_than_a_rough_one():
    rough_and_exact = HeardErrors(np.array([3.0, 0.1]), np.array([0.3, 0.3]))
    both = mean_heard([np.array([0.0, 1.0])], [2], ReadingErrors(0.5, 0.1), [rough_and_exact])
    assert both.cents[0] == pytest.approx(0.998, abs=0.002)
    exact = mean_heard([np.array([1.0])], [1], ReadingErrors(0.5, 0.1), [heard_alike(1, 0.1)])
    assert both.standard_error_cents[0] < exact.standard_error_cents[0] * 1.05


def test_plucks_that_disagree_widen_the_error_of_all_strings():
    heard = [heard_alike(4, 0.2), heard_alike(1, 0.2)]
    calm = mean_heard([np.zeros(4), np.zeros(1)], [4, 1], ERRORS, heard)
    wild = mean_heard([np.array([-9.0, 8.0, -7.0, 8.0]), np.zeros(1)], [4, 1], ERRORS, heard)
    assert np.all(wild.standard_error_cents > 2 * calm.standard_error_cents)


def test_plucks_that_share_an_open_string_are_less_sure():
    one, four = (
        mean_heard([np.zeros(4)], [count], ERRORS, [heard_alike(4, 2.0)]).standard_error_cents[0] for count in (1, 4)
    )
    assert one > 1.3 * four


def test_string_without_a_pluck_is_refused():
    with pytest.raises(ReadingError) as refusal:
        mean_heard([np.zeros(1), np.zeros(0)], [1, 0], ERRORS, [heard_alike(1, 0.2), heard_alike(0, 0.2)])
    assert (refusal.value.code, refusal.value.strings) == ("string-unread", (1,))


def test_means_by_hand():
    """Two plucks: v = 0.4² + 0.3² and 0.4² + 0.6², w = 4 and 25/13; reference parts 0.045 and 0.18."""
    heard = HeardErrors(np.array([0.3, 0.6]), np.array([0.3, 0.3]))
    found = mean_heard([np.array([1.0, 2.0])], [2], ReadingErrors(0.5, 0.4), [heard])
    first = 4 / (4 + 1 / 0.52)
    mean = first + 2 * (1 - first)
    wider = (4 + (1 - mean) ** 2 / 0.25 + (2 - mean) ** 2 / 0.52) / 5
    random = wider * (first**2 * 0.25 + (1 - first) ** 2 * 0.52)
    assert found.cents[0] == pytest.approx(mean)
    assert found.standard_error_cents[0] == pytest.approx(np.sqrt(random + 0.09))
