"""Printers with known errors, and people who measure their sheets with a rule."""

import io

import numpy as np
from readers import MM_PER_POINT, svg_pieces
from samples import run

ENDS = {"across": ("ab", "dc"), "down": ("ad", "bc"), "diagonals": ("ac", "bd")}
"""Crosses by their letters, for each option, in the order in which it takes them."""


def matrix(across, down, shear_deg, turn_deg=0.0):
    """What a printer does to a sheet, x to the right and y down: right angles lean by the shear, and all is turned."""
    shear, turn = np.radians(shear_deg), np.radians(turn_deg)
    turned = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return turned @ np.array([[across, down * np.sin(shear)], [0, down * np.cos(shear)]])


def crosses(svg):
    """The middle of every cross of a check sheet."""
    drawn = svg_pieces(svg)
    middles = {}
    for letter in "abcd":
        flat, upright = drawn[f"cross-{letter}"]
        middles[letter] = np.array([(flat[0] + flat[2]) / 2, (upright[1] + upright[3]) / 2])
    return middles


def measured(svg, printer):
    """Lengths between the crosses of a check sheet as printed, by option."""
    at = crosses(svg)
    return {
        option: [float(np.linalg.norm(printer @ (at[end] - at[start]))) for start, end in pairs]
        for option, pairs in ENDS.items()
    }


def add(name, lengths, *more):
    """Type the measured lengths: (exit status, standard output, standard error)."""
    written = [word for option, mm in lengths.items() for word in (f"--{option}", *(f"{each:.12f}" for each in mm))]
    return run("printer", "add", name, *written, *more)


def printed(pdf, printer):
    """A PDF's pages as the printer prints them, transformed about the middle of each; by pypdf."""
    from pypdf import PdfReader, PdfWriter, Transformation

    # PDF measures y upwards.
    (a, c), (b, d) = printer * np.array([[1, -1], [-1, 1]])
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(pdf)))
    for page in writer.pages:
        middle = np.array([float(page.mediabox.width), float(page.mediabox.height)]) / 2
        shift = middle - np.array([[a, c], [b, d]]) @ middle
        page.add_transformation(Transformation((a, b, c, d, *shift)))
    file = io.BytesIO()
    writer.write(file)
    return file.getvalue()


def text_places(pdf, texts):
    """Where each of these texts begins and ends on its base line, mm, and which way. They are all texts of the first page.

    Read with pdfplumber on pdfminer.
    """
    import pdfplumber

    with pdfplumber.open(io.BytesIO(pdf)) as file:
        chars, height = file.pages[0].chars, float(file.pages[0].height)
    letters = "".join(char["text"] for char in chars)
    assert letters.replace("\N{NO-BREAK SPACE}", " ") == "".join(texts).replace("\N{NO-BREAK SPACE}", " ")
    places, done = [], 0
    for text in texts:
        first, last = chars[done], chars[done + len(text) - 1]
        done += len(text)
        ways = [np.array([char["matrix"][0], -char["matrix"][1]]) for char in (first, last)]
        start, end = (np.array([char["matrix"][4], height - char["matrix"][5]]) for char in (first, last))
        places.append((start * MM_PER_POINT, (end + ways[1] * last["adv"]) * MM_PER_POINT, ways[0]))
    return places
