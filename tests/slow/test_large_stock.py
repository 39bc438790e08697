"""A whole workshop's parts on a very large sheet are nested while you wait."""

import random
import time

import pytest

from jigs.cutting.nesting import PartBox, Stock, nested

pytestmark = pytest.mark.slow


def test_six_hundred_parts_on_a_sheet_of_five_metres_are_nested_in_seconds():
    chance = random.Random(3)
    parts = [PartBox(f"p{n}", chance.uniform(150, 230), chance.uniform(60, 90)) for n in range(600)]
    begun = time.process_time()
    nest = nested(parts, Stock(5000.0, 5000.0), 0.2)
    assert time.process_time() - begun < 30
    assert len(nest.placed) == 600
    assert nest.sheets == 1
