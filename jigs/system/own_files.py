"""Which files this program wrote, by what is in them: it replaces no other, whatever that is called.

Each kind has marks that the program writes into every file of it. Files of other kinds, such as an instrument's or a log,
have none, because users go on writing in them. They are replaced only by the same bytes.
"""

import os
import stat
from collections.abc import Iterable, Mapping
from pathlib import Path

TABLES = {"rack.csv": b"name,source,scale_mm,", "nest.csv": b"sheet,part,x_mm,"}
"""How the tables begin that a rack writes."""

_MARKS = {
    ".pdf": ((b"%PDF-", b"/Creator (bridge-jigs)"),),
    ".svg": (
        (b"<svg ", b"bridge-jigs"),
        (b'<svg baseProfile="full"', b'id="layer-'),
        (b'<svg baseProfile="full"', b"<title>A placement fork in use"),
    ),
    ".dxf": ((b"\nezdxf\n", *(b"\n%b\n" % layer for layer in (b"GUIDE", b"SCORE", b"CUT", b"ENGRAVE", b"DRILL"))),),
    ".md": ((b"# Examples\n", b"`jigs demo` writes this folder"),),
}
"""For each kind, sets of marks: a file with one whole set is the program's."""


def is_ours(name: str, content: bytes) -> bool:
    """Whether a file with this name and content is one that the program wrote. An empty file has nothing to lose."""
    if not content.strip(b"\0 \r\n"):
        return True
    if name in TABLES:
        return content.startswith(TABLES[name])
    plain = content.replace(b"\r\n", b"\n")
    return any(all(mark in plain for mark in marks) for marks in _MARKS.get(Path(name).suffix, ()))


def others(files: Mapping[str, bytes | None], folder: Path) -> Iterable[Path]:
    """Those of the files in a folder that the program did not write, and that are not as they are to be written.

    A link counts as the program's: it is replaced, and what it leads to stays. Raises OSError for what cannot be read.
    """
    for name, content in files.items():
        path = folder / name
        try:
            mode = os.lstat(path).st_mode
        except FileNotFoundError:
            continue
        if stat.S_ISLNK(mode) or stat.S_ISDIR(mode):
            continue
        if not stat.S_ISREG(mode):
            yield path
            continue
        present = path.read_bytes()
        if present != content and not is_ours(name, present):
            yield path
