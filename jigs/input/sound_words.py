"""What you read when a recording cannot be used."""

from jigs.faults import Command, Says

KIND = "sound file"
SAVE_AS = "save the sound as WAV, PCM, 16 bit"
RECORD = "record it again, and stop the recording before you copy it"
_AT_LEAST = "record at 44.1 or 48 kHz"


def not_a_text(kind: str) -> Says:
    """A sound where a file of text belongs. ``kind``: of the text."""
    remedy = (f"name the {kind} here; sounds are for ", Command("listen"), ", behind the instrument's file")
    return Says("this is a sound", remedy, "sound-instead-of-text")


def other_format(name: str) -> Says:
    """A file in another format, by its name."""
    return Says(f"the format of this file is {name}", SAVE_AS, "sound-other-format")


def not_wav() -> Says:
    """A file of no format that is known here."""
    return Says("this is not a WAV file", SAVE_AS, "sound-not-wav")


def compressed_inside(name: str) -> Says:
    """A WAV with another codec inside, by its name."""
    return Says(f"the sound in this WAV file is {name}", SAVE_AS, "sound-compressed")


def header_broken() -> Says:
    """A WAV that does not say how its sound is stored."""
    return Says("the header of this WAV file is cut off or broken", RECORD, "sound-header-broken")


def unusual_width(kind: str, bits: int) -> Says:
    """Samples of a width that no recorder writes. ``kind``: integers or floats."""
    return Says(f"the samples of this sound are {kind} of {bits} bits", SAVE_AS, "sound-unusual-width")


def frames_do_not_fit(given: int, channels: int, bits: int) -> Says:
    """A header whose lengths disagree. ``given``: bytes of all channels' samples at a time."""
    what = f"the header of this WAV file contradicts itself ({given} bytes for {channels} × {bits} bits)"
    return Says(what, SAVE_AS, "sound-frames-do-not-fit")


def unusual_channels(channels: int, most: int) -> Says:
    """No channel, or more than any recorder has."""
    number = "no channel" if channels == 0 else f"{channels} channels"
    return Says(f"this sound has {number}", f"save it as mono, or with up to {most} channels", "sound-channels")


def rate_too_low(rate_hz: int, least_hz: int) -> Says:
    """Too few samples a second to hear partials."""
    what = f"the rate of this sound is {rate_hz / 1000:g} kHz, less than {least_hz / 1000:g}"
    return Says(what, _AT_LEAST, "sound-rate-too-low")


def rate_too_high(rate_hz: int, most_hz: int) -> Says:
    """More samples a second than any recorder makes."""
    what = f"the rate of this sound is {rate_hz / 1000:g} kHz, more than {most_hz / 1000:g}"
    return Says(what, _AT_LEAST, "sound-rate-too-high")


def no_sound() -> Says:
    """A WAV without a sample."""
    return Says("this WAV file holds no sound", RECORD, "sound-empty")


def not_finite(at_s: float) -> Says:
    """A sample that is NaN, infinite or absurd."""
    return Says(f"the sample at {at_s:.2f} s is not a number, or is endless", SAVE_AS, "sound-not-finite")


def too_long() -> Says:
    """A sound of more than an hour."""
    return Says("this sound is longer than an hour", "save only the minutes with your plucks", "sound-too-long")


def too_large_a_file() -> Says:
    """A file of more than a gigabyte."""
    remedy = f"save only the minutes with your plucks, or {SAVE_AS.removeprefix('save ')}"
    return Says("this file is larger than a gigabyte", remedy, "sound-file-too-large")
