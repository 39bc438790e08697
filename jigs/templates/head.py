"""The head template: puts a banjo's bridge on its line from the rim, where no fret is within reach.

It is a segment of the head. Its arc nests against the inside edge of the rim, and it has the bridge line and a window in the
shape of the feet. It is planned right-handed, y from the nut, and mirrored for a left-handed instrument.
"""

import math
from dataclasses import dataclass

from geometry.arrays import FloatArray
from geometry.bridge import feet_windows_mm
from geometry.lengths import format_mm
from geometry.rim import RimPlace
from jigs.cutting.cutter import Cutter
from jigs.cutting.parts import Corner, CutPart, closed_path
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Drawing, Path, Role, drawing
from jigs.drawing.room import DoesNotFit, Room
from jigs.faults import InputFaults, Note, Place
from jigs.instrument.usual import MIDDLE_SHARE_OF_HEAD
from jigs.templates import words as says
from jigs.templates.catalogue import RimSide
from jigs.templates.engravings import in_two_columns
from jigs.templates.fork import facts
from jigs.templates.instructions import CUTTER_CAUTIONS, cutting
from jigs.templates.options import Options
from jigs.templates.stock import (
    centreline,
    comparing_step,
    feet_windows,
    finished,
    line_marks,
    on_page,
    scale_in_words,
    unbroken_mm,
)
from jigs.templates.template import Lacks, Piece
from jigs.workup.on_the_top import rim_of
from jigs.workup.words import about_the_line
from jigs.workup.workup import Workup

TITLE = "Head: stand the bridge here"
BESIDE_FEET_MM = 16.0
BEYOND_FEET_MM = 8.0
CLEAR_OF_RIM_MM = 1.0
LEAST_HALF_MM = 35.0

LEGEND = (
    (Role.CUT, "cut here"),
    (Role.TICK, "score: centreline, and the crown line beside the feet"),
)


@dataclass(frozen=True)
class HeadPlan:
    """Every place of a head template: the rim, the side it nests on (+1 the tail's), the half width and the open edge."""

    rim: RimPlace
    side: RimSide
    half: float
    edge_mm: float
    windows: FloatArray

    @property
    def towards_rim(self) -> float:
        """+1 where the arc lies on the tail's side."""
        return 1.0 if self.side is RimSide.TAIL else -1.0

    @property
    def arc_ends_mm(self) -> float:
        """y of the arc's ends."""
        radius = self.rim.head_mm / 2
        return self.rim.middle_mm + self.towards_rim * math.sqrt(radius**2 - self.half**2)

    @property
    def crest_mm(self) -> float:
        """y where the arc meets the centreline."""
        return _crest_mm(self.rim, self.side)


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """The segment on its page, with steps and cautions. Raises what `part` raises."""
    plan, piece = _segment(workup, options)
    notes = (
        _distances(workup, plan.rim),
        *(says.on_the_sheet(note) for note in off_middle(workup, plan.rim)),
        *about_the_line(workup),
    )
    against = f"against the tension hoop, {plan.side.value} side"
    steps = _steps(workup, plan, options.cutter)
    return on_page(piece, room, Instructions(TITLE, against, steps, LEGEND, notes, CUTTER_CAUTIONS))


def part(workup: Workup, options: Options) -> Piece:
    """The segment alone, in the instrument's frame, kerf allowed for. Raises `Lacks` and `InputFaults`."""
    return _segment(workup, options)[1]


def _segment(workup: Workup, options: Options) -> tuple[HeadPlan, Piece]:
    """On the chosen side of the rim. By default on the nearer one, which makes the smaller part, or else on the other."""
    rim = _rim(workup)
    centre = workup.standing_line.centre_mm
    nearer = sorted((RimSide.TAIL, RimSide.NUT), key=lambda side: abs(_crest_mm(rim, side) - centre))
    faults: list[InputFaults] = []
    for side in nearer if options.rim_side is None else (options.rim_side,):
        try:
            return _segment_on(workup, options, rim, side)
        except DoesNotFit as reason:
            place = Place(workup.instrument.source, "rim")
            faults.append(says.no_room_on_the_head(str(reason)).refusal(place))
        except InputFaults as fault:
            faults.append(fault)
    raise faults[0]


def _segment_on(workup: Workup, options: Options, rim: RimPlace, side: RimSide) -> tuple[HeadPlan, Piece]:
    cutter = options.cutter
    plan = _plan(workup, cutter, rim, side)
    first, last = sorted((plan.edge_mm, plan.crest_mm))
    marks = drawing(
        centreline(plan.windows, first, last),
        line_marks(workup.standing_line, plan.windows, plan.half),
    )
    shape, words = (
        CutPart(_outline(plan, cutter), feet_windows(plan.windows, cutter)),
        _engraving(workup, plan, options.stem),
    )
    bare = finished(workup, shape, marks, cutter, "head", words)
    document = f"Head template, {plan.side.value} side, {workup.instrument.head.hand}-handed"
    left_off = () if words.items else (says.engraving_left_off("head template").note(),)
    return plan, Piece(bare, document, facts(workup), notes=(*off_middle(workup, plan.rim), *left_off))


def _rim(workup: Workup) -> RimPlace:
    rim = rim_of(workup.instrument)
    if rim is None:
        if workup.instrument.head.kind != "banjo":
            raise Lacks(says.needs_a_rim(), of_kind=True)
        raise Lacks(says.rim_missing(workup.instrument.octave_fret))
    return rim


def _crest_mm(rim: RimPlace, side: RimSide) -> float:
    """Where the inside edge meets the centreline."""
    return rim.far_mm if side is RimSide.TAIL else rim.near_mm


def _plan(workup: Workup, cutter: Cutter, rim: RimPlace, side: RimSide) -> HeadPlan:
    instrument = workup.instrument
    bridge = instrument.bridge
    windows = feet_windows_mm(workup.face_line, bridge.length, bridge.thickness, bridge.feet, bridge.foot)
    outside = float(rim.inside_mm(windows[..., 0], windows[..., 1]).min())
    if outside <= CLEAR_OF_RIM_MM:
        raise says.feet_beside_head().refusal(Place(instrument.source, "rim"))
    away = -1.0 if side is RimSide.TAIL else 1.0
    beyond = max(BEYOND_FEET_MM, cutter.web_mm)
    edge = max(away * windows[..., 1].ravel()) + beyond
    reach = float(abs(windows[..., 0]).max())
    half = max(reach + max(BESIDE_FEET_MM, cutter.web_mm), LEAST_HALF_MM)
    chord = math.sqrt(max((rim.head_mm / 2) ** 2 - (away * edge - rim.middle_mm) ** 2, 0.0)) - CLEAR_OF_RIM_MM
    half = min(half, chord, rim.head_mm / 2 - CLEAR_OF_RIM_MM)
    if half < reach + cutter.web_mm:
        raise DoesNotFit(says.NO_STOCK_BESIDE_FEET)
    return HeadPlan(rim, side, half, away * edge, windows)


def _outline(p: HeadPlan, cutter: Cutter) -> Path:
    """The open edge, two sides, and the arc, which is the working edge."""
    r, way = cutter.corner_mm, p.towards_rim
    span = 2 * math.asin(p.half / (p.rim.head_mm / 2))
    corners = (
        Corner((-way * p.half, p.edge_mm), r),
        Corner((way * p.half, p.edge_mm), r),
        Corner((way * p.half, p.arc_ends_mm), bulge=math.tan(span / 4)),
        Corner((-way * p.half, p.arc_ends_mm)),
    )
    return closed_path(corners, "head-outline")


def _distances(workup: Workup, rim: RimPlace) -> str:
    centre = workup.standing_line.centre_mm
    to_tail, to_nut = format_mm(rim.far_mm - centre), format_mm(centre - rim.near_mm)
    return f"The crown line lies {to_tail} from the tail edge and {to_nut} from the nut edge."


def off_middle(workup: Workup, rim: RimPlace) -> tuple[Note, ...]:
    """A note where the bridge would stand outside the middle two thirds of the head (common practice: it should not)."""
    centre = workup.standing_line.centre_mm
    if rim.middle_share(centre) <= MIDDLE_SHARE_OF_HEAD:
        return ()
    to_edge = min(rim.far_mm - centre, centre - rim.near_mm)
    where = "tail" if centre > rim.middle_mm else "nut"
    return (says.near_the_rim(format_mm(to_edge), where).note(Place(table="rim")),)


def _engraving(workup: Workup, p: HeadPlan, stem: str) -> Drawing:
    """Words between the feet and the arc, either side of the centreline; nothing where they have no room."""
    centre = workup.standing_line.centre_mm
    distances = (
        f"head {unbroken_mm(p.rim.head_mm)}, arc to the {p.side.value}",
        f"line to tail edge {unbroken_mm(p.rim.far_mm - centre)}",
        f"line to nut edge {unbroken_mm(centre - p.rim.near_mm)}",
    )
    feet = p.windows[..., 1]
    top, foot = sorted((float(feet.max() if p.towards_rim > 0 else feet.min()), p.arc_ends_mm))
    return in_two_columns(workup, stem, (scale_in_words(workup),), distances, top, foot, p.half)


def _steps(workup: Workup, p: HeadPlan, cutter: Cutter) -> tuple[str, ...]:
    away = "nut" if p.side is RimSide.TAIL else "tail"
    check = f"Measure it along the centreline: {format_mm(abs(p.crest_mm - p.edge_mm))} from edge to arc."
    return (
        *cutting(cutter),
        check,
        "Slacken the strings and take the bridge out.",
        f"Lay the template on the head, arc to the {p.side.value}, straight edge to the {away}.",
        "Push the arc against the inside of the tension hoop.",
        "Bring the centreline under the middle of the strings.",
        "Mark the window's corners with a soft pencil or tape.",
        "Remove the template. Stand the bridge on the marks.",
        comparing_step(workup),
    )
