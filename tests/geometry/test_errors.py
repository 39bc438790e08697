"""Every exception of geometry: a code for programs, numbers as attributes, and whole in another process."""

import pickle

import pytest

from geometry.compensation import NoSetbackError
from geometry.errors import GeometryError
from geometry.frets import FretError
from geometry.lengths import LengthError
from geometry.plucks import Unheard
from geometry.printing import CalibrationError
from geometry.readings import ReadingError
from geometry.robust import SurveyError
from geometry.spacing import SpacingError
from geometry.strings import NoteError
from geometry.surface import SurfaceError

MADE = {
    LengthError: ("length-unit-unknown", "5 furlongs", "furlongs"),
    NoteError: ("note-unread", "H3"),
    FretError: ("fret-behind-bridge", 7),
    SpacingError: ("strings-overlap", 0.5),
    SurfaceError: ("arch-too-high", 101.0, 100.0),
    SurveyError: ("too-few-frets", 0, 4, 5),
    ReadingError: ("reading-nowhere", (1, 4)),
    NoSetbackError: ("string-too-slack", (2,)),
    CalibrationError: ("direction-missing", 2, 0),
    Unheard: ("too-short",),
}
each = pytest.mark.parametrize("kind", MADE)


def test_every_exception_is_here():
    assert set(MADE) == set(GeometryError.__subclasses__())


@each
def test_code_and_numbers_are_attributes_and_in_the_text(kind):
    error = kind(*MADE[kind])
    code, *numbers = MADE[kind]
    names = [name for name in vars(error) if name != "code"]
    assert [error.code, *(getattr(error, name) for name in names)] == [code, *numbers]
    assert str(error) == f"{code}: " + ", ".join(f"{n}={v!r}" for n, v in zip(names, numbers, strict=True))
    assert error.args == MADE[kind]


@each
def test_exception_comes_whole_from_another_process(kind):
    error = kind(*MADE[kind])
    back = pickle.loads(pickle.dumps(error))
    assert type(back) is kind
    assert vars(back) == vars(error)
    assert str(back) == str(error)


def test_unit_is_empty_where_it_is_not_at_fault():
    error = LengthError("length-unread", "abc")
    assert (error.unit, error.args) == ("", ("length-unread", "abc", ""))
