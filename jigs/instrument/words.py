"""What this room says of an instrument file's values that cannot be together."""

from geometry.surface import SurfaceError
from jigs.faults import Key, Says

_HEIGHT, _OVER_TOP = Key("bridge", "height"), Key("board", "over_top")


def surface_impossible(error: SurfaceError) -> Says:
    """The top that the heights of bridge and board give, where no top is like that."""
    what = {
        "bridge-under-board": ", the bridge would stand under the board",
        "top-too-steep": f", the top would fall away by {error.value:.2f} mm per mm, steeper than 45 degrees",
    }.get(error.code, f", the top comes out as none can be ({error})")
    return Says(("with ", _OVER_TOP, what), ("measure ", _HEIGHT, " and ", _OVER_TOP, " again"), error.code)
