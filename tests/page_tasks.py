"""Five tasks on the page, done as a newcomer does them who reads nothing else: each control is found by what the page shows.

Tests look at what comes out; `tests/bench/page_tasks.py` prints how long each takes.
"""

import re
import time
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import expect

PRINTER = "kitchen"
LENGTHS = {
    "(1) A to B": "189.4",
    "(2) D to C": "189.5",
    "(3) A to D": "276.9",
    "(4) B to C": "276.8",
    "(5) A to C": "335.4",
    "(6) B to D": "335.2",
}
"""What the newcomer reads on the check sheet of A4."""

ROUNDS = (("0 / 1 / 0", "-3 / -2 / -3", "0 / 0 / 1", "4 / 5 / 4"), ("0 / 1 / 0", "1 / 0 / 0", "1 / 0 / 0", "0 / 0 / 1"))
"""What a tuner reads: octave harmonic and fretted note of the treble string, then of the bass string."""

DOWNLOAD, FILE = "Download the PDF to print", "Instrument file"


@dataclass
class Newcomer:
    """A person at the page: what they filled in, how often they clicked, and what they downloaded, in its order."""

    page: object
    fields: int = 0
    clicks: int = 0
    files: list = field(default_factory=list)

    def labelled(self, label, group=None):
        """The control with this label, in a group with such a title, that the page shows now."""
        room = self.page if group is None else self.page.get_by_role("group", name=group)
        return room.get_by_label(re.compile(rf"^{re.escape(label)}")).filter(visible=True)

    def fill(self, label, text, group=None):
        self.labelled(label, group).fill(text)
        self.fields += 1

    def choose(self, label, option):
        chosen = self.labelled(label)
        chosen.select_option(label=chosen.get_by_role("option", name=re.compile(rf"^{option}")).text_content())
        self.fields += 1

    def answer(self, question, answer):
        self.page.get_by_role("group", name=question).get_by_role("radio", name=answer, exact=True).check()
        self.fields += 1

    def click(self, name, role="link"):
        self.page.get_by_role(role, name=name, exact=True).click()
        self.clicks += 1

    def press(self, name):
        self.click(name, "button")

    def follow_the_last_of_the_preset(self, name):
        """Press the only link that is left in the note of what is still the preset's."""
        note = self.page.get_by_text("These values are the preset’s")
        expect(note.get_by_role("link")).to_have_text([name])
        self.click(name)

    def go_to(self, step):
        self.page.get_by_role("navigation", name="Steps").get_by_role("link", name=step).click()
        self.clicks += 1

    def take(self, name):
        """Press a button that gives a file, and return its name and content."""
        with self.page.expect_download() as coming:
            self.press(name)
        self.files.append((coming.value.suggested_filename, Path(coming.value.path()).read_bytes()))
        return self.files[-1]


def banjo_fork(someone):
    """A fork for a five-string banjo with the user's own gauges; nothing that places the bridge is left the preset's."""
    someone.choose("Which instrument?", "Five-string banjo")
    someone.fill("Nut to fret 12", "334.1")
    for n, gauge in enumerate((".0095", ".011", ".013", ".020w", ".0095"), 1):
        someone.fill("Gauge", gauge, f"String {n}")
    someone.fill("String height at fret 12", "2.7")
    someone.follow_the_last_of_the_preset("bridge")
    someone.fill("Thickness of the feet", "8.2")
    expect(someone.page.get_by_text("These values are the preset’s")).to_be_hidden()
    someone.go_to("Print")
    someone.fill("Paper", "a4")
    someone.take(DOWNLOAD)
    someone.take(FILE)


def mandolin_fork(someone):
    """The same for a mandolin with a stepped saddle."""
    someone.choose("Which instrument?", "Mandolin")
    someone.answer("Is the saddle stepped?", "Yes")
    someone.fill("Steps of saddle or crown", "-1.1, 1.4, -0.5, 0.9")
    someone.fill("Nut to fret 12", "6 15/16 in")
    for n, gauge in enumerate((".010", ".014", ".024w", ".038w"), 1):
        someone.fill("Gauge", gauge, f"String {n}")
    someone.fill("String height at fret 12", "1.8")
    someone.follow_the_last_of_the_preset("bridge")
    someone.fill("Thickness of the feet or base", "10.5")
    expect(someone.page.get_by_text("These values are the preset’s")).to_be_hidden()
    someone.go_to("Print")
    someone.fill("Paper", "a4")
    someone.take(DOWNLOAD)
    someone.take(FILE)


def printer_measured(someone):
    """A printer: its check sheet, six lengths on it, kept, chosen, and a PDF that is corrected for it."""
    someone.go_to("Print")
    someone.fill("Paper", "a4")
    someone.page.get_by_role("heading", name="Measure a printer").click()
    someone.clicks += 1
    someone.take("Check sheet")
    for label, length in LENGTHS.items():
        someone.fill(label, length)
    someone.fill("Your name for the printer", PRINTER)
    someone.press("Keep this printer")
    expect(someone.labelled("Printer")).to_have_value(PRINTER)
    someone.take(DOWNLOAD)
    someone.take(FILE)


def two_rounds(someone):
    """Two rounds at the bench, from the sheet's line to stop, and the place kept."""
    someone.go_to("Listen")
    for n, read in enumerate(ROUNDS, 1):
        for place, text in zip(((end, tone) for end in ENDS for tone in TONES), read, strict=True):
            someone.fill(place[1], text, place[0])
        if n == 1:
            someone.press("It stands on the sheet's line")
            someone.press("Moved. Next round")
            expect(someone.page.get_by_role("listitem").filter(has_text="Round 1")).to_be_visible()
    someone.press("Keep this place")
    someone.take("Download the instrument file")


ENDS, TONES = ("treble end", "bass end"), ("Octave harmonic", "Pressed at fret 12")


def gauge_to_cut(someone):
    """A gauge as DXF, to have it cut."""
    someone.fill("Nut to fret 12", "334.1")
    someone.choose("Template", "gauge")
    someone.go_to("Print")
    someone.take("DXF")
    someone.take(FILE)


TASKS = {
    "a fork for a five-string banjo, own gauges": banjo_fork,
    "a fork for a mandolin, stepped saddle": mandolin_fork,
    "a printer measured": printer_measured,
    "two rounds to stop": two_rounds,
    "a gauge as DXF": gauge_to_cut,
}
MOST_FIELDS = 15


def done(task, page, address):
    """Do a task from the first visit on: who did it, and the seconds that it took."""
    someone = Newcomer(page)
    began = time.perf_counter()
    page.goto(address)
    task(someone)
    return someone, time.perf_counter() - began
