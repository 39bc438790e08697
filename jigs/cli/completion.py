"""What the tab key completes: files, presets, templates."""

import click
from click.shell_completion import CompletionItem


def files(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """A shell's own completion of file names."""
    return [CompletionItem(begun, type="file")]


def folders(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """A shell's own completion of folders."""
    return [CompletionItem(begun, type="dir")]


def presets(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Presets that begin like this."""
    from jigs.instrument.opening import preset_names

    return [CompletionItem(name) for name in preset_names() if name.startswith(begun)]


def tables(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Tables of an instrument file that begin like this."""
    from jigs.instrument.reference import ORDER, TOP

    return [CompletionItem(name) for name in (table or TOP for table in ORDER) if name.startswith(begun)]


def keys_to_set(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Keys of an instrument file that begin like this, before their equals sign."""
    from jigs.instrument.set_keys import STRINGS, known_paths

    number = begun.removeprefix(f"{STRINGS}.").partition(".")[0]
    return [
        CompletionItem(path) for path in known_paths(number if number.isdecimal() else "1") if path.startswith(begun)
    ]


def instruments(ctx: click.Context, param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Instrument files, or presets that begin like this."""
    return [*files(ctx, param, begun), *presets(ctx, param, begun)]


def template_names(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Templates that begin like this."""
    from jigs.templates.catalogue import TEMPLATES

    return [CompletionItem(entry.name, help=entry.title) for entry in TEMPLATES if entry.name.startswith(begun)]


def guides(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Guides that begin like this."""
    from jigs.guide.guides import NAMES

    return [CompletionItem(name) for name in NAMES if name.startswith(begun)]
