"""Printable jigs and templates that put a loose bridge where its instrument plays in tune."""

__version__ = "0.1.0"

STOPPED = "Stopped."
"""What is said of a Ctrl-C, before anything else is loaded too."""
