"""Templates and options are declared once: what the catalogue says of them is what they are and do."""

import re
import subprocess
import sys
from importlib import import_module

from jigs.cutting.cutter import THICKEST_STOCK_MM, THINNEST_STOCK_MM, Cutter
from jigs.templates.catalogue import (
    CUT_FROM_STOCK,
    FOR_CUTTERS,
    IDLE_WITHOUT,
    LENGTHS,
    NAMES,
    OPTIONS,
    TEMPLATES,
    RimSide,
)

OF_OPTION = {option.name: option for option in OPTIONS}


def test_every_template_of_the_catalogue_can_be_drawn_and_every_part_cut():
    for entry in TEMPLATES:
        module = import_module(f"jigs.templates.{entry.name.replace('-', '_')}")
        assert callable(module.draw)
        assert hasattr(module, "part") == entry.for_cutters
    assert CUT_FROM_STOCK < FOR_CUTTERS < set(NAMES)


def test_every_option_is_for_templates_that_there_are():
    assert all(users and set(users) <= set(NAMES) for users in IDLE_WITHOUT.values())
    assert set(OF_OPTION["rim"].choices) == set(RimSide)


def test_every_length_of_a_cutter_is_an_option_with_the_default_that_the_help_promises():
    from jigs.cutting.settings import LENGTH_OF

    assert set(LENGTH_OF) == set(LENGTHS)
    for name in LENGTHS:
        assert OF_OPTION[name].default == f"your settings, or {getattr(Cutter(), f'{name}_mm'):g} mm"
    assert f"{THINNEST_STOCK_MM:g} to {THICKEST_STOCK_MM:g} mm" in OF_OPTION["stock"].help


def test_help_has_the_catalogue_without_waiting_for_heavy_libraries():
    code = "import sys, jigs.templates.catalogue; print(sorted({'numpy', 'pydantic', 'click'} & set(sys.modules)))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


def test_a_player_reads_tension_hoop_and_not_rim():
    read = [text for entry in TEMPLATES for text in (entry.title, entry.description)]
    read += [text for option in OPTIONS for text in (option.help, option.label, option.hint)]
    assert any("tension hoop" in text for text in read)
    assert not [text for text in read if re.search(r"\brim\b", text)]
