"""A kill, a closed window, a suspended app: the rows are safe, and the terminal is as it was.

The hang-up has a handler that does not wait for the loop: what writes to a terminal that is gone
may block for ever, and a suspended app is hung up and resumed at once, so that Textual may begin to
read again after it has ended. All that was shown is on disk, so after a few seconds the program
goes, whatever still waits.

Suspending is the other way round: Textual does it wherever the signal finds the program, which may
be within a write that holds a lock that suspending wants as well. The loop does it between two.
"""

import asyncio
import os
import signal
import threading
from collections.abc import Callable
from contextlib import suppress
from types import FrameType

_LAST_S = 4.0
"""Seconds in which a program that was hung up may end by itself."""


def mind_signals(leave: Callable[[int], object]) -> None:
    """Leave by SIGTERM and SIGHUP, with the exit code of a shell: 128 and the signal's number.

    To be called within the running loop. Where there are no such signals (another platform, not
    the main thread) nothing is minded.
    """
    loop = asyncio.get_running_loop()

    def hung_up(number: int, _: FrameType | None) -> None:
        last = threading.Timer(_LAST_S, os._exit, [128 + number])
        last.daemon = True  # nothing waits for it
        last.start()
        with suppress(RuntimeError):  # the loop has ended, and the program is on its way
            loop.call_soon_threadsafe(leave, 128 + number)

    try:
        loop.add_signal_handler(signal.SIGTERM, leave, 128 + signal.SIGTERM)
        signal.signal(signal.Signals["SIGHUP"], hung_up)  # Windows has none
        suspended = signal.Signals["SIGTSTP"]
        suspend = signal.getsignal(suspended)
        if callable(suspend):  # the driver's, where it draws on a terminal
            loop.add_signal_handler(suspended, suspend, suspended, None)
    except (KeyError, NotImplementedError, RuntimeError, ValueError):
        return
