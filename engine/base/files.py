"""Files written so that a power cut leaves the old one or the new one, never a half."""

import errno
import os
import stat
import sys
import uuid
from datetime import datetime
from pathlib import Path

PRIVATE_FOLDER = 0o700
PRIVATE_FILE = 0o600
BINARY = getattr(os, "O_BINARY", 0)
"""For `os.open`: without it Windows writes two bytes for a line feed."""
_CANNOT = {errno.EINVAL, errno.ENOTSUP, errno.ENOTTY, errno.ENOSYS}
"""What a drive answers that does not know a request, as opposed to one that failed at it."""


def _usual_mode(path: Path) -> int:
    try:
        return stat.S_IMODE(path.stat().st_mode)
    except OSError:
        return 0o666


def force(descriptor: int) -> None:
    """Return when what was written is on the disk itself. Raises OSError.

    On macOS fsync stops at the drive's own memory; a network drive there knows nothing better.
    """
    if sys.platform == "darwin":
        import fcntl

        try:
            fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)
            return
        except OSError as error:
            if error.errno not in _CANNOT:
                raise
    os.fsync(descriptor)


def force_folder(folder: Path) -> None:
    """Make a new or renamed entry of a folder lasting, where the drive can. Raises OSError."""
    if sys.platform == "win32":
        return  # folders cannot be opened there
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        force(descriptor)
    except OSError as error:
        if error.errno not in _CANNOT:
            raise
    finally:
        os.close(descriptor)


def make_folder(path: Path, mode: int = 0o777) -> None:
    """Make a folder and those above it, lasting: each is in its parent when this returns.

    `mode` is of the folder itself where it is made now; those above it are made as usual. Raises
    OSError.
    """
    missing = [path]
    while not missing[-1].exists() and missing[-1].parent != missing[-1]:
        missing.append(missing[-1].parent)
    for folder in reversed(missing):
        try:
            folder.mkdir(mode=mode if folder == path else 0o777)
        except FileExistsError:
            if not folder.is_dir():
                raise
            continue
        force_folder(folder.parent)


def replace(path: Path, content: bytes, *, private: bool = True) -> None:
    """Write a whole file anew, all or nothing. Raises OSError.

    A private file is its owner's alone; another has the usual mode, or that of the file there. What
    is half written lies beside it under a name of its own, never in a file or at the end of a link
    that was there.
    """
    make_folder(path.parent, PRIVATE_FOLDER if private else 0o777)
    if private:
        new = path.with_name(path.name + ".new")
        new.unlink(missing_ok=True)  # left by a power cut: the folder is ours
    else:
        new = path.with_name(f".{uuid.uuid4().hex}.new")
    mode = PRIVATE_FILE if private else _usual_mode(path)
    try:
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | BINARY
        with os.fdopen(os.open(new, flags, mode), "wb") as file:
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
    make_folder(folder, PRIVATE_FOLDER)
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
