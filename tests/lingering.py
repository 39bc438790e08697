"""An answerer of the page that lingers over the shelf. Workers import it by its name."""

import time

SECONDS = 1.0


def lingering(route, body):
    """Takes a second over a shelf to draw, and no time over anything else."""
    from jigs.page.answers import answer

    if route == "shelf-draw":
        time.sleep(SECONDS)
    return answer(route, body)
