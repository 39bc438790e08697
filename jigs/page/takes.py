"""Files to take besides the sheet's own: its DXF, all templates in one archive, the kit of parts on sheets of stock."""

from jigs.cutting.nesting import stock_named
from jigs.export.archive import archive
from jigs.export.formats import FORMATS
from jigs.faults import on_one_line
from jigs.page import printing_words as words
from jigs.page.drawing import Making, order_of
from jigs.page.faults_at_fields import field_of, where_of
from jigs.page.form.fields import TEMPLATE, label_of
from jigs.page.request import Reply, Request
from jigs.press.kit import prepare_kit
from jigs.press.missing import Missing
from jigs.press.press import Printed, prepare
from jigs.templates.catalogue import KIT, KIT_SHEET, NAMES
from jigs.workup.work_up import work_up

FILES = {"dxf", "archive", "kit"}
"""Routes whose answer is a file."""

LONGER = {"archive": 60.0, "kit": 60.0}
"""The seconds that these may take, because they draw much at once."""

NOT_DRAWN = "not-drawn.txt"
"""The file of an archive that says what it lacks."""

_ALL_FORMATS = ",".join(FORMATS)


def _dxf(request: Request) -> Reply:
    (content,) = Making(request, None).files(("dxf",)).files.values()
    return Reply(200, "image/vnd.dxf", content)


def _archive(request: Request) -> Reply:
    """Every file of every template that can be drawn, and the instrument file."""
    workup = work_up(request.instrument())
    order = order_of(request, NAMES, format=_ALL_FORMATS)
    printed = prepare(workup, order, request.stem)
    return _zipped(request, printed, {request.own_file: request.instrument_text().encode()})


def _kit(request: Request) -> Reply:
    """The parts of the instrument to cut, on sheets of stock of the size that the command line has too."""
    workup = work_up(request.instrument())
    order = order_of(request, KIT, format=_ALL_FORMATS, kit="true")
    return _zipped(request, prepare_kit(workup, order, stock_named(KIT_SHEET, None), request.stem), {})


def _zipped(request: Request, printed: Printed, more: dict[str, bytes]) -> Reply:
    lacking = [_lacking(one, request.source) for one in printed.missing]
    said = {NOT_DRAWN: words.not_drawn(lacking).encode()} if lacking else {}
    return Reply(200, "application/zip", archive({**printed.files, **more, **said}))


def _lacking(missing: Missing, source: str) -> str:
    """What could not be made, and why, on one line: first the field to fill in, if there is one."""
    of_template = field_of(missing.why, source) == f"draw.{TEMPLATE}"
    where = "" if of_template else where_of(missing.why, source)
    return on_one_line(": ".join(filter(None, (", ".join(missing.names), where, missing.why.sentence(label_of)))))


ROUTES = {"dxf": _dxf, "archive": _archive, "kit": _kit}
