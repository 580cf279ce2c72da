"""Files written so that a power cut leaves the old one or the new one, never a half."""

import os
import sys
from datetime import datetime
from pathlib import Path


def force(descriptor: int) -> None:
    """Return when what was written is on the disk itself. Raises OSError."""
    if sys.platform == "darwin":
        import fcntl

        # fsync there stops at the drive's own memory.
        fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)
    else:
        os.fsync(descriptor)


def force_folder(folder: Path) -> None:
    """Make a new or renamed entry of a folder lasting. Raises OSError."""
    if os.name == "nt":
        return  # folders cannot be opened there
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def replace(path: Path, content: bytes) -> None:
    """Write a whole file anew, all or nothing. Raises OSError."""
    path.parent.mkdir(parents=True, exist_ok=True)
    new = path.with_name(path.name + ".new")
    try:
        with new.open("wb") as file:
            file.write(content)
            file.flush()
            force(file.fileno())
        new.replace(path)
    except OSError:
        new.unlink(missing_ok=True)
        raise
    force_folder(path.parent)


def set_aside(path: Path, folder: Path, companions: tuple[str, ...] = ()) -> Path:
    """Move a damaged file, never delete it; gives its new place. Raises OSError.

    `companions` are endings of files that belong to it and go with it.
    """
    folder.mkdir(parents=True, exist_ok=True)
    stamp = datetime.now().strftime("%Y-%m-%d-%H%M%S")
    count, target = 1, folder / f"{stamp}-{path.name}"
    while target.exists():
        count += 1
        target = folder / f"{stamp}-{count}-{path.name}"
    for ending in companions:
        part = path.with_name(path.name + ending)
        if part.exists():
            part.replace(target.with_name(target.name + ending))
    path.replace(target)
    force_folder(folder)
    force_folder(path.parent)
    return target
