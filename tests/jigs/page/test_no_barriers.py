"""Every view for everyone: axe-core finds nothing serious, nothing is wider than the window, and a finger hits it.

States that the tests of single views look at already (rounds, keeping, diagnosis, listening, the shelf, light and dark) are
not looked at again.
"""

from urllib.parse import quote

import pytest
from browsing import serious_barriers
from playwright.sync_api import expect

VIEWS = ("measure", "print", "listen", "strings", "boards", "shelf", "help")
PROFILES = {
    "light": {},
    "dark": {"color_scheme": "dark"},
    "narrow": {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True},
    "enlarged": {"viewport": {"width": 640, "height": 400}, "device_scale_factor": 2},
}
NOT_WIDE = [PROFILES["narrow"] | PROFILES["dark"], PROFILES["enlarged"]]
HALF = '{"a-b":"189.4","d-c":"18.95"}'
READ = "view=listen&at=line&treble-harmonic=0&treble-fretted={}&bass-harmonic=0&bass-fretted={}"
STATES = {
    "faults": ("scale=26%2C25+in&strings.4.gauge=thick&paper=blotting", "#faults"),
    "lacking": ("view=print&template=head", "#lacks"),
    "half-a-printer": (f"view=print&printer-lengths={quote(HALF)}", "#printer .fault:not([hidden])"),
    "advice": (READ.format(3, -4), "#next-round"),
    "stop": (READ.format(0.2, -0.1), "#keep-now"),
}
"""What the page was left at, and what shows that it is there."""

TOO_LOW_FOR_A_FINGER = """() => {
  const controls = document.querySelectorAll("button, select, textarea, summary, input:not(.unseen), label.button, nav a");
  const low = (one) => {
    const labels = Array.from(one.labels ?? []);
    const tall = Math.max(...[one, ...labels].map((part) => part.getBoundingClientRect().height));
    return one.checkVisibility() && one.getBoundingClientRect().width > 1 && tall < 44 - 0.1;
  };
  return Array.from(controls).filter(low).map((one) => one.outerHTML.slice(0, 90));
}"""


def assert_for_everyone(here, where):
    here.unfold_everything()
    here.assert_no_wider_than_the_window()
    assert serious_barriers(here.page) == [], where


@pytest.mark.parametrize("profile", PROFILES.values(), ids=PROFILES)
def test_no_view_has_a_barrier(visit, profile):
    here = visit(**profile)
    for view in VIEWS:
        here.show(view)
        expect(here.page.locator(f"[data-view~={view}] h2").filter(visible=True).first).to_be_visible()
        assert_for_everyone(here, view)
        if profile.get("has_touch"):
            assert here.page.evaluate(TOO_LOW_FOR_A_FINGER) == [], view


@pytest.mark.parametrize("profile", NOT_WIDE, ids=["narrow-dark", "enlarged"])
def test_no_state_of_the_job_has_a_barrier_where_there_is_little_room(visit, profile):
    here = visit(**profile)
    for name, (fragment, sign) in STATES.items():
        here.page.goto("about:blank")
        here.go(f"from=banjo&{fragment}")
        here.page.locator(sign).first.wait_for()
        assert_for_everyone(here, name)
