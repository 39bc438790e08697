"""Checks between the tables of an instrument file."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from geometry.compensation import Objective
from geometry.frets import has_octave
from jigs.faults import Fault, Key, Place, Says, Wrong
from jigs.instrument import body_words, found_words, usual, words
from jigs.instrument.body import Top
from jigs.instrument.found import WAYS, Found
from jigs.instrument.keys import SCALES_OF_ANY_KIND_MM, Head, StringEntry
from jigs.instrument.lists import with_points
from jigs.instrument.tables import Action, Board, Bridge, Compensation, Nut, Tail
from jigs.instrument.top_and_rim import rim_place, surface_under_strings


def head_faults(
    head: Head,
    compensation: Compensation | None,
    action: Action | None,
    board: Board | None,
    entries: Sequence[StringEntry | None],
    source: str,
) -> Iterator[Fault]:
    """Faults between the frets and what hangs on them."""
    to_octave = compensation is None or compensation.tune_to is Objective.OCTAVE
    if to_octave and head.octave_fret is None:
        yield words.no_octave_fret(head.frets).at(Place(source, "compensation", "tune_to"))
        to_octave = False
    if compensation is not None and compensation.frets > head.frets:
        says = words.more_frets_than_there_are(compensation.frets, head.frets)
        yield says.at(Place(source, "compensation", "frets"))
    if board is not None:
        yield from _board_faults(head, board, source)
    if entries and all(entry is not None and entry.starts_at_fret for entry in entries):
        yield words.ALL_STRINGS_SHORT.at(Place(source, "strings", "starts_at_fret"))
    from_nut = [head.scale_mm, *head.to_bridge_mm.tolist()]
    for n, entry in enumerate(entries, 1):
        starts_at = entry.starts_at_fret if entry is not None else 0
        if starts_at >= head.frets or (to_octave and not _has_own_octave(head, starts_at)):
            last = max((fret for fret in range(head.frets) if _has_own_octave(head, fret)), default=0)
            says = words.octave_beyond_the_frets(starts_at, last, head.frets)
            yield says.at(Place(source, "strings", "starts_at_fret", string=n))
        elif entry is not None and starts_at and entry.peg >= from_nut[0] - from_nut[starts_at]:
            yield words.peg_beyond_the_nut(entry.peg, starts_at).at(Place(source, "strings", "peg", string=n))
        elif action is not None and (action.finger or 0) >= from_nut[starts_at] - from_nut[starts_at + 1]:
            yield words.finger_beyond_the_nut(action.finger or 0, n).at(Place(source, "action", "finger"))
            return


def _has_own_octave(head: Head, starts_at: int) -> bool:
    """Whether a string that starts at a fret has a fret at its own octave."""
    wanted = np.concatenate(([1.0], head.wanted))
    own = wanted[starts_at + 1 :] / wanted[starts_at]
    return len(own) > 0 and bool(has_octave(own[None], np.full((1, len(own)), True))[0])


def looks_like_a_scale(kind: str, mm: float, octave_share: float) -> bool:
    """Whether a distance from the nut to the octave's fret is usual for a whole scale, and too long for its half."""
    low, high = usual.USUAL_SCALES_MM.get(kind, SCALES_OF_ANY_KIND_MM)
    return bool(low <= mm <= high < mm / octave_share)


def whole_scale_faults(head: Head, source: str) -> Iterator[Fault]:
    """A distance to fret 12 that is more likely the whole scale, where strings break on twice of it."""
    if head.nut_to_fret_12 is not None and looks_like_a_scale(head.kind, head.nut_to_fret_12, head.octave_share):
        yield words.perhaps_a_whole_scale(head.nut_to_fret_12).at(Place(source, key="nut_to_fret_12"))


def scale_faults(head: Head, source: str) -> Iterator[Fault]:
    """A scale that is too short for its kind and usual if it is doubled: perhaps it is nut to fret 12."""
    common = usual.USUAL_SCALES_MM.get(head.kind)
    if head.scale is not None and common and head.scale < common[0] and common[0] <= 2 * head.scale <= common[1]:
        yield words.perhaps_half_a_scale(head.scale).at(Place(source, key="scale"))


def string_list_faults(nut: Nut | None, bridge: Bridge | None, strings: int, source: str) -> Iterator[Fault]:
    """Lists that have more or fewer values than there are strings."""
    for table, part in (("nut", nut), ("bridge", bridge)):
        steps = None if part is None else part.steps
        if steps is not None and strings and len(steps) != strings:
            corrected = with_points(steps) if len(steps) == 2 * strings else ""
            yield words.other_count_of_strings(len(steps), strings, corrected).at(Place(source, table, "steps"))


def zero_fret_faults(nut: Nut | None, action: Action | None, source: str) -> Iterator[Fault]:
    """A height at the nut, or steps of it, where a zero fret bears the strings."""
    if nut is None or not nut.zero_fret:
        return
    if action is not None and action.nut:
        yield words.zero_fret_has_no_height(action.nut).at(Place(source, "action", "nut"))
    if any(nut.steps or ()):
        yield words.zero_fret_has_no_steps().at(Place(source, "nut", "steps"))


FOUND_SHARES = (0.9, 1.1)
"""Where a bridge can stand, as shares of the scale."""


def found_faults(
    head: Head,
    found: Found | None,
    bridge: Bridge | None,
    tail: Tail | None,
    entries: Sequence[StringEntry | None],
    source: str,
) -> Iterator[Fault]:
    """A place found by ear that is not whole, or where no bridge can stand."""
    if found is None:
        return
    full = [entry for entry in entries if entry is not None and not entry.starts_at_fret]
    if found.way is not None and len(full) == 1 and len({getattr(found, key) for key in found.way}) > 1:
        yield found_words.one_string_places_it().at(Place(source, "found", found.way[1]))
    amiss = _not_one_place(found)
    if amiss is not None:
        key, says = amiss
        yield says.at(Place(source, "found", key))
    elif found.fret is not None and found.fret > head.frets:
        yield found_words.beyond_the_neck(found.fret, head.frets).at(Place(source, "found", "fret"))
    elif found.way is not None and found.way != WAYS[2]:
        yield from _out_of_reach(head, found, found.way, bridge, tail, source)


def _not_one_place(found: Found) -> tuple[str, Says] | None:
    """What keeps a found place from being one, and the key that it concerns."""
    ways = found.ways
    if len(ways) > 1:
        keys = [next(key for key in way if getattr(found, key) is not None) for way in ways]
        return keys[1], found_words.two_ways(keys)
    for treble, bass in ways:
        missing = [key for key in (treble, bass) if getattr(found, key) is None]
        if missing:
            return missing[0], found_words.other_end_missing(missing[0], bass if missing[0] == treble else treble)
    if WAYS[1] in ways and found.fret is None:
        return "fret", found_words.FRET_MISSING
    if WAYS[1] not in ways and found.fret is not None:
        return "fret", found_words.FRET_ALONE
    alone = [key for key in ("date", "strings", "a4", "same_make") if getattr(found, key) is not None]
    return (alone[0], found_words.nothing_found(alone[0])) if alone and not ways else None


def _out_of_reach(
    head: Head, found: Found, way: tuple[str, str], bridge: Bridge | None, tail: Tail | None, source: str
) -> Iterator[Fault]:
    from_nut = 0.0
    if found.fret is not None:
        face = 0.0 if bridge is None else bridge.face_mm
        from_nut = head.scale_mm - float(head.to_bridge_mm[found.fret - 1]) + head.fret_crown_width / 2 + face
    low, high = (share * head.scale_mm for share in FOUND_SHARES)
    behind = high if tail is None else head.scale_mm + tail.afterlength
    for end, key in zip(("treble", "bass"), way, strict=True):
        place, at = from_nut + getattr(found, key), Place(source, "found", key)
        if place >= behind:
            yield found_words.beyond_the_tailpiece(end, place, behind).at(at)
        elif not low <= place <= high:
            yield found_words.too_far_away(end, place, low, high).at(at)


def _board_faults(head: Head, board: Board, source: str) -> Iterator[Fault]:
    """Faults between the frets and the board that they are in."""
    last = head.scale_mm - float(head.to_bridge_mm[-1])
    end = Place(source, "board", "end")
    if board.end is not None and not last < board.end:
        yield body_words.end_before_the_last_fret(board.end, last).at(end)
    if board.end is not None and board.end > head.scale_mm:
        yield body_words.end_beyond_the_bridge(board.end, head.scale_mm).at(end)
    narrowest = float(np.min(-np.diff(head.to_bridge_mm, prepend=head.scale_mm)))
    if board.slot is not None and board.slot >= narrowest / 2:
        yield body_words.slot_too_wide(board.slot, narrowest).at(Place(source, "board", "slot"))
    for key, fret in (*(("dots", dot) for dot in dict.fromkeys(board.dots or ())), ("joint_fret", board.joint_fret)):
        if fret is not None and not 1 <= fret <= head.frets:
            yield body_words.no_fret(fret, head.frets).at(Place(source, "board", key))


def lay_faults(head: Head | None, parts: Mapping[str, Any], source: str) -> Iterator[Fault]:
    """What is wrong between the measurements of top, rim, bridge and board; parts that are None are at fault themselves."""
    if head is None:
        return
    action, board, bridge, rim, top = (parts[name] for name in ("action", "board", "bridge", "rim", "top"))
    if board is not None and bridge is not None:
        yield from _radius_faults(board, bridge, source)
    if None not in (action, board, bridge, top):
        yield from _surface_faults(action, board, bridge, top, source)
        yield from _steepness_faults(head, action, board, bridge, top, source)
    place = rim_place(head, rim) if rim is not None else None
    if place is None or bridge is None:
        return
    if bridge.length >= place.head_mm:
        yield body_words.longer_than_the_head(bridge.length, place.head_mm).at(Place(source, "bridge", "length"))
    elif not place.near_mm < head.scale_mm < place.far_mm:
        key = "fret_12_to_near_edge" if rim.fret_12_to_near_edge is not None else "fret_12_to_far_edge"
        yield body_words.bridge_beside_the_head(place.near_mm, place.far_mm, head.scale_mm).at(
            Place(source, "rim", key)
        )


def _radius_faults(board: Board, bridge: Bridge, source: str) -> Iterator[Fault]:
    """A board that is rounder than a circle through its edges at the nut, or through the outer strings at the bridge."""
    spacing = (bridge.spacing + bridge.pair_gap, Key("bridge", "spacing", f"{bridge.spacing:g}"))
    width = (board.nut_width, Key("board", "nut_width", f"{board.nut_width:g}"))
    across, key = spacing if spacing[0] > width[0] else width
    if board.radius is not None and board.radius < across / 2:
        says = body_words.radius_too_small(board.radius, across / 2, key)
        yield says.at(Place(source, "board", "radius"))


def _surface_faults(action: Action, board: Board, bridge: Bridge, top: Top, source: str) -> Iterator[Fault]:
    if top.arch_rise is not None and board.over_top is None:
        yield body_words.OVER_TOP_MISSING.at(Place(source, "board", "over_top"))
    over_bridge = action.nut + action.rise_mm
    if bridge.height is not None and bridge.height < over_bridge:
        yield body_words.lower_than_its_strings(bridge.height, over_bridge).at(Place(source, "bridge", "height"))


def _steepness_faults(
    head: Head, action: Action, board: Board, bridge: Bridge, top: Top, source: str
) -> Iterator[Fault]:
    try:
        surface_under_strings(head, action, board, bridge, top)
    except Wrong as error:
        yield error.says.at(Place(source, "bridge", "height"))
