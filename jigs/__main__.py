"""``python -m jigs`` is ``jigs``, and both begin here."""

import gc
import sys

GARBAGE_WAITS_FOR = 100_000


def main() -> None:
    """Run the command line; Ctrl-C while it is loading ends as it does later."""
    # Imports make some two hundred thousand objects that stay; checking them again and again takes a tenth of a run.
    gc.set_threshold(GARBAGE_WAITS_FOR)
    try:
        from jigs.cli.main import main as command

        command()
    except KeyboardInterrupt:
        sys.exit("Aborted!")
    finally:
        gc.freeze()  # the process ends here: collecting garbage once more would only take time


if __name__ == "__main__":
    main()
