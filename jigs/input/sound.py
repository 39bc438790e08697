"""A recording from the user: a WAV file to the samples of its loudest channel. Everything that goes wrong has its sentence.

WAV with integers of 8, 16, 24 or 32 bits, or floats of 32 or 64, also with the extensible header or as RF64. A header is
never believed about lengths: what is in the file is read, so an interrupted recording can be used.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO, TypeAlias

import numpy as np
import numpy.typing as npt

from jigs.faults import Place
from jigs.input import sound_words as words
from jigs.input.sound_formats import EXTENSIBLE, FLOAT, HEAD_BYTES, PCM, inside, named
from jigs.input.text import read_with
from jigs.input.words import empty

Samples: TypeAlias = npt.NDArray[np.float32]
_Codes: TypeAlias = npt.NDArray[Any]
"""Samples as they are stored: (frames, channels), or (frames, channels, 3) where there are three bytes to each."""

LOWEST_RATE_HZ, HIGHEST_RATE_HZ = 16_000, 384_000
MOST_CHANNELS = 64
LONGEST_S = 3600
LARGEST_FILE_BYTES = 10**9

_STORED = {
    (PCM, 8): "u1",
    (PCM, 16): "<i2",
    (PCM, 24): "(3,)u1",
    (PCM, 32): "<i4",
    (FLOAT, 32): "<f4",
    (FLOAT, 64): "<f8",
}
_AFTER_CODEC = bytes.fromhex("000000001000800000aa00389b71")
"""How the identifier of a codec goes on in an extensible header."""

_LENGTH_ELSEWHERE = 0xFFFFFFFF
_MOST_CHUNKS = 1000
"""A recorder writes some ten. More are a broken file, which would take long to walk through."""

_READ_BYTES = 1 << 20
_AT_A_TIME = 1 << 18
"""Samples that are converted at a time."""

_LOUDEST = 1e10
"""Full scale is 1. Floats that hold integers of 32 bits stay below this."""

_SILENT_BESIDE = 1e-3
"""A channel 30 dB below the loudest is never chosen: nothing was connected to it."""


@dataclass(frozen=True, eq=False)
class Sound:
    """The loudest channel of a recording; full scale is 1.0, which a file of floats may exceed."""

    samples: Samples
    rate_hz: int


@dataclass(frozen=True)
class _Layout:
    """How the samples are stored. ``bits``: of a sample."""

    codec: int
    channels: int
    rate_hz: int
    bits: int

    @property
    def frame_bytes(self) -> int:
        return self.channels * self.bits // 8


def read_sound(path: Path) -> Sound:
    """The sound of a WAV file. Raises `InputFaults`."""
    place = Place(str(path))
    whole = read_with(lambda file: _whole_wave(file, place), path, words.KIND, "check its name", _opened)
    return sound_from(whole, place)


def _opened(path: Path) -> BinaryIO:
    """Also a pipe that a recorder writes into as it records."""
    return path.open("rb")


def _whole_wave(file: BinaryIO, place: Place) -> bytearray:
    """The bytes of a file. What is not a WAV is refused by its beginning: it may be a device without an end."""
    data = bytearray(file.read(HEAD_BYTES))
    _refuse_other_formats(data, place)
    while block := file.read(_READ_BYTES):
        data += block
        if len(data) > LARGEST_FILE_BYTES:
            raise words.too_large_a_file().refusal(place)
    return data


def sound_from(data: bytes | bytearray, place: Place) -> Sound:
    r"""The sound in the bytes of a WAV file. Raises `InputFaults`.

    >>> header = b"RIFF\x28\0\0\0WAVEfmt \x10\0\0\0" + struct.pack("<HHIIHH", 1, 1, 48000, 96000, 2, 16)
    >>> sound_from(header + b"data\4\0\0\0" + struct.pack("<hh", 16384, -32768), Place("plucks.wav"))
    Sound(samples=array([ 0.5, -1. ], dtype=float32), rate_hz=48000)
    """
    _refuse_other_formats(data[:HEAD_BYTES], place)
    chunks = _chunks(memoryview(data))
    layout = _layout(chunks.get(b"fmt ", memoryview(b"")), place)
    stored = chunks.get(b"data", memoryview(b""))
    frames = len(stored) // layout.frame_bytes
    if frames == 0:
        raise words.no_sound().refusal(place)
    if frames > LONGEST_S * layout.rate_hz:
        raise words.too_long().refusal(place)
    flat = np.frombuffer(stored[: frames * layout.frame_bytes], dtype=_STORED[layout.codec, layout.bits])
    codes = flat.reshape(frames, layout.channels, *flat.shape[1:])
    channel = _loudest_channel(codes, layout, place)
    samples = np.empty(frames, np.float32)
    for part in _parts(codes):
        samples[part] = _scaled(codes[part, channel], layout.bits)
    return Sound(samples, layout.rate_hz)


def _refuse_other_formats(head: bytes | bytearray, place: Place) -> None:
    if not head:
        raise empty(words.RECORD).refusal(place)
    name = named(bytes(head))
    if name != "WAV":
        cut_off = head.startswith(b"RIFF") and len(head) < 12
        says = words.other_format(name) if name else words.header_broken() if cut_off else words.not_wav()
        raise says.refusal(place)


def _chunks(data: memoryview) -> dict[bytes, memoryview]:
    """The format and the samples of a WAV, each as far as the file goes.

    A length of 0 is what a recorder writes first. If the file's own length was not corrected either, the recording was
    interrupted.
    """
    found: dict[bytes, memoryview] = {}
    interrupted = struct.unpack_from("<I", data, 4)[0] != len(data) - 8
    at, long = 12, _LENGTH_ELSEWHERE
    for _ in range(_MOST_CHUNKS):
        if at + 8 > len(data) or found.keys() >= {b"fmt ", b"data"}:
            break
        name, length = struct.unpack_from("<4sI", data, at)
        if name == b"data" and (length == _LENGTH_ELSEWHERE or (length == 0 and interrupted)):
            length = long or _LENGTH_ELSEWHERE
        body = data[at + 8 : at + 8 + length]
        if name == b"ds64" and len(body) >= 16:
            (long,) = struct.unpack_from("<Q", body, 8)
        elif name in (b"fmt ", b"data"):
            found.setdefault(name, body)
        at += 8 + length + length % 2
    return found


def _layout(header: memoryview, place: Place) -> _Layout:
    if len(header) < 16:
        raise words.header_broken().refusal(place)
    codec, channels, rate_hz, _, frame_bytes, bits = struct.unpack_from("<HHIIHH", header)
    if codec == EXTENSIBLE:
        if len(header) < 40:
            raise words.header_broken().refusal(place)
        if header[26:40] == _AFTER_CODEC:
            (codec,) = struct.unpack_from("<H", header, 24)
    layout = _Layout(codec, channels, rate_hz, bits)
    if codec not in (PCM, FLOAT):
        raise words.compressed_inside(inside(codec)).refusal(place)
    if (codec, bits) not in _STORED:
        raise words.unusual_width("floats" if codec == FLOAT else "integers", bits).refusal(place)
    if not 1 <= channels <= MOST_CHANNELS:
        raise words.unusual_channels(channels, MOST_CHANNELS).refusal(place)
    if rate_hz < LOWEST_RATE_HZ:
        raise words.rate_too_low(rate_hz, LOWEST_RATE_HZ).refusal(place)
    if rate_hz > HIGHEST_RATE_HZ:
        raise words.rate_too_high(rate_hz, HIGHEST_RATE_HZ).refusal(place)
    if frame_bytes != layout.frame_bytes:
        raise words.frames_do_not_fit(frame_bytes, channels, bits).refusal(place)
    return layout


def _parts(codes: _Codes) -> Iterator[slice]:
    frames, channels = codes.shape[:2]
    step = _AT_A_TIME // channels
    return (slice(start, start + step) for start in range(0, frames, step))


def _scaled(codes: _Codes, bits: int) -> Samples:
    """Samples as they are stored, with full scale 1.0."""
    if codes.dtype.kind == "f":
        with np.errstate(over="ignore", invalid="ignore"):  # what is too large becomes infinite, and is refused
            return codes.astype(np.float32)
    if bits == 8:
        return codes.astype(np.float32) / np.float32(128) - np.float32(1)
    if bits == 24:
        four = np.zeros((*codes.shape[:-1], 4), np.uint8)
        four[..., 1:] = codes
        return _scaled(four.view("<i4")[..., 0], 32)
    return codes.astype(np.float32) / np.float32(2 ** (bits - 1))


def _loudest_channel(codes: _Codes, layout: _Layout, place: Place) -> int:
    """The channel with the largest mean square about its mean; a clipped one only if no other was connected."""
    total, squares = np.zeros(layout.channels), np.zeros(layout.channels)
    clipped = np.zeros(layout.channels, bool)
    full = 1 - 2.0 ** (1 - min(layout.bits, 16))
    for part in _parts(codes):
        samples = _scaled(codes[part], layout.bits)
        sizes = np.abs(samples)
        if not sizes.max() <= _LOUDEST:  # nor is NaN
            row = int(np.argmax(~(sizes <= _LOUDEST).all(axis=1)))
            raise words.not_finite((part.start + row) / layout.rate_hz).refusal(place)
        total += samples.sum(axis=0, dtype=float)
        squares += np.square(samples, dtype=float).sum(axis=0)
        at_full = sizes >= full
        clipped |= (at_full[:-2] & at_full[1:-1] & at_full[2:]).any(axis=0)
    levels = squares / len(codes) - (total / len(codes)) ** 2
    rank = np.where(levels < _SILENT_BESIDE * levels.max(), 0, np.where(clipped, 1, 2))
    return int(np.lexsort((levels, rank))[-1])
