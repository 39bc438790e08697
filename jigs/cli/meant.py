"""What was meant: a command without its argument, or a word that is not a command, leads to a command to type."""

from collections.abc import Iterable, Sequence
from inspect import cleandoc

import click

from jigs.cli import words
from jigs.wording import in_a_shell

_INSTEAD = {
    "browser": "page",
    "config": "settings",
    "create": "new",
    "cut": "draw",
    "docs": "guide",
    "gui": "page",
    "init": "new",
    "manual": "guide",
    "plot": "draw",
    "print": "draw",
    "tune": "readings",
    "web": "page",
}
"""Words that people try first for what our commands do."""

_OF_ANY_INSTRUMENT = "banjo"


class Group(click.Group):
    """Commands that each show an example in their help, and also if they are typed without what they need.

    ``within``: the name of the group, empty for the program itself.
    """

    within = ""

    def add_command(self, cmd: click.Command, name: str | None = None) -> None:
        """Add a command, with its example in its help."""
        super().add_command(cmd, name)
        example = words.EXAMPLES.get(" ".join(part for part in (self.within, name or cmd.name) if part))
        if example is not None:
            cmd.help = f"{cleandoc(cmd.help or '')}\n\n{words.example(example)}"

    def invoke(self, ctx: click.Context) -> object:
        """Run a command; if its argument is missing, show an example."""
        try:
            return super().invoke(ctx)
        except click.MissingParameter as missing:
            example = words.EXAMPLES.get(" ".join(_path(missing.ctx)))
            if example is None or missing.param is None or missing.ctx is None:
                raise
            name = missing.param.make_metavar(missing.ctx).rstrip(".")
            raise click.UsageError(words.argument_missing(name, example), missing.ctx) from None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command; for a word that is not one, what was most likely meant."""
        if args and not args[0].startswith("-") and self.get_command(ctx, args[0]) is None:
            meant = _meant(_path(ctx), args, self.list_commands(ctx))
            ctx.fail(words.no_command(args[0], meant, ctx.command_path))
        return super().resolve_command(ctx, args)


def _path(ctx: click.Context | None) -> list[str]:
    """The commands that a context is of, without the program itself."""
    names: list[str] = []
    while ctx is not None and ctx.parent is not None:
        names.insert(0, str(ctx.info_name))
        ctx = ctx.parent
    return names


def _meant(path: Sequence[str], typed: Sequence[str], commands: Sequence[str]) -> str:
    """What to type instead of words that begin with none of the commands; empty if nobody knows.

    >>> _meant([], ["darw", "mine.toml"], ["draw", "keep"]), _meant([], ["draw."], ["draw"])
    ('jigs draw mine.toml', 'jigs draw banjo')
    >>> _meant([], ["mine.toml", "gauge"], []), _meant([], ["print", "my 2.toml"], []), _meant([], ["fork"], [])
    ('jigs draw mine.toml gauge', 'jigs draw "my 2.toml"', 'jigs draw banjo fork')
    >>> _meant([], ["create", "mine.toml"], []), _meant([], ["help", "draw"], ["draw"]), _meant([], ["zzz"], ["draw"])
    ('jigs new mine.toml', 'jigs draw --help', '')
    >>> _meant(["printer"], ["shete"], ["add", "sheet"])
    'jigs printer sheet'
    """
    word, *rest = typed
    near = _nearest(word, commands)
    if path:
        return _with_rest([*path, *near], rest) if near else ""
    if word == "help":
        return " ".join(["jigs", *(one for one in rest[:1] if one in commands), "--help"])
    if _is_drawn(word) or _INSTEAD.get(word) == "draw":
        return _drawing(typed)
    if word.endswith(".csv"):
        return _line(["survey", word])
    if word in _INSTEAD or near:
        return _with_rest([_INSTEAD[word]] if word in _INSTEAD else near, rest)
    drawn = _nearest(word, [*_presets(), *_templates()])
    return _drawing([*drawn, *rest]) if drawn else ""


def _with_rest(command: Sequence[str], rest: Sequence[str]) -> str:
    """A command with what was typed behind it, or its example if nothing was."""
    return _line([*command, *rest]) if rest else words.EXAMPLES.get(" ".join(command), _line(command))


def _drawing(typed: Sequence[str]) -> str:
    """To draw the instrument and the templates among what was typed."""
    instrument = next((one for one in typed if one.endswith(".toml") or one in _presets()), _OF_ANY_INSTRUMENT)
    return _line(["draw", instrument, *(one for one in typed if one in _templates())])


def _is_drawn(word: str) -> bool:
    return word.endswith(".toml") or word in _templates() or word in _presets()


def _nearest(word: str, known: Iterable[str]) -> list[str]:
    from difflib import get_close_matches

    return get_close_matches(word.lower(), list(known), n=1)


def _presets() -> list[str]:
    from jigs.instrument.opening import preset_names

    return preset_names()


def _templates() -> tuple[str, ...]:
    from jigs.templates.catalogue import NAMES

    return NAMES


def _line(typed: Iterable[str]) -> str:
    return " ".join(["jigs", *map(in_a_shell, typed)])
