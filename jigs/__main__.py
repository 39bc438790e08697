"""``python -m jigs`` is ``jigs``."""

from jigs.cli import main

main()
