"""``python -m jigs`` is ``jigs``, and both begin here."""

import gc
import os
import sys

from jigs import STOPPED

GARBAGE_WAITS_FOR = 200_000


def main() -> None:
    """Run the command line; Ctrl-C while it is loading ends as it does later."""
    came: list[int] = []
    try:
        _get_ready(came)
        from jigs.cli.main import main as command

        command()
    except KeyboardInterrupt:
        sys.exit(STOPPED)
    except Exception:
        if not came:
            raise
        sys.exit(STOPPED)  # pydantic makes an error of its own of a Ctrl-C that comes while it builds a model
    finally:
        gc.freeze()  # the process ends here: collecting garbage once more would only take time


def _get_ready(came: list[int]) -> None:
    """Have the garbage collector wait and numpy work on one core, and count the Ctrl-Cs that ``came``."""
    # Imports make some two hundred thousand objects that stay; checking them again and again takes a tenth of a run.
    gc.set_threshold(GARBAGE_WAITS_FOR)
    # Our matrices are small: threads wait for each other longer than they work, most of all on a busy machine.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    import signal  # late, so that a Ctrl-C while it loads is caught too

    def interrupt(number: int, _frame: object) -> None:
        came.append(number)
        raise KeyboardInterrupt

    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, interrupt)
    from jigs.system.streams import make_usable

    make_usable()


if __name__ == "__main__":
    main()
