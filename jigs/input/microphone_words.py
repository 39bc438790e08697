"""What you read where the microphone cannot be used."""

from jigs.faults import Says
from jigs.input.words import shown

_ON_THE_PAGE = "run `jigs page`, which listens without it, or name a file"


def no_length(text: str, least_s: float, most_s: float) -> Says:
    """Something else where the length of a recording is meant."""
    remedy = f"write seconds from {least_s:g} to {most_s:g}, such as 30"
    return Says(f"{shown(text)} is not a length of a recording", remedy, "recording-length-unread")


def not_installed() -> Says:
    """The package that records is missing."""
    what = "no file is given, and to record, the package sounddevice is needed (bridge-jigs[microphone])"
    return Says(what, _ON_THE_PAGE, "microphone-not-installed")


def no_library() -> Says:
    """The package is there, and the system's library for it is not."""
    what = "no file is given, and to record, the library PortAudio is needed"
    return Says(what, _ON_THE_PAGE, "microphone-no-library")


def no_microphone() -> Says:
    """No device to record from, or the system keeps it."""
    what = "no file is given, and no microphone can be opened"
    return Says(what, "connect a microphone and allow its use, or name a file", "microphone-not-found")
