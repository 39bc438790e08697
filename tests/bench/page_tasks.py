"""How long a newcomer's tasks take on the page: ``python tests/bench/page_tasks.py``. Prints, asserts nothing.

Each task begins at the page's address, in a window of its own. The seconds are a script's, so they are the page's part of a
person's time: reading and measuring come on top.
"""

import shutil
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
WINDOWS = {
    "1366 × 768": {"viewport": {"width": 1366, "height": 768}},
    "390 × 844": {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True},
}


def all_of_them(found):
    from page_tasks import TASKS, done
    from playwright.sync_api import sync_playwright
    from served import serving

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-gpu"])
        for window, profile in WINDOWS.items():
            for name, task in TASKS.items():
                with tempfile.TemporaryDirectory() as own, serving(own, XDG_CONFIG_HOME=own) as server:
                    page = browser.new_context(**profile).new_page()
                    someone, seconds = done(task, page, server.address)
                    page.context.close()
                print(f"{window:<11} {name:<44} {seconds:5.1f} s {someone.fields:3} fields {someone.clicks:2} clicks")
        browser.close()


if __name__ == "__main__":
    sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
    browser = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if browser:
        all_of_them(browser)
    else:
        print("there is no browser here to measure in")
