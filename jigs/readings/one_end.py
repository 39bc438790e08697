"""Advice for a player who moves one end of the bridge at a time, the other held: the end that is farther off comes first."""

from dataclasses import replace

import numpy as np

from geometry.readings import Shift, Verdict, held_end_shift_mm, only, rest_after
from jigs.readings.advice import Advice, ReadString, Standing
from jigs.workup.cents_scale import leg_scales


def has_two_moves(advice: Advice) -> bool:
    """Whether the advice moves both ends."""
    return advice.verdict in (Verdict.MOVE, Verdict.CHECK_FIRST) and len(advice.moves) > 1


def one_end_of(advice: Advice) -> Advice:
    """The same advice for one end, the other held still; unchanged if it does not move both.

    The place after it, and what is left, are those after this move alone.
    """
    if not has_two_moves(advice):
        return advice
    workup = advice.workup
    move = max(advice.moves, key=lambda one: abs(one.scale_cents))
    held = next(scale.inner_mm for scale in leg_scales(workup) if scale.end != move.end)
    moved_x = float(workup.across_mm[move.string])
    treble, bass = (held_end_shift_mm(move.mm, moved_x, float(workup.across_mm[n]), held) for n in workup.outer_strings)
    before = advice.before
    after = before.treble_mm + treble, before.bass_mm + bass
    slope = move.mm / (moved_x - held)
    return replace(
        advice,
        moves=(move,),
        after=Standing(*after, workup.line_through(*after).slant_deg),
        verdict=Verdict.MOVE,
        shifted_cents=0.0,
        strings=_left(advice, Shift(np.array(-slope * held), np.array(slope))),
    )


def _left(advice: Advice, shift: Shift) -> tuple[ReadString, ...]:
    """The strings with what is left on each after the shift."""
    workup = advice.workup
    read = np.array([one.string for one in advice.strings])
    cents, aims = (np.array([getattr(one, name) for one in advice.strings]) for name in ("cents", "aim_cents"))
    nut, x = workup.setbacks.nut_setback_mm[read], workup.across_mm[read]
    rests = rest_after(only(workup.model, read), nut, x, cents, aims, shift).tolist()
    return tuple(replace(one, rest_cents=rest) for one, rest in zip(advice.strings, rests, strict=True))
