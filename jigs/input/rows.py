"""Lines of a CSV text that a user typed or a spreadsheet wrote: commas, semicolons or tabs between, notes after #."""

import csv
from dataclasses import dataclass

from jigs.input.text import lines_of

_OF_NO_CELL = str.maketrans(',;"', "   ")
"""What a line of empty cells has, beside blanks of any kind."""


@dataclass(frozen=True)
class CsvLine:
    """A line with something in it. ``number`` counts from 1 in the file; ``between`` is what parts the cells."""

    number: int
    text: str
    between: str

    @property
    def cells(self) -> list[str]:
        """The cells, spaces about them and empty ones at the end removed."""
        cells = [cell.strip() for cell in next(csv.reader([self.text], delimiter=self.between, skipinitialspace=True))]
        while cells and not cells[-1]:
            cells.pop()
        return cells


def csv_lines(text: str) -> list[CsvLine]:
    """The lines of a text that hold anything, without their notes.

    >>> [(line.number, line.cells) for line in csv_lines("1; 36,5  # measured twice")]
    [(1, ['1', '36,5'])]
    >>> csv_lines('"')
    []
    """
    lines = [(n, line.partition("#")[0].rstrip("\r\n")) for n, line in enumerate(lines_of(text), 1)]
    lines = [(n, line) for n, line in lines if line.translate(_OF_NO_CELL).strip()]
    between = max(";\t,", key=lambda mark: sum(mark in line for _, line in lines))
    return [CsvLine(n, line, between) for n, line in lines]
