"""The survey of a fretboard: its file, its findings, a picture."""
