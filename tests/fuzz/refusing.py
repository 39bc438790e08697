"""What a target of the fuzzer lets pass: the program's own refusals, in whole sentences. Everything else is a find."""

from contextlib import contextmanager

from jigs.faults import InputFaults, Place, Wrong
from jigs.page.form.fields import label_of

NOT_OUR_WORDS = "value-wrong"
"""The code of a message of pydantic's, for which the program has no sentence."""


@contextmanager
def refusals():
    """Within this the program may refuse its input."""
    try:
        yield
    except InputFaults as refused:
        are_sentences(refused.faults)
    except Wrong as refused:
        are_sentences([refused.says.at(Place())])


def are_sentences(faults):
    """There are some. Each can be printed on one line and has a remedy, in the terminal and on the page."""
    assert faults, "a refusal without a fault"
    for fault in faults:
        assert fault.code != NOT_OUR_WORDS, fault
        assert fault.remedy, f"no remedy: {fault}"
        for said in (str(fault), fault.sentence(label_of)):
            assert said.isprintable(), said


def are_notes(notes):
    """Each can be printed on one line."""
    for note in notes:
        assert str(note).isprintable(), note
        note.sentence(label_of).encode()
