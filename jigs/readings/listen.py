"""From sounds to advice: what was heard in them, the readings that it makes, or why none of it can be used."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from jigs.faults import Fault, InputFaults, Place, Says
from jigs.input.sound import Sound, read_sound
from jigs.readings import fault_words
from jigs.readings import listening_words as words
from jigs.readings.advice import Advice
from jigs.readings.checked import NoteReading, whole
from jigs.readings.listening import Heard, Listened, compared, hear, readings_of, settled
from jigs.readings.run import advice_on
from jigs.workup.workup import Workup

MICROPHONE = "microphone"
"""What a sound from the microphone is called, where others have the name of their file."""


@dataclass(frozen=True)
class Take:
    """A sound to listen to: its name, how to get it, and whether its notes at the octave are harmonics.

    One that is ``recorded`` is played for this only if nothing else is wrong.
    """

    name: str
    sound: Callable[[], Sound]
    harmonic: bool = False
    recorded: bool = False


def takes_of(sounds: Sequence[str], harmonics: Sequence[str], record: Callable[[], Sound]) -> list[Take]:
    """Sounds by the names of their files, harmonics first; without ``sounds``, one from ``record``.

    Each is read or recorded when it is listened to.
    """
    named = [*((name, True) for name in harmonics), *((name, False) for name in sounds)]
    takes = [Take(_printable(name), partial(read_sound, Path(name)), harmonic) for name, harmonic in named]
    return takes if sounds else [*takes, Take(MICROPHONE, record, recorded=True)]


def _printable(name: str) -> str:
    """A file's name as a log can keep it, although its bytes may be no text.

    >>> _printable("k\\udcfcche.wav")
    'k?che.wav'
    """
    return name.encode(errors="replace").decode()


def advice(
    workup: Workup,
    takes: Sequence[Take],
    string: str | None,
    place_and_log: tuple[str | None, str | None],
    touch: str | None,
    diagnose: bool,
) -> tuple[Listened, Advice]:
    """What was heard, and the advice on it. ``string``: the number of the one that is played, None to go by pitch.

    Raises `InputFaults` with all faults; if no pluck can be used, one that says why for those that were heard.
    """
    found: list[Listened] = []

    def read() -> tuple[NoteReading, ...]:
        found.append(_listened(workup, takes, string, diagnose))
        return readings_of(found[0].differences, workup)

    plays = any(take.recorded for take in takes)
    said = advice_on(workup, read, place_and_log, (None, touch), diagnose, read_in_vain=not plays)
    return found[0], said


def _listened(workup: Workup, takes: Sequence[Take], string: str | None, diagnose: bool) -> Listened:
    """Raises `InputFaults`, all faults of the sounds at once."""
    index = None if string is None else _index(string, workup)
    listened = compared(settled(tuple(_all_heard(workup, takes, index, diagnose))), workup)
    if not listened.differences:
        place = Place(takes[0].name) if len(takes) == 1 else Place(option="sound")
        raise _nothing_used(listened.heard, workup.instrument.octave_fret).refusal(place)
    return listened


def _index(string: str, workup: Workup) -> int:
    """The index of a string by its number. Raises `InputFaults`."""
    strings, number = len(workup.instrument.strings), whole(string)
    if number is None:
        raise fault_words.no_string_number(string, strings).refusal(Place(option="string"))
    if not 1 <= number <= strings:
        says = fault_words.no_such_string(number, strings, workup.instrument.name)
        raise says.refusal(Place(option="string"))
    return number - 1


def _all_heard(workup: Workup, takes: Sequence[Take], index: int | None, diagnose: bool) -> Iterator[Heard]:
    """The plucks of all sounds, a sound in memory at a time. Raises `InputFaults` with what is wrong with any."""
    faults: list[Fault] = []
    for take in takes:
        if take.recorded and faults:
            break
        try:
            yield from hear(take.sound(), take.name, workup, index, take.harmonic, diagnose)
        except InputFaults as wrong:
            faults += wrong.faults
    if faults:
        raise InputFaults(faults)


def _nothing_used(heard: Sequence[Heard], octave_fret: int) -> Says:
    """Why no pluck can be used: the reasons, frequent ones first."""
    if not heard:
        return words.no_pluck(octave_fret)
    return words.none_used(len(heard), Counter(one.reason for one in heard if one.reason is not None).most_common())
