"""The rectangle that a cut file carries to be measured after import: programs that guess dots per inch make wrong parts."""

from jigs.cutting.engraving import all_engraved
from jigs.cutting.words import REFERENCE
from jigs.drawing.items import Drawing, Path, Role, Text, drawing
from jigs.drawing.lettering import LINE_STEP, SMALL

WIDTH_MM, HEIGHT_MM = 100.0, 50.0
_INSET = 3.0


def reference(facts: tuple[str, ...]) -> Drawing:
    """The rectangle with what to do and what the file holds, all of it on the guide layer; top left corner at the origin."""
    frame = ((0.0, 0.0), (WIDTH_MM, 0.0), (WIDTH_MM, HEIGHT_MM), (0.0, HEIGHT_MM))
    lines = (*REFERENCE, "", *facts)
    words = Drawing(
        tuple(Text((_INSET, _INSET + SMALL + n * SMALL * LINE_STEP), line, SMALL) for n, line in enumerate(lines))
    )
    return drawing(Path((frame,), Role.GUIDE, "reference", closed=True), all_engraved(words, Role.GUIDE))
