"""Guides on the page: what a repository shows is what the page shows, with nothing that runs."""

import re
from html.parser import HTMLParser

import pytest
from browsing import serious_barriers
from playwright.sync_api import expect
from sources import ROOT

from jigs.guide import guides as guide_room
from jigs.guide.guides import EXAMPLES, NAMES, guide, guides
from jigs.page import guide as on_the_page

MARKED_UP = """# A guide

For nobody. <script>alert(1)</script>

<img src=x onerror=alert(1)>

[click](javascript:alert(1)) and [this](https://example.org/x) and [data](data:text/html,x)

![pic](javascript:alert(1))

## If it does not work

Read `<b>` again.
"""
ELEMENTS = {
    *("h1", "h2", "h3", "p", "ul", "ol", "li", "pre", "code", "strong", "em", "a", "img", "div"),
    *("table", "thead", "tbody", "tr", "th", "td"),
}
ATTRIBUTES = {"id", "href", "src", "alt", "loading", "class", "role", "aria-label", "tabindex", "start", "style"}


class Elements(HTMLParser):
    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs)))


def elements(html):
    parser = Elements()
    parser.feed(html)
    return parser.found


@pytest.fixture
def marked_up(monkeypatch):
    """A guide full of markup of its own, as nobody should write one."""
    monkeypatch.setattr(on_the_page, "guide", lambda name: guide_room.Guide(name, "A guide", "For nobody.", MARKED_UP))
    on_the_page.as_html.cache_clear()
    yield on_the_page.as_html("player")
    on_the_page.as_html.cache_clear()


def test_markup_of_a_guide_is_text(marked_up):
    found = elements(marked_up)
    assert {tag for tag, _ in found} <= ELEMENTS
    assert {name for _, own in found for name in own} <= ATTRIBUTES
    assert [own["href"] for tag, own in found if tag == "a"] == []
    assert all(not own["src"].startswith("javascript") for tag, own in found if tag == "img")
    assert "&lt;script&gt;" in marked_up


@pytest.mark.parametrize("name", NAMES)
def test_a_guide_has_only_plain_elements_and_leads_to_what_the_page_has(name):
    found = elements(on_the_page.as_html(name))
    assert {tag for tag, _ in found} <= ELEMENTS
    assert {attribute for _, own in found for attribute in own} <= ATTRIBUTES
    for target in [own["href"] for tag, own in found if tag == "a"]:
        page, _, anchor = target.partition("#")
        if page.startswith(on_the_page.FOLDER):
            assert page.removeprefix(on_the_page.FOLDER) in on_the_page.examples()
            continue
        other = page or name
        assert other in NAMES
        ids = [own.get("id") for _, own in elements(on_the_page.as_html(other))]
        assert not anchor or anchor in ids, target


def test_every_guide_is_served_and_nothing_else(application):
    for one in guides():
        answer = application.ask("GET", f"/guide/{one.name}")
        assert answer.status == 200
        assert "<h1 id=" in answer.body.decode()
    for name in ("nothing", "player.md", "..%2f..%2fREADME.md", "__init__.py", ""):
        assert application.ask("GET", f"/guide/{name}").status == 404


def test_a_picture_of_a_guide_is_the_example_byte_for_byte(application):
    """Drawn alone when it is asked for, and yet the same as `jigs demo` writes."""

    shown = sorted(
        {name for one in guides() for name in re.findall(rf"!\[[^]]*\]\({re.escape(EXAMPLES)}([^)]+)\)", one.text)}
    )
    assert len(shown) >= 8
    for name in shown:
        answer = application.ask("GET", f"/guide/{on_the_page.FOLDER}{name}")
        assert answer.status == 200
        assert answer.kind == "image/svg+xml"
        assert answer.body == (ROOT / "out_examples" / name).read_bytes(), name


@pytest.mark.parametrize("name", ["nothing.svg", "..%2fexamples.py", "loan-banjo-7", "README.md"])
def test_only_examples_of_the_guides_are_drawn(application, name):
    assert application.ask("GET", f"/guide/{on_the_page.FOLDER}{name}").status == 404


@pytest.mark.parametrize("colours", ["light", "dark"])
@pytest.mark.parametrize("name", NAMES)
def test_a_guide_bars_nobody_and_fits_a_narrow_window(visit, server, name, colours):
    here = visit(color_scheme=colours, viewport={"width": 360, "height": 740})
    here.page.goto(f"{server.address}/guide/{name}")
    expect(here.page.locator("main h1")).to_have_text(guide(name).title)
    assert serious_barriers(here.page) == []
    here.assert_no_wider_than_the_window()


def test_help_leads_to_a_guide_in_a_tab_of_its_own(visit):
    here = visit("view=measure&from=banjo")
    here.show("help")
    with here.page.context.expect_page() as opened:
        here.page.get_by_role("link", name=guide("player").title).click()
    tab = opened.value
    expect(tab.locator("main h1")).to_have_text(guide("player").title)
    picture = tab.locator("main img").first
    picture.scroll_into_view_if_needed()
    tab.wait_for_function("() => document.querySelector('main img').naturalWidth > 0")
    tab.close()
    here.show("measure")
    assert "from=banjo" in here.page.url or here.page.url.endswith("view=measure")
