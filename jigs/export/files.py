"""Sheets as files: one PDF of all of them, an SVG for each; and a sheet for a cutter."""

from collections.abc import Iterable, Mapping, Sequence

from jigs.drawing.items import CUT_LAYERS, Role, Style
from jigs.sheets.paper import Sheet


def page_files(
    sheets: Sequence[Sheet], formats: Iterable[str], name: str, title: str, subject: str
) -> dict[str, bytes]:
    """The sheets in every format, in memory, by file names that begin with ``name``."""
    files: dict[str, bytes] = {}
    for kind in dict.fromkeys(formats):
        if kind == "pdf":
            from jigs.export.pdf import to_pdf

            files[f"{name}.pdf"] = to_pdf(sheets, title, subject)
        else:
            from jigs.export.svg import to_svg

            for sheet in sheets:
                part = f"-{sheet.title.part}" if sheet.title.part else ""
                files[f"{name}{part}.svg"] = to_svg(sheet, title, subject)
    return files


def cut_files(
    sheet: Sheet, formats: Iterable[str], name: str, title: str, styles: Mapping[Role, Style]
) -> dict[str, bytes]:
    """A sheet for a cutter as DXF and SVG, in memory, by file name; ``styles``: the lines as the cutter's program wants."""
    files: dict[str, bytes] = {}
    for kind in formats:
        if kind == "dxf":
            from jigs.export.dxf import to_dxf

            files[f"{name}.dxf"] = to_dxf(sheet, styles)
        else:
            from jigs.export.svg import to_svg

            files[f"{name}.svg"] = to_svg(sheet, title, f"Scale 1:1, {sheet.paper.name}", styles, CUT_LAYERS)
    return files
