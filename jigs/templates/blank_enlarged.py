"""The top edge of a new bridge from the nut, enlarged, and the numbers of its slots."""

import numpy as np

from geometry.lengths import round_half_up
from jigs.drawing.items import Circle, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import MEDIUM, SMALL
from jigs.templates import blank_words, crown_words
from jigs.templates.blank_plan import crown_half_mm, edge_places_mm
from jigs.templates.crown_plan import crown_plan, row_of, sides, wanted_steps_mm
from jigs.templates.table import table_of
from jigs.wording import signed
from jigs.workup.new_bridge import single_strings, slot_bottoms_mm, top_edge_mm
from jigs.workup.workup import Workup

_TITLE_GAP_MM = 3.0
_BLOCK_GAP_MM = 7.0
_UNDER_MM = 2.0
_OVER_MM = 1.6
_ABOVE_MM = 1.2
_ROW_MM = 4.0


def enlarged(workup: Workup, times: int) -> Drawing:
    """Crown from above and top edge from the nut, so many times as large; the top left corner at the origin."""
    crown = titled(crown_words.enlarged_title(times), crown_plan(workup, times))
    edge = titled(blank_words.enlarged_title(workup, times), _edge(workup, times))
    return crown + edge.shifted(0.0, crown.bounds().bottom + _BLOCK_GAP_MM)


def titled(title: str, part: Drawing) -> Drawing:
    """A drawing below its title, the top left corner at the origin."""
    box = part.bounds()
    return drawing(Text((0.0, MEDIUM), title, MEDIUM), part.shifted(-box.left, MEDIUM + _TITLE_GAP_MM - box.top))


def _edge(workup: Workup, times: int) -> Drawing:
    """The top edge with the strings in their slots; treble at the left, on a left-handed instrument at the right."""
    hand = -1.0 if workup.instrument.head.hand == "right" else 1.0
    places, half = edge_places_mm(workup), crown_half_mm(workup) * times
    levels = -top_edge_mm(workup, places) * times
    run = tuple(zip((hand * places * times).tolist(), levels.tolist(), strict=True))
    low = float(levels.max()) + _UNDER_MM * times
    body = ((run[0][0], low), run[0], run[-1], (run[-1][0], low))
    items: list[Item] = [
        Path((run,), Role.CUT, f"at-{times}-top-edge"),
        Path((body[1::-1], body[2:], body[::3]), Role.GUIDE),
        Line((-half, 0.0), (half, 0.0), Role.CENTRE, f"at-{times}-middle"),
    ]
    singles = single_strings(workup)
    across = hand * np.array([one.x_mm for one in singles]) * times
    bottoms = slot_bottoms_mm(workup, np.array([one.x_mm for one in singles]))
    tops = []
    for one, x, bottom in zip(singles, across.tolist(), (-bottoms * times).tolist(), strict=True):
        radius = workup.instrument.strings[one.entry].gauge / 2 * times
        items.append(Circle((x, bottom - radius), radius, Role.FINE, f"at-{times}-string-{one.name}"))
        items.append(Line((x, low - _OVER_MM), (x, low + _OVER_MM / 2), Role.FINE))
        tops.append(bottom - 2 * radius)
    first = min(*tops, 0.0) - _ABOVE_MM
    items += row_of(across, first, [one.name for one in singles])
    figures, first_row = blank_words.bottoms_in_words(workup, bottoms), low + _OVER_MM + SMALL
    items += row_of(across, first_row, figures) or [
        text for n in (0, 1) for text in row_of(across[n::2], first_row + n * _ROW_MM, figures[n::2])
    ]
    return Drawing((*items, *sides(-half, half, first_row + 2 * _ROW_MM, blank_words.SEEN, hand < 0)))


def table(workup: Workup) -> Drawing:
    """Every single string's slot: how high its bottom is, how deep it is, and where the string bears."""
    singles, strings = single_strings(workup), workup.instrument.strings
    bottoms = slot_bottoms_mm(workup, np.array([one.x_mm for one in singles]))
    steps = wanted_steps_mm(workup).tolist()
    rows: list[tuple[str, ...]] = [blank_words.table_heads(workup)]
    for one, figure in zip(singles, blank_words.bottoms_in_words(workup, bottoms), strict=True):
        deep = round_half_up(strings[one.entry].gauge / 2, 2)
        step = signed(steps[one.entry], 2)
        rows.append((f"{one.name} {strings[one.entry].note}", f"{figure} mm", f"{deep} mm", f"{step} mm"))
    return table_of(rows)
