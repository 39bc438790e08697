"""``jigs new``: questions of `jigs.instrument.asking` to the terminal, answers to it. It computes nothing."""

import io
import sys
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from jigs.cli import completion
from jigs.cli.common import ANYTHING_ELSE, guarded, headline, print_faults, say, warn

if TYPE_CHECKING:
    from jigs.instrument.asking import Answers, Question
    from jigs.workup.workup import Workup


@click.command()
@click.argument("file", default="mine.toml", shell_complete=completion.files)
@guarded
def new(file: str) -> None:
    """Write an instrument file from your answers to questions.

    FILE: the instrument file to write. Default: mine.toml. A file that exists is never touched.

    Every question has a default, which Enter takes. Answers can also come through a pipe, each on a line.
    """
    from jigs.instrument import asking_words as words
    from jigs.instrument.asking import Answers
    from jigs.instrument.new_file import check_new, write_new
    from jigs.workup.sureness import in_short

    path = Path(file)
    check_new(path)
    try:
        answers, workup = _conversation(Answers(file))
    except KeyboardInterrupt:
        click.echo(f"\n{words.STOPPED}", err=True)
        raise SystemExit(ANYTHING_ELSE) from None
    write_new(answers.file_text, path)
    click.echo()
    headline(workup)
    click.echo(in_short(workup).text)
    warn(workup.notes)
    if answers.not_own:
        click.echo(words.still_the_presets(answers.not_own))
    say(f"wrote {path}")
    say(words.next_step(file) if workup.steep_slant is None else words.look_first(file))


def _conversation(answers: "Answers") -> "tuple[Answers, Workup]":
    """Ask until everything is answered and the bridge has a place. Raises `InputFaults` at the end of the input."""
    from jigs.faults import InputFaults
    from jigs.instrument import asking_words as words
    from jigs.instrument.asking import answered, first_to_answer_again, in_words, means, questions
    from jigs.workup.work_up import work_up

    _get_ready()
    for line in words.INTRODUCTION:
        click.echo(line)
    at = 0
    while True:
        asked = questions(answers)
        if at == len(asked):
            try:
                return answers, work_up(answers.instrument())
            except InputFaults as wrong:
                print_faults(wrong.faults)
                at = first_to_answer_again(answers, wrong.faults)
                continue
        typed = _answer(asked[at], answers.source)
        if typed == words.BACK:
            at = max(0, at - 1)
            continue
        try:
            answers = answered(answers, asked[at], typed)
        except InputFaults as wrong:
            for fault in wrong.faults:
                click.echo(in_words(fault, asked[at]), err=True)
            continue
        for line in means(answers, asked[at]):
            click.echo(line)
        at += 1


def _get_ready() -> None:
    """Let the arrow keys work in a terminal, and let a character of another encoding be refused as any other."""
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="surrogateescape")
    if sys.stdin.isatty():
        with suppress(ImportError):
            import readline  # noqa: F401 - from now on input() edits with it


def _answer(question: "Question", source: str) -> str:
    """What is typed for a question. Raises `InputFaults` at the end of the input."""
    from jigs.faults import Place
    from jigs.instrument import asking_words as words

    click.echo(f"\n{question.title}")
    for line in question.how:
        click.echo(f"  {line}")
    try:
        typed = input(words.prompt(question.default, question.own))
    except EOFError:
        click.echo()
        raise words.answers_end(question.title).refusal(Place(source)) from None
    if not sys.stdin.isatty():
        click.echo(typed)
    return typed.removeprefix("\ufeff").strip()
