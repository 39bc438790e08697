"""What the form's fields show in millimetres or in inches. The file keeps its own texts: see `jigs.instrument.in_units`."""

from typing import cast, get_args

from jigs.instrument.in_units import Measure, Unit, is_read_as_inches, shown
from jigs.instrument.reference import measure_of
from jigs.page.form.fields import in_the_file
from jigs.page.request import Malformed, Reply, Request, json_reply

TO = "to"
"""What is asked for besides the fields: the unit to show them in."""

_DRAW = "draw."


def _units(request: Request) -> Reply:
    """``asked``: the unit, and what some fields say by their keys. The answer has no other keys."""
    asked = dict(request.asked)
    to = asked.pop(TO, "")
    if to not in get_args(Unit):
        raise Malformed
    known = [(key, text, measure) for key, text in asked.items() if (measure := _measure(key)) is not None]
    return json_reply(
        {
            "shown": {key: shown(text, measure, cast(Unit, to)) for key, text, measure in known},
            "in_inches": [key for key, text, measure in known if is_read_as_inches(text, measure)],
            "faults": [],
        }
    )


def _measure(key: str) -> Measure | None:
    """How a field is declared that holds a length, or a number with another unit."""
    if key.startswith(_DRAW):
        from jigs.cutting.settings import LENGTH_OF

        return LENGTH_OF.get(key.removeprefix(_DRAW))
    return measure_of(in_the_file(key))


ROUTES = {"units": _units}
