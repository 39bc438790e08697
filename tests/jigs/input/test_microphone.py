"""Recording: what comes from the microphone, how it ends, and what is said where there is none."""

import builtins
import sys
from types import SimpleNamespace

import numpy as np
import pytest

from jigs.faults import InputFaults
from jigs.input import microphone
from jigs.input.microphone import RATE_HZ, read_seconds, record


class NoDeviceError(Exception):
    pass


def device(*blocks, opens=True):
    """A stand-in for the package that records: it delivers these blocks as soon as it is opened."""

    class InputStream:
        def __init__(self, *, samplerate, channels, dtype, callback):
            if not opens:
                raise NoDeviceError
            assert (samplerate, channels, dtype) == (RATE_HZ, 1, "float32")
            self.callback = callback

        def __enter__(self):
            for block in blocks:
                buffer = np.array(block, dtype=np.float32)[:, None]
                self.callback(buffer, len(buffer), None, None)
                buffer[:] = 9.0  # the package uses its buffer again

        def __exit__(self, *_):
            return False

    return SimpleNamespace(InputStream=InputStream, PortAudioError=NoDeviceError)


def refused(*arguments):
    with pytest.raises(InputFaults) as refusal:
        record(*arguments)
    (fault,) = refusal.value.faults
    return fault


def test_everything_that_was_played_is_recorded(monkeypatch):
    monkeypatch.setitem(sys.modules, "sounddevice", device([0.5, -0.5], [0.25]))
    sound = record(lambda: None)
    np.testing.assert_array_equal(sound.samples, np.array([0.5, -0.5, 0.25], dtype=np.float32))
    assert (sound.rate_hz, sound.samples.dtype) == (RATE_HZ, np.float32)


def test_ctrl_c_ends_the_recording_and_keeps_it(monkeypatch):
    def interrupted():
        raise KeyboardInterrupt

    monkeypatch.setitem(sys.modules, "sounddevice", device([0.5]))
    assert len(record(interrupted).samples) == 1


def test_recording_of_nothing_is_an_empty_sound(monkeypatch):
    monkeypatch.setitem(sys.modules, "sounddevice", device())
    assert len(record(lambda: None).samples) == 0


def test_recording_that_was_forgotten_does_not_fill_the_memory(monkeypatch):
    monkeypatch.setattr(microphone, "MOST_S", 3 / RATE_HZ)
    monkeypatch.setitem(sys.modules, "sounddevice", device(*[[0.5]] * 9))
    assert len(record(lambda: None).samples) == 3


def test_no_microphone_is_a_sentence(monkeypatch):
    monkeypatch.setitem(sys.modules, "sounddevice", device(opens=False))
    assert refused(lambda: None).code == "microphone-not-found"


@pytest.mark.parametrize(
    ("error", "code"), [(ImportError, "microphone-not-installed"), (OSError, "microphone-no-library")]
)
def test_where_nothing_can_record_the_page_is_named_that_listens(monkeypatch, error, code):
    real = builtins.__import__

    def missing(name, *others):
        if name == "sounddevice":
            raise error("PortAudio library not found")
        return real(name, *others)

    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.setattr(builtins, "__import__", missing)
    fault = refused(lambda: None)
    assert fault.code == code
    assert "`jigs page`" in fault.sentence()
    assert ("bridge-jigs[microphone]" in fault.sentence()) == (error is ImportError)


@pytest.mark.parametrize("text", ["", "x", "0", "-3", "601", "nan", "inf", "1e9"])
def test_length_that_no_recording_has_is_refused(text):
    with pytest.raises(InputFaults) as refusal:
        read_seconds(text)
    assert [fault.code for fault in refusal.value.faults] == ["recording-length-unread"]
