"""Answerers of the page that linger over the shelf, or die. Workers import them by their names."""

import os
import time

SECONDS = 1.0


def lingering(route, body):
    """Takes a second over a shelf to draw or to list, and no time over anything else."""
    from jigs.page.answers import answer

    if route in ("shelf-draw", "shelf-list"):
        time.sleep(SECONDS)
    return answer(route, body)


def short_of(memory, route, body):
    """Answers, but dies as long as there is a file of this name, also as it starts."""
    from jigs.page.answers import answer

    if os.path.exists(memory):
        os._exit(9)
    return answer(route, body)
