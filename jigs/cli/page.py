"""``jigs page``: the page in the browser."""

import click

from jigs.cli.common import guarded, warn


@click.command()
@click.option("--shelf", metavar="DIR", show_default="one of your own", help="Folder of your instruments' files.")
@click.option("--port", metavar="NUMBER", show_default="a free one", help="Port to serve the page on.")
@click.option("--no-browser", is_flag=True, help="Print the address, and open no browser.")
@click.option("--install-launcher", is_flag=True, help="On Linux, add the page to the menu of your programs, and end.")
@guarded
def page(shelf: str | None, port: str | None, no_browser: bool, install_launcher: bool) -> None:
    """Fill in a form, look and print, in your browser.

    The page runs on your computer only; nothing you type leaves it. Stop it with Ctrl-C, or on the page. If a page with
    this shelf already runs, the browser opens that page.
    """
    from jigs.page.serve import named_shelf, open_page, read_port, usual_shelf

    chosen = read_port(port)
    named = None if shelf is None else named_shelf(shelf)
    if install_launcher:
        _install(chosen, None if named is None else str(named), no_browser)
        return
    folder, notes = usual_shelf() if named is None else (named, ())
    warn(notes)
    open_page(chosen, folder, not no_browser, click.echo)


def _install(port: int | None, shelf: str | None, no_browser: bool) -> None:
    """Put the launcher in place and say where. Raises `InputFaults`."""
    from jigs.cli.words import both_given
    from jigs.faults import Place
    from jigs.page.launcher import install
    from jigs.page.starting_words import launcher_installed

    if no_browser:
        raise both_given("no-browser").refusal(Place(option="install-launcher"))
    given = {"--port": None if port is None else str(port), "--shelf": shelf}
    options = [word for name, value in given.items() if value is not None for word in (name, value)]
    for line in launcher_installed(*install(options)):
        click.echo(line)
