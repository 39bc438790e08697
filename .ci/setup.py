"""Make .venv in this project's folder, and install the project and its tests into it.

Needs only Python 3.11 or later. Where the system's Python has no pip (Debian's has none), this downloads pip's wheel from
the package index and checks its hash.
"""

import hashlib
import json
import os
import subprocess
import sys
import tempfile
import urllib.parse
import urllib.request
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
HOME = ROOT / ".venv"
LEAST = (3, 11)


def main() -> None:
    if sys.version_info < LEAST:
        sys.exit(f"this is Python {sys.version.split()[0]}; run it with Python {LEAST[0]}.{LEAST[1]} or later")
    try:
        import ensurepip
    except ImportError:
        ensurepip = None
    venv.create(HOME, with_pip=ensurepip is not None, clear=True, symlinks=os.name != "nt")
    python = HOME / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    install = ["install", "--quiet", "--disable-pip-version-check", "-c", str(ROOT / ".ci" / "constraints.txt")]
    wanted = ["-e", f"{ROOT}[test]"]
    if ensurepip is not None:
        subprocess.run([python, "-m", "pip", *install, *wanted], check=True)
    else:
        with tempfile.TemporaryDirectory() as folder:
            wheel = fetch_pip(Path(folder))
            subprocess.run([python, f"{wheel}/pip", *install, "pip", *wanted], check=True)
    # pip compiles what it installs. The project is only linked to, and some machines compile nothing by themselves.
    subprocess.run([python, "-m", "compileall", "-q", ROOT / "jigs", ROOT / "geometry"], check=True)


def fetch_pip(folder: Path) -> Path:
    """Download the newest pip wheel from the package index."""
    index = os.environ.get("PIP_INDEX_URL", "https://pypi.org/simple").rstrip("/")
    listing = urllib.request.Request(f"{index}/pip/", headers={"Accept": "application/vnd.pypi.simple.v1+json"})
    with urllib.request.urlopen(listing) as answer:
        files = json.load(answer)["files"]
    wheels = [f for f in files if f["filename"].endswith("-py3-none-any.whl") and not f.get("yanked")]
    newest = max(wheels, key=lambda f: release(f["filename"]))
    with urllib.request.urlopen(urllib.parse.urljoin(f"{index}/pip/", newest["url"])) as answer:
        content = answer.read()
    if hashlib.sha256(content).hexdigest() != newest["hashes"]["sha256"]:
        sys.exit("the downloaded pip does not have the hash that the index lists; try again")
    wheel = folder / newest["filename"]
    wheel.write_bytes(content)
    return wheel


def release(filename: str) -> tuple[int, ...]:
    """The version in a wheel's name, as numbers. A pre-release sorts first."""
    parts = filename.split("-")[1].split(".")
    return tuple(int(part) for part in parts) if all(part.isdigit() for part in parts) else (0,)


if __name__ == "__main__":
    main()
