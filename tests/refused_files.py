"""Instrument files that are refused or noted, each with the place and code of what is said, and a value that is taken."""

import datetime
import tomllib

from jigs.instrument.opening import preset_text

B, M = "banjo", "mandolin"
SHORT = {"scale": 150, "kind": "other", "frets": 36}
ALL_BUT_THE_LAST = [100.0 * n for n in range(1, 22)]


def data_with(name, edits):
    """A preset's data with other values; ``None`` removes a key."""
    data = tomllib.loads(preset_text(name))
    for key, value in edits.items():
        *tables, last = key.split(".")
        where = data
        for table in tables:
            where = where[int(table) - 1] if table.isdigit() else where.setdefault(table, {})
        if value is None:
            del where[last]
        else:
            where[last] = value
    return data


REFUSED = [
    # above the tables
    (B, {"name": " "}, "name", "name-empty", {"name": " x "}),
    (B, {"name": "x" * 61}, "name", "name-too-long", {"name": "x" * 60}),
    (B, {"name": "a\u200bb"}, "name", "name-unprintable", None),
    (B, {"name": 3}, "name", "text-expected", {"name": "3"}),
    (B, {"scale": None}, "scale", "scale-missing", {"scale": None, "nut_to_fret_12": 333}),
    (B, {"nut_to_fret_12": 333}, "scale", "both-given", None),
    (B, {"scale": 300}, "scale", "scale-perhaps-half", {"scale": 165}),
    (B, {"scale": 330.1}, "scale", "scale-perhaps-half", {"scale": 330.2}),
    (M, {"scale": 165.2}, "scale", "scale-perhaps-half", {"scale": 165.0}),
    (
        B,
        {"scale": None, "nut_to_fret_12": 650},
        "nut_to_fret_12",
        "half-perhaps-scale",
        {"scale": None, "nut_to_fret_12": 325},
    ),
    (B, {"fret_rule": "twelve"}, "fret_rule", "fret-rule-unknown", {"fret_rule": "eighteen"}),
    (B, {"fret_rule": [0.0] * 22}, "fret_rule", "cents-out-of-range", None),
    (B, {"fret_rule": [*ALL_BUT_THE_LAST, 3601]}, "fret_rule", "cents-out-of-range", None),
    (B, {"fret_rule": [True] * 22}, "fret_rule", "cents-out-of-range", None),
    (B, {"fret_rule": [100, 100]}, "fret_rule", "frets-not-rising", {"fret_rule": [*ALL_BUT_THE_LAST, 3600]}),
    (B, {"wanted_cents": 5}, "wanted_cents", "frets-not-listed", None),
    (B, {"wanted_cents": [100]}, "wanted_cents", "fret-count-differs", None),
    (
        B,
        {"fret_rule": "eighteen", "frets_measured": [10 * n for n in range(1, 23)]},
        "frets_measured",
        "both-given",
        None,
    ),
    (M, {"frets_measured": [17.63 * n for n in range(1, 21)]}, "frets_measured", "fret-behind-bridge", None),
    (B, {"spacing": 333}, "spacing", "key-misplaced", None),
    (B, {"tail.frets": 22}, "tail.frets", "key-misplaced", None),
    # strings
    (B, {"strings": None}, "strings.", "strings-missing", None),
    (B, {"strings": []}, "strings.", "strings-missing", None),
    (B, {"strings": 5}, "strings.", "strings-not-tables", None),
    (B, {"strings": [5]}, "strings.", "strings-not-tables", None),
    (B, {"strings": [{"note": "D4", "gauge": ".010"}] * 25}, "strings.", "strings-too-many", None),
    (B, {"strings.1.note": "Eb0"}, "strings.1.note", "note-out-of-range", None),
    (B, {"strings.1.note": "E7"}, "strings.1.note", "note-out-of-range", None),
    (B, {"strings.1.note": "D5"}, "strings.1.gauge", "string-would-break", {"strings.1.note": "E4"}),
    (B, {"strings.4.core": 0.5588}, "strings.4.core", "core-too-thick", {"strings.4.core": 0.4}),
    (
        B,
        {"strings.4.turns": 44},
        "strings.4.turns",
        "turns-implausible",
        {"strings.4.turns": 45, "strings.4.note": "D1"},
    ),
    (B, {"strings.4.turns": 4.9}, "strings.4.turns", "turns-unread", None),
    (B, {"strings.4.turns": 120.1}, "strings.4.turns", "turns-unread", {"strings.4.turns": 120}),
    (B, {"strings.4.turns": True}, "strings.4.turns", "turns-unread", None),
    (B, {"strings.4.turns": 66, "strings.4.core": 0.25}, "strings.4.turns", "both-given", None),
    (B, {"strings.4.material": "nylon"}, "strings.4.gauge", "nylon-wound", None),
    (B, {"strings.4.material": "nylon", "strings.4.gauge": ".022"}, "strings.4.wrap", "nylon-wound", None),
    (B, {"strings.4.wound": False}, "strings.4.wound", "wound-unclear", {"strings.4.wound": True}),
    (B, {"strings.4.wound": False, "strings.4.gauge": ".022"}, "strings.4.wrap", "wound-unclear", None),
    (
        B,
        {"strings.5.starts_at_fret": 11},
        "strings.5.starts_at_fret",
        "octave-beyond-frets",
        {"strings.5.starts_at_fret": 10},
    ),
    (
        B,
        {"strings.5.starts_at_fret": 22, "compensation.tune_to": "all frets"},
        "strings.5.starts_at_fret",
        "octave-beyond-frets",
        None,
    ),
    (
        B,
        {"strings.5.starts_at_fret": 2, "strings.5.peg": 72.8},
        "strings.5.peg",
        "peg-beyond-nut",
        {"strings.5.starts_at_fret": 2, "strings.5.peg": 72.7},
    ),
    (
        B,
        {"strings": [{"note": note, "gauge": ".010", "starts_at_fret": 5} for note in ("G4", "E4")]},
        "strings.starts_at_fret",
        "strings-all-short",
        {"strings": [{"note": "D4", "gauge": ".010"}, {"note": "G4", "gauge": ".010", "starts_at_fret": 5}]},
    ),
    (
        B,
        {"strings": [{"note": "D4", "gauge": ".010"}], "found.treble": 669.0, "found.bass": 670.0},
        "found.bass",
        "found-one-string",
        {"strings": [{"note": "D4", "gauge": ".010"}], "found.treble": 669.0, "found.bass": 669.0},
    ),
    (B, {"found.strings": "D4 .010"}, "found.strings", "found-place-missing", None),
    # heights and goals
    (B, {"compensation.frets": 23}, "compensation.frets", "compensation-frets-too-many", {"compensation.frets": 22}),
    (
        B,
        {"compensation.tune_to": "nut and saddle", "compensation.frets": 2},
        "compensation.frets",
        "compensation-frets-too-few",
        {"compensation.tune_to": "nut and saddle", "compensation.frets": 3},
    ),
    (
        B,
        {"frets": 11, "compensation.frets": 11},
        "compensation.tune_to",
        "no-octave-fret",
        {"frets": 11, "compensation.frets": 11, "compensation.tune_to": "all frets"},
    ),
    (
        B,
        {"action.nut": 0.5, "action.relief": 0.25, "action.fret_12": 0.74},
        "action.fret_12",
        "action-below-nut",
        {"action.nut": 0.5, "action.relief": 0.25, "action.fret_12": 0.75},
    ),
    (
        B,
        {"action.finger": 0, "action.press": 0.2},
        "action.press",
        "press-without-finger",
        {"action.finger": 0.1, "action.press": 0.2},
    ),
    (
        B,
        {"action.finger": 0, "action.press": 3},
        "action.press",
        "press-without-finger",
        {"action.finger": 0, "action.press": 0},
    ),
    (M, {"action.finger": 19.8}, "action.finger", "finger-beyond-nut", {"action.finger": 19.7}),
    (B, {"nut.zero_fret": True}, "action.nut", "zero-fret-height", {"nut.zero_fret": True, "action.nut": None}),
    (
        B,
        {"nut.zero_fret": True, "action.nut": 0, "nut.steps": [0, 0.3, 0, 0, 0]},
        "nut.steps",
        "zero-fret-steps",
        {"nut.zero_fret": True, "action.nut": 0, "nut.steps": [0, 0, 0, 0, 0]},
    ),
    (B, {"nut.edge": 3.0}, "nut.spacing", "both-given", {"nut.edge": 3.0, "nut.spacing": None}),
    (B, {"tolerance.slip_from": 0.6, "tolerance.slip_to": 0.5}, "tolerance.slip_to", "slip-range-reversed", None),
    # board
    (B, {"board.end": 479.6}, "board.end", "board-too-short", {"board.end": 479.7}),
    (B, {"board.end": 666.8}, "board.end", "board-too-long", {"board.end": 666.75}),
    (M, {**SHORT, "board.slot": 0.56}, "board.slot", "slot-too-wide", {**SHORT, "board.slot": 0.55}),
    (B, {"board.dots": [0]}, "board.dots", "board-fret-unknown", {"board.dots": [1]}),
    (B, {"board.dots": [23]}, "board.dots", "board-fret-unknown", {"board.dots": [22]}),
    (B, {"board.joint_fret": 23}, "board.joint_fret", "board-fret-unknown", {"board.joint_fret": 22}),
    (
        B,
        {"board.end_width": 50, "board.fret_12_width": 40},
        "board.fret_12_width",
        "both-given",
        {"board.fret_12_width": 40},
    ),
    # bridge, rim and top
    (B, {"bridge.length": 42.9}, "bridge.spacing", "spacing-beyond-length", {"bridge.length": 43}),
    (B, {"bridge.face": 7.6}, "bridge.face", "face-beyond-feet", {"bridge.face": 7.5}),
    (B, {"bridge.feet": 2}, "bridge.foot", "foot-missing", {"bridge.feet": 1}),
    (B, {"bridge.feet": 3, "bridge.foot": 24.1}, "bridge.foot", "feet-too-wide", {"bridge.feet": 3, "bridge.foot": 24}),
    (B, {"bridge.height": 5.4}, "bridge.height", "bridge-too-low", {"bridge.height": 5.5}),
    (
        B,
        {"rim.head": 100, "rim.fret_12_to_near_edge": 280, "bridge.length": 100},
        "bridge.length",
        "bridge-longer-than-head",
        {"rim.head": 100, "rim.fret_12_to_near_edge": 280, "bridge.length": 99.9},
    ),
    (
        B,
        {"rim.fret_12_to_near_edge": 333.4},
        "rim.fret_12_to_near_edge",
        "bridge-beside-head",
        {"rim.fret_12_to_near_edge": 333.3},
    ),
    (
        B,
        {"rim.fret_12_to_far_edge": 333.3},
        "rim.fret_12_to_far_edge",
        "bridge-beside-head",
        {"rim.fret_12_to_far_edge": 333.4},
    ),
    (
        B,
        {"rim.fret_12_to_near_edge": 200, "rim.fret_12_to_far_edge": 400},
        "rim.fret_12_to_far_edge",
        "both-given",
        None,
    ),
    (M, {"top.arch_rise": 5}, "top.arch_span", "arch-half-given", None),
    (M, {"top.arch_span": 100}, "top.arch_rise", "arch-half-given", None),
    (M, {"top.arch_rise": 5, "top.arch_span": 100}, "board.over_top", "over-top-missing", None),
    (
        M,
        {"top.arch_rise": 50.1, "top.arch_span": 100, "board.over_top": 8},
        "top.arch_span",
        "arch-too-high",
        {"top.arch_rise": 50, "top.arch_span": 100, "board.over_top": 8},
    ),
    # a place found by ear
    (B, {"found.treble": 669.0}, "found.bass", "found-end-missing", {"found.treble": 669.0, "found.bass": 669.0}),
    (B, {"found.bass": 669.0}, "found.treble", "found-end-missing", None),
    (B, {"found.treble": 669.0, "found.bass": 669.0, "found.fret": 12}, "found.fret", "found-fret-alone", None),
    (B, {"found.feet_treble": 330.0, "found.feet_bass": 330.0}, "found.fret", "found-fret-missing", None),
    (B, {"found.treble": 600.0, "found.bass": 669.0}, "found.treble", "found-out-of-range", None),
    (
        B,
        {"found.treble": 600.1, "found.bass": 733.5},
        "found.bass",
        "found-out-of-range",
        {"found.treble": 600.1, "found.bass": 733.4},
    ),
    (B, {"found.treble": 669.0, "found.bass": 736.8}, "found.bass", "found-beyond-tailpiece", None),
    (
        B,
        {"found.treble": 669.0, "found.bass": 669.0, "found.ticks_bass": 2.0},
        "found.ticks_bass",
        "found-two-ways",
        None,
    ),
    (B, {"found.a4": 440.0}, "found.a4", "found-place-missing", None),
    (
        B,
        {"found.treble": 669.0, "found.bass": 669.0, "found.date": datetime.date(1899, 12, 31)},
        "found.date",
        "date-out-of-range",
        {"found.treble": 669.0, "found.bass": 669.0, "found.date": datetime.date(2026, 11, 27)},
    ),
    (B, {"found.treble": 669.0, "found.bass": 669.0, "found.date": "soon"}, "found.date", "date-unread", None),
    (
        B,
        {"found.treble": 669.0, "found.bass": 669.0, "found.date": datetime.datetime(2026, 11, 27, 9, 0)},
        "found.date",
        "date-unread",
        None,
    ),
    (B, {"board.nut_width": 140, "board.radius": 60}, "board.radius", "radius-too-small", {"board.radius": 300}),
    (B, {"found.same_make": False}, "found.same_make", "found-place-missing", None),
]
