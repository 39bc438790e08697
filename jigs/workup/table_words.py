"""The sentences of the tables: what their columns are, and how sure a place is."""

from collections.abc import Sequence

from geometry.tolerance import Source

SOURCES = {
    Source.SCALE: "scale length",
    Source.ACTION: "action",
    Source.NUT_HEIGHT: "string height at the nut",
    Source.GAUGE: "string gauges",
    Source.MODULUS: "stiffness of the wire",
    Source.SLIP: "slip over nut and bridge",
    Source.CORE: "core of the wound string",
    Source.TOUCH: "the player's touch",
    Source.ENDS: "grip of nut and bridge",
    Source.DATUM: "edge against the fret",
    Source.PRINT: "size of the print",
    Source.LAYING: "laying the paper",
    Source.FOUND: "place found by ear",
}
"""What an error comes from, in words that a player knows."""


def how_sure_heading(datum_fret: int) -> tuple[str, str]:
    """What the rows below it are, in two lines."""
    return (
        f"± (95%): how sure a place is that you lay out with a printed fork against fret {datum_fret},",
        "and its three largest parts in mm, each by itself; write in a [tolerance] table how well you measured",
    )


def with_fork(datum_fret: int) -> str:
    """What a place is laid out with, for `how_sure_rest`."""
    return f"a fork against fret {datum_fret}"


def how_sure_rest(at_bass: Sequence[str], laid_with: str, less_sure: str, mostly: str) -> str:
    """The rest of the sentence after the figure. ``at_bass``: the figure at the bass end, empty where it is the same.

    ``less_sure``: the end that the figure is larger at, and ``mostly`` is what from.
    """
    if not at_bass:
        return f"(95%), with {laid_with}; mostly {mostly}"
    ends = f"at the treble end, {at_bass[0]} at the bass end"
    return f"{ends} (95%), with {laid_with}; at the {less_sure} end mostly {mostly}"


def parts_in_words(ends: Sequence[str]) -> str:
    """What the ± on a sheet mostly comes from. ``ends``: at the treble end and at the bass end, or one where they are alike.

    >>> parts_in_words(["size of the print 1.0", "core of the wound string 1.7"])
    '± mostly from size of the print 1.0 mm (treble); core of the wound string 1.7 mm (bass).'
    """
    first, *other = dict.fromkeys(ends)
    if not other:
        return f"± mostly from {first} mm."
    return f"± mostly from {first} mm (treble); {other[0]} mm (bass)."


def largest_in_words(ends: Sequence[str]) -> str:
    """The same where there is little room: the largest part at either end.

    >>> largest_in_words(["size of the print", "core of the wound string"]), largest_in_words(["size of the print"])
    ('± mostly from size of the print (treble), core of the wound string (bass).', '± mostly from size of the print.')
    """
    first, *other = dict.fromkeys(ends)
    return f"± mostly from {first} (treble), {other[0]} (bass)." if other else f"± mostly from {first}."


def columns(frets: int, stepped: bool, nut_is_cut: bool) -> tuple[str, ...]:
    """What the columns of the strings' table are.

    ``frets``: how many count; ``stepped``: whether the bridge has steps; ``nut_is_cut``: whether the nut is to be cut.
    """
    nut = "as it must be cut" if nut_is_cut else "as it is"
    steps = ("step: from the crown line, plus is towards the tailpiece; bears at: from the nut, with its step",)
    return (
        f"setback: from the theoretical line, away from the nut; nut: its slot's end {nut}, minus is towards the bridge",
        *(steps if stepped else ()),
        f"rms: error of the first {frets} frets at the string's own setback (c: cents)",
        f"octave left: fretted octave against the harmonic on {'this' if stepped else 'the straight'} bridge, plus is sharp;"
        " rms left: the frets there",
    )


def fret_columns(nut: str) -> tuple[str, ...]:
    """The heads of the frets' table. ``nut``: what distances count from."""
    return ("fret", f"from {nut}", "from last", "to theoretical line", f"from {nut}, inches")


def as_it_stands_heading(places: str) -> str:
    """What the table for a bridge elsewhere shows."""
    return (
        f"in cents, with the bridge at {places} and the nut as it is"
        " (frets from each string's own nut; octave: against the harmonic)"
    )
