"""What a person does with the page in a browser: fill in, wait for the picture, download files."""

import json
from pathlib import Path

from playwright.sync_api import expect

SHOWN = """([wanted]) => {
  const svg = document.getElementById("card").shadowRoot?.querySelector("svg");
  if (!svg) return false;
  const parsed = new DOMParser().parseFromString(wanted, "image/svg+xml").documentElement;
  parsed.querySelector(":scope > title")?.remove();
  const lines = (one) => Array.from(one.querySelectorAll("*"), (item) =>
    item.nodeName + Array.from(item.attributes, (attribute) => attribute.name + "=" + attribute.value) + item.textContent);
  return JSON.stringify(lines(svg)) === JSON.stringify(lines(parsed));
}"""
"""Whether the picture in the page is this drawing, element for element."""

WIDER_THAN_THE_WINDOW = """() => {
  const width = document.documentElement.clientWidth;
  const all = Array.from(document.body.querySelectorAll("*"));
  const wide = all.filter((one) => one.getBoundingClientRect().right > width + 1);
  return document.documentElement.scrollWidth <= width ? [] : wide.map((one) => one.outerHTML.slice(0, 80));
}"""

FOCUSED = """async () => {
  await new Promise((shown) => requestAnimationFrame(() => requestAnimationFrame(shown)));
  const one = document.activeElement;
  const shown = one.classList.contains("unseen") ? document.querySelector(`label[for="${one.id}"]`) : one;
  const style = getComputedStyle(shown);
  const box = shown.getBoundingClientRect();
  const within = (low, high, most) => (Math.max(low, 0) + Math.min(high, most)) / 2;
  const over = document.elementFromPoint(within(box.left, box.right, innerWidth), within(box.top, box.bottom, innerHeight));
  return {
    id: one.id,
    marked: style.outlineStyle !== "none" || style.boxShadow !== "none",
    seen: box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth,
    covered: over !== null && !shown.contains(over) && !over.contains(shown),
    what: one.outerHTML.slice(0, 90),
  };
}"""
"""The control with the focus, or the label of a control that is not drawn."""

BUTTONS = {"PDF": "Download the PDF to print"}
"""What a button is called, if it says more than the name of a format."""


class Visit:
    """One person's window, with a profile of its own."""

    def __init__(self, browser, address, profile):
        self.address, self.errors = address, []
        self.context = browser.new_context(
            **{"viewport": {"width": 1280, "height": 900}, "reduced_motion": "reduce", "locale": "en-GB", **profile}
        )
        self.context.set_default_timeout(15_000)
        self.page = self.context.new_page()
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("console", self._heard)
        self.page.on("dialog", lambda dialog: (self.errors.append(f"dialog: {dialog.message}"), dialog.dismiss()))

    def _heard(self, message):
        # A refusal that the page shows also appears on the console, as a resource that could not be loaded.
        if message.type == "error" and "Failed to load resource" not in message.text:
            self.errors.append(message.text)

    def go(self, fragment=""):
        """Open the page, from a bookmark perhaps, and wait until it shows something."""
        with self.page.expect_response("**/draw") as answer:
            self.page.goto(self.address + (f"#{fragment}" if fragment else ""))
        return self.settled(answer.value)

    def leave(self):
        self.context.close()

    def field(self, key):
        """The control of a key: ``scale``, ``strings.4.gauge``, ``draw.kerf``, ``readings.bass-fretted``."""
        found = self.page.locator(f'[id="f-{key}"]')
        if not found.count():
            return found
        view = found.evaluate("one => one.closest('[data-view]')?.dataset.view ?? ''").split()
        if view and self.page.evaluate("() => document.documentElement.dataset.at") not in view:
            self.show(view[0])
        fold = found.locator("xpath=ancestor::details[not(@open)]")
        while fold.count():
            fold.first.locator("> summary").click()
        return found

    def show(self, view):
        """Go to a view as a person does: by its link at the top."""
        self.page.locator(f'header [data-show="{view}"]').click()

    def fill(self, key, text):
        """Put a text into a field, or choose it; what the program answered comes back once the page shows it."""
        field = self.field(key)
        kind = field.evaluate("one => one.type")
        with self.page.expect_response(lambda answer: self._is_about(answer, key, text)) as answer:
            if kind == "checkbox":
                field.set_checked(text == "true")
            elif kind == "select-one":
                field.select_option(text)
            else:
                field.fill(text)
        return self.settled(answer.value)

    def _is_about(self, answer, key, text):
        if not answer.url.endswith("/draw"):
            return False
        sent = json.loads(answer.request.post_data)
        if key.startswith("readings."):
            return True
        part, name = ("draw", key.removeprefix("draw.")) if key.startswith("draw.") else ("fields", key)
        return sent[part].get(name, text) == text

    def settled(self, answer):
        """Wait until the page shows what was answered."""
        data = answer.json()
        if data["faults"]:
            self.page.wait_for_function(
                "wanted => document.querySelectorAll('#faults:not([hidden]) li').length >= wanted",
                arg=len(data["faults"]),
            )
        else:
            self.shows(data["sheets"][0])
        return data

    def shows(self, sheet):
        """Wait until the picture is this one."""
        self.page.wait_for_function(SHOWN, arg=[sheet])

    def is_shown(self, sheet):
        return self.page.evaluate(SHOWN, [sheet])

    def is_shown_anything(self):
        return self.page.evaluate("() => document.getElementById('card').shadowRoot?.querySelector('svg') != null")

    def take(self, button):
        """Press a button that gives a file: its name and content."""
        if not self.page.get_by_role("button", name=BUTTONS.get(button, button), exact=True).is_visible():
            self.show("print")
        with self.page.expect_download() as coming:
            self.page.get_by_role("button", name=BUTTONS.get(button, button), exact=True).click()
        return coming.value.suggested_filename, Path(coming.value.path()).read_bytes()

    def said(self, words):
        """Wait until a screen reader would speak this."""
        expect(self.page.locator("#said")).to_contain_text(words)

    def assert_no_wider_than_the_window(self):
        wide = self.page.evaluate(WIDER_THAN_THE_WINDOW)
        assert wide == [], wide

    def unfold_everything(self):
        self.page.evaluate("() => { for (const one of document.querySelectorAll('details')) one.open = true; }")


def serious_barriers(page):
    """What axe-core finds that keeps people from using the page."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [
        f"{one['id']} ({one['impact']}): {one['help']}: {[node['target'] for node in one['nodes']][:6]}"
        for one in found
        if one["impact"] in ("serious", "critical")
    ]


def tab_to(page, wanted, stops):
    """Press Tab until the focus is there, and note every stop on the way: `assert_each_is_shown` looks at them."""
    for _ in range(200):
        page.keyboard.press("Tab")
        at = page.evaluate(FOCUSED)
        if at["what"].startswith("<body"):
            continue  # between the page's end and its start are the browser's own controls
        stops.append(at)
        if at["id"] == wanted:
            return
    raise AssertionError(f"no way to {wanted} by keyboard; the stops were {[stop['id'] for stop in stops]}")


def assert_each_is_shown(stops):
    """A user without a mouse sees at every stop where they are."""
    assert [stop["what"] for stop in stops if not stop["marked"]] == [], "these have the focus and do not show it"
    unseen = [stop["what"] for stop in stops if not stop["seen"]]
    assert unseen == [], f"these have the focus out of sight: {unseen}"
    assert [stop["what"] for stop in stops if stop["covered"]] == [], "these have the focus under something else"
