"""Bytes from a file, or from a pipe whose other end may never write: nobody waits for ever."""

import os
import stat
from collections.abc import Callable
from pathlib import Path
from threading import Event, Thread

from engine.base.refusal import Refusal

SOON_S = 3.0
"""Seconds without a byte after which who waits is told so."""
NEVER_S = 120.0
"""Seconds without a byte after which nothing more is awaited."""
_BLOCK = 65536


def read_patiently(
    source: Path | int,
    most: int,
    *,
    tell: Callable[[str], None] | None = None,
    soon_s: float = SOON_S,
    never_s: float = NEVER_S,
) -> bytes:
    """At most so many bytes of a file, a pipe or an open file's number.

    A file on the disk is read as it is. What may keep silent (a pipe, a terminal) is told of by
    `tell` when nothing has come for `soon_s`. Raises Refusal when nothing has for `never_s`, and
    OSError as reading does.
    """
    mode = (os.fstat(source) if isinstance(source, int) else source.stat()).st_mode
    if stat.S_ISREG(mode) or stat.S_ISDIR(mode):
        with open(source, "rb", closefd=not isinstance(source, int)) as file:
            return file.read(most)
    come, parts, trouble, ended = Event(), list[bytes](), list[OSError](), list[bool]()

    def read() -> None:
        try:
            # Without a buffer: a lock on it would be held when the program ends.
            with open(source, "rb", buffering=0, closefd=not isinstance(source, int)) as file:
                left = most
                while left and (part := file.read(min(left, _BLOCK))):
                    parts.append(part)
                    left -= len(part)
                    come.set()
        except OSError as error:
            trouble.append(error)
        ended.append(True)
        come.set()

    Thread(target=read, daemon=True).start()
    while not ended:
        if not come.wait(soon_s):
            if tell:
                tell(f"Waiting for what is to come from {_named(source)}: Ctrl-C leaves.")
                tell = None
            if not come.wait(never_s - soon_s):
                raise Refusal(f"Nothing more has come from {_named(source)}: name a file instead.")
        come.clear()
    if trouble:
        raise trouble[0]
    return b"".join(parts)


def _named(source: Path | int) -> str:
    return str(source) if isinstance(source, Path) else "standard input"
