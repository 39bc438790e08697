"""What the page says by itself; the other rooms say the rest."""

from jigs.faults import Says


def no_reading() -> Says:
    """A request for advice without a whole reading."""
    remedy = "read both outer strings, each its octave harmonic and the note at fret 12"
    return Says("there is no reading", remedy, "readings-missing-on-page")
