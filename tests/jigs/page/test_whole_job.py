"""The whole job on the page, from the first visit to stop and the place kept: by keyboard alone, and by touch alone."""

import pytest
from browsing import assert_each_is_shown, tab_to
from playwright.sync_api import expect
from samples import run

HALF, GAUGE, ACTION = "291.1", ".0105", "2.6"
ROUNDS = (("0 / 1 / 0", "3 / 4 / 3", "0 / 0 / 1", "-4 / -3 / -4"), ("0 / 1 / 0", "1 / 0 / 0", "1 / 0 / 0", "0 / 0 / 1"))
"""What a tuner reads: octave harmonic and fretted note of the treble string, then of the bass string."""

TONES = [f"readings.{end}-{tone}" for end in ("treble", "bass") for tone in ("harmonic", "fretted")]
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
FINGER = 44
"""The least height of what a finger presses, in CSS pixels."""


def assert_same_as_the_command_line(folder, measured, pdf, kept):
    """The PDF and the kept file, each with its name, are those that ``jigs`` writes for the instrument file of the page."""
    mine, log = folder / measured[0], folder / "log"
    mine.write_bytes(measured[1])
    assert run("draw", mine, "--paper", "letter", "--format", "pdf", "--out", folder)[0] == 0
    assert (folder / pdf[0]).read_bytes() == pdf[1]
    for n, read in enumerate(ROUNDS):
        options = [] if n else ["--at", "line"]
        for string, harmonics, fretted in ((1, *read[:2]), (4, *read[2:])):
            options += ["--string", string]
            for pair in zip(harmonics.split("/"), fretted.split("/"), strict=True):
                options += ["--harmonic", pair[0], "--fretted", pair[1]]
        assert run("readings", mine, *options, "--log", log)[0] == 0
    assert run("keep", mine, "--log", log)[0] == 0
    assert kept == (measured[0], mine.read_bytes())
    assert b"[found]" in kept[1]


class ByKeyboard:
    """Nothing but keys: Tab leads to a control, and every stop on the way is noted."""

    def __init__(self, here):
        self.here, self.keys, self.stops = here, here.page.keyboard, []

    def reach(self, control):
        if not self.here.page.locator(f'[id="{control}"]').evaluate("one => one === document.activeElement"):
            tab_to(self.here.page, control, self.stops)

    def go_to(self, view):
        self.press(f"to-{view}")

    def choose_preset(self, title):
        self.reach("preset")
        self.keys.press(title[0])  # the only one with this letter

    def fill(self, key, text):
        self.reach(f"f-{key}")
        self.keys.press("Control+A")
        self.keys.type(text)

    def press(self, button):
        self.reach(button)
        self.keys.press("Enter")


class ByTouch:
    """Nothing but a finger, and the keys that a telephone shows. What is touched is large enough."""

    def __init__(self, here):
        self.here = here

    def tap(self, control):
        control = self.here.page.locator(f'[id="{control}"]')
        control.tap()
        height = control.bounding_box()["height"]
        assert height >= FINGER, f"{control} is {height} px high"
        return control

    def go_to(self, view):
        self.tap(f"to-{view}")
        self.here.assert_no_wider_than_the_window()

    def choose_preset(self, title):
        self.tap("preset").select_option(label=title)

    def fill(self, key, text):
        self.tap(f"f-{key}").fill(text)

    def press(self, button):
        self.tap(button)
        self.here.assert_no_wider_than_the_window()


def the_whole_job(here, hands):
    """Measure, print, listen twice and keep: the instrument file, the PDF and the kept file, each with its name."""

    def entered(key, text):
        with here.page.expect_response(lambda answer: here._is_about(answer, key, text)) as answer:
            hands.fill(key, text)
        assert here.settled(answer.value)["faults"] == []

    def taken(button):
        with here.page.expect_download() as coming:
            hands.press(button)
        with open(coming.value.path(), "rb") as file:
            return coming.value.suggested_filename, file.read()

    with here.page.expect_response("**/draw") as answer:
        hands.choose_preset("Tenor banjo")
    assert here.settled(answer.value)["name"] == "Tenor banjo"
    entered("nut_to_fret_12", HALF)
    entered("strings.1.gauge", GAUGE)
    entered("action.fret_12", ACTION)

    hands.go_to("print")
    entered("draw.paper", "letter")
    measured, pdf = taken("file"), taken("pdf")

    hands.go_to("listen")
    for n, read in enumerate(ROUNDS):
        for key, text in zip(TONES, read, strict=True):
            hands.fill(key, text)
        if n == 0:
            hands.press("on-the-line")
            hands.press("next-round")
            expect(here.page.locator("#rounds-list li")).to_have_count(1)
            expect(here.field(TONES[0])).to_be_focused()
    expect(here.page.locator("#advice-lines")).to_contain_text("Stop")
    hands.press("keep-now")
    expect(here.page.locator("#kept")).to_be_focused()
    return measured, pdf, taken("kept-file")


def test_the_whole_job_is_done_by_keyboard_alone(visit, tmp_path):
    here = visit(viewport={"width": 1366, "height": 768})
    hands = ByKeyboard(here)
    assert_same_as_the_command_line(tmp_path, *the_whole_job(here, hands))
    assert_each_is_shown(hands.stops)


def test_the_whole_job_is_done_on_a_narrow_telephone_by_touch_alone(visit, tmp_path):
    here = visit(**PHONE)
    here.assert_no_wider_than_the_window()
    assert_same_as_the_command_line(tmp_path, *the_whole_job(here, ByTouch(here)))


@pytest.mark.parametrize("view", ["measure", "print"])
@pytest.mark.parametrize(("width", "height"), [(1366, 768), (390, 844)])
def test_steps_drawing_and_the_goal_are_in_the_first_view(visit, view, width, height):
    """A first visitor sees where they are, what they get and how to get it before they scroll."""
    phone = {"has_touch": True, "is_mobile": True} if width < 400 else {}
    here = visit("" if view == "measure" else f"view={view}", viewport={"width": width, "height": height}, **phone)
    glance = here.page.locator("#glance")
    foot = glance.bounding_box()["y"] if glance.is_visible() else height
    for control in ("#to-measure", "#to-print", "#to-listen", "#pdf", "#card"):
        box = here.page.locator(control).bounding_box()
        seen = box["height"] / 2 if control == "#card" else box["height"]
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= width
        assert box["y"] >= 0
        assert box["y"] + seen <= foot, f"{control} is out of the first view"
    assert here.page.evaluate("() => scrollY") == 0


@pytest.mark.parametrize(("step", "then"), [("measure", "Print"), ("print", "Listen")])
def test_foot_of_a_step_leads_to_the_next(visit, step, then):
    """A telephone's user has scrolled far from the steps at the top, and a keyboard's has tabbed far."""
    here = visit(f"view={step}", **PHONE)
    following = here.page.get_by_role("link", name=f"Next: {then}")
    following.scroll_into_view_if_needed()
    following.focus()
    here.page.keyboard.press("Enter")
    expect(here.page.get_by_role("heading", name=then, exact=True)).to_be_visible()
    expect(here.page.locator(f"#to-{then.lower()}")).to_be_focused()
    assert here.page.evaluate("() => scrollY") == 0
