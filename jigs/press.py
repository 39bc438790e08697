"""The whole way: an instrument, templates, paper and formats in, whole files on disk out."""

import os
import tempfile
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from jigs.cutter import Cutter
from jigs.engraving import engravable
from jigs.faults import InputFaults, nearest, refuse
from jigs.instrument import Instrument, load, parse
from jigs.interrupts import held_back
from jigs.lettering import writable
from jigs.pages import page_files
from jigs.paper import PAPERS, Paper, Sheet, long_on_sheets, on_sheet, own_size_for, room_on, size_in_words
from jigs.parts.title import Title
from jigs.spelling import lettering_warnings, spelt
from jigs.sureness import USUAL_DATUM_FRET, in_short
from jigs.templates import CUT_FROM_STOCK, FOR_CUTTERS, DoesNotFit, Lacks, Options, Piece, Template, templates
from jigs.workup import Workup

if TYPE_CHECKING:
    from jigs.printer import Printer

UNFINISHED = ".part"
"""How the name of a file ends that is not complete yet."""

PRESETS = Path(__file__).parent / "presets"


@dataclass(frozen=True)
class Printed:
    """Files ready to be written, by name, and what the user should know about them."""

    files: Mapping[str, bytes]
    warnings: tuple[str, ...]


def preset_names() -> list[str]:
    """The presets' names."""
    return sorted(path.stem for path in PRESETS.glob("*.toml"))


def preset_text(name: str) -> str:
    """A preset's instrument file. Raises `InputFaults` for an unknown name."""
    if name not in preset_names():
        raise refuse("presets", f'there is no preset "{name}"; {nearest(name, preset_names())}')
    return (PRESETS / f"{name}.toml").read_text(encoding="utf-8")


def open_instrument(file_or_preset: str) -> Instrument:
    """An instrument from a file, or from a preset if no file has that name. Raises `InputFaults`."""
    path = Path(file_or_preset)
    if file_or_preset in preset_names() and not (_is_there(path) and path.is_file()):
        return parse(preset_text(file_or_preset).encode(), f"preset {file_or_preset}")
    try:
        return load(path)
    except InputFaults:
        if not path.name or path.suffix or path.parent != Path(".") or _is_there(path):
            raise
        beside = path.with_suffix(".toml")
        remedy = f'did you mean "{beside}"?' if _is_there(beside) else nearest(file_or_preset, preset_names())
        raise refuse(file_or_preset, f"is neither a file nor a preset; {remedy}") from None


def _is_there(path: Path) -> bool:
    """Whether a file or folder has that name, however odd the name is."""
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def stem_for(file_or_preset: str) -> str:
    """How the files of an instrument begin: as its own file does, or as the preset is called.

    >>> stem_for("shelf/Mine 2.toml"), stem_for("tenor-banjo")
    ('mine-2', 'tenor-banjo')
    """
    return file_stem(Path(file_or_preset).stem)


def chosen(names: Sequence[str], source: str = "draw") -> list[Template]:
    """Templates by name. Raises `InputFaults` for an unknown one; ``source`` is where it was named."""
    known = templates()
    for name in names:
        if name not in known:
            raise refuse(source, f'there is no template "{name}"; {nearest(name, known)}')
    return [known[name] for name in dict.fromkeys(names)]


def lay_out(
    workup: Workup,
    template: Template,
    paper: Paper,
    options: Options,
    untiled: bool = False,
    printer: "Printer | None" = None,
) -> list[Sheet]:
    """One template on as many sheets as it takes, corrected for a printer if there is one.

    Raises `InputFaults`, naming the papers that would do.
    """
    try:
        return _sheets(workup, template, paper, options, untiled, printer)
    except DoesNotFit as reason:
        source = workup.instrument.source
        enough = [size_in_words(other) for other in PAPERS.values() if _fits(workup, template, other, options, printer)]
        remedy = f"take {' or '.join(enough)}" if enough else "give a larger sheet as --paper WxH, in mm"
        if options.datum_fret is not None and _fits(
            workup, template, paper, replace(options, datum_fret=None), printer
        ):
            remedy += ", or leave --datum-fret out"
        what = f"the {template.name} does not fit on {size_in_words(paper)}: {reason}; {remedy}"
        raise refuse(source, what, "--paper") from None


def _sheets(
    workup: Workup, template: Template, paper: Paper, options: Options, untiled: bool, printer: "Printer | None"
) -> list[Sheet]:
    """Raises `DoesNotFit`."""
    laid, piece = _drawn_for(workup, template, paper, options, printer)
    title = replace(_title(workup, piece), note="" if printer is None else printer.on_the_sheet)
    if piece.long and untiled:
        own = own_size_for(piece.drawing)
        paper = own if printer is None else printer.correction.paper_for(own)
        laid = replace(own, name=paper.name)
    sheets = long_on_sheets(piece.drawing, laid, title) if piece.long else [on_sheet(piece.drawing, laid, title)]
    if sheets is None:
        width = piece.drawing.bounds().width
        raise DoesNotFit(
            f"it is {width:.0f} mm wide without its registration crosses, and is to be joined; --untiled needs none"
        )
    return sheets if printer is None else [printer.correction.corrected(sheet, paper) for sheet in sheets]


def _drawn_for(
    workup: Workup, template: Template, paper: Paper, options: Options, printer: "Printer | None"
) -> tuple[Paper, Piece]:
    """The paper as this printer sees it, and the piece drawn in its room. Raises `DoesNotFit`."""
    laid = paper
    if printer is not None:
        laid = printer.correction.laid_on(paper)
        options = replace(options, print_share=printer.print_share)
    return laid, template.draw(workup, room_on(laid), options)


def how_sure_on(
    workup: Workup, template: Template, paper: Paper, options: Options, printer: "Printer | None"
) -> tuple[str, str]:
    """How sure the bridge line is with this sheet, as a figure and the rest of its sentence; for templates that do not place
    a bridge, with a fork."""
    fork = templates()["fork"]
    if template != fork:
        options = Options()
    try:
        datum = _drawn_for(workup, fork, paper, options, printer)[1].datum_fret
    except (DoesNotFit, Lacks):
        datum = None
    share = None if printer is None else printer.print_share
    return in_short(workup, datum or USUAL_DATUM_FRET, options.datum_over_fret and datum is not None, share)


def _fits(workup: Workup, template: Template, paper: Paper, options: Options, printer: "Printer | None") -> bool:
    try:
        _sheets(workup, template, paper, options, untiled=False, printer=printer)
    except DoesNotFit:
        return False
    return True


def _title(workup: Workup, piece: Piece) -> Title:
    return Title(workup.instrument.name, piece.document, piece.facts, scale=piece.scale)


def prepare(
    workup: Workup,
    drawn: Sequence[Template],
    paper: Paper,
    formats: Sequence[str],
    options: Options,
    stem: str,
    untiled: bool = False,
    leave_out: bool = False,
    printer: "Printer | None" = None,
) -> Printed:
    """Draw templates and write them in every format, in memory, as files whose names begin with ``stem``.

    PDF is one file of all sheets, SVG a file for each, DXF the part alone; so is the SVG of a part that is cut from stock.
    Sheets are corrected for the ``printer``; what is for a cutter is not, and a note says so.
    ``leave_out``: pass over templates that the instrument has no data for, and say so. Raises `InputFaults`.
    """
    files: dict[str, bytes] = {}
    notes: list[str] = []
    lacking = unengraved = ""
    for template in drawn:
        try:
            made = _made(workup, template, paper, dict.fromkeys(formats), options, stem, untiled, printer)
        except Lacks as reason:
            if not leave_out:
                raise refuse(workup.instrument.source, str(reason), template.name) from None
            if not reason.of_kind:
                notes.append(f"the {template.name} is left out: {reason}")
            continue
        files |= made.files
        notes += made.notes
        lacking += made.lacking
        unengraved = made.unengraved or unengraved
    name = workup.instrument.name
    if printer is not None:
        from jigs.printer import notes as printer_notes

        notes += printer_notes(printer, paper)
    return Printed(files, (*workup.warnings, *lettering_warnings(name, lacking, unengraved), *dict.fromkeys(notes)))


@dataclass(frozen=True)
class _Made:
    files: Mapping[str, bytes]
    notes: tuple[str, ...]
    lacking: str = ""
    unengraved: str = ""


def _made(
    workup: Workup,
    template: Template,
    paper: Paper,
    formats: Iterable[str],
    options: Options,
    stem: str,
    untiled: bool,
    printer: "Printer | None",
) -> _Made:
    """One template's files. Raises `InputFaults` and `Lacks`."""
    from_stock = template.name in CUT_FROM_STOCK
    on_paper = [name for name in formats if name == "pdf" or (name == "svg" and not from_stock)]
    for_cutter = [name for name in formats if name not in on_paper]
    what = f"there is no {' or '.join(for_cutter)} of the {template.name}, which is for paper"
    if for_cutter and template.name not in FOR_CUTTERS and not on_paper:
        raise Lacks(f"{what}; the gauge is the part for a cutter", of_kind=True)
    files: dict[str, bytes] = {}
    notes: tuple[str, ...] = ()
    lacking = ""
    name = f"{stem}-{template.name}"
    if on_paper:
        written = [spelt(sheet) for sheet in lay_out(workup, template, paper, options, untiled, printer)]
        lacking = "".join(missing for _, missing in written)
        files |= _on_paper([sheet for sheet, _ in written], on_paper, name, workup.instrument.name)
    if template.name in FOR_CUTTERS:
        piece = template.part(workup, options) if from_stock else template.draw(workup, room_on(paper), options)
        cut = _for_cutter(workup, piece, for_cutter, name, options.cutter, from_stock)
        files |= cut
        notes = piece.notes
        if printer is not None:
            from jigs.printer import uncorrected

            notes = (*notes, *uncorrected(cut, printer))
    elif for_cutter:
        notes = (what,)
    return _Made(files, notes, lacking, engravable(workup.instrument.name)[1] if from_stock else "")


def _on_paper(sheets: Sequence[Sheet], formats: Iterable[str], name: str, of: str) -> dict[str, bytes]:
    title = f"{sheets[0].title.document}: {writable(of)[0]}"
    note = sheets[0].title.note
    subject = (
        f"Scale {sheets[0].title.scale} on {size_in_words(sheets[0].paper)}{f'; {writable(note)[0]}' if note else ''}"
    )
    return page_files(sheets, formats, name, title, subject)


def _for_cutter(
    workup: Workup, piece: Piece, formats: Iterable[str], name: str, cutter: Cutter, from_stock: bool
) -> dict[str, bytes]:
    from jigs.cutfile import cut_sheet

    sheet = cut_sheet(piece.drawing, _title(workup, piece), cutter.kerf_mm if from_stock else 0.0)
    files: dict[str, bytes] = {}
    for kind in formats:
        if kind == "dxf":
            from jigs.export.dxf import to_dxf

            files[f"{name}.dxf"] = to_dxf(sheet.drawing, sheet.paper.height_mm, cutter.styles)
        else:
            from jigs.export.svg import to_svg

            title = f"{piece.document}: {writable(workup.instrument.name)[0]}"
            files[f"{name}.svg"] = to_svg(sheet, title, f"Scale 1:1, {sheet.paper.name}", cutter.styles)
    return files


def file_stem(name: str) -> str:
    """A name as the beginning of a file name: letters and digits of any script, hyphens between.

    >>> file_stem("Loan banjo 7"), file_stem("../Ré ♭!"), file_stem("///")
    ('loan-banjo-7', 'ré', 'instrument')
    """
    plain = unicodedata.normalize("NFC", name).lower()
    words = "".join(char if char.isalnum() else " " for char in plain).split()
    return "-".join(words) or "instrument"


def write_all(files: Mapping[str, bytes], folder: Path, prefix: str = ".") -> list[Path]:
    """Write files whole or not at all: all are complete beside their places before the first takes its place.

    Whoever asks to stop meanwhile is heard when all are in their places.
    ``prefix``: how the names of unfinished files begin. Raises `InputFaults` when the folder cannot be written.
    """
    with held_back():
        return _write_all(files, folder, prefix)


def _write_all(files: Mapping[str, bytes], folder: Path, prefix: str) -> list[Path]:
    waiting: list[tuple[Path, Path]] = []
    made: list[Path] = []
    try:
        made = [path for path in (folder, *folder.parents) if not path.exists()]
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            place = folder / name
            if place.is_dir():
                raise refuse(str(place), "a folder stands in this file's place; give another folder with --out")
            handle, part = tempfile.mkstemp(dir=folder, prefix=prefix, suffix=UNFINISHED)
            waiting.append((Path(part), place))
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            os.chmod(part, 0o666 & ~_umask())
        for part_path, place in waiting:
            os.replace(part_path, place)
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise refuse(str(folder), f"cannot be written ({reason}); give another folder with --out") from None
    finally:
        for part_path, _ in waiting:
            part_path.unlink(missing_ok=True)
        for parent in made:
            _remove_if_empty(parent)
    return [place for _, place in waiting]


def _remove_if_empty(folder: Path) -> None:
    try:
        folder.rmdir()
    except OSError:
        return


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
