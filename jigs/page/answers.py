"""Requests to answers: which route answers what. Bytes in, a `Reply` out."""

from dataclasses import replace
from pathlib import Path

from jigs.faults import InputFaults
from jigs.page import bench, boards, drawing, keeping, other_strings, printing, shelf, takes, units, words
from jigs.page.faults_at_fields import fault_list
from jigs.page.guide import EXAMPLE, example
from jigs.page.request import Malformed, Reply, json_reply, read_request, refusal

ROUTES = {
    **drawing.ROUTES,
    **bench.ROUTES,
    **boards.ROUTES,
    **keeping.ROUTES,
    **other_strings.ROUTES,
    **printing.ROUTES,
    **shelf.ROUTES,
    **takes.ROUTES,
    **units.ROUTES,
}
LISTEN = "listen"
"""The route that takes a sound."""

GIVE_A_FILE = {*boards.FILES, *drawing.FILES, *other_strings.FILES, *printing.FILES, *shelf.FILES, *takes.FILES, LISTEN}
"""Routes whose answer is not JSON, or has no place for faults: with a fault they answer with status 422."""

LONGER = {**shelf.LONGER, **takes.LONGER}
"""The seconds that a route may take, where it needs more than others."""

IN_LINE = LONGER.keys() - shelf.AT_ONCE
"""Routes that wait for each other, so that there is always a worker for the rest."""


def answer(route: str, body: bytes, shelf: Path | None = None) -> Reply:
    """The answer to a request: ``route`` is one of `ROUTES`, or `LISTEN` with the query, a line's end and the sound, or
    `EXAMPLE` with the name of an example that a guide shows.

    ``shelf``: the folder of the user's instruments, if there is one.
    """
    source = ""
    try:
        if route == LISTEN:
            return bench.listen(body)
        if route == EXAMPLE:
            return example(body.decode())
        request = replace(read_request(body), shelf=shelf)
        source = request.source
        return ROUTES[route](request)
    except Malformed:
        return refusal(400, words.not_from_the_page())
    except InputFaults as faults:
        listed = fault_list(faults.faults, source)
        return json_reply({"faults": listed, "notes": []}, 422 if route in GIVE_A_FILE else 200)
