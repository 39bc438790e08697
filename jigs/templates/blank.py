"""The pattern for a new bridge: from above and from the nut at 1:1 to glue on, the same enlarged, and its numbers.

The patterns are parts to cut too. On paper no kerf is allowed for. Their shapes are in blank_plan.py.
"""

from dataclasses import replace

from jigs.cutting.cutter import Cutter
from jigs.drawing.items import Anchor, Box, Drawing, Text, drawing, with_single_ids
from jigs.drawing.lettering import SMALL
from jigs.drawing.room import HEADING_MM, DoesNotFit, Room
from jigs.faults import Note, Place
from jigs.templates import blank_words, crown_words
from jigs.templates import words as says
from jigs.templates.blank_enlarged import enlarged, table, titled
from jigs.templates.blank_picture import in_use
from jigs.templates.blank_plan import BASE, PLAN, PROFILE, BlankPart, blank_parts, edge_places_mm, has_feet
from jigs.templates.options import Options
from jigs.templates.stock import finished
from jigs.templates.template import Piece
from jigs.workup.new_bridge import is_two_piece, top_edge_mm
from jigs.workup.workup import Workup

LARGEST = 5
_GAP_MM = 6.0
_LEAST_OVER_TOP_MM = 6.0
_WORD_GAP_MM = 1.4


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """The patterns below each other and the enlarged ones on a sheet of their own. Raises `DoesNotFit` and `InputFaults`."""
    cutter = replace(options.cutter, kerf_mm=0.0)
    blocks = [*(_block(workup, part, cutter) for part in _parts(workup)), in_use(workup)]
    laid, top = Drawing(), HEADING_MM
    for block in blocks:
        laid += block.shifted(0.0, top)
        top = laid.bounds().bottom + _GAP_MM
    box = laid.bounds()
    if box.right > room.beside_ruler or box.bottom > room.height:
        raise DoesNotFit(says.large_part(box.width, box.height))
    times, larger = _enlarged(workup, room)
    return replace(
        _piece(workup, laid),
        said=blank_words.blank_words(workup),
        more=(larger,),
        more_scale=f"{times}:1",
    )


def part(workup: Workup, options: Options) -> Piece:
    """The patterns alone, below each other, kerf allowed for. Raises `InputFaults`."""
    laid, top = Drawing(), 0.0
    for one in _parts(workup):
        done = _finished(workup, one, options.cutter)
        laid += done.shifted(0.0, top - done.bounds().top)
        top = laid.bounds().bottom + _GAP_MM
    return _piece(workup, laid)


def _piece(workup: Workup, laid: Drawing) -> Piece:
    document = f"New bridge, {workup.instrument.head.hand}-handed"
    return Piece(with_single_ids(laid), document, _facts(workup), notes=_notes(workup))


def _parts(workup: Workup) -> tuple[BlankPart, ...]:
    """The patterns. Raises `InputFaults` for a bridge that is too low for its profile."""
    bridge = workup.instrument.bridge
    if bridge.height is not None and has_feet(workup):
        lowest = bridge.height + float(top_edge_mm(workup, edge_places_mm(workup)).min())
        if lowest < _LEAST_OVER_TOP_MM:
            wrong = blank_words.profile_under_feet(lowest, workup.instrument.board.radius)
            raise wrong.refusal(Place(workup.instrument.source, "bridge", "height"))
    return blank_parts(workup)


def _finished(workup: Workup, one: BlankPart, cutter: Cutter) -> Drawing:
    """A pattern for the cutter. Only one from above has room for crosses that are far apart."""
    crossed = one.name in (BASE, PLAN)
    return finished(workup, one.shape, one.marks, cutter, f"blank's {one.name}", one.words, crossed)


def _block(workup: Workup, one: BlankPart, cutter: Cutter) -> Drawing:
    """A pattern below its title; the words for its sides are around it where it has no room for them."""
    done = _finished(workup, one, cutter)
    on_it = {item.text for item in one.words if isinstance(item, Text)}
    around = (word for word in _around(workup, one.name, done.bounds()) if word.text not in on_it)
    return titled(blank_words.TITLES[one.name], drawing(done, around))


def _around(workup: Workup, name: str, box: Box) -> tuple[Text, ...]:
    right_handed = workup.instrument.head.hand == "right"
    left, right = ("bass", "treble") if right_handed != (name == PROFILE) else ("treble", "bass")
    middle, level = (box.left + box.right) / 2, (box.top + box.bottom + SMALL) / 2
    sides = (
        Text((box.left - _WORD_GAP_MM, level), left, SMALL, Anchor.END),
        Text((box.right + _WORD_GAP_MM, level), right, SMALL),
    )
    if name == PROFILE:
        return sides
    above = Text((middle, box.top - _WORD_GAP_MM), "nut", SMALL, Anchor.MIDDLE)
    return (*sides, above, Text((middle, box.bottom + _WORD_GAP_MM + SMALL), "tail", SMALL, Anchor.MIDDLE))


def _enlarged(workup: Workup, room: Room) -> tuple[int, Drawing]:
    """The numbers, and below them the largest enlargement that goes on a sheet without rulers. Raises `DoesNotFit`."""
    numbers = table(workup).shifted(0.0, HEADING_MM)
    below = numbers.bounds().bottom + _GAP_MM
    for times in range(LARGEST, 0, -1):
        larger = enlarged(workup, times)
        box = larger.bounds()
        if box.right <= room.width and below + box.bottom <= room.height:
            return times, numbers + larger.shifted(0.0, below)
    raise DoesNotFit(says.large_part(box.width, box.height))


def _facts(workup: Workup) -> str:
    bridge, on = workup.instrument.bridge, workup.instrument.stands_on
    return f"{on} {bridge.length:g} × {bridge.thickness:g} mm, crown {bridge.crown:g} mm".capitalize()


def _notes(workup: Workup) -> tuple[Note, ...]:
    """What would make the pattern better."""
    notes = []
    if workup.instrument.bridge.height is None and not is_two_piece(workup):
        notes.append(blank_words.height_unknown().note(Place(table="bridge", key="height")))
    notes += crown_words.too_thin_notes(workup)
    if any(not one.words.items for one in _parts(workup)):
        notes.append(says.engraving_left_off("blank").note())
    return tuple(notes)
