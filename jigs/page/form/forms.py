"""The page's other forms, each with its fields: a fault at ``Place(table=FORM, key=KEY)`` is shown at the field FORM.KEY."""

from collections.abc import Iterator, Mapping

from jigs.page import bench_words, boards_words, other_strings_words, printing_words, shelf_words
from jigs.page.form.fields import Field
from jigs.printers.printer import SPANS

PRINTER, PRINTER_NAME, READING_ERROR = "printer", "name", "reading-error"

LENGTHS = {option: tuple(f"{one.start}-{one.end}".lower() for one in spans) for option, spans in SPANS.items()}
"""The fields of the lengths on a check sheet, by the option that takes both of a kind."""


def _lengths() -> Iterator[Field]:
    spans = [(option, span) for option, both in SPANS.items() for span in both]
    keys = [key for keys in LENGTHS.values() for key in keys]
    for number, (key, (option, span)) in enumerate(zip(keys, spans, strict=True), 1):
        label, hint = printing_words.of_length(number, (span.start, span.end), option == "diagonals")
        yield Field(key, label, hint, "text")


PRINTER_FIELDS = (
    *_lengths(),
    Field(PRINTER_NAME, *printing_words.NAME, "text"),
    Field(READING_ERROR, *printing_words.READING_ERROR, "text"),
)
"""A printer, in the order of the hands: what is read on its check sheet, and what to call it."""

BOARDS, BOARDS_TEXT = "boards", "text"

BOARDS_FIELDS = (
    Field(BOARDS_TEXT, *boards_words.TEXT, "text"),
    Field(READING_ERROR, *boards_words.READING_ERROR, "length"),
)
"""An old board: the distances that were measured on it."""

SETS, NOW, NEW, MAKE = "sets", "now", "new", "make"

SETS_FIELDS = (
    Field(NOW, *other_strings_words.NOW, "text"),
    Field(NEW, *other_strings_words.NEW, "text"),
    Field(
        MAKE,
        *other_strings_words.MAKE,
        "choice",
        (other_strings_words.OTHER_MAKE,),
        other_strings_words.SAME_MAKE,
    ),
)
"""Two sets of strings, as on their packets."""

KEEP = "keep"

KEEP_FIELDS = (
    Field("how", bench_words.KEEP_HOW, "", "choice", tuple(bench_words.HOW)),
    Field("fret", *bench_words.KEEP_FRET, "whole"),
    Field("treble", *bench_words.KEEP_TREBLE, "text"),
    Field("bass", *bench_words.KEEP_BASS, "text"),
    Field("plus-minus", *bench_words.KEEP_PLUS_MINUS, "text"),
    Field("date", *bench_words.KEEP_DATE, "text"),
    Field("strings", *bench_words.KEEP_STRINGS, "text"),
)
"""A place that was found by ear, and how the user knows it."""

SHELF, SHELF_FILE, SHELF_TEMPLATES = "shelf", "file", "templates"

SHELF_FIELDS = (
    Field(SHELF_FILE, *shelf_words.FILE_NAME, "text"),
    Field(SHELF_TEMPLATES, *shelf_words.TEMPLATES, "choice"),
)
"""What the shelf needs to save a new file, and to draw all."""

FORMS: Mapping[str, tuple[Field, ...]] = {
    PRINTER: PRINTER_FIELDS,
    BOARDS: BOARDS_FIELDS,
    SETS: SETS_FIELDS,
    KEEP: KEEP_FIELDS,
    SHELF: SHELF_FIELDS,
}
"""Every form besides the instrument's, the drawing's and the readings'."""

LABELS = {f"{form}.{field.key}": field.label for form, fields in FORMS.items() for field in fields}
"""What each field is called."""
