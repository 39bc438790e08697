"""Take the README's picture of the page: ``python tests/jigs/page/picture.py``. Needs a Chromium."""

import re
import subprocess
import sys
from pathlib import Path
from shutil import which

from playwright.sync_api import sync_playwright

PICTURE = Path(__file__).with_name("page.png")
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-sync",
)


def main():
    server = subprocess.Popen(
        [sys.executable, "-m", "jigs", "page", "--no-browser", "--port", "0"], stdout=subprocess.PIPE, text=True
    )
    try:
        address = re.search(r"http://\S+/", server.stdout.readline())[0]
        with sync_playwright() as play:
            browser = play.chromium.launch(executable_path=which("chromium"), args=list(FLAGS))
            page = browser.new_page(viewport={"width": 1280, "height": 840})
            page.goto(f"{address}#from=mandolin&name=Loan+mandolin+3&action.fret_12=1.8")
            page.wait_for_selector("#headline:not([hidden])")
            page.wait_for_timeout(500)
            page.screenshot(path=PICTURE)
            browser.close()
    finally:
        server.terminate()
        server.wait()
    print(f"wrote {PICTURE}")


if __name__ == "__main__":
    main()
