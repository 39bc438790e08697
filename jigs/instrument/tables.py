"""The tables that an instrument file has once, in the order in which they are checked."""

from typing import Annotated

import numpy as np
from pydantic import ValidationInfo, field_validator

from geometry.bridge import BridgeFit
from geometry.compensation import Objective
from geometry.frets import OCTAVE_FRET
from geometry.fretting import rise_mm
from geometry.spacing import Spaced
from geometry.strings import A4_HZ
from geometry.touch import PLAUSIBLE, Touch
from jigs.faults import Key, Wrong
from jigs.input.quantities import Length
from jigs.input.tables import Section
from jigs.instrument import body_words, usual, words
from jigs.instrument.body import Rim, Top
from jigs.instrument.declare import key
from jigs.instrument.found import LEAST_A4_HZ, MOST_A4_HZ, Found
from jigs.instrument.lists import MOST_FRETS, ForEachString
from jigs.instrument.tolerance import Tolerance

MOST_STEP_MM = 10.0
"""A string that bears farther than this from the crown line, or from the nut, was measured from somewhere else."""

_SHARE_OF_THE_FIRST_STEP = 0.9

LEAST_FRETS_FOR_TWO_CUTS = 3
"""Bridge and nut are two unknowns; one fret more than that keeps them apart."""


class Pitch(Section, title="Pitch"):
    """The pitch that the instrument is tuned to."""

    a4: float = key("A4 in Hz", unit="Hz", ge=LEAST_A4_HZ, le=MOST_A4_HZ, default=A4_HZ, example="442")


class Action(Section, title="String heights"):
    """String heights over the fret tops, in mm, and where the finger presses; heights at fret 12 are at the octave fret."""

    nut: Annotated[float, Length(0, 5, words.HEIGHT_AT_NUT, "low", "high")] = key(
        "String height at the nut",
        "gap over fret 1, string open, less a tenth of the action; or by straightedge on frets 1 and 2",
        example="0.5",
    )
    relief: Annotated[float, Length(0, 3)] = key("Relief", "hollow of the neck at fret 12", default=0.0, example="0.1")
    fret_12: Annotated[float, Length(0.2, 15, "an action", "low", "high", usual=(1, 4.5))] = key(
        "String height at fret 12 (action)", "with an action rule; on other boards at the octave's fret", example="3.0"
    )
    finger: Annotated[float, Length(0, 20)] | None = key(
        "Finger, distance behind the fret",
        "where yours presses; 0 for right at the fret",
        empty=f"{PLAUSIBLE.finger_from_mm:g} to {PLAUSIBLE.finger_to_mm:g} mm",
        default=None,
        example="5.0",
    )
    press: Annotated[float, Length(0, 3)] | None = key(
        "Finger, depth below the fret tops",
        "how far yours presses the string down; 0 for a light touch",
        empty=f"{PLAUSIBLE.press_from_mm:g} to {PLAUSIBLE.press_to_mm:g} mm",
        default=None,
        example="0.2",
    )

    @field_validator("press")
    @classmethod
    def _a_finger_has_room(cls, press: float | None, info: ValidationInfo) -> float | None:
        if press and info.data.get("finger") == 0:
            raise Wrong(words.press_without_finger(press))
        return press

    def touch(self, first_step_mm: float) -> Touch:
        """The fingers that are plausible, or the one given; they stay before the nut. ``first_step_mm``: to fret 1."""
        farthest = _SHARE_OF_THE_FIRST_STEP * first_step_mm
        finger = (
            (min(PLAUSIBLE.finger_from_mm, farthest), min(PLAUSIBLE.finger_to_mm, farthest))
            if self.finger is None
            else (self.finger, self.finger)
        )
        press = (PLAUSIBLE.press_from_mm, PLAUSIBLE.press_to_mm) if self.press is None else (self.press, self.press)
        return Touch(*finger, *press)

    @field_validator("fret_12")
    @classmethod
    def _rises(cls, fret_12: float, info: ValidationInfo) -> float:
        least = info.data.get("nut", 0) + info.data.get("relief", 0)
        if fret_12 < least:
            raise Wrong(words.lower_than_the_nut_allows(fret_12, least))
        return fret_12

    @property
    def rise_mm(self) -> float:
        """Height of the bridge over the nut, both over the plane of the fret tops."""
        return float(rise_mm(np.array(self.nut), np.array(self.fret_12), np.array(self.relief)))


class Compensation(Section, title="What the bridge is placed for"):
    """What the bridge is placed for."""

    tune_to: Objective = key("In tune for", default=Objective.OCTAVE, strict=False, example='"all frets"')
    frets: int = key(
        "Frets that count",
        "not used for the octave",
        empty=f"{OCTAVE_FRET}, or all if there are fewer",
        ge=1,
        le=MOST_FRETS,
        default=OCTAVE_FRET,
        example="12",
    )
    bridge_fit: BridgeFit = key(
        "Strings that a straight bridge follows", default=BridgeFit.OUTER, strict=False, example='"all"'
    )

    @field_validator("frets")
    @classmethod
    def _enough_for_two_cuts(cls, frets: int, info: ValidationInfo) -> int:
        two_cuts = info.data.get("tune_to") is Objective.NUT_AND_SADDLE
        if two_cuts and frets < LEAST_FRETS_FOR_TWO_CUTS:
            raise Wrong(words.too_few_for_two_cuts(frets, LEAST_FRETS_FOR_TWO_CUTS))
        return frets


class Nut(Section, title="Nut"):
    """Where the strings leave the nut: ``spacing``, or ``edge`` from the board's edge to the outside of the outer string."""

    spacing: Annotated[float, Length(5, 120, usual=(20, 60))] | None = key(
        "Outer string spacing", "centre to centre, at the nut", default=None, example="25.0"
    )
    edge: Annotated[float, Length(0.5, 20)] | None = key(
        "Edge of the board to the outer string", "to its outside; instead of the spacing", default=None, example="2.2"
    )
    spaced: Spaced = key("Equal spacing by", default=Spaced.CENTRES, strict=False, example='"gaps"')
    pair_gap: Annotated[float, Length(0.5, 10)] = key(
        "Spacing within a pair", "centre to centre", default=usual.PAIR_GAP_NUT_MM, example="2.0"
    )
    steps: Annotated[tuple[float, ...], ForEachString(0, MOST_STEP_MM, "[0.0, 0.3, 0.0, 0.3]")] | None = key(
        "Steps of a compensated nut",
        "how much nearer the bridge each string leaves it: 0, 0.3, …",
        within=f"a list of 0 to {MOST_STEP_MM:g}",
        empty="0 for every string",
        default=None,
        example="[0.0, 0.3, 0.0, 0.3]",
    )
    zero_fret: bool = key(
        "Zero fret",
        "a fret at the nut bears the open strings; every length counts from it",
        default=False,
        example="true",
    )

    @field_validator("edge")
    @classmethod
    def _one_or_the_other(cls, edge: float | None, info: ValidationInfo) -> float | None:
        if edge is not None and info.data.get("spacing") is not None:
            raise Wrong(words.both_given(Key("nut", "spacing"), Key("nut", "edge")), key="spacing")
        return edge


class Board(Section, title="Fretboard"):
    """The fretboard: its outline, what is marked on it, and how high it is over the top or head at its end.

    ``end`` is its length from the nut; ``over_top`` is measured at the end, down from the plane of the fret tops.
    """

    nut_width: Annotated[float, Length(10, 150, usual=(20, 65))] = key(
        "Width at the nut", "from edge to edge", example="31.8"
    )
    end_width: Annotated[float, Length(10, 200, usual=(25, 80))] | None = key(
        "Width at its end",
        "or its width at fret 12",
        empty=f"{usual.STRING_TO_EDGE_MM:g} mm beside the outer strings",
        default=None,
        example="48.0",
    )
    fret_12_width: Annotated[float, Length(10, 200, usual=(25, 80))] | None = key(
        "Width at fret 12", "instead of the width at its end", default=None, example="41.0"
    )
    end: Annotated[float, Length(50, 1500, usual=(200, 600))] | None = key(
        "Length", "from the nut to its end", empty="half a step beyond the last fret", default=None, example="485.0"
    )
    over_top: Annotated[float, Length(0, 60)] | None = key(
        "Fret tops over the head or top", "at the board's end", default=None, example="8.0"
    )
    radius: Annotated[float, Length(50, 2000, "a fretboard's radius", "small", "large", usual=(180, 520))] | None = key(
        "Radius", "how round the board is across, for a new bridge", empty="flat", default=None, example='"12 in"'
    )
    slot: Annotated[float, Length(0.2, 3)] | None = key(
        "Width of a fret slot", "draws each as two lines; 0.55 is usual", default=None, example="0.55"
    )
    dots: list[int] | None = key(
        "Dots",
        "frets, with commas",
        within="frets of the neck",
        empty=f"{', '.join(map(str, usual.DOTS['banjo']))}; kind other: {', '.join(map(str, usual.DOTS['other']))}",
        default=None,
        example="[5, 7, 10, 12]",
    )
    joint_fret: int | None = key("Joint with the body", "at this fret", ge=1, le=MOST_FRETS, default=None, example="15")

    @field_validator("fret_12_width")
    @classmethod
    def _one_taper(cls, width: float | None, info: ValidationInfo) -> float | None:
        if width is not None and info.data.get("end_width") is not None:
            raise Wrong(words.both_given(Key("board", "end_width"), Key("board", "fret_12_width"), measured=True))
        return width


class Bridge(Section, title="Bridge"):
    """The bridge: its strings, its crown and its feet. ``height`` is the crown's over the top or head."""

    spacing: Annotated[float, Length(5, 150, usual=(25, 75))] = key(
        "Outer string spacing", "centre to centre, on the bridge", example="43.0"
    )
    length: Annotated[float, Length(20, 300, usual=(45, 150))] = key(
        "Length", "across its feet or base", example="72.0"
    )
    thickness: Annotated[float, Length(1, 60, usual=(4, 20))] = key(
        "Thickness of the feet or base", "along the strings", example="7.5"
    )
    face: Annotated[float, Length(0, 60)] | None = key(
        "Crown line to the nut side of feet or base",
        "the crown line is where the strings bear",
        empty="half the thickness",
        default=None,
        example="3.75",
    )
    crown: Annotated[float, Length(0.5, 40, usual=(1, 6))] = key(
        "Thickness of the crown", "its top edge, along the strings", example="2.5"
    )
    steps: Annotated[tuple[float, ...], ForEachString(-MOST_STEP_MM, MOST_STEP_MM, "[-1.2, 1.2, -0.6, 1.0]")] | None = (
        key(
            "Steps of saddle or crown",
            "hold a rule along the crown: where each string bears against it, + towards the tailpiece: -1.2, 1.2, …",
            empty="0 for every string: a straight edge",
            default=None,
            example="[-1.2, 1.2, -0.6, 1.0]",
        )
    )
    height: Annotated[float, Length(3, 90, usual=(12, 35))] | None = key(
        "Height", "crown over the head or top", default=None, example='"5/8 in"'
    )
    feet: int = key(
        "Feet",
        "how many; head and top templates have a window for each",
        empty="one window for all",
        ge=1,
        le=6,
        default=1,
        example="3",
    )
    foot: Annotated[float, Length(2, 150)] | None = key(
        "Width of a foot", "along the bridge", default=None, validate_default=True, example="12.0"
    )
    spaced: Spaced = key("Equal spacing by", default=Spaced.CENTRES, strict=False, example='"gaps"')
    pair_gap: Annotated[float, Length(0.5, 10)] = key(
        "Spacing within a pair", "centre to centre", default=usual.PAIR_GAP_BRIDGE_MM, example="2.5"
    )

    @field_validator("length")
    @classmethod
    def _strings_on_the_bridge(cls, length: float, info: ValidationInfo) -> float:
        spacing = info.data.get("spacing", length)
        if spacing > length:
            raise Wrong(body_words.spacing_beyond_the_length(spacing, length), key="spacing")
        return length

    @field_validator("face")
    @classmethod
    def _face_on_the_feet(cls, face: float | None, info: ValidationInfo) -> float | None:
        thickness = info.data.get("thickness")
        if face is not None and thickness is not None and face > thickness:
            raise Wrong(body_words.face_beyond_the_feet(face, thickness))
        return face

    @field_validator("foot")
    @classmethod
    def _feet_within_the_length(cls, foot: float | None, info: ValidationInfo) -> float | None:
        feet, length = info.data.get("feet"), info.data.get("length")
        if feet is not None and foot is None and feet > 1:
            raise Wrong(body_words.foot_missing(feet))
        if foot is not None and feet is not None and length is not None and foot * feet > length:
            raise Wrong(body_words.feet_too_wide(feet, foot, length))
        return foot

    @property
    def face_mm(self) -> float:
        """Crown line to the nut-side face of the feet."""
        return self.thickness / 2 if self.face is None else self.face


class Tail(Section, title="String beyond nut and bridge"):
    """String beyond nut and bridge, and how far it slips over them."""

    afterlength: Annotated[float, Length(1, 1000)] = key("Afterlength", "bridge to tailpiece", example="70.0")
    headlength: Annotated[float, Length(1, 1000)] = key("Nut to tuner", "the mean of all strings", example="90.0")
    slip: float | None = key(
        "String slip at nut and bridge",
        "0: the strings stick; 1: they slip freely",
        unit="",
        empty="the middle of its range",
        ge=0,
        le=1,
        default=None,
        example="0.5",
    )


TABLES: dict[str, type[Section]] = {
    "pitch": Pitch,
    "action": Action,
    "compensation": Compensation,
    "nut": Nut,
    "board": Board,
    "bridge": Bridge,
    "tail": Tail,
    "rim": Rim,
    "top": Top,
    "tolerance": Tolerance,
    "found": Found,
}
"""The tables that a file has once. It has a ``[[strings]]`` table for each string."""
