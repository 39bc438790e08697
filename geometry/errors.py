"""The base of every exception that geometry raises: a code and numbers, no sentence.

The rooms of jigs that catch these exceptions hold the sentences, in their ``words.py``.
"""


class GeometryError(ValueError):
    """Something that geometry has no answer for.

    ``code`` is short, in kebab-case and stable. Each subclass lists its codes and keeps the numbers as attributes.

    >>> from geometry.spacing import SpacingError
    >>> str(SpacingError("strings-overlap", 0.5))
    'strings-overlap: overlap_mm=0.5'
    """

    def __init__(self, code: str, *about: object) -> None:
        super().__init__(code, *about)
        self.code = code

    def __str__(self) -> str:
        about = ", ".join(f"{name}={value!r}" for name, value in vars(self).items() if name != "code")
        return f"{self.code}: {about}"
