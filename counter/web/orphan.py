"""An app that was begun by a server ends with it, even if the server was killed outright."""

import os
import signal
import sys
import threading
import time

LOOK_S = 1.0
POLITE_S = 4.0
"""Seconds in which the app may end by itself, once its server is gone."""


def end_with_parent() -> None:
    """Watch the program that began this one, in a thread."""
    threading.Thread(target=_watch, args=(os.getppid(),), name="server", daemon=True).start()


def _watch(parent: int) -> None:
    while _there(parent):
        time.sleep(LOOK_S)
    if sys.platform != "win32":
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(POLITE_S)
        if os.getpgrp() == os.getpid():
            os.killpg(os.getpid(), signal.SIGKILL)
    os._exit(1)


def _there(parent: int) -> bool:
    if sys.platform != "win32":
        return os.getppid() == parent  # an orphan is given to another
    import psutil

    return psutil.pid_exists(parent)
