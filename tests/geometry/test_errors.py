"""Every exception of geometry: a code for programs, numbers as attributes, and whole in another process."""

import pickle
import re

import pytest

from geometry.compensation import NoSetbackError
from geometry.errors import GeometryError
from geometry.frets import FretError
from geometry.lengths import LengthError
from geometry.printing import CalibrationError
from geometry.readings import ReadingError
from geometry.robust import SurveyError
from geometry.spacing import SpacingError
from geometry.strings import NoteError
from geometry.surface import SurfaceError

ERRORS = (
    LengthError("length-unit-unknown", "5 furlongs", "furlongs"),
    NoteError("note-unread", "H3"),
    FretError("fret-behind-bridge", 7),
    SpacingError("strings-overlap", 0.5),
    SurfaceError("arch-too-high", 101.0, 100.0),
    SurveyError("too-few-frets", 0, 4, 5),
    ReadingError("reading-nowhere", [1, 4]),
    NoSetbackError("string-too-slack", [2]),
    CalibrationError("direction-missing", 2, 0),
)


def test_every_exception_is_here():
    assert {type(error) for error in ERRORS} == {
        kind for kind in GeometryError.__subclasses__() if kind.__module__.startswith("geometry.")
    }


@pytest.mark.parametrize("error", ERRORS, ids=lambda error: error.code)
def test_code_is_kebab_case_and_the_text_names_every_number(error):
    assert re.fullmatch(r"[a-z]+(-[a-z]+)+", error.code)
    numbers = {name: value for name, value in vars(error).items() if name != "code"}
    assert numbers
    assert str(error) == f"{error.code}: " + ", ".join(f"{name}={value!r}" for name, value in numbers.items())


@pytest.mark.parametrize("error", ERRORS, ids=lambda error: error.code)
def test_exception_comes_whole_from_another_process(error):
    back = pickle.loads(pickle.dumps(error))
    assert type(back) is type(error)
    assert vars(back) == vars(error)
    assert str(back) == str(error)


def test_unit_is_empty_where_it_is_not_at_fault():
    assert LengthError("length-unread", "abc").unit == ""
