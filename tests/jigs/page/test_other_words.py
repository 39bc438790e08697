"""With other words in every sentence the page does the same: it goes by codes, kinds and places, never by a sentence."""

import threading
from contextlib import contextmanager
from dataclasses import replace

import pytest
from browsing import Visit
from playwright.sync_api import expect
from served import in_process, state

READINGS = {"treble-harmonic": "+1", "treble-fretted": "+4.5", "bass-harmonic": "-2", "bass-fretted": "-8.5"}
RIGHT = {"treble-harmonic": "0", "treble-fretted": "0", "bass-harmonic": "0", "bass-fretted": "0"}
NEARLY_A_SEMITONE = {"treble-harmonic": "0", "treble-fretted": "+90", "bass-harmonic": "0", "bass-fretted": "0"}
ADVISED = {"move": READINGS, "stop": RIGHT, "one-end": dict(list(READINGS.items())[:2]), "else": NEARLY_A_SEMITONE}
TO_DO = {
    "move": ["move", "move", "verdict-check-first"],
    "stop": ["leave", "verdict-stop"],
    "one-end": ["move", "verdict-move"],
    "else": ["verdict-something-else"],
}
"""The kinds of lines that the page is to show large and speak."""

FAULTY = {
    "fields": "from=banjo&scale=26%2C25+in&tail.slip=7&strings.4.gauge=thick&paper=blotting",
    "every-string": "from=banjo&scale=1500",
    "measurement-missing": "from=banjo&template=head",
    "option": "from=banjo&template=gauge&kerf=wide",
    "own-file": "file=mine.toml&text=name+%3D+",
}
OTHER_WORDS = ("Zorp", "1 treble end, at Stop: Leave; check note")
"""Words that mean nothing, and words that once meant something to the page."""

MARKED = """() => ({
  invalid: Array.from(document.querySelectorAll("[aria-invalid]"), (one) => one.id),
  shown: Array.from(document.querySelectorAll(".fault:not([hidden])"), (one) => one.id),
  links: Array.from(document.querySelectorAll("#faults-list a"), (one) => [one.getAttribute("href"), one.textContent]),
  listed: document.querySelectorAll("#faults-list li").length,
  title: document.getElementById("faults-title").textContent,
  stale: !document.getElementById("stale").hidden,
  disabled: ["pdf", "svg", "file"].filter((id) => document.getElementById(id).disabled),
})"""
ADVICE = """() => Array.from(document.querySelectorAll("#advice-lines .line"), (one) =>
  [one.dataset.kind, one.className, parseFloat(getComputedStyle(one).fontSize)])"""
TEXTS = """() => Array.from(document.querySelectorAll("#advice-lines .line"), (one) =>
  [one.dataset.kind, one.textContent])"""


@contextmanager
def other_words(instead):
    """Every sentence of a fault, a note and a line of advice is replaced meanwhile."""
    from jigs.faults import Fault
    from jigs.readings import words

    advice_lines, checked = words.advice_lines, Fault.__post_init__

    def reworded(fault):
        checked(fault)
        object.__setattr__(fault, "what", f"{instead} what")
        object.__setattr__(fault, "remedy", f"{instead} remedy")

    def lines(advice):
        given = enumerate(advice_lines(advice))
        return tuple(replace(line, text=f"{instead} {n}" if line.text else "") for n, line in given)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Fault, "__post_init__", reworded)
        patch.setattr(words, "advice_lines", lines)
        yield


@pytest.fixture
def visit_here(browser):
    """Open the page, served in this process, where its words can be replaced: ``visit_here(fragment)``."""
    from werkzeug.serving import make_server

    server = make_server("127.0.0.1", 0, in_process().application, threaded=True)
    serving = threading.Thread(target=server.serve_forever, daemon=True)
    serving.start()
    visits = []

    def visited(fragment):
        visits.append(Visit(browser, f"http://127.0.0.1:{server.port}/", {}))
        visits[-1].go(fragment)
        return visits[-1]

    yield visited
    errors = [error for one in visits for error in one.errors]
    for one in visits:
        one.leave()
    server.shutdown()
    serving.join()
    server.server_close()
    assert errors == []


def without_sentences(data):
    """What an answer says besides its sentences."""
    if isinstance(data, dict):
        return {key: without_sentences(one) for key, one in data.items() if key not in ("what", "remedy", "text")}
    return [without_sentences(one) for one in data] if isinstance(data, list) else data


@pytest.mark.parametrize("instead", OTHER_WORDS)
@pytest.mark.parametrize(
    ("route", "sent"),
    [
        ("/draw", state(fields={"scale": "26,25 in", "strings.4.gauge": "thick"}, draw={"paper": "blotting"})),
        ("/draw", state(fields={"scale": "1500"})),
        ("/draw", state(draw={"template": "head"})),
        ("/draw", state("archtop-guitar", draw={"template": "gauge", "paper": "letter"})),
        ("/pdf", state(draw={"template": "head"})),
        ("/file", state("spoon")),
        ("/readings", state(readings={"treble-harmonic": "sharp", "treble-fretted": "900"})),
        *(("/readings", state(readings=read)) for read in ADVISED.values()),
    ],
    ids=lambda one: one if isinstance(one, str) else None,
)
def test_an_answer_differs_in_its_sentences_alone(application, route, sent, instead):
    own = application.post(route, sent)
    with other_words(instead):
        other = application.post(route, sent)
    assert other.status == own.status
    assert without_sentences(other.data) == without_sentences(own.data)
    assert other.data != own.data


@pytest.mark.parametrize("instead", OTHER_WORDS)
@pytest.mark.parametrize("fragment", FAULTY.values(), ids=FAULTY)
def test_faults_mark_their_fields_and_the_list_leads_there(visit_here, fragment, instead):
    expected = visit_here(fragment).page.evaluate(MARKED)
    with other_words(instead):
        here = visit_here(fragment)
        assert here.page.evaluate(MARKED) == expected
        here.said(f"{expected['title']}. ")
        here.said(f"{instead} what; {instead} remedy")
        for n, (fragment_of_field, _) in enumerate(expected["links"]):
            here.page.locator("#faults-list a").nth(n).click()
            expect(here.page.locator(f'[id="{fragment_of_field[1:]}"]')).to_be_focused()
    assert bool(expected["links"]) == (fragment != FAULTY["own-file"])


@pytest.mark.parametrize("instead", OTHER_WORDS)
@pytest.mark.parametrize("advised", ADVISED)
def test_what_to_do_is_large_and_spoken(visit_here, advised, instead):
    fragment = "from=banjo&" + "&".join(f"{key}={text.replace('+', '%2B')}" for key, text in ADVISED[advised].items())
    own = visit_here(fragment).page
    own.locator("#advice:not([hidden])").wait_for()
    expected = own.evaluate(ADVICE)
    usual = min(size for _, _, size in expected)
    assert [kind for kind, _, size in expected if size > usual] == TO_DO[advised]
    with other_words(instead):
        here = visit_here(fragment)
        here.page.locator("#advice:not([hidden])").wait_for()
        assert here.page.evaluate(ADVICE) == expected
        texts = here.page.evaluate(TEXTS)
        assert all(text.startswith(instead) for _, text in texts)
        here.said(". ".join(text for kind, text in texts if kind in TO_DO[advised]))
        for kind, text in texts:
            if kind not in TO_DO[advised]:
                expect(here.page.locator("#said")).not_to_contain_text(f"{text}. ")
