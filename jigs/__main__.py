"""``python -m jigs`` is ``jigs``, and both begin here."""

import sys


def main() -> None:
    """Run the command line; Ctrl-C while it is loading ends as it does later."""
    try:
        from jigs.cli.main import main as command

        command()
    except KeyboardInterrupt:
        sys.exit("Aborted!")


if __name__ == "__main__":
    main()
