"""Files as on Windows, played on Linux: an open one stays in its place, and is text unless it is opened as binary."""

import os

BINARY = 1 << 40
"""A flag that Linux does not know; it never reaches it."""


def put_in(replaced=setattr):
    """Let `os` deal with files as on Windows. ``replaced(owner, name, value)`` replaces an attribute."""
    real = {name: getattr(os, name) for name in ("open", "close", "read", "write", "replace", "rename", "unlink")}
    texts = set()

    def opened(path, flags, mode=0o777, **more):
        if os.path.isdir(path):
            raise PermissionError(13, "Permission denied", path)
        handle = real["open"](path, flags & ~BINARY, mode, **more)
        (texts.discard if flags & BINARY else texts.add)(handle)
        return handle

    def closed(handle):
        texts.discard(handle)
        real["close"](handle)

    def read(handle, length):
        got = real["read"](handle, length)
        return got.replace(b"\r\n", b"\n") if handle in texts else got

    def wrote(handle, content):
        if handle not in texts:
            return real["write"](handle, content)
        real["write"](handle, content.replace(b"\n", b"\r\n"))
        return len(content)

    def unless_open(does):
        def moved(*paths, **more):
            for path in paths:
                if is_open(path):
                    raise PermissionError(13, "Access is denied", path)
            return does(*paths, **more)

        return moved

    replaced(os, "O_BINARY", BINARY)
    for name, does in {"open": opened, "close": closed, "read": read, "write": wrote}.items():
        replaced(os, name, does)
    for name in ("replace", "rename", "unlink"):
        replaced(os, name, unless_open(real[name]))
    replaced(os, "remove", os.unlink)


def is_open(path):
    """Whether this process has this file open."""
    try:
        wanted = os.lstat(path)
    except OSError:
        return False
    for handle in os.listdir("/proc/self/fd"):
        try:
            own = os.stat(f"/proc/self/fd/{handle}")
        except OSError:
            continue
        if os.path.samestat(own, wanted):
            return True
    return False
