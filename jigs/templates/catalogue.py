"""Every template and every option, declared once."""

IDLE_WITHOUT = {
    "--datum-fret": ("fork", "gauge", "top"),
    "--datum-over": ("fork",),
    "--datum-end": ("top",),
    "--rim": ("head",),
    "--kerf": ("gauge", "head", "top"),
    "--corner": ("gauge", "head", "top"),
    "--web": ("gauge", "head", "top"),
    "--clearance": ("gauge",),
    "--stock": ("gauge",),
    "--to-bridge": ("fretboard",),
    "--untiled": ("fretboard",),
}
"""Options that only some templates take notice of."""


IN_WORDS = {
    "fork": "paper, finds the bridge's place from a fret",
    "fretboard": "slots, dots and strings",
    "spacing": "rules for nut and bridge",
    "crown": "the top of the bridge",
    "setup-card": "one page for setting up by ear or tuner",
    "gauge": "the fork to cut from stock",
    "head": "from a banjo's rim",
    "top": "on an arched top",
}
"""What each template is, by its name."""


NAMES = tuple(IN_WORDS)


CUT_FROM_STOCK = frozenset(("gauge", "head", "top"))
"""Templates that are a part to cut: their SVG and DXF hold the part alone, for a cutter."""


FOR_CUTTERS = CUT_FROM_STOCK | {"fretboard"}
"""Templates that have a DXF. The fretboard's holds the whole board, however long."""
