"""An instrument by its file's name or its preset's."""

import hashlib
from pathlib import Path, PureWindowsPath

from jigs.faults import InputFaults, Place
from jigs.input.text import of_a_near_name
from jigs.instrument import words
from jigs.instrument.file import load, parse
from jigs.instrument.instrument import Instrument
from jigs.instrument.set_keys import NONE_SET, SetKeys
from jigs.system.whole_files import file_stem

_LONGEST_STEM_BYTES, _KEPT_BYTES, _MARK_DIGITS = 180, 150, 8
"""The names of the drawings go on from it, and most systems take 255 bytes."""

PRESETS = Path(__file__).parent / "presets"


def preset_names() -> list[str]:
    """The presets' names."""
    return sorted(path.stem for path in PRESETS.glob("*.toml"))


def preset_text(name: str) -> str:
    """A preset's instrument file. Raises `InputFaults` for an unknown name."""
    if name not in preset_names():
        raise words.none_called("preset", name, preset_names()).refusal(Place(option="preset"))
    return (PRESETS / f"{name}.toml").read_text(encoding="utf-8")


def open_instrument(file_or_preset: str, set_keys: SetKeys = NONE_SET, computed: bool = False) -> Instrument:
    """An instrument from a file, or from a preset if no file has that name; ``set_keys`` count instead of its own.

    ``computed``: without a place found by ear. Raises `InputFaults`.
    """
    path = Path(file_or_preset)
    if file_or_preset in preset_names() and not (_is_there(path) and path.is_file()):
        return parse(preset_text(file_or_preset).encode(), f"preset {file_or_preset}", set_keys, computed)
    try:
        return load(path, set_keys, computed)
    except InputFaults:
        if not path.name or path.suffix or _leads_somewhere(path) or _is_there(path):
            raise
        beside = path.with_suffix(".toml")
        there = beside if _is_there(beside) else None
        says = words.neither_file_nor_preset(file_or_preset, preset_names(), there, of_a_near_name(beside))
        raise says.refusal(Place(file_or_preset)) from None


def _leads_somewhere(path: Path) -> bool:
    r"""Whether a path goes through folders, also one that was written for Windows: no preset is called so.

    >>> [_leads_somewhere(Path(one)) for one in ("mine", "shelf/mine", "..\\mine", "C:mine")]
    [False, True, True, True]
    """
    return path.parent != Path(".") or PureWindowsPath(path).parent != PureWindowsPath(".")


def _is_there(path: Path) -> bool:
    """Whether a file or folder has that name, however odd the name is."""
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def stem_for(file_or_preset: str) -> str:
    """How the files of an instrument begin: as its own file does, or as the preset is called.

    A name to which a system could add no ending keeps its beginning, and gets a mark by which it differs from others.

    >>> stem_for("shelf/Mine 2.toml"), stem_for("tenor-banjo")
    ('mine-2', 'tenor-banjo')
    >>> stem_for("x" * 246 + ".toml")[-10:], len(stem_for("x" * 246 + ".toml"))
    ('x-8cc53d63', 159)
    """
    stem = file_stem(Path(file_or_preset).stem)
    raw = stem.encode()
    if len(raw) <= _LONGEST_STEM_BYTES:
        return stem
    return f"{raw[:_KEPT_BYTES].decode(errors='ignore').rstrip('-')}-{hashlib.sha256(raw).hexdigest()[:_MARK_DIGITS]}"
