"""``python -m jigs`` is ``jigs``, and both begin here."""

import gc
import signal
import sys
from types import FrameType

GARBAGE_WAITS_FOR = 200_000


def main() -> None:
    """Run the command line; Ctrl-C while it is loading ends as it does later."""
    # Imports make some two hundred thousand objects that stay; checking them again and again takes a tenth of a run.
    gc.set_threshold(GARBAGE_WAITS_FOR)
    came: list[int] = []

    def interrupt(number: int, _frame: FrameType | None) -> None:
        came.append(number)
        raise KeyboardInterrupt

    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, interrupt)
    try:
        from jigs.cli.main import main as command

        command()
    except KeyboardInterrupt:
        sys.exit("Aborted!")
    except Exception:
        if not came:
            raise
        sys.exit("Aborted!")  # pydantic makes an error of its own of a Ctrl-C that comes while it builds a model
    finally:
        gc.freeze()  # the process ends here: collecting garbage once more would only take time


if __name__ == "__main__":
    main()
