"""The page beside the examples, in Markdown: what each file is."""

from collections.abc import Mapping, Sequence

from jigs.demo import words
from jigs.instrument.opening import stem_for
from jigs.workup.workup import Workup

FILE = "README.md"


def page(listed: Mapping[str, Mapping[str, Sequence[str]]], workups: Mapping[str, Workup]) -> bytes:
    """The page. ``listed``: names of files, by how they begin, and those by instrument; "" for what belongs to none."""
    rows = [
        f"| {words.instrument(owner, workups[owner].instrument.name)} | {_drawings(stem_for(owner), listed[owner])} |"
        for owner in sorted(workups, key=stem_for)
    ]
    besides = [
        f"| {words.BESIDES[stem]} | {_files(stem, names)} |"
        for stem, names in listed[""].items()
        if stem in words.BESIDES
    ]
    return "\n".join((*words.HEAD, *words.INSTRUMENTS, *rows, *besides, "", *words.drawings(), "")).encode()


def _drawings(stem: str, listed: Mapping[str, Sequence[str]]) -> str:
    """The drawings of an instrument, the files of each behind its name. The instrument's own file is not one."""
    named = {own.removeprefix(stem).lstrip("-."): (own, names) for own, names in listed.items() if names}
    return "; ".join(
        f"{words.OTHER_NAMES.get(name, name)} {_files(own, names)}"
        for name, (own, names) in named.items()
        if name != words.OWN_FILE
    )


def _files(stem: str, names: Sequence[str]) -> str:
    """Links to files whose names all begin alike, each called by its ending and by what is its own."""
    return ", ".join(f"[{_called(name.removeprefix(stem))}]({name})" for name in names)


def _called(rest: str) -> str:
    """What a file is called among others.

    >>> _called(".pdf"), _called("-2.svg"), _called("-words.svg"), _called("")
    ('PDF', 'SVG 2', 'SVG words', 'file')
    """
    own, _, ending = rest.rpartition(".")
    return f"{ending.upper()} {own.strip('-')}".strip() or words.FILE
