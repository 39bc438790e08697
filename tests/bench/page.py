"""How long the user of the page waits: ``python tests/bench/page.py``. Prints, asserts nothing.

A hundred drawings at once from a real server; two thousand one after another, and what they leave in its memory; and
in a real browser, from a key to its picture.
"""

import shutil
import statistics
import sys
import tempfile
import threading
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
AT_ONCE = 100
KEYS = 60
PREVIEWS, FIRST_PREVIEWS = 2000, 100
FROM_KEY_TO_PICTURE = """async ([id, text]) => {
  const card = document.getElementById("card"), field = document.getElementById(id);
  const painted = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
  const before = card.shadowRoot.querySelector("svg");
  field.value = text;
  await painted();
  const began = performance.now();
  field.dispatchEvent(new InputEvent("input", { bubbles: true }));
  await new Promise((done) => {
    const looking = new MutationObserver(() => card.shadowRoot.querySelector("svg") !== before && done());
    looking.observe(card.shadowRoot, { childList: true });
  });
  await painted();
  return performance.now() - began;
}"""


def one_at_a_time(server):
    """Seconds of a drawing, one request at a time."""
    for n in range(KEYS):
        yield timed(lambda n=n: server.drawn("banjo", {"scale": f"{660 + n / 10:.1f}"}))


def all_at_once(server):
    """Seconds of each of a hundred different drawings, all requested at the same moment."""
    seconds, go = [], threading.Barrier(AT_ONCE)

    def ask(n):
        go.wait()
        seconds.append(timed(lambda: server.drawn("banjo", {"scale": f"{650 + n / 10:.1f}"})))

    threads = [threading.Thread(target=ask, args=(n,)) for n in range(AT_ONCE)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return seconds


def memory_mb(process):
    """Memory of a process and of all that it started, in MB, shared pages counted once. Needs Linux."""
    return sum(kib_of(pid) for pid in with_children(process.pid)) * 1024 / 1e6


def with_children(pid):
    yield pid
    for task in Path(f"/proc/{pid}/task").iterdir():
        for child in (task / "children").read_text().split():
            yield from with_children(int(child))


def kib_of(pid):
    rollup = Path(f"/proc/{pid}/smaps_rollup").read_text()
    return next(int(line.split()[1]) for line in rollup.splitlines() if line.startswith("Pss:"))


def after_previews(server):
    """The server's memory after the first previews and after all of them, each of another scale, template and preset."""
    presets, templates = ("banjo", "mandolin", "archtop-guitar"), ("fork", "setup-card", "fretboard", "gauge")
    for n in range(PREVIEWS):
        if n == FIRST_PREVIEWS:
            first = memory_mb(server.process)
        filled = {"action.fret_12": f"{2 + n / 2000:.4f}"}
        server.drawn(presets[n % len(presets)], filled, {"template": templates[n // 3 % len(templates)], "paper": "a3"})
    return first, memory_mb(server.process)


def in_a_browser(server, found):
    """Seconds from a key in the field of the scale to the picture that it makes."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-gpu"])
        page = browser.new_page()
        page.goto(server.address)
        page.wait_for_function("() => document.getElementById('card').shadowRoot?.querySelector('svg')")
        seconds = [page.evaluate(FROM_KEY_TO_PICTURE, ["f-scale", f"{660 + n}"]) / 1000 for n in range(KEYS)]
        browser.close()
    return seconds


def timed(work):
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def report(what, seconds):
    middle, worst = 1000 * statistics.median(seconds), 1000 * max(seconds)
    high = 1000 * statistics.quantiles(seconds, n=20)[-1]
    print(f"{what:<56} median {middle:8.1f} ms   95% within {high:8.1f} ms   worst {worst:8.1f} ms")


if __name__ == "__main__":
    sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
    from served import serving

    with tempfile.TemporaryDirectory() as scratch, serving(scratch) as running:
        report(f"a drawing, {KEYS} of them one after another", list(one_at_a_time(running)))
        began = time.perf_counter()
        waits = all_at_once(running)
        report(f"a drawing, {AT_ONCE} of them at once", waits)
        print(f"{'all of these':<64}        {1000 * (time.perf_counter() - began):8.1f} ms")
        first, last = after_previews(running)
        grown = f"after {PREVIEWS} {last:.0f} MB: {100 * (last / first - 1):+.1f}%"
        print(f"memory after {FIRST_PREVIEWS} previews {first:.0f} MB, {grown}")
        browser = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
        if browser:
            report(f"from a key to the picture on the screen, {KEYS} keys", in_a_browser(running, browser))
        else:
            print("there is no browser here to measure in")
