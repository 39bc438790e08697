"""``python -m jigs`` is ``jigs``, and both begin here."""

import sys


def main() -> None:
    """The command line; Ctrl-C before it is there ends as it does afterwards."""
    try:
        from jigs.cli.main import main as command

        command()
    except KeyboardInterrupt:
        sys.exit("Aborted!")


if __name__ == "__main__":
    main()
