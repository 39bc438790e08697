"""What a terminal shows instead of a guide's links and pictures."""


def picture(shows: str, file: str) -> str:
    """A picture that a terminal does not show.

    >>> picture("A paper fork", "loan-mandolin-3-fork.svg")
    'Picture (loan-mandolin-3-fork.svg): A paper fork.'
    """
    return f"Picture ({file}): {shows.rstrip('.')}."


def to_guide(name: str) -> str:
    """A link to another guide.

    >>> to_guide("bench")
    'jigs guide bench'
    """
    return f"jigs guide {name}"
