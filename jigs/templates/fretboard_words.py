"""What is written beside the fretboard: how to put it on the board and saw by it, what each line is, cautions."""

from geometry.lengths import round_half_up
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Role
from jigs.templates.instructions import CAUTIONS
from jigs.workup.words import is_stepped, nut_in_words
from jigs.workup.workup import Workup

BODY, DASHED = "body", "dashed line"
TITLE = "Fretboard: saw the slots here"
BOARD_CAUTIONS = (
    "Clamp the board. Keep your fingers out of the way of saw and drill.",
    "Dust of hardwood harms your lungs: wear a mask.",
    "On an instrument, slacken the strings first. The bridge falls if all are off.",
    CAUTIONS[3],
)


def fretboard_words(workup: Workup, cut_end: float, to_bridge: bool) -> Instructions:
    """Everything that the sheet says around the board. ``cut_end``: where its end at the nut is, if not at 0."""
    return Instructions(
        title=TITLE,
        datum=f"top edge at the {nut_in_words(workup.instrument)}" if not cut_end else f"numbers from the {DASHED}",
        steps=_steps(workup, cut_end),
        legend=_legend(workup, cut_end, to_bridge),
        notes=_notes(workup, cut_end),
        cautions=BOARD_CAUTIONS,
    )


def _steps(workup: Workup, cut_end: float) -> tuple[str, ...]:
    instrument = workup.instrument
    counts_from = DASHED if cut_end else nut_in_words(instrument)
    zero = instrument.nut.zero_fret
    end, top = "Make the board's nut end square.", "top edge at that end"
    if cut_end:
        end, top = "Leave wood beyond the nut.", "the nut end uncut"
    elif zero:
        end, top = "Leave wood beyond the zero fret.", "top edge at the zero fret"
    wide = "between its two lines" if instrument.board.slot is not None else "along its line"
    return (
        "Measure both rulers. If they are off, print again at 100%.",
        f"Check with a rule: all numbers are mm from the {counts_from}.",
        f"{end} Mark the board's centreline.",
        f"Glue the paper on: {top}, centrelines together.",
        f"Score each slot {wide} with a knife. Saw it square.",
        *(("Drill the dots in the middle of their circles.",) if instrument.dots else ()),
        f"Cut the outline{', its nut end last' if cut_end else ''}. Peel off the paper.",
    )


def _legend(workup: Workup, cut_end: float, to_bridge: bool) -> tuple[tuple[Role, str], ...]:
    dashed = [
        *(["the nut before compensation"] if cut_end else []),
        *([f"the bridge's {workup.instrument.stands_on}, and its line before compensation"] if to_bridge else []),
    ]
    slot = "two across: a slot" if workup.instrument.board.slot is not None else "across: a slot"
    return (
        (Role.CUT, "edge of the board"),
        (Role.TICK, f"{slot}; along: a string"),
        (Role.CENTRE, "centreline"),
        *(((Role.PROVISIONAL, "; ".join(dashed)),) if dashed else ()),
    )


def _notes(workup: Workup, cut_end: float) -> tuple[str, ...]:
    board, nut = workup.instrument.board, workup.instrument.nut
    said = []
    if cut_end:
        way = "shorter than" if cut_end > 0 else "beyond"
        size = round_half_up(abs(cut_end), 2)
        said.append(f"The nut is compensated: the board ends {size} mm {way} the dashed line of the nut.")
    if cut_end or is_stepped(nut):
        said.append("Short marks: each string leaves its nut there.")
    if board.joint_fret is not None:
        said.append(f"Fret {board.joint_fret}, marked {BODY}: the neck joins the body there.")
    return tuple(said)
