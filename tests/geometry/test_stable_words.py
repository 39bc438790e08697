"""Words of the model that files, logs and JSON have: programs go by them, and logs of last year need them as they are."""

import numpy as np
import pytest

from geometry.bridge import BridgeFit
from geometry.causes import PRIOR, PRIOR_IF_WAS_RIGHT, Cause
from geometry.compensation import Objective
from geometry.plucks import Pluck, Unheard, heard_part
from geometry.readings import Verdict
from geometry.spacing import Spaced
from geometry.strings import NoteError, pitch_hz
from geometry.surface import ArchShape
from geometry.survey import Rule, Strength
from geometry.tolerance import Source


@pytest.mark.parametrize(
    ("words", "stable"),
    [
        (
            Cause,
            "nothing bridge-near bridge-far nut-high nut-low nut-near nut-far touch fret none-fits strings-other"
            " action-high action-low",
        ),
        (Source, "scale action nut_height gauge core modulus slip touch ends datum print laying found"),
        (Spaced, "centres gaps"),
        (BridgeFit, "outer all"),
        (Rule, "equal eighteen"),
        (ArchShape, "circular parabolic"),
    ],
    ids=lambda one: getattr(one, "__name__", ""),
)
def test_words_of_one_piece_stay(words, stable):
    assert [one.value for one in words] == stable.split()


def test_words_of_several_stay():
    assert [one.value for one in Objective] == ["octave", "all frets", "nut and saddle"]
    assert [one.value for one in Strength] == ["decisive", "likely", "cannot tell"]
    assert [one.value for one in Verdict] == ["move", "stop", "check first string again", "something else"]


@pytest.mark.parametrize("prior", [PRIOR, PRIOR_IF_WAS_RIGHT], ids=["bench", "was-right"])
def test_what_is_met_on_a_bench_adds_up_to_all_of_it(prior):
    assert sum(prior.values()) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("note", ["A٤", "A４", "A\N{SUPERSCRIPT FOUR}"])
def test_only_plain_digits_are_an_octave(note):
    with pytest.raises(NoteError):
        pitch_hz(note)


def test_a_pluck_is_too_quiet_below_66_db_under_full_scale_and_not_before():
    wave = np.sin(2 * np.pi * 220 / 48000 * np.arange(48000))
    wave -= wave[2880:].mean()
    for share, heard in ((1.01, True), (0.99, False)):
        quiet = share * 10 ** (-66 / 20) * wave
        if heard:
            assert len(heard_part(quiet, 48000, Pluck(0, 48000)))
            continue
        with pytest.raises(Unheard, match="too-quiet"):
            heard_part(quiet, 48000, Pluck(0, 48000))
