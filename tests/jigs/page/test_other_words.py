"""With other words in every sentence the page does the same: it goes by codes, kinds and places, never by a sentence."""

import re
import threading
from contextlib import contextmanager
from dataclasses import replace

import pytest
from browsing import Visit
from playwright.sync_api import expect
from served import in_process, state

READINGS = {"treble-harmonic": "+1", "treble-fretted": "-15", "bass-harmonic": "-2", "bass-fretted": "-18"}
RIGHT = {"treble-harmonic": "0", "treble-fretted": "0", "bass-harmonic": "0", "bass-fretted": "0"}
NEARLY_A_SEMITONE = {"treble-harmonic": "0", "treble-fretted": "+90", "bass-harmonic": "0", "bass-fretted": "0"}
ADVISED = {"move": READINGS, "stop": RIGHT, "one-end": dict(list(READINGS.items())[:2]), "else": NEARLY_A_SEMITONE}
TO_DO = {
    "move": ["set-both", "move", "move", "verdict-check-first"],
    "stop": ["leave", "verdict-stop"],
    "one-end": ["move", "shift", "verdict-move"],
    "else": ["verdict-something-else"],
}
"""The kinds of lines that the page is to show large and speak."""

ROUND = {
    "read_cents": [-3.0, 4.0],
    "moved_mm": [-1.2, 1.5],
    "verdict": "move",
    "next": {"treble_mm": 668.8, "bass_mm": 671.7, "by_sheet": True, "round": 1},
}
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
ADVICE = """() => Array.from(document.querySelectorAll("#advice .line"), (one) =>
  [one.dataset.kind, one.className, parseFloat(getComputedStyle(one).fontSize)])"""
TEXTS = """() => Array.from(document.querySelectorAll("#advice .line"), (one) =>
  [one.dataset.kind, one.textContent])"""
PICTURE = """() => {
  const card = document.getElementById("advice-card");
  const { width, height } = card.getBoundingClientRect();
  const drawn = card.shadowRoot.querySelectorAll("svg *:not(text, title, desc)");
  return [card.getAttribute("role"), width, height, drawn.length];
}"""
PICTURE_TEXTS = """() => {
  const card = document.getElementById("advice-card");
  const words = Array.from(card.shadowRoot.querySelectorAll("text"), (one) => one.textContent);
  return [card.getAttribute("aria-label"), ...words];
}"""
FIGURES = """() => [
  document.getElementById("glance").textContent,
  ...Array.from(document.querySelectorAll("#headline .cell .figure"), (one) => one.textContent),
]"""
FIGURES_TEXTS = """() => Array.from(document.querySelectorAll("#headline .cell:not(.of)"), (one) =>
  [one.querySelector("dt").textContent, one.querySelector("dd").lastChild.textContent.trim()])"""


@contextmanager
def other_words(instead):
    """Every sentence of a fault, a note, a figure, a line of advice and its picture is replaced meanwhile."""
    from jigs.drawing.items import Drawing, Text
    from jigs.faults import Fault
    from jigs.page import words as page_words
    from jigs.readings import moves_picture, picture_words, words
    from jigs.workup.words import HeadlineFigure

    advice_lines, checked, on_own_sheet = words.advice_lines, Fault.__post_init__, moves_picture.on_own_sheet
    made, round_lines = HeadlineFigure.__init__, page_words.round_lines

    def reworded(fault):
        checked(fault)
        object.__setattr__(fault, "what", f"{instead} what")
        object.__setattr__(fault, "remedy", f"{instead} remedy")

    def reworded_lines(given):
        return tuple(replace(line, text=f"{instead} {n}" if line.text else "") for n, line in enumerate(given))

    def figure(one, _name, shown, _rest, *joint):
        made(one, f"{instead} name", shown, f"{instead} rest", *joint)

    def picture(advice):
        sheet = on_own_sheet(advice)
        items = enumerate(sheet.drawing)
        drawn = (replace(item, text=f"{instead} {n}") if isinstance(item, Text) else item for n, item in items)
        title = replace(sheet.title, name=f"{instead} name", facts=f"{instead} facts")
        return replace(sheet, drawing=Drawing(tuple(drawn)), title=title)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Fault, "__post_init__", reworded)
        patch.setattr(words, "advice_lines", lambda *given: reworded_lines(advice_lines(*given)))
        patch.setattr(page_words, "round_lines", lambda *given: reworded_lines(round_lines(*given)))
        patch.setattr(HeadlineFigure, "__init__", figure)
        patch.setattr(moves_picture, "on_own_sheet", picture)
        patch.setattr(picture_words, "MOVES_DOCUMENT", f"{instead} document")
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
        said = ("what", "remedy", "text", "name", "rest", "says", "sentences")
        return {key: without_sentences(one) for key, one in data.items() if key not in said}
    if isinstance(data, str) and "<svg" in data:
        return re.sub(r">[^<]+<", "><", data)
    return [without_sentences(one) for one in data] if isinstance(data, list) else data


@pytest.mark.parametrize("instead", OTHER_WORDS)
@pytest.mark.parametrize(
    ("route", "sent"),
    [
        ("/draw", state(fields={"scale": "26,25 in", "strings.4.gauge": "thick"}, draw={"paper": "blotting"})),
        ("/draw", state(fields={"scale": "1500"})),
        ("/draw", state(draw={"template": "head"})),
        ("/draw", state()),
        ("/draw", state("archtop-guitar", draw={"template": "gauge", "paper": "letter"})),
        ("/pdf", state(draw={"template": "head"})),
        ("/file", state("spoon")),
        ("/readings", state(readings={"treble-harmonic": "sharp", "treble-fretted": "900"})),
        *(("/readings", state(readings=read)) for read in ADVISED.values()),
        ("/rounds", {**state(), "rounds": [ROUND]}),
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
    expected, picture = own.evaluate(ADVICE), own.evaluate(PICTURE)
    usual = min(size for _, _, size in expected)
    assert [kind for kind, _, size in expected if size > usual] == TO_DO[advised]
    with other_words(instead):
        here = visit_here(fragment)
        here.page.locator("#advice:not([hidden])").wait_for()
        assert here.page.evaluate(ADVICE) == expected
        assert here.page.evaluate(PICTURE) == picture
        texts = here.page.evaluate(TEXTS)
        assert all(text.startswith(instead) for _, text in texts)
        assert all(text.startswith(instead) for text in here.page.evaluate(PICTURE_TEXTS))
        here.said(". ".join(text for kind, text in texts if kind in TO_DO[advised]))
        for kind, text in texts:
            if kind not in TO_DO[advised]:
                expect(here.page.locator("#said")).not_to_contain_text(f"{text}. ")


@pytest.mark.parametrize("instead", OTHER_WORDS)
def test_figures_are_large_and_spoken(visit_here, instead):
    own = visit_here("from=banjo")
    own.said(": ")
    expected = own.page.evaluate(FIGURES)
    with other_words(instead):
        here = visit_here("from=banjo")
        here.said(f"{instead} rest")
        assert here.page.evaluate(FIGURES) == expected
        texts = here.page.evaluate(FIGURES_TEXTS)
        assert len(texts) > 3
        assert texts == [[f"{instead} name", f"{instead} rest"]] * len(texts)
