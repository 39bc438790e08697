"""The button that stops the program, for users who have no terminal."""

import pytest
from served import serving

pytestmark = pytest.mark.slow


@pytest.fixture
def own_server(tmp_path):
    """A page that a test may stop."""
    with serving(tmp_path) as running:
        yield running


@pytest.fixture
def own_visit(browser, own_server):
    from browsing import Visit

    visits = []

    def visited(**profile):
        visits.append(Visit(browser, own_server.address, profile))
        visits[-1].go()
        return visits[-1]

    yield visited
    errors = [error for one in visits for error in one.errors]
    for one in visits:
        one.leave()
    assert errors == []


STOPPED = "The program has stopped"


def test_button_stops_the_program_and_what_was_filled_in_stays(own_visit, own_server):
    visit = own_visit()
    page = visit.page
    visit.fill("name", "Stopped banjo 7")
    page.locator("#stop").press("Enter")
    page.get_by_text(STOPPED).wait_for()
    assert own_server.process.wait(15) == 0
    assert page.evaluate("() => document.activeElement.id") == "stopped"
    assert page.locator("body > *:visible").count() == 1, "something is left that no longer works"
    page.wait_for_function("() => location.hash.includes('Stopped+banjo+7')")


def test_nothing_is_asked_once_the_program_has_stopped(own_visit):
    page = own_visit().page
    page.locator("#stop").click()
    page.get_by_text(STOPPED).wait_for()
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.evaluate(
        """() => {
          const field = document.getElementById("f-name");
          field.value = "x";
          field.dispatchEvent(new Event("input", { bubbles: true }));
        }"""
    )
    page.wait_for_timeout(1000)
    assert asked == []


def test_button_works_where_the_program_has_already_ended(own_visit, own_server):
    from served import stop

    page = own_visit().page
    stop(own_server.process)
    page.locator("#stop").click()
    page.get_by_text(STOPPED).wait_for()


def test_refusal_is_shown_and_the_page_goes_on(own_visit, own_server):
    page = own_visit().page
    fault = '{"faults": [{"code": "x", "field": "", "where": "", "what": "no", "remedy": "wait"}], "notes": []}'
    page.route("**/stop", lambda route: route.fulfill(status=403, content_type="application/json", body=fault))
    page.locator("#stop").click()
    page.get_by_text("no; wait").first.wait_for()
    assert page.locator("#stop").is_enabled()
    assert own_server.process.poll() is None


@pytest.mark.parametrize(
    "profile", [{}, {"color_scheme": "dark"}, {"viewport": {"width": 360, "height": 740}}], ids=str
)
def test_what_is_left_is_accessible_and_fits(own_visit, profile):
    from axe_playwright_python.sync_playwright import Axe
    from browsing import WIDER_THAN_THE_WINDOW

    page = own_visit(**profile).page
    page.locator("#stop").click()
    page.get_by_text(STOPPED).wait_for()
    found = Axe().run(page).response["violations"]
    assert [one["id"] for one in found if one["impact"] in ("serious", "critical")] == []
    assert page.evaluate(WIDER_THAN_THE_WINDOW) == []
