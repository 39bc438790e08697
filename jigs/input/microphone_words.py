"""What you read where the microphone cannot be used."""

from jigs.faults import Says

_ON_THE_PAGE = "run `jigs page`, which listens without it, or name a sound file"


def not_installed() -> Says:
    """The package that records is missing."""
    what = "to record, this command needs the package sounddevice (bridge-jigs[microphone])"
    return Says(what, _ON_THE_PAGE, "microphone-not-installed")


def no_library() -> Says:
    """The package is there, and the system's library for it is not."""
    return Says("to record, this command needs the library PortAudio", _ON_THE_PAGE, "microphone-no-library")


def no_microphone() -> Says:
    """No device to record from, or the system keeps it."""
    what = "no microphone can be opened"
    return Says(what, "connect one and allow its use, or name a sound file", "microphone-not-found")
