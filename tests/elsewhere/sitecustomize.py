"""Python without what Windows lacks, for processes that have this folder on PYTHONPATH, and for those that they start.

What the standard library itself needs on Linux stays. The types of `mypy --platform win32` find our own use of it.
"""

import multiprocessing
import os
import signal
import sys

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

for _module in _MODULES:
    sys.modules[_module] = None
for _owner, _names in ((os, _OF_OS), (signal, _OF_SIGNAL)):
    for _name in _names:
        if hasattr(_owner, _name):
            delattr(_owner, _name)
windows_files.put_in()
multiprocessing.set_start_method("spawn")
multiprocessing.get_all_start_methods = lambda: ["spawn"]
