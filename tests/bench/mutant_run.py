"""A pytest plug-in for mutants.sh: which tests judge a mutant, in which order, so that most mutants die in a second.

``MUTANTS=all`` runs the slow tests too.
"""

import json
import os
import sys
from pathlib import Path

from hypothesis import Phase, settings

SLOW = (
    "test_a_million_",
    "test_strings_and_line_are_as_sure_as_the_uncertainties_package_finds",
    "test_no_text_breaks_the_reader",
    "test_mark_is_where_the_hull_of_the_sampled_top_puts_it",
    "test_clear_fault_is_given_its_name",
    "test_small_fault_is_not_given_a_wrong_name",
    "test_interval_of_a_whole_survey_holds_the_true_scale_too",
    "test_few_frets_are_not_surer_than_they_can_be",
    "test_every_mark_is_where_the_numbers_say_within_a_micrometre",
    "test_twenty_",
    "test_many_lines_of_many_processes",
    "test_whatever_was_read_the_words_are_legible",
    "test_larger_move_is_seen_",
    "test_random_readings_above_meet_strings",
    "test_no_string_is_called_in_tune_that",
    "test_bridge_of_any_size_keeps_its_words_legible",
    "test_a_rack_names_it_and_draws_the_others",
    "test_every_drawing_with_a_place_in_it_is_refused",
)
"""Tests that take a second or draw whole sheets."""


def pytest_configure():
    """No shrinking: a failing test is enough, the example is not used."""
    phases = [Phase.explicit, Phase.generate]
    settings.register_profile("mutants", deadline=None, derandomize=True, database=None, phases=phases)
    settings.load_profile("mutants")


def pytest_collection_modifyitems(config, items):
    """The quick ones first, by the times of the last run, without the docstrings that a mutant copies."""
    everything = os.environ.get("MUTANTS") == "all"
    kept = [i for i in items if "__mutmut_" not in i.name and (everything or not i.name.startswith(SLOW))]
    dropped = set(items) - set(kept)
    if dropped:
        config.hook.pytest_deselected(items=list(dropped))
    stats = Path("mutmut-stats.json")
    took = json.loads(stats.read_text())["duration_by_test"] if stats.exists() else {}
    items[:] = sorted(kept, key=lambda item: took.get(item.nodeid, 0.0))
    forget()


def forget():
    """Empty every cache of the project: a mutant is judged in a fork of a process that has run the tests already."""
    here = str(Path.cwd())
    for module in list(sys.modules.values()):
        file = getattr(module, "__file__", None) or ""
        if file.startswith(here) and "site-packages" not in file:
            for value in list(vars(module).values()):
                if hasattr(type(value), "cache_clear"):  # its type: a proxy of the web's raises if it is asked itself
                    value.cache_clear()
