"""The sentences of the tables: what their columns are, and how sure a place is."""

from collections.abc import Sequence

from geometry.tolerance import Source

SOURCES = {
    Source.SCALE: "scale length",
    Source.ACTION: "string height at fret 12",
    Source.NUT_HEIGHT: "string height at the nut",
    Source.GAUGE: "string gauges",
    Source.MODULUS: "stiffness of the wire",
    Source.SLIP: "slip over nut and bridge",
    Source.CORE: "core of the wound string",
    Source.TOUCH: "the player's touch",
    Source.ENDS: "hold at the string's ends",
    Source.DATUM: "edge against the fret",
    Source.PRINT: "size of the print",
    Source.LAYING: "laying the paper",
}
"""What an error comes from, in words that a player knows."""


def how_sure_heading(datum_fret: int) -> tuple[str, str]:
    """What the rows below it are, in two lines."""
    return (
        f"± (95%): how sure a place is that you lay out with a printed fork against fret {datum_fret},",
        "and its three largest parts in mm, each by itself; write in a [tolerance] table how well you measured",
    )


def how_sure_rest(at_bass: Sequence[str], datum_fret: int, mostly: str) -> str:
    """The rest of the sentence after the figure. ``at_bass``: the figure at the bass end, empty where it is the same."""
    ends = f"at the treble end, {at_bass[0]} at the bass end " if at_bass else ""
    return f"{ends}(95%), with a fork against fret {datum_fret}; mostly {mostly}"


def columns(frets: int) -> tuple[str, str, str]:
    """What the columns of the strings' table are; ``frets`` count."""
    return (
        "setback: from the theoretical line, away from the nut; nut: the end of its slot, minus is towards the bridge",
        f"rms: error of the first {frets} frets at the string's own setback (c: cents)",
        "octave left: fretted octave against the harmonic on the straight bridge, plus is sharp; rms left: the frets there",
    )


def as_it_stands_heading(places: str) -> str:
    """What the table for a bridge elsewhere shows."""
    return (
        f"in cents, with the bridge at {places} and the nut as it is"
        " (frets from each string's own nut; octave: against the harmonic)"
    )
