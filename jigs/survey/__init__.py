"""A fretboard that exists: its file, what it says, a picture."""
