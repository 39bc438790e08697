"""Standard input, output and error as they may be found: closed, or on a disk that is full."""

import io
import os
import sys
from contextlib import suppress
from typing import Any

STANDARD = ("stdin", "stdout", "stderr")


class OutputLost(Exception):
    """Standard output or standard error cannot be written. Its text is the system's reason."""


class _Watched(io.FileIO):
    """The file of an output, whose failure is known from that of every other file."""

    def write(self, content: "bytes | bytearray | memoryview", /) -> int | None:  # type: ignore[override]
        try:
            return super().write(content)
        except BrokenPipeError:
            raise
        except OSError as error:
            raise OutputLost(error.strerror or str(error)) from None


def make_usable() -> None:
    """Lead closed streams nowhere, and watch the outputs.

    A file that is opened takes the lowest free number: without this, a drawing could become standard output, and every line
    that is printed would go into it.
    """
    with suppress(OSError):
        while (handle := os.open(os.devnull, os.O_RDWR)) < len(STANDARD):
            os.set_inheritable(handle, True)
        os.close(handle)
    sys.stdout, sys.stderr = _watched(sys.stdout), _watched(sys.stderr)
    for name in STANDARD:
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "r" if name == "stdin" else "w", encoding="utf-8"))  # noqa: SIM115


def silence() -> None:
    """Lead both outputs nowhere: Python flushes them once more at exit."""
    sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115


def _watched(stream: Any) -> Any:
    """The same output, watched, if it is an ordinary file, pipe or terminal."""
    if type(stream) is not io.TextIOWrapper:
        return stream
    buffer: Any = stream.buffer
    raw = getattr(buffer, "raw", buffer)
    if type(raw) is not io.FileIO:  # the console of Windows is not one
        return stream
    watched: Any = _Watched(raw.fileno(), "w", closefd=False)
    return io.TextIOWrapper(
        watched if raw is buffer else io.BufferedWriter(watched),
        encoding=stream.encoding,
        errors=stream.errors,
        line_buffering=stream.line_buffering,
        write_through=stream.write_through,
    )
