"""Quantities with a unit, as they are written."""

import pytest
from in_time import no_longer_than

from jigs.faults import Wrong
from jigs.input.quantities import MODULUS, UNIT_MASS


@pytest.mark.parametrize("text", ["1" * 2000 + " ft 2 in", "1." + "1" * 2000, "1 " + "g" * 2000 + " x"])
def test_long_text_is_refused_at_once(text):
    """A field with 500 digits took 3 s, and the time grew with the cube of the length."""
    with no_longer_than(1.0), pytest.raises(Wrong, match="has no known unit"):
        UNIT_MASS.read(text)


def test_number_and_unit_may_stand_together_or_apart():
    assert MODULUS.read("203GPa") == MODULUS.read(" 203. GPa ") == MODULUS.read("203000 MPa") == 203.0
    assert UNIT_MASS.read(".398 g/m") == UNIT_MASS.read("0,398g/m") == 0.398
