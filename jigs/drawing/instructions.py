"""What a sheet says in words, as values: the job, the datum, steps, line samples, notes, cautions.

A template writes them. `jigs.sheets.flow` lays them out where the drawing leaves room, and goes on on another sheet.
"""

from dataclasses import dataclass

from jigs.drawing.items import Role


@dataclass(frozen=True)
class Instructions:
    """The words of a sheet. ``title`` says the job, ``datum`` what the part lies against; both are read from afar.

    ``steps`` are in the order of the hands. ``legend`` has only lines that look different. ``notes`` say what was computed
    from what, and how sure it is. ``cautions`` share a frame at the end. ``further``: title and datum of each further
    drawing that shows something else. ``check`` asks to check values before the first step.
    """

    title: str = ""
    datum: str = ""
    steps: tuple[str, ...] = ()
    legend: tuple[tuple[Role, str], ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    further: tuple[tuple[str, str], ...] = ()
    check: str = ""

    @property
    def headings(self) -> "Instructions":
        """What a drawing can be refused for: all words but these may go to another sheet."""
        return Instructions(self.title, self.datum, further=self.further)
