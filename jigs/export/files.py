"""Sheets as files: one PDF of all of them, an SVG for each."""

from collections.abc import Iterable, Sequence

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
                part = f"-{sheet.title.sheet}" if len(sheets) > 1 else ""
                files[f"{name}{part}.svg"] = to_svg(sheet, title, subject)
    return files
