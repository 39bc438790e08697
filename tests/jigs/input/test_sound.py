"""Recordings: what recorders write is read sample by sample, and all else is refused in a sentence with a remedy."""

import io
import os
import struct
import threading
import tracemalloc
import wave
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import run
from scipy.io import wavfile
from served import silence

from jigs.faults import InputFaults, Place
from jigs.input import sound
from jigs.input.sound import read_sound, sound_from

steady = settings(deadline=None, derandomize=True)

SAMPLES = sorted((Path(__file__).parents[2] / "sounds").glob("*.wav"))
RATES = [16_000, 22_050, 44_100, 47_999, 48_000, 96_000, 192_000]
PLACE = Place("plucks.wav")
SAVE_AS = "save the sound as WAV, PCM, 16 bit"
AGAIN = "record it again, and stop the recording before you copy it"
UNKNOWN = 0xFFFFFFFF


def plucks(frames=1000, channels=1, seed=1):
    """Noise that fades, the first channel loudest."""
    noise = np.random.default_rng(seed).uniform(-0.9, 0.9, (frames, channels))
    return noise * np.linspace(1, 0.1, frames)[:, None] / np.arange(1, channels + 1)


def chunk(name, body, length=None):
    return name + struct.pack("<I", len(body) if length is None else length) + body + b"\0" * (len(body) % 2)


def header(codec=1, channels=1, rate=48_000, bits=16, frame=None, more=b""):
    frame = channels * bits // 8 if frame is None else frame
    return chunk(b"fmt ", struct.pack("<HHIIHH", codec, channels, rate, rate * frame % 2**32, frame, bits) + more)


def riff(*chunks, length=None, form=b"RIFF"):
    body = b"WAVE" + b"".join(chunks)
    return form + struct.pack("<I", len(body) if length is None else length) + body


def data(*samples):
    return chunk(b"data", struct.pack(f"<{len(samples)}h", *samples))


def refused(content):
    """The code and the sentence of the fault in these bytes, with its place."""
    with pytest.raises(InputFaults) as wrong:
        sound_from(content, PLACE)
    (fault,) = wrong.value.faults
    assert fault.place == PLACE
    assert fault.remedy
    return fault.code, str(fault)


# ---- what recorders write


@pytest.mark.parametrize("rate", RATES)
@pytest.mark.parametrize("kind", ["PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE"])
@pytest.mark.parametrize("form", ["WAV", "WAVEX", "RF64"])
def test_recording_of_every_kind_is_heard_as_another_library_hears_it(form, kind, rate, tmp_path):
    path = tmp_path / "plucks.wav"
    soundfile.write(path, plucks(channels=2), rate, subtype=kind, format=form)
    expected, _ = soundfile.read(path, dtype="float32")
    heard = read_sound(path)
    assert heard.rate_hz == rate
    assert heard.samples.dtype == np.float32
    assert np.array_equal(heard.samples, expected[:, 0])


@pytest.mark.parametrize("width", [1, 2, 3, 4])
def test_recording_of_every_width_is_heard_as_python_writes_it(width):
    content = io.BytesIO()
    codes = range(2 ** (8 * width - 1))[:: 2 ** (8 * width - 1) // 100]
    signed = sorted({*codes, *(~code for code in codes)})
    with wave.open(content, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(width)
        file.setframerate(44_100)
        raw = ((code + 128 * (width == 1)).to_bytes(width, "little", signed=width > 1) for code in signed)
        file.writeframes(b"".join(raw))
    heard = sound_from(content.getvalue(), PLACE).samples
    assert heard == pytest.approx(np.array(signed) / 2 ** (8 * width - 1), abs=2**-24)


@pytest.mark.parametrize("kind", [np.uint8, np.int16, np.int32, np.float32, np.float64])
def test_recording_of_every_type_is_heard_as_scipy_writes_it(kind):
    content = io.BytesIO()
    sizes = plucks()[:, 0]
    whole = {np.uint8: 128, np.int16: 2**15, np.int32: 2**31}.get(kind)
    codes = np.round(sizes * whole + 128 * (kind is np.uint8)).astype(kind) if whole else sizes.astype(kind)
    wavfile.write(content, 48_000, codes)
    heard = sound_from(content.getvalue(), PLACE).samples
    assert heard == pytest.approx(sizes, abs=(0.51 / whole if whole else 0) + 2**-24)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_real_pluck_is_heard_as_scipy_reads_it(path):
    rate, codes = wavfile.read(path)
    heard = read_sound(path)
    assert (heard.rate_hz, rate) == (44_100, 44_100)
    assert np.array_equal(np.rint(heard.samples * 2**15), codes)


@given(st.lists(st.integers(-(2**15), 2**15 - 1), min_size=1, max_size=50), st.integers(16_000, 384_000))
@steady
def test_samples_of_16_bits_come_back(samples, rate):
    heard = sound_from(riff(header(rate=rate), data(*samples)), PLACE)
    assert (heard.rate_hz, list(heard.samples * 2**15)) == (rate, samples)


@given(st.binary(min_size=1, max_size=50))
@steady
def test_samples_of_8_bits_come_back(samples):
    heard = sound_from(riff(header(bits=8), chunk(b"data", samples)), PLACE)
    assert bytes((heard.samples * 128 + 128).astype(np.uint8)) == samples


@given(st.lists(st.integers(-(2**23), 2**23 - 1), min_size=1, max_size=50))
@steady
def test_samples_of_24_bits_come_back(samples):
    stored = b"".join(sample.to_bytes(3, "little", signed=True) for sample in samples)
    heard = sound_from(riff(header(bits=24), chunk(b"data", stored)), PLACE)
    assert list(heard.samples * 2**23) == samples


@given(st.lists(st.integers(-(2**31), 2**31 - 1), min_size=1, max_size=50))
@steady
def test_samples_of_32_bits_come_back_as_near_as_the_ear_needs(samples):
    heard = sound_from(riff(header(bits=32), chunk(b"data", struct.pack(f"<{len(samples)}i", *samples))), PLACE)
    assert heard.samples == pytest.approx(np.array(samples) / 2**31, rel=2**-24)


def test_floats_beyond_full_scale_are_kept():
    stored = struct.pack("<3f", 0.5, -7.5, 32767.0)
    assert list(sound_from(riff(header(3, bits=32), chunk(b"data", stored)), PLACE).samples) == [0.5, -7.5, 32767.0]


# ---- which channel


def of_channels(*channels, bits=16):
    stored = np.round(np.array(channels).T * 2**15).clip(-(2**15), 2**15 - 1).astype("<i2").tobytes()
    return sound_from(riff(header(channels=len(channels), bits=bits), chunk(b"data", stored)), PLACE).samples


def test_loudest_of_32_channels_is_heard():
    sizes = np.tile(plucks()[:, 0] * 0.3, (32, 1))
    sizes[19] = plucks(seed=2)[:, 0]
    assert of_channels(*sizes) == pytest.approx(sizes[19], abs=2**-15)


def test_offset_of_a_channel_without_a_microphone_is_not_loud():
    quiet = plucks()[:, 0] * 0.1
    assert of_channels(np.full(1000, 0.5), quiet) == pytest.approx(quiet, abs=2**-15)


def test_clipped_channel_is_heard_only_if_no_other_has_the_sound():
    clean = plucks()[:, 0] * 0.3
    clipped = (clean * 20).clip(-1, 1)
    assert of_channels(clipped, clean) == pytest.approx(clean, abs=2**-15)
    assert of_channels(clipped, clean * 0.001) == pytest.approx(clipped, abs=2**-14)


def test_peak_that_touches_full_scale_once_is_not_clipped():
    touches = plucks()[:, 0]
    touches[[100, 300, 500]] = 1.0
    assert of_channels(plucks()[:, 0] * 0.5, touches) == pytest.approx(touches, abs=2**-14)


def test_channel_is_chosen_by_the_whole_recording_and_not_by_its_beginning():
    early, late = np.zeros((2, 400_000))
    early[:1000], late[-4000:] = 0.5, np.tile([0.5, -0.5], 2000)
    assert np.array_equal(of_channels(early, late), late)


# ---- chunks as recorders leave them


@pytest.mark.parametrize(
    "content",
    [
        riff(data(1, 2, 3), header()),
        riff(chunk(b"LIST", b"odd"), header(), chunk(b"bext", b"x" * 601), data(1, 2, 3), chunk(b"id3 ", b"ID3")),
        riff(header(more=b"\0\0"), data(1, 2, 3)),
        riff(header(), chunk(b"data", struct.pack("<3h", 1, 2, 3), UNKNOWN), length=UNKNOWN),
        riff(header(), chunk(b"data", struct.pack("<3h", 1, 2, 3), 0), length=0),
        riff(header(), chunk(b"data", struct.pack("<3h", 1, 2, 3), 1 << 31), length=1 << 31),
        riff(header(), data(1, 2, 3)) + b"\x7f",
        riff(header(), chunk(b"data", struct.pack("<3h", 1, 2, 3) + b"\x7f"), chunk(b"LIST", b"more")),
        riff(chunk(b"ds64", struct.pack("<3QI", 0, 6, 3, 0)), header(),
             chunk(b"data", struct.pack("<3h", 1, 2, 3), UNKNOWN), chunk(b"LIST", b"more"), length=UNKNOWN, form=b"RF64"),
        riff(chunk(b"ds64", bytes(28)), header(), chunk(b"data", struct.pack("<3h", 1, 2, 3), UNKNOWN), form=b"RF64"),
    ],
    ids=["data first", "odd chunks", "longer header", "streamed", "interrupted", "cut off", "odd byte after it",
         "half a sample", "RF64 with more after it", "interrupted RF64"],
)  # fmt: skip
def test_sound_is_found_however_the_recorder_left_the_file(content):
    assert list(sound_from(content, PLACE).samples * 2**15) == [1, 2, 3]


def test_recording_that_was_cut_off_anywhere_is_heard_as_far_as_it_goes():
    whole = riff(header(), data(*range(100, 150)))
    codes = set()
    for length in range(len(whole)):
        if length >= 46:
            expected = list(range(100, 150))[: (length - 44) // 2]
            assert list(sound_from(whole[:length], PLACE).samples * 2**15) == expected
        else:
            codes.add(refused(whole[:length])[0])
    assert codes == {"file-empty", "sound-not-wav", "sound-header-broken", "sound-empty"}


@given(st.binary(max_size=200))
@steady
def test_random_bytes_after_a_good_beginning_are_read_or_refused(noise):
    for content in (b"RIFF" + noise, riff(noise), riff(header() + noise), riff(chunk(b"fmt ", noise), data(1))):
        try:
            assert sound_from(content, PLACE).samples.size
        except InputFaults as wrong:
            (fault,) = wrong.faults
            assert fault.remedy


# ---- refusals


def made(form, subtype, rate=48_000):
    content = io.BytesIO()
    soundfile.write(content, plucks(frames=9600), rate, format=form, subtype=subtype)
    return content.getvalue()


@pytest.mark.parametrize(
    ("content", "name"),
    [
        (made("MP3", "MPEG_LAYER_III"), "MP3"),
        (b"ID3\4" + made("MP3", "MPEG_LAYER_III"), "MP3"),
        (bytes.fromhex("fffd9404"), "MP2"),
        (made("OGG", "VORBIS"), "Ogg Vorbis"),
        (made("OGG", "OPUS"), "Ogg Opus"),
        (made("FLAC", "PCM_16"), "FLAC"),
        (made("AIFF", "PCM_16"), "AIFF"),
        (made("AIFF", "FLOAT"), "AIFF-C"),
        (made("CAF", "PCM_16"), "CAF"),
        (made("AU", "PCM_16"), "Au"),
        (made("W64", "PCM_16"), "Wave64"),
        (b"RIFX" + riff(header(), data(1))[4:], "RIFX"),
        (b"\0\0\0\x20ftypM4A \0\0\0\0", "M4A"),
        (b"\0\0\0\x18ftypisom\0\0\2\0", "MP4"),
        (b"\0\0\0\x18ftyp3gp5\0\0\2\0", "3GP"),
        (bytes.fromhex("fff15080"), "AAC"),
        (b"#!AMR\n<", "AMR"),
        (b"#!AMR-WB\n", "AMR"),
        (bytes.fromhex("3026b2758e66cf11a6d900aa0062ce6c"), "WMA"),
        (b"\x1a\x45\xdf\xa3\x9f\x42\x86\x81\x01\x42\x82\x84webm", "WebM"),
        (b"\x1a\x45\xdf\xa3\x9f\x42\x86\x81\x01\x42\x82\x88matroska", "Matroska"),
        (b"RIFF\0\1\0\0AVI LIST", "AVI"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_file_of_another_format_is_refused_by_its_name(content, name):
    assert refused(content) == ("sound-other-format", f"plucks.wav: the format of this file is {name}; {SAVE_AS}")


@pytest.mark.parametrize(
    ("content", "name"),
    [
        (made("WAV", "ALAW"), "A-law"),
        (made("WAV", "ULAW"), "µ-law"),
        (made("WAVEX", "ULAW"), "µ-law"),
        (made("WAV", "IMA_ADPCM"), "ADPCM"),
        (made("WAV", "MS_ADPCM"), "ADPCM"),
        (made("WAV", "G721_32"), "ADPCM"),
        (made("WAV", "GSM610"), "GSM"),
        (riff(header(0x0055, bits=0, frame=1), data(1)), "MP3"),
        (riff(header(0x00FF), data(1)), "AAC"),
        (riff(header(0x1234), data(1)), "codec 0x1234"),
        (riff(header(0xFFFE, more=b"\x16\0" + bytes(22)), data(1)), "codec 0xFFFE"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_compressed_sound_in_a_wav_is_refused_by_its_name(content, name):
    assert refused(content) == ("sound-compressed", f"plucks.wav: the sound in this WAV file is {name}; {SAVE_AS}")


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", f"this file is empty; {AGAIN}"),
        (b"My plucks", f"this is not a WAV file; {SAVE_AS}"),
        ("Plucks".encode("utf-16"), f"this is not a WAV file; {SAVE_AS}"),
        (bytes(100), f"this is not a WAV file; {SAVE_AS}"),
        (b"\xff" * 100, f"this is not a WAV file; {SAVE_AS}"),
        (b"RIFF\x24\0", f"the header of this WAV file is cut off or broken; {AGAIN}"),
        (riff(data(1, 2)), f"the header of this WAV file is cut off or broken; {AGAIN}"),
        (riff(chunk(b"fmt ", header()[8:22]), data(1, 2)), f"the header of this WAV file is cut off or broken; {AGAIN}"),
        (riff(header(0xFFFE), data(1)), f"the header of this WAV file is cut off or broken; {AGAIN}"),
        (riff(header(bits=20, frame=3), data(1)), f"the samples of this sound are integers of 20 bits; {SAVE_AS}"),
        (riff(header(3, bits=16), data(1)), f"the samples of this sound are floats of 16 bits; {SAVE_AS}"),
        (riff(header(channels=2, frame=3), data(1, 2)),
         f"the header of this WAV file contradicts itself (3 bytes for 2 × 16 bits); {SAVE_AS}"),
        (riff(header(frame=0), data(1)),
         f"the header of this WAV file contradicts itself (0 bytes for 1 × 16 bits); {SAVE_AS}"),
        (riff(header(channels=0), data(1)), "this sound has no channel; save it as mono, or with up to 64 channels"),
        (riff(header(channels=65), data(*range(65))),
         "this sound has 65 channels; save it as mono, or with up to 64 channels"),
        (riff(header(rate=0), data(1)), "the rate of this sound is 0 kHz, less than 16; record at 44.1 or 48 kHz"),
        (riff(header(rate=11_025), data(1)),
         "the rate of this sound is 11.025 kHz, less than 16; record at 44.1 or 48 kHz"),
        (riff(header(rate=705_600), data(1)),
         "the rate of this sound is 705.6 kHz, more than 384; record at 44.1 or 48 kHz"),
        (riff(header()), f"this WAV file holds no sound; {AGAIN}"),
        (riff(header(), data(), chunk(b"LIST", b"more")), f"this WAV file holds no sound; {AGAIN}"),
        (riff(header(channels=2), data(1)), f"this WAV file holds no sound; {AGAIN}"),
        (riff(header(), chunk(b"LIST", b"more", 1 << 31), data(1)), f"this WAV file holds no sound; {AGAIN}"),
    ],
)  # fmt: skip
def test_refused_recording_says_what_to_do(content, sentence):
    assert refused(content)[1] == f"plucks.wav: {sentence}"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf"), 1e300])
def test_sample_that_is_not_a_number_is_refused_with_its_time(value):
    stored = np.zeros((400_000, 2))
    stored[360_000, 1] = value
    content = riff(header(3, channels=2, bits=64), chunk(b"data", stored.tobytes()))
    sentence = "the sample at 7.50 s is not a number, or is endless"
    assert refused(content) == ("sound-not-finite", f"plucks.wav: {sentence}; {SAVE_AS}")


def test_every_pattern_of_32_bits_as_a_float_is_read_or_refused():
    stored = np.arange(0, 2**32, 65_521, dtype=np.uint32).tobytes()
    assert refused(riff(header(3, bits=32), chunk(b"data", stored)))[0] == "sound-not-finite"


@pytest.mark.slow
def test_sound_of_more_than_an_hour_is_refused():
    hour = bytes(3600 * 16_000)
    assert sound_from(riff(header(rate=16_000, bits=8), chunk(b"data", hour)), PLACE).samples.size == len(hour)
    code, sentence = refused(riff(header(rate=16_000, bits=8), chunk(b"data", hour + b"\0\0")))
    assert code == "sound-too-long"
    assert sentence == "plucks.wav: this sound is longer than an hour; save only the minutes with your plucks"


# ---- files


def refused_file(path):
    with pytest.raises(InputFaults) as wrong:
        read_sound(path)
    (fault,) = wrong.value.faults
    assert fault.place.source == str(path)
    assert fault.remedy
    return fault.code


def test_file_that_cannot_be_opened_is_refused_with_its_name(tmp_path):
    assert refused_file(tmp_path) == "file-is-folder"
    assert refused_file(tmp_path / "plucks.wav") == "file-missing"
    assert refused_file(Path("plucks\0.wav")) == "file-unreadable"
    assert refused_file(tmp_path / "plucks.wav" / "more") in ("file-unreadable", "file-missing")


@pytest.mark.parametrize("device", ["/dev/zero", "/dev/urandom", "/dev/full"])
def test_device_without_an_end_is_refused_by_its_beginning(device):
    if not Path(device).exists():
        pytest.skip("this system has no such device")
    assert refused_file(Path(device)) in ("sound-not-wav", "sound-other-format")


def test_pipe_from_a_recorder_is_read_to_its_end(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    content = riff(header(), chunk(b"data", struct.pack("<50000h", *range(-25_000, 25_000)), UNKNOWN), length=UNKNOWN)
    writer = threading.Thread(target=pipe.write_bytes, args=[content])
    writer.start()
    heard = read_sound(pipe)
    writer.join()
    assert list(heard.samples * 2**15) == list(range(-25_000, 25_000))


def test_file_that_is_too_large_is_refused_before_it_is_read_whole(tmp_path, monkeypatch):
    monkeypatch.setattr(sound, "LARGEST_FILE_BYTES", 3 << 20)
    path = tmp_path / "plucks.wav"
    path.write_bytes(riff(header()))
    os.truncate(path, 1 << 33)
    tracemalloc.start()
    try:
        assert refused_file(path) == "sound-file-too-large"
        assert tracemalloc.get_traced_memory()[1] < 8 << 20
    finally:
        tracemalloc.stop()


# ---- memory


def peak_of(read):
    tracemalloc.start()
    try:
        read()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize(
    ("codec", "bits", "channels"), [(1, 8, 1), (1, 16, 1), (1, 24, 2), (1, 32, 1), (3, 32, 64), (3, 64, 1)]
)
def test_reading_takes_less_than_ten_times_the_file(codec, bits, channels, tmp_path):
    path = tmp_path / "plucks.wav"
    path.write_bytes(riff(header(codec, channels, bits=bits), chunk(b"data", bytes(4 << 20))))
    assert peak_of(lambda: read_sound(path)) < 10 * path.stat().st_size


def test_ten_minutes_take_less_than_a_quarter_of_a_gigabyte(tmp_path):
    path = tmp_path / "plucks.wav"
    path.write_bytes(riff(header(), chunk(b"data", bytes(2 * 600 * 48_000))))
    assert peak_of(lambda: read_sound(path)) < 250e6


@pytest.mark.parametrize(
    "content",
    [
        riff(header(), chunk(b"data", bytes(1000), UNKNOWN - 1), length=UNKNOWN),
        riff(chunk(b"ds64", b"\xff" * 28), header(), chunk(b"data", bytes(1000), UNKNOWN), form=b"RF64"),
        riff(header(channels=64, bits=32, rate=384_000), chunk(b"data", bytes(1024), 1 << 31)),
    ],
    ids=["RIFF", "RF64", "64 channels"],
)  # fmt: skip
def test_claim_of_gigabytes_takes_no_memory(content):
    assert peak_of(lambda: sound_from(content, PLACE)) < 100_000


def test_file_of_empty_chunks_is_given_up_at_once():
    content = riff(chunk(b"junk", b"") * 200_000, header(), data(1))
    assert peak_of(lambda: refused(content)) < 100_000
    assert refused(content)[0] == "sound-header-broken"


@pytest.mark.parametrize("command", [("listen",), ("draw",), ("survey",), ("readings", "banjo", "--file")])
@pytest.mark.parametrize("size", [20_000, 2_000_000], ids=["short", "long"])
def test_a_sound_where_a_text_belongs_is_called_one(tmp_path, command, size):
    """The instrument's file is easily left out before the sounds."""
    sound = tmp_path / "open.wav"
    sound.write_bytes(silence(size))
    status, _, said = run(*command, sound, *([sound] if command == ("listen",) else []))
    assert (status, said.count("\n")) == (2, 1), said
    assert "this is a sound; name the " in said
    assert "sounds are for `jigs listen`, behind the instrument's file" in said
