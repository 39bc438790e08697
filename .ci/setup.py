"""Make .venv beside this project and install the project with its tests into it.

Needs a Python 3.11 or later and nothing else: where the system's Python comes without pip (Debian's does),
pip's own wheel is fetched from the package index and checked against its hash.
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
        sys.exit(f"Python {LEAST[0]}.{LEAST[1]} or later is needed; this is {sys.version.split()[0]}")
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
    # What is installed is compiled; what is linked to is compiled here, for machines that are told not to.
    subprocess.run([python, "-m", "compileall", "-q", ROOT / "jigs", ROOT / "geometry"], check=True)


def fetch_pip(folder: Path) -> Path:
    """Download the newest pip wheel from the package index."""
    index = os.environ.get("PIP_INDEX_URL", "https://pypi.org/simple").rstrip("/")
    asked = urllib.request.Request(f"{index}/pip/", headers={"Accept": "application/vnd.pypi.simple.v1+json"})
    with urllib.request.urlopen(asked) as answer:
        files = json.load(answer)["files"]
    wheels = [f for f in files if f["filename"].endswith("-py3-none-any.whl") and not f.get("yanked")]
    newest = max(wheels, key=lambda f: release(f["filename"]))
    with urllib.request.urlopen(urllib.parse.urljoin(f"{index}/pip/", newest["url"])) as answer:
        content = answer.read()
    if hashlib.sha256(content).hexdigest() != newest["hashes"]["sha256"]:
        sys.exit("the pip that was downloaded is not the one that the index lists; try again")
    wheel = folder / newest["filename"]
    wheel.write_bytes(content)
    return wheel


def release(filename: str) -> tuple[int, ...]:
    """Version in a wheel's name, as numbers; a pre-release sorts below everything."""
    parts = filename.split("-")[1].split(".")
    return tuple(int(part) for part in parts) if all(part.isdigit() for part in parts) else (0,)


if __name__ == "__main__":
    main()
