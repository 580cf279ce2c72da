"""Who has a make open for writing, and whether that program still runs.

A program is known by its number, and by when it began, since numbers are given again.
"""

import os
import platform
import sys
import time
import uuid
from pathlib import Path
from typing import Annotated

import psutil
from pydantic import Field

from models.frozen import Frozen


class Owner(Frozen):
    """One program that has a make open."""

    token: str
    host: str
    boot: str
    pid: Annotated[int, Field(ge=0, lt=2**32)]
    began: str
    """When the process began, in the system's own terms; empty where it does not tell."""
    since: float
    """POSIX seconds; for the sentence only, no decision hangs on a clock."""

    def told(self) -> str:
        """`another window (process 1234)`, `the computer 'attic'`."""
        if self.host != platform.node():
            return f"the computer {self.host!r}"
        return f"another window (process {self.pid})"


def myself() -> Owner:
    """This program, under a token of its own each time."""
    return Owner(
        token=uuid.uuid4().hex,
        host=platform.node(),
        boot=_boot(),
        pid=os.getpid(),
        began=_began(os.getpid()),
        since=time.time(),
    )


def runs(owner: Owner) -> bool:
    """Whether that program may still run. On another computer it may: nobody can tell from here."""
    if owner.host != platform.node():
        return True
    if owner.boot != _boot() or owner.began != _began(owner.pid):
        return False
    return psutil.pid_exists(owner.pid)


def _boot() -> str:
    """Only Linux gives a start of the machine a name; the others count by the clock."""
    return _text(Path("/proc/sys/kernel/random/boot_id"))


def _began(pid: int) -> str:
    if sys.platform == "linux":
        # psutil makes a time of the day of it, and then it moves with the clock. Field 22 of stat,
        # counted after the name, which may itself hold blanks and parentheses.
        fields = _text(Path(f"/proc/{pid}/stat")).rpartition(")")[2].split()
        return fields[19] if len(fields) > 19 else ""
    try:
        return f"{psutil.Process(pid).create_time():.2f}"
    except psutil.Error:
        return ""


def _text(path: Path) -> str:
    try:
        return path.read_text("utf-8", "replace").strip()
    except OSError:
        return ""
