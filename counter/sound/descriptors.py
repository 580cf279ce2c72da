"""Sound libraries write text to file descriptor 2: here it gets out of the screen's way."""

import os
import sys
import tempfile
from contextlib import suppress

from counter.shared.outward import outward

REPAIR = "\033[?1049l\033[?25h\033[?1000l\033[?1002l\033[?1003l\033[?1006l\033[?2004l"
"""Ends the alternate screen, mouse reports and bracketed paste, and shows the cursor: what a
program that was killed outright leaves behind."""


def keep_pipe_clean() -> None:
    """Give C libraries another descriptor to complain to than the one that errors are read from."""
    with suppress(OSError, ValueError):
        told = os.fdopen(os.dup(2), "w", 1, encoding="utf-8", errors="backslashreplace")
        with tempfile.TemporaryFile(prefix="spokenrow-sound-") as log:
            os.dup2(log.fileno(), 2)
        sys.__stderr__, sys.stderr = told, outward(told)  # type: ignore[misc]


def keep_terminal_clean() -> None:
    """Give the screen a descriptor of its own, and C libraries another to complain to.

    PortAudio and ALSA write text to file descriptor 2, over whatever is drawn. Textual draws on
    `sys.__stderr__`, which becomes a copy of standard output, known to be a terminal; descriptor
    2 becomes a nameless file, unless somebody has sent it elsewhere already. What a killed run
    left of the terminal is put right first.
    """
    with suppress(OSError, ValueError):
        screen = os.fdopen(os.dup(1), "w", encoding="utf-8")
        screen.write(REPAIR)
        screen.flush()
        if os.isatty(2):
            with tempfile.TemporaryFile(prefix="spokenrow-sound-") as log:
                os.dup2(log.fileno(), 2)
        sys.__stderr__, sys.stderr = screen, outward(screen)  # type: ignore[misc]
