"""A kill, a closed window, a suspended app: the rows are safe, and the terminal is as it was.

After a hang-up the program may wait for ever: what writes to a terminal that is gone may block, and
a suspended app is hung up and resumed at once, so that Textual begins to read again after it has
ended. All that was shown is on disk, so the system is asked for an alarm, and that ends it.

Suspending is the other way round: Textual does it wherever the signal finds the program, which may
be within a write that holds a lock that suspending wants as well. The loop does it between two.
"""

import asyncio
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from types import FrameType

_LAST_S = 4
"""Seconds in which a program that was hung up may end by itself."""


def mind_signals(leave: Callable[[int], object]) -> None:
    """Leave by SIGTERM and SIGHUP, with the exit code of a shell: 128 and the signal's number.

    To be called within the running loop. Where there are no such signals (Windows, not the main
    thread) nothing is minded.
    """
    if sys.platform == "win32":
        return
    loop = asyncio.get_running_loop()

    def hung_up(number: int, _: FrameType | None) -> None:
        signal.alarm(_LAST_S)  # nothing handles it: the program ends
        with suppress(RuntimeError):  # the loop has ended, and the program is on its way
            loop.call_soon_threadsafe(leave, 128 + number)

    with suppress(NotImplementedError, RuntimeError, ValueError):
        loop.add_signal_handler(signal.SIGTERM, leave, 128 + signal.SIGTERM)
        signal.signal(signal.SIGHUP, hung_up)
        suspend = signal.getsignal(signal.SIGTSTP)
        if callable(suspend):  # the driver's, where it draws on a terminal
            loop.add_signal_handler(signal.SIGTSTP, suspend, signal.SIGTSTP, None)
