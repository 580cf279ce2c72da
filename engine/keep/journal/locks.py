"""One opening at a time, and what to do on a drive whose locks do not work."""

import contextlib
import errno
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from engine.base.refusal import Refusal
from engine.keep.journal import owner
from engine.keep.journal.owner import Owner

WAIT_S = 10.0
_BUSY = {errno.EACCES, errno.EAGAIN}


class NoLocks(Exception):
    """This drive does not lock files, as network drives often do not."""


@contextlib.contextmanager
def opening(path: Path) -> Iterator[None]:
    """Keep other programs from opening the same folder meanwhile.

    Raises OSError where the lock file cannot be made, NoLocks where locking fails, and Refusal
    where another program does not get done.
    """
    # A file of its own: closing any handle of a file drops all its POSIX locks, SQLite's too.
    descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        until = time.monotonic() + WAIT_S
        while True:
            try:
                _lock(descriptor)
                break
            except OSError as error:
                if error.errno not in _BUSY:
                    raise NoLocks(error.strerror) from error
            if time.monotonic() > until:
                raise Refusal(
                    f"Another spokenrow is opening {path.parent} and does not finish: "
                    "close it and try again."
                )
            time.sleep(0.02)
        yield
    finally:
        os.close(descriptor)


def _lock(descriptor: int) -> None:
    """Raises OSError, with a number of `_BUSY` where another program has it."""
    if sys.platform == "win32":
        import msvcrt

        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.lockf(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


def claim_folder(path: Path, me: Owner) -> None:
    """Have a folder for this program alone, by a file that only one can make.

    Raises Refusal where another program has it, OSError where the file cannot be made.
    """
    for _ in range(2):
        try:
            descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except FileExistsError:
            other = _read(path)
            if other is None or owner.runs(other):
                told = other.told() if other else "another program"
                raise Refusal(
                    f"This drive does not lock files, so only one window may use it, and {told} "
                    f"does: close that one, or, if it is gone for good, delete {path}."
                ) from None
            path.unlink(missing_ok=True)
            continue
        with os.fdopen(descriptor, "w", encoding="utf-8") as file:
            file.write(me.model_dump_json())
        return
    raise Refusal(f"Another window was quicker with {path}: close it and try again.")


def _read(path: Path) -> Owner | None:
    try:
        return Owner.model_validate_json(path.read_text("utf-8"))
    except (OSError, ValueError):
        return None
