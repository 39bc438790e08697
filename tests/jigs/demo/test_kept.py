"""The example of a place found by ear goes the whole way: what its files say follows from its readings."""

import shutil

import pytest
import tomli
from samples import ROOT, run

from jigs.demo.examples import DEMO, LATER, demo_workups
from jigs.readings.log import read

KEPT, NEW = LATER


def test_the_kept_file_is_the_first_one_with_what_jigs_keep_writes(tmp_path):
    mine = tmp_path / KEPT
    shutil.copy(DEMO / "loan-banjo-7.toml", mine)
    assert run("keep", mine, "--feet-from-fret", "12", "331.7 / 332.7", "--date", "2026-11-25")[0] == 0
    assert mine.read_bytes() == (DEMO / KEPT).read_bytes()


def test_the_feet_were_measured_where_the_last_round_left_them():
    workups = demo_workups()
    last = read(ROOT / "out_examples" / "loan-banjo-7.jsonl")[-1]
    assert last.verdict == "stop"
    assert last.next is not None
    assert workups[KEPT].outer_places_mm == pytest.approx(last.next.places_mm, abs=0.1)
    assert workups[KEPT].outer_places_mm != pytest.approx(workups["loan-banjo-7.toml"].outer_places_mm, abs=0.5)


def test_a_year_later_only_the_strings_are_others():
    kept, new = (tomli.loads((DEMO / name).read_text(encoding="utf-8")) for name in (KEPT, NEW))
    assert new["found"] == kept["found"] | {"same_make": True}
    assert [one["gauge"] for one in new.pop("strings")] != [one["gauge"] for one in kept.pop("strings")]
    del new["found"], kept["found"]
    assert new == kept
    found = demo_workups()[NEW].found
    assert found is not None
    assert not found.same_strings
