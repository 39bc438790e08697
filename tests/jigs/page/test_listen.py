"""Listening on the page: from the button to the move, with a sound file as the browser's microphone."""

import json
import re
import struct
from contextlib import contextmanager
from urllib.parse import quote

import numpy as np
import pytest
from browsing import Visit, serious_barriers
from playwright.sync_api import expect
from served import state

RINGS_S, GAP_S, FIRST_S = 1.5, 0.3, 2.0
"""How long a pluck rings, the pause after it, and the silence before the first, while the page opens the microphone."""

PAUSE_S = 2.0
TREBLE, BASS = 0, 3
"""The banjo's outer strings, by their index."""

OPEN, OCTAVE = 1.0, 2.0
READS = {TREBLE: -3.1, BASS: 4.2}
"""What each string reads at the octave, in cents."""

REFUSES = """() => {
  window.streams = [];
  navigator.mediaDevices.getUserMedia = async () => { throw new DOMException("Permission denied", "NotAllowedError"); };
}"""
"""As the W3C's Media Capture and Streams has a user's refusal: a browser without a window asks nobody."""

KEEPS_STREAMS = """() => {
  window.streams = [];
  const open = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
  navigator.mediaDevices.getUserMedia = async (wanted) => {
    const stream = await open(wanted);
    window.asked = wanted;
    window.streams.push(stream);
    return stream;
  };
}"""
OPEN_TRACKS = "() => window.streams.flatMap((one) => one.getTracks()).filter((one) => one.readyState === 'live').length"


RATE_HZ = 48000
OPEN_HZ = {TREBLE: 293.66, BASS: 146.83}
STIFFNESS = 1.5e-5
"""Of either string, b in f_k = k f (1 + b k²): open, and four times as much at the octave."""


def one_pluck(string, times):
    """A steady note that dies away. Its loudest partials are those that a pluck near the bridge has."""
    t, k = np.arange(round(RINGS_S * RATE_HZ)) / RATE_HZ, np.arange(1, 15)
    b = STIFFNESS * times**2
    first = OPEN_HZ[string] * times * (1 + b) * 2 ** ((READS[string] if times == OCTAVE else 0.0) / 1200)
    hz = k * first / (1 + b) * (1 + b * k**2)
    level = np.abs(np.sin(np.pi * k * 0.12 * times)) / k + 0.02
    rings = np.exp(-(2.6 + 2.6 * hz[:, None] / 1000) * t) * np.cos(2 * np.pi * hz[:, None] * t + k[:, None])
    fade = np.minimum(1, np.minimum(t / 0.002, (RINGS_S - t) / 0.015))
    return (level[:, None] * rings).sum(axis=0) * fade


def played(*plucks):
    """A sound of these plucks, one after the other: (string, `OPEN` or `OCTAVE`), or seconds of a pause."""
    parts = [np.zeros(round(FIRST_S * RATE_HZ))]
    for each in plucks:
        parts += [] if isinstance(each, float) else [one_pluck(*each)]
        parts.append(np.zeros(round((each if isinstance(each, float) else GAP_S) * RATE_HZ)))
    sound = np.concatenate(parts)
    return 0.4 * sound / max(np.max(np.abs(sound)), 0.4) + 2e-4 * np.random.default_rng(1).normal(size=len(sound))


def as_wav(sound):
    """The sound as a WAV file of 16 bit."""
    data = np.round(np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes()
    form = struct.pack("<4sIHHIIHH", b"fmt ", 16, 1, 1, RATE_HZ, 2 * RATE_HZ, 2, 16)
    return b"RIFF" + struct.pack("<I", 36 + len(data)) + b"WAVE" + form + b"data" + struct.pack("<I", len(data)) + data


def pairs(*strings):
    """Each string open, then at the octave."""
    return [(string, times) for string in strings for times in (OPEN, OCTAVE)]


@pytest.fixture(scope="module")
def hearing(chromium, server, tmp_path_factory):
    """The page in a browser of its own: its microphone plays these plucks, from when it is opened, over and over.

    A busy machine drops some samples, and the page then refuses a pluck, as it should. It hears it in the next turn.
    """

    @contextmanager
    def heard(*plucks, fragment="", allowed=True, **profile):
        file = tmp_path_factory.mktemp("sound") / "plucks.wav"
        file.write_bytes(as_wav(played(*plucks)))
        flags = ["--use-fake-device-for-media-stream", f"--use-file-for-fake-audio-capture={file}"]
        running = chromium(*flags, *(["--use-fake-ui-for-media-stream"] if allowed else []))
        try:
            here = Visit(running, server.address, profile)
            here.context.add_init_script(f"({KEEPS_STREAMS if allowed else REFUSES})()")
            here.go(fragment)
            here.file = file
            yield here
            assert here.errors == []
            here.leave()
        finally:
            running.close()

    return heard


def listen(here):
    """Go to the third step and begin, by keyboard."""
    page = here.page
    page.locator('header [data-show="listen"]').focus()
    page.keyboard.press("Enter")
    press(page, "listen-start")
    expect(page.locator("#listening")).to_be_visible()


def press(page, button):
    """Go to a button with Tab, and press Enter."""
    for _ in range(30):
        if page.evaluate("() => document.activeElement.id") == button:
            page.keyboard.press("Enter")
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"no way to {button} by keyboard")


def asks(here, words, seconds=40):
    """Wait until the page asks for this."""
    expect(here.page.locator("#listen-ask")).to_contain_text(words, timeout=seconds * 1000)


def in_the_address(here):
    """What was heard, as the address keeps it: (end, cents)."""
    from urllib.parse import parse_qsl

    here.page.wait_for_function("() => location.hash.includes('heard=')")
    kept = [json.loads(text) for name, text in parse_qsl(here.page.url.partition("#")[2]) if name == "heard"]
    return [(one["end"], one["cents"]) for one in kept]


def in_the_file(file, string):
    """What a recording of the same plucks says of a string: the treble string's are in its first half."""
    from jigs.input.sound import Sound, read_sound
    from jigs.instrument.file import parse
    from jigs.instrument.opening import preset_text
    from jigs.readings.listening import differences, hear
    from jigs.workup.work_up import work_up

    workup = work_up(parse(preset_text("banjo").encode(), "banjo"))
    whole, begin = read_sound(file), round((FIRST_S - 0.2) * RATE_HZ)
    middle = (begin + len(whole.samples)) // 2
    part = whole.samples[begin:middle] if string == TREBLE else whole.samples[middle:]
    return [
        one.difference.cents
        for one in differences(hear(Sound(part, RATE_HZ), "", workup, string, False, False), workup)
    ]


@pytest.fixture(scope="module")
def whole_sequence(hearing):
    """From "Listen" to the move and to the next round by keyboard alone: what was seen on the way."""
    seen = {}
    with hearing(*pairs(TREBLE, TREBLE, TREBLE, BASS, BASS, BASS), fragment="from=banjo&at=line") as here:
        page = here.page
        listen(here)
        expect(page.locator("#listening")).to_be_focused()
        here.said("The microphone is open. Damp the other strings. Pluck the open string.")
        asks(here, "Press at fret 12 and pluck.")
        asks(here, "String 4 D3, bass end", 120)
        seen["treble"] = page.locator("#heard-lines").inner_text()
        expect(page.locator("#advice")).to_be_focused(timeout=120_000)
        seen["advice"] = page.locator("#advice-lines").inner_text()
        here.said("All is heard, and the microphone is closed.")
        seen["said"] = page.locator("#said").text_content()
        seen["picture"] = page.locator("#heard-card").get_attribute("aria-label")
        seen["open tracks"] = page.evaluate(OPEN_TRACKS)
        seen["asked"] = page.evaluate("() => window.asked.audio")
        seen["pairs"], seen["url"] = in_the_address(here), page.url
        seen["file"] = {string: in_the_file(here.file, string) for string in READS}
        press(page, "next-round")
        expect(page.locator("#rounds-list li")).to_have_count(1)
        expect(page.locator("#listen-start")).to_be_focused()
        expect(page.locator("#heard")).to_be_hidden()
        seen["round"] = page.locator("#rounds-list li").inner_text()
        page.wait_for_function("() => !location.hash.includes('heard=')")
    return seen


def test_page_hears_what_a_recording_says(whole_sequence):
    """To a tenth of a cent, with the browser's own clock, blocks and gaps between."""
    by_page = {
        string: [cents for at, cents in whole_sequence["pairs"] if at == end]
        for string, end in ((TREBLE, "treble"), (BASS, "bass"))
    }
    for string, cents in by_page.items():
        assert len(cents) == 3
        assert np.allclose(cents, np.mean(whole_sequence["file"][string]), atol=0.1)
        assert abs(np.mean(cents) - READS[string]) < 0.5


def test_keyboard_alone_leads_from_listen_to_the_move_and_the_next_round(whole_sequence):
    assert "Treble end: −3." in whole_sequence["treble"]
    assert "towards the nut" in whole_sequence["advice"]
    assert "towards the tail" in whole_sequence["advice"]
    assert "Set both ends at once" in whole_sequence["said"]
    assert "treble end: −3." in whole_sequence["picture"]
    assert whole_sequence["round"].startswith("Round 1\nRead: treble end 3.")


def test_microphone_is_closed_once_all_is_heard(whole_sequence):
    assert whole_sequence["open tracks"] == 0


def test_browser_is_asked_for_the_raw_sound(whole_sequence):
    for processing in ("echoCancellation", "noiseSuppression", "autoGainControl"):
        assert whole_sequence["asked"][processing] is False


def test_what_was_heard_comes_back_with_a_bookmark(whole_sequence, visit):
    here = visit(whole_sequence["url"].partition("#")[2])
    expect(here.page.locator("#advice-lines")).to_have_text(
        whole_sequence["advice"].replace("\n", " "), use_inner_text=True
    )
    expect(here.page.locator("#heard-lines")).to_contain_text("Bass end: +4.")
    here.page.get_by_role("button", name="Forget what was heard").click()
    expect(here.page.locator("#advice")).to_be_hidden()
    expect(here.page.locator("#heard")).to_be_hidden()
    here.page.wait_for_function("() => !location.hash.includes('heard=')")


def test_pluck_that_does_not_count_says_why_and_is_asked_for_again(hearing):
    with hearing((TREBLE, OCTAVE), *pairs(TREBLE)) as here:
        listen(here)
        refused = here.page.locator("#listen-refused")
        expect(refused).to_contain_text("his is the octave: pluck the open string.", timeout=40_000)
        here.said("This is the octave: pluck the open string.")
        colours = {
            here.page.evaluate(f"() => getComputedStyle({one}).color")
            for one in ("document.body", "document.getElementById('listen-refused')")
        }
        assert len(colours) == 1, "a tuner shows by colour what is wrong; here words do"
        asks(here, "Pluck the open string.")
        assert serious_barriers(here.page) == []
        asks(here, "Press at fret 12 and pluck.")
        expect(refused).to_be_hidden()
        expect(here.page.locator("#heard-lines")).to_contain_text("Treble end: −", timeout=40_000)


def test_space_bar_throws_the_last_pluck_away_and_asks_for_it_again(hearing):
    with hearing((TREBLE, OPEN), PAUSE_S, *pairs(TREBLE)) as here:
        listen(here)
        asks(here, "Press at fret 12 and pluck.")
        here.page.keyboard.press("Space")
        asks(here, "Pluck the open string.")
        here.said("Pluck again. Damp the other strings. Pluck the open string.")
        asks(here, "Press at fret 12 and pluck.")
        expect(here.page.locator("#heard-lines")).to_contain_text("Treble end: −", timeout=40_000)
        here.page.keyboard.press("Space")
        asks(here, "Press at fret 12 and pluck.")
        expect(here.page.locator("#heard")).to_be_hidden()


@pytest.mark.parametrize("way", ["button", "escape"])
def test_stop_closes_the_microphone_and_keeps_what_was_heard(hearing, way):
    with hearing(*pairs(TREBLE)) as here:
        page = here.page
        listen(here)
        assert page.evaluate(OPEN_TRACKS) == 1
        expect(page.locator("#heard-lines")).to_contain_text("Treble end: −", timeout=40_000)
        if way == "button":
            press(page, "listen-stop")
        else:
            page.keyboard.press("Escape")
        assert page.evaluate(OPEN_TRACKS) == 0
        expect(page.locator("#listening")).to_be_hidden()
        expect(page.locator("#listen-start")).to_be_focused()
        here.said("The microphone is closed")
        expect(page.locator("#advice-rest")).to_contain_text(re.compile("[12] readings? of 1 string"))
        listen(here)
        asks(here, "String 1 D4, treble end")
        assert page.evaluate(OPEN_TRACKS) == 1


def test_listening_again_keeps_what_was_heard_until_there_is_more(hearing):
    """A second press of the button would else forget both strings."""
    kept = "&".join(f"heard={quote(json.dumps(pair(end, 3.0)))}" for end in ("treble", "bass") for _ in range(3))
    with hearing(fragment=f"from=banjo&{kept}") as here:
        expect(here.page.locator("#heard-lines")).to_contain_text("Bass end: +3.0")
        listen(here)
        asks(here, "String 1 D4, treble end")
        expect(here.page.locator("#open-sign")).to_be_visible()
        here.page.keyboard.press("Escape")
        expect(here.page.locator("#open-sign")).to_be_hidden()
        expect(here.page.locator("#heard-lines")).to_contain_text("Bass end: +3.0")
        expect(here.page.locator("#advice-rest")).to_contain_text("6 readings of 2 strings")


def test_another_instrument_closes_the_microphone_and_begins_afresh(hearing):
    with hearing() as here:
        listen(here)
        here.show("measure")
        with here.page.expect_response("**/draw") as answer:
            here.page.locator("#preset").select_option("mandolin")
        here.settled(answer.value)
        assert here.page.evaluate(OPEN_TRACKS) == 0
        expect(here.page.locator("#listening")).to_be_hidden()
        listen(here)
        asks(here, "Damp the other strings, and one string of the pair.")


@pytest.mark.parametrize(
    "profile",
    [{}, {"color_scheme": "dark"}, {"viewport": {"width": 390, "height": 844}}],
    ids=["light", "dark", "telephone"],
)
def test_listening_has_no_barrier_and_is_no_wider_than_the_window(hearing, profile):
    with hearing(**profile) as here:
        listen(here)
        asks(here, "Pluck the open string.")
        here.assert_no_wider_than_the_window()
        assert serious_barriers(here.page) == []
        assert here.page.locator("[aria-live]").count() == 1


# ---- no microphone

CANNOT = {
    why: f"() => {{ navigator.mediaDevices.getUserMedia = async () => {{ throw new DOMException('', '{name}'); }}; }}"
    for why, name in (("denied", "NotAllowedError"), ("none", "NotFoundError"), ("busy", "NotReadableError"))
}
CANNOT["elsewhere"] = "() => Object.defineProperty(navigator, 'mediaDevices', { value: undefined })"
SENTENCES = {
    "denied": "The browser may not use the microphone",
    "none": "No microphone was found",
    "busy": "The microphone could not be opened",
    "elsewhere": "open the page on this computer",
}


@pytest.mark.parametrize("why", CANNOT)
def test_without_a_microphone_one_sentence_says_why(visit, why):
    here = visit()
    here.said("how sure")  # else a slow first drawing is spoken after the fault, and instead of it
    here.page.evaluate(f"({CANNOT[why]})()")
    here.show("listen")
    here.page.get_by_role("button", name="Listen", exact=True).click()
    fault = here.page.locator("#listen-fault")
    expect(fault).to_contain_text(SENTENCES[why])
    here.said(SENTENCES[why])
    assert fault.inner_text().count(".") - fault.inner_text().count("127.0.0.1") * 3 == 1
    expect(here.page.locator("#listening")).to_be_hidden()
    expect(here.page.get_by_role("button", name="Listen", exact=True)).to_be_visible()


def test_permission_that_is_refused_leaves_no_microphone_open(hearing):
    with hearing(allowed=False) as here:
        here.show("listen")
        here.page.get_by_role("button", name="Listen", exact=True).click()
        expect(here.page.locator("#listen-fault")).to_contain_text(SENTENCES["denied"])
        assert here.page.evaluate(OPEN_TRACKS) == 0


def test_browser_that_goes_on_processing_is_named(hearing):
    with hearing() as here:
        here.page.evaluate(
            """() => {
              const real = MediaStreamTrack.prototype.getSettings;
              MediaStreamTrack.prototype.getSettings = function () { return { ...real.call(this), autoGainControl: true }; };
            }"""
        )
        listen(here)
        expect(here.page.locator("#processed")).to_be_visible()


def test_browser_that_gives_the_raw_sound_is_not_blamed(hearing):
    with hearing() as here:
        listen(here)
        asks(here, "Pluck the open string.")
        expect(here.page.locator("#processed")).to_be_hidden()


# ---- the program behind it decides


def pair(end, cents, error=0.4):
    return {"end": end, "cents": cents, "standard_error_cents": error, "shared_error_cents": 0.3}


def step(application, heard, plucks=None, preset="banjo"):
    reply = application.post("/heard", {**state(preset), "heard": heard, "plucks": plucks or {}})
    assert reply.data["faults"] == []
    return reply.data


def test_three_that_agree_end_a_string_and_both_end_the_listening(application):
    treble, bass = [pair("treble", cents) for cents in (-3.0, -3.2, -3.1)], [pair("bass", 4.0)] * 3
    assert "treble end" in step(application, treble[:2])["lines"][0]["text"]
    assert "bass end" in step(application, treble)["lines"][0]["text"]
    assert step(application, [*treble, *bass])["done"] is True


def test_string_whose_plucks_never_agree_is_left_after_eight(application):
    wild = [pair("treble", 6.0 * (-1) ** n) for n in range(8)]
    assert "treble end" in step(application, wild[:7])["lines"][0]["text"]
    after = step(application, wild)
    assert "bass end" in after["lines"][0]["text"]
    assert any(line["kind"] == "listen-unlike" for line in after["lines"])


def test_what_was_heard_moves_the_bridge_as_the_same_readings_of_a_tuner_do(application):
    heard = [pair("treble", -3.0)] * 3 + [pair("bass", 4.0)] * 3
    by_ear = application.post("/readings", {**state(), "heard": heard}).data
    typed = {"treble-harmonic": "0", "treble-fretted": "-3/-3/-3", "bass-harmonic": "0", "bass-fretted": "4/4/4"}
    by_tuner = application.post("/readings", state(readings=typed)).data

    def moves(data):
        return [line["text"] for line in data["lines"] if line["kind"] == "move"]

    assert moves(by_ear) == moves(by_tuner)
    assert len(moves(by_ear)) == 2
    assert by_ear["round"]["moved_mm"] == by_tuner["round"]["moved_mm"]


def test_pluck_of_a_wrong_string_does_not_spoil_the_three_that_agree(application):
    """All of them would be "too rough to judge", although the page said that three agree."""
    bass, odd = [pair("bass", 4.0)] * 3, pair("treble", -18.0)
    treble = [pair("treble", cents) for cents in (-3.0, -3.2, -3.1)]
    clean, with_odd, unlike = (
        application.post("/readings", {**state(), "heard": [*heard, *bass]}).data
        for heard in (treble, [*treble[:2], odd, *treble], [*treble[:2], odd] * 2)
    )
    assert with_odd["lines"] == clean["lines"]
    assert clean["verdict"] != unlike["verdict"] == "something else"
    lines = step(application, [*treble[:2], odd, *treble])["lines"]
    assert "Treble end: the last three agree, and only they count." in [line["text"] for line in lines]
    assert not any("only they count" in line["text"] for line in step(application, treble)["lines"])


@pytest.mark.parametrize(("error", "verdict"), [(0.4, "move"), (3.0, "stop")])
def test_rough_hearing_stops_sooner(application, error, verdict):
    """The error of what was heard enters the verdict."""
    heard = [pair("treble", -2.5, error)] * 3 + [pair("bass", 2.5, error)] * 3
    assert application.post("/readings", {**state(), "heard": heard}).data["verdict"] == verdict


@pytest.mark.parametrize(
    "heard",
    [
        "1", [1], [{}], [pair("middle", 1.0)], [pair("treble", "1")], [pair("treble", True)], [pair("treble", 1e300)],
        [pair("treble", 1.0, 0.0)], [pair("treble", 1.0, -1.0)], [pair("treble", 1.0, 0.2)],
        [{**pair("treble", 1.0), "more": 1}], [pair("treble", 1.0)] * 101,
    ],
    ids=lambda heard: str(heard)[:40],
)  # fmt: skip
def test_what_nobody_heard_is_refused(application, heard):
    """Else a damaged bookmark would move the bridge."""
    for route in ("/heard", "/readings"):
        reply = application.post(route, {**state(), "heard": heard})
        assert (reply.status, reply.data["faults"][0]["code"]) == (400, "request-malformed")


def test_damaged_bookmark_of_what_was_heard_is_dropped(visit):
    here = visit("heard=%7B%22end%22%3A1%7D")
    expect(here.page.locator("#heard")).to_be_hidden()
    expect(here.page.locator("#faults")).to_be_hidden()
    expect(here.page.locator("#advice")).to_be_hidden()
