"""Python without what Windows lacks, for processes that have this folder on PYTHONPATH, and for those that they start.

What the standard library itself needs on Linux stays. The types of `mypy --platform win32` find our own use of it.
"""

import multiprocessing
import os
import signal
import sys
from functools import partial

import windows_files

_MODULES = ("fcntl", "grp", "pwd", "pty", "readline", "resource", "syslog", "termios", "tty")
_OF_OS = (
    *("chown", "fchmod", "fchown", "fork", "forkpty", "getpgid", "getpgrp", "getsid", "killpg", "lchown"),
    *("mkfifo", "mknod", "nice", "posix_spawn", "posix_spawnp", "sched_getaffinity", "setsid", "statvfs", "sync"),
    *("O_DIRECTORY", "O_NOCTTY", "O_NOFOLLOW", "O_NONBLOCK", "O_SYNC"),
)
_OF_SIGNAL = (
    *("SIGALRM", "SIGCHLD", "SIGCONT", "SIGHUP", "SIGPIPE", "SIGQUIT", "SIGTSTP", "SIGUSR1", "SIGUSR2", "SIGWINCH"),
    *("SIG_BLOCK", "SIG_SETMASK", "SIG_UNBLOCK"),
    *("alarm", "pause", "pthread_kill", "pthread_sigmask", "setitimer", "sigpending", "sigwait", "siginterrupt"),
)


def lack():
    """Lose all that, in this process and in those that it starts."""
    sys.modules.update(dict.fromkeys(_MODULES))
    for owner, names in ((os, _OF_OS), (signal, _OF_SIGNAL)):
        for name in filter(partial(hasattr, owner), names):
            delattr(owner, name)
    windows_files.put_in()
    multiprocessing.set_start_method("spawn")


if __name__ == "sitecustomize":  # as Python itself imports it, and nothing that looks for tests
    lack()
