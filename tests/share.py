"""How much a run tries of what is tried by the thousand: all with ``JIGS_WHOLE=1``, as before a release; else a quarter."""

import os

WHOLE = bool(os.environ.get("JIGS_WHOLE"))
_PART = 4


def share(count):
    """So many of ``count``, rounded up."""
    return count if WHOLE else -(-count // _PART)
