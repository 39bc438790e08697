"""``jigs page``: the page in the browser."""

import click

from jigs.cli.common import guarded


@click.command()
@click.option("--port", metavar="NUMBER", help="Port to serve it on; one that is free if left out.")
@click.option("--no-browser", is_flag=True, help="Only say the address.")
@guarded
def page(port: str | None, no_browser: bool) -> None:
    """Fill in, look, print: one page in your browser, for one instrument.

    It is served by this machine for this machine alone, until Ctrl-C.
    """
    from jigs.page.serve import read_port, serve

    serve(read_port(port), not no_browser, click.echo)
