"""``jigs listen`` from a recording to advice: what is printed, what is kept, and what is said where nothing can be used."""

import json
import os
import re
import shutil
import wave
from types import SimpleNamespace

import numpy as np
import pytest
import simulated_plucks as simulated
from pages import faults_of
from samples import faults_are_sentences, run

from jigs.input import microphone
from jigs.input.sound import Sound
from jigs.readings.log import read

TRUTH = {1: 4.0, 4: -6.0}
ROUND = [(string - 1, times, cents if times > 1 else 0.0) for string, cents in TRUTH.items() for times in (1, 2)] * 2


def saved(path, sound):
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(simulated.RATE_HZ)
        file.writeframes((sound * 32767).astype("<i2").tobytes())
    return str(path)


def made(notes, conditions=simulated.CLEAN, odd=True, seed=7):
    chance = np.random.default_rng(seed)
    instrument = simulated.some_instrument(chance, simulated.BANJO)
    return simulated.recording(chance, instrument, notes, conditions, odd)


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """Recordings of one banjo, by name."""
    folder = tmp_path_factory.mktemp("bench")
    rounds = {
        "both": made(sorted(ROUND, key=lambda note: note[0])),
        "treble": made(ROUND[:2] * 2),
        "bass": made(ROUND[2:4] * 2),
        "harmonics": made([(3, 1, 0.0)], odd=False),
        "pressed": made([ROUND[3]]),
        "open": made([ROUND[2]] * 2),
        "silence": np.zeros(simulated.RATE_HZ),
    }
    return SimpleNamespace(**{name: saved(folder / f"{name}.wav", sound) for name, sound in rounds.items()})


def listened(*arguments):
    status, printed, said = run("listen", "banjo", "--json", *arguments)
    assert status == 0, said
    return json.loads(printed)


def test_both_ends_are_moved_by_what_the_recording_holds(bench):
    found = listened(bench.both, "--at", "line")
    assert {one["string"] for one in found["differences"]} == {1, 4}
    for one in found["differences"]:
        assert one["cents"] == pytest.approx(TRUTH[one["string"]], abs=4 * one["standard_error_cents"])
    ways = {move["end"]: move["towards"] for move in found["moves"]}
    assert ways == {"treble": "tail", "bass": "nut"}
    assert found["verdict"] in ("move", "check first string again")
    assert [(one["what"], one["used"]) for one in found["heard"]] == [("open", True), ("octave", True)] * 4


def test_several_files_are_as_good_as_one(bench):
    found = listened(bench.treble, bench.bass)
    assert {one["string"] for one in found["differences"]} == {1, 4}
    assert [one["file"] for one in found["heard"]] == [bench.treble] * 4 + [bench.bass] * 4


def test_string_that_is_named_is_taken_for_that_one(bench):
    found = listened(bench.bass, "--string", "4")
    assert {one["string"] for one in found["heard"]} == {4}


def test_harmonic_is_one_only_where_it_was_asked_for(bench):
    found = listened("--harmonic", bench.harmonics, bench.pressed, "--string", "4")
    assert [one["what"] for one in found["heard"]] == ["harmonic", "octave"]
    (one,) = found["differences"]
    assert one["cents"] == pytest.approx(TRUTH[4], abs=4 * one["standard_error_cents"])
    status, _, said = run("listen", "banjo", bench.harmonics, bench.pressed, "--string", "4")
    assert status == 2
    assert "no open string" in said


def test_table_lists_the_plucks_then_the_differences_then_the_advice(bench):
    status, printed, _ = run("listen", "banjo", bench.both)
    assert status == 0
    plucks, differences, advice = printed.split("\n\n")[:3]
    assert len(plucks.splitlines()) == 8
    assert all(
        re.fullmatch(r"string [14] \S+, pressed at fret 12: .* \(\d+ partials?\)", line)
        for line in differences.splitlines()
    )
    assert advice.startswith("Five-string banjo: 4 readings of 2 strings; ± is 95%, with what was heard")


def test_log_goes_on_from_what_was_heard_and_its_pictures_are_whole(bench, tmp_path):
    log, out = tmp_path / "banjo.jsonl", tmp_path / "out"
    for _ in range(2):
        status, printed, said = run(
            "listen", "banjo", bench.both, "--at", "line", "--log", log, "--format", "pdf,svg", "--out", out
        )
        assert status == 0, said
    assert printed.count("wrote ") == 5
    assert sorted(path.name for path in out.iterdir()) == [
        "banjo-heard.pdf",
        "banjo-heard.svg",
        "banjo-readings.pdf",
        "banjo-readings.svg",
    ]
    for name in ("banjo-heard.pdf", "banjo-readings.pdf"):
        assert faults_of((out / name).read_bytes()) == []
    assert [step.step for step in read(log)] == [1, 2]
    kept = json.loads(log.read_text().splitlines()[0])
    assert len(kept["heard"]) == 8
    assert set(kept["differences"][0]) == {"string", "cents", "standard_error_cents", "pairs"}
    status, _, said = run("readings", "banjo", "--log", log, "--format", "svg", "--out", out)
    assert status == 0, said


def test_file_with_a_name_of_odd_bytes_is_kept_in_the_log(bench, tmp_path):
    odd = os.fsdecode(os.fsencode(str(tmp_path)) + b"/k\xfcche.wav")
    shutil.copy(bench.bass, odd)
    status, _, said = run("listen", "banjo", odd, "--string", "4", "--log", tmp_path / "log")
    assert status == 0, said
    assert json.loads((tmp_path / "log").read_text())["heard"][0]["file"].endswith("k?che.wav")


def test_what_was_heard_is_drawn_without_a_log_too(bench, tmp_path):
    status, _, said = run("listen", "banjo", bench.both, "--format", "svg", "--out", tmp_path / "out")
    assert status == 0, said
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["banjo-heard.svg"]


@pytest.mark.parametrize(
    ("name", "why"),
    [("open", "there is no pressed note to compare it with (2)"), ("silence", "there is no pluck in this sound")],
)
def test_recording_without_a_usable_pluck_is_one_sentence_and_nothing_is_written(bench, tmp_path, name, why):
    out, log = tmp_path / "out", tmp_path / "log"
    status, printed, said = run("listen", "banjo", getattr(bench, name), "--log", log, "--format", "pdf", "--out", out)
    assert printed == ""
    assert why in said
    assert len(said.splitlines()) == 1
    faults_are_sentences(status, said, out)
    assert not log.exists()


def test_all_faults_are_shown_at_once(tmp_path):
    missing = tmp_path / "missing.wav"
    status, _, said = run("listen", "banjo", missing, missing, "--at", "x", "--touch-error", "x")
    faults_are_sentences(status, said, tmp_path / "out")
    assert len(said.splitlines()) == 4


@pytest.mark.parametrize(
    "arguments",
    [
        ("--string", "9"),
        ("--string", "x"),
        ("--seconds", "9"),
        ("--out", "x"),
        ("--paper", "a3"),
        ("--format", "dxf"),
    ],
    ids=" ".join,
)
def test_option_that_does_not_go_with_the_rest_is_refused_by_its_name(bench, tmp_path, arguments):
    status, _, said = run("listen", "banjo", bench.both, *arguments)
    faults_are_sentences(status, said, tmp_path / "out")
    assert said.startswith(arguments[0])


def test_microphone_is_listened_to_where_no_file_is_named(monkeypatch):
    sound = made(ROUND[2:4])

    def record(wait):
        wait()
        return Sound(sound.astype(np.float32), simulated.RATE_HZ)

    monkeypatch.setattr(microphone, "record", record)
    status, printed, said = run("listen", "banjo", "--string", "4", "--json")
    assert status == 0, said
    assert "Recording until you press Enter" in said
    assert {one["file"] for one in json.loads(printed)["heard"]} == {"microphone"}


@pytest.mark.parametrize(
    "arguments",
    [("--at", "x"), ("--touch-error", "x"), ("--harmonic", "missing.wav"), ("--log", "/dev/null/x")],
    ids=" ".join,
)
def test_nobody_plays_for_a_command_that_is_refused_anyhow(monkeypatch, tmp_path, arguments):
    monkeypatch.setattr(microphone, "record", lambda _wait: pytest.fail("it recorded"))
    status, _, said = run("listen", "banjo", *arguments)
    assert len(said.splitlines()) == 1
    faults_are_sentences(status, said, tmp_path / "out")
