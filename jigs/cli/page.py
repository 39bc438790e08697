"""``jigs page``: the page in the browser."""

import click

from jigs.cli.common import guarded


@click.command()
@click.option("--port", metavar="NUMBER", show_default="a free one", help="Port to serve the page on.")
@click.option("--no-browser", is_flag=True, help="Print the address, and open no browser.")
@guarded
def page(port: str | None, no_browser: bool) -> None:
    """Fill in a form, look and print, in your browser.

    The page is for one instrument. It runs on your computer only; nothing you type leaves it. Stop it with Ctrl-C.
    """
    from jigs.page.serve import read_port, serve

    serve(read_port(port), not no_browser, click.echo)
