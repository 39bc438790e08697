"""Files to one ZIP: the same files make the same bytes, on every machine."""

import io
import zipfile
from collections.abc import Mapping

_FIRST_DAY = (1980, 1, 1, 0, 0, 0)
"""The earliest date that a ZIP can hold, for every file: an archive has no clock."""

_BY_UNIX, _READABLE = 3, 0o100644 << 16
"""A regular file that its owner may write and everybody may read, as APPNOTE.TXT 4.4.2 and 4.4.15 have it."""


def archive(files: Mapping[str, bytes]) -> bytes:
    """All files in one ZIP, in the order of their names.

    They are stored as they are: compressors differ between machines, and the bytes must not.
    """
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_STORED) as packed:
        for name, content in sorted(files.items()):
            entry = zipfile.ZipInfo(name, _FIRST_DAY)
            entry.create_system, entry.external_attr = _BY_UNIX, _READABLE
            packed.writestr(entry, content)
    return whole.getvalue()
