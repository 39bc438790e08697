"""The log: what was read and advised, step by step, in a file that never loses a line.

A line is one JSON object and complete in itself. A table with heads would not work: the first run would have to write the
heads, and two runs at once would both write them. Besides, a step holds lists, of strings and of moves. Lines have numbers
and no times, so the same readings make the same file.

A run adds its line under a lock that other runs wait for (advisory, where the system has `fcntl`). It writes the line in
one go at the end of the file, wherever that is by then. The line is on the disk before the command says so. Nothing in the
file is ever written again. A file with anything but such lines is refused.
"""

import errno
import json
import math
import os
import stat
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeGuard

from geometry.readings import Verdict
from jigs.faults import InputFaults, Place, Says
from jigs.instrument.packets import written
from jigs.readings import fault_words as words
from jigs.readings.advice import Advice
from jigs.readings.as_json import as_dict
from jigs.readings.rounds import Start, start_from
from jigs.readings.words import GAP, advice_lines
from jigs.system.interrupts import held_back
from jigs.system.locks import HAS_LOCKS, open_locked, wait_for_writer

FORMAT = "bridge-jigs readings 1"
"""What every line begins with."""

LARGEST_LOG_BYTES = 1 << 24
_MOST_CENTS = 1e3


@dataclass(frozen=True)
class Step:
    """One line of a log, as far as a picture needs it.

    ``rests`` are (string's number, cents off its aim, ± cents). ``kinds`` are the kinds of the lines of advice, in their
    order and without repeats; logs of earlier versions have none. ``aims_elsewhere``: some string is not meant to read what
    its harmonic does, so that on its aim is not in tune. ``next``: where the bridge stands after it, if that is known.
    ``set_of_strings``: the instrument's strings at that time as text; logs of earlier versions have none.
    """

    step: int
    instrument: str
    rests: tuple[tuple[int, float, float], ...]
    verdict: str
    kinds: tuple[str, ...] = ()
    aims_elsewhere: bool = False
    next: Start | None = None
    set_of_strings: str | None = None


@dataclass(frozen=True)
class Log:
    """An open, locked log: the steps that it holds, and a way to add one. ``line_end``: how its last line ends."""

    path: Path
    handle: int
    steps: tuple[Step, ...]
    size: int
    torn: bool
    line_end: bytes

    def append(self, line: bytes) -> None:
        """Add a line, on the disk when this returns. Raises `InputFaults`, with the file as it was."""
        whole = ((b"\n" if self.torn else b"") + line).replace(b"\n", self.line_end)
        try:
            written = os.write(self.handle, whole)
            if written != len(whole):
                raise OSError(0, words.NO_ROOM)
            os.fsync(self.handle)
            if not self.size:
                _keep_name(self.path)
        except OSError as error:
            if HAS_LOCKS:
                os.ftruncate(self.handle, self.size)
            raise _refused(self.path, error) from None


def next_number(steps: Sequence[Step], instrument: str) -> int:
    """The number of an instrument's next step."""
    return max((step.step for step in steps if step.instrument == instrument), default=0) + 1


def last_of(steps: Sequence[Step], instrument: str) -> Step | None:
    """An instrument's last step."""
    return next((step for step in reversed(steps) if step.instrument == instrument), None)


def _keep_name(path: Path) -> None:
    """Put a new file's name on the disk too, on systems that let a program open a folder for that."""
    try:
        folder = os.open(path.parent, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(folder)
    except OSError:
        pass  # some file systems cannot; the line itself is safe
    finally:
        os.close(folder)


def record(advice: Advice, step: int, heard: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """What the log keeps of an advice: its numbers, and the kinds of its lines instead of their words.

    ``heard``: what was heard, as JSON has it, if the readings are from sounds.
    """
    whole = as_dict(advice)
    kept = ("strings", "moves", "relative", "before", "after", "verdict", "reason", "next", "diagnosis")
    at_octave = {one["string"] for one in whole["strings"]}
    others = [
        {"string": one.string + 1, "fret": one.fret, "against": one.against.value, "cents": one.cents}
        for one in advice.readings
        if one.fret != advice.workup.octave_frets[one.string] or one.string + 1 not in at_octave
    ]
    return {
        "log": FORMAT,
        "step": step,
        "instrument": whole["name"],
        "set_of_strings": written(advice.workup.instrument.strings),
        **{key: _rounded(whole[key]) for key in kept if key in whole},
        "kinds": list(_kinds(advice)),
        **({"other_readings": _rounded(others)} if others else {}),
        **_rounded(dict(heard or {})),
    }


def _kinds(advice: Advice) -> tuple[str, ...]:
    """The kinds of the lines of advice, in their order and without repeats."""
    return tuple(dict.fromkeys(line.kind for line in advice_lines(advice) if line != GAP))


def _rounded(value: Any) -> Any:
    """Numbers to four decimals: a ten-thousandth of a cent, and lines that a person can read."""
    if isinstance(value, float):
        return round(value, 4) + 0.0
    if isinstance(value, dict):
        return {key: _rounded(each) for key, each in value.items()}
    return [_rounded(each) for each in value] if isinstance(value, list | tuple) else value


def as_line(step: dict[str, Any]) -> bytes:
    """A record as a line of the log."""
    return json.dumps(step, ensure_ascii=False, allow_nan=False).encode() + b"\n"


def step_of(advice: Advice, step: int) -> Step:
    """The step that an advice will be in the log."""
    rests = tuple(
        (one.string + 1, round(one.cents, 4) - round(one.aim_cents, 4), round(one.plus_minus_cents, 4))
        for one in advice.strings
    )
    verdict = "" if advice.verdict is None else advice.verdict.value
    elsewhere = any(_is_elsewhere(one.aim_cents) for one in advice.strings)
    return Step(
        step,
        advice.workup.instrument.name,
        rests,
        verdict,
        _kinds(advice),
        elsewhere,
        advice.next,
        written(advice.workup.instrument.strings),
    )


def _is_elsewhere(aim_cents: float) -> bool:
    """Whether an aim is another than the harmonic, to the tenth of a cent that is drawn."""
    return round(abs(aim_cents), 1) > 0.0


def _step(line: Any) -> Step | None:
    """A line's content as a step, or None if it is not one."""
    if not isinstance(line, dict) or line.get("log") != FORMAT:
        return None
    number, name, verdict = line.get("step"), line.get("instrument"), line.get("verdict")
    strings = line.get("strings")
    if not _is_whole(number) or not isinstance(name, str) or not isinstance(strings, list):
        return None
    rests, elsewhere = [], False
    for one in strings:
        if not isinstance(one, dict) or not _is_whole(one.get("string")):
            return None
        reading, aim, sure = (_cents(one.get(key)) for key in ("reading_cents", "aim_cents", "plus_minus_cents"))
        if not math.isfinite(reading + aim + sure):
            return None
        rests.append((int(one["string"]), reading - aim, sure))
        elsewhere |= _is_elsewhere(aim)
    verdict = verdict if isinstance(verdict, str) else ""
    strung = line.get("set_of_strings")
    strung = strung if isinstance(strung, str) else None
    return Step(int(number), name, tuple(rests), verdict, _kinds_of(line), elsewhere, _next_of(line, verdict), strung)


def _next_of(line: dict[str, Any], verdict: str) -> Start | None:
    """Where the bridge stands after a step; logs of earlier versions say it in other words."""
    if "next" in line or line.get("relative") is not False:
        return start_from(line.get("next"))
    return start_from(line.get("after" if verdict in (Verdict.MOVE, Verdict.CHECK_FIRST) else "before"))


def _number(text: str) -> float:
    """A number of a line. Raises `ValueError` for one that is not finite: no line of ours has one."""
    number = float(text)
    if not math.isfinite(number):
        raise ValueError(text)
    return number


def _kinds_of(line: dict[str, Any]) -> tuple[str, ...]:
    kinds = line.get("kinds")
    return tuple(kind for kind in kinds if isinstance(kind, str)) if isinstance(kinds, list) else ()


def _cents(value: object) -> float:
    """A number of cents, or nan for anything else."""
    known = isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < _MOST_CENTS
    return float(value) if known and isinstance(value, int | float) else math.nan


def _is_whole(value: object) -> TypeGuard[int]:
    return isinstance(value, int) and not isinstance(value, bool) and 0 < value < 10**9


def read(path: Path) -> tuple[Step, ...]:
    """The steps of a log, none if there is no such file. Raises `InputFaults` for a file that is not a log."""
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except FileNotFoundError:
        if not path.parent.is_dir():
            raise words.log_without_folder().refusal(Place(str(path))) from None
        return ()
    except (OSError, ValueError) as error:
        if isinstance(error, OSError) and error.errno == errno.ENAMETOOLONG:
            return ()
        raise _refused(path, error, words.log_unreadable) from None
    try:
        wait_for_writer(handle)
        return _steps(path, _bytes(path, handle))
    finally:
        os.close(handle)


@contextmanager
def open_log(path: Path) -> Iterator[Log]:
    """A log to add to, locked inside the ``with``. A new file that stays empty is removed again.

    Raises `InputFaults` for a file that is not a log or cannot be written.
    """
    handle, made = _open_locked(path)
    with held_back():
        try:
            raw = _bytes(path, handle)
            torn = bool(raw) and not raw.endswith(b"\n")
            yield Log(path, handle, _steps(path, raw), len(raw), torn, _line_end(raw))
        finally:
            if made and HAS_LOCKS and os.fstat(handle).st_size == 0:
                path.resolve().unlink(missing_ok=True)
            os.close(handle)


def _line_end(raw: bytes) -> bytes:
    """How the last whole line of a log ends. An editor on Windows may have saved it with line ends of its own."""
    end = raw.rfind(b"\n")
    return b"\r\n" if end > 0 and raw[end - 1 : end] == b"\r" else b"\n"


def _open_locked(path: Path) -> tuple[int, bool]:
    try:
        return open_locked(path)
    except (OSError, ValueError) as error:
        raise _refused(path, error) from None


def _bytes(path: Path, handle: int) -> bytes:
    status = os.fstat(handle)
    if stat.S_ISDIR(status.st_mode):
        raise _refused(path, IsADirectoryError())
    if not stat.S_ISREG(status.st_mode):
        raise words.log_not_a_file().refusal(Place(str(path)))
    if status.st_size > LARGEST_LOG_BYTES:
        raise words.log_full().refusal(Place(str(path)))
    os.lseek(handle, 0, os.SEEK_SET)
    parts: list[bytes] = []
    while part := os.read(handle, 1 << 20):
        parts.append(part)
    return b"".join(parts)


def _steps(path: Path, raw: bytes) -> tuple[Step, ...]:
    """Raises `InputFaults` at the first line that is not a step."""
    steps: list[Step] = []
    for n, line in enumerate(raw.split(b"\n"), 1):
        if not line.strip():
            continue
        try:
            step = _step(json.loads(line, parse_float=_number, parse_constant=_number))
        except (ValueError, RecursionError):
            step = None
        if step is None:
            says = words.log_line_damaged() if steps else words.not_a_log()
            raise says.refusal(Place(str(path), line=n))
        steps.append(step)
    return tuple(steps)


def _refused(path: Path, error: Exception, otherwise: Callable[[str], Says] = words.log_unwritable) -> InputFaults:
    """A file that the system does not let us use; ``otherwise`` says what of a reason that has no words of its own."""
    place = Place(str(path))
    if isinstance(error, IsADirectoryError):
        return words.log_is_folder().refusal(place)
    if isinstance(error, FileNotFoundError):
        return words.log_without_folder().refusal(place)
    reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
    return otherwise(reason).refusal(place)
