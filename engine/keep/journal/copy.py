"""The copy of a make beside the main file: `DIGEST JSON` a line, head first, only ever appended."""

import os
import re
from hashlib import sha256
from pathlib import Path

from engine.base.files import BINARY, force, replace
from engine.keep.journal import chain
from engine.keep.journal.chain import Chain

FOLDER = "journal"
SUFFIX = ".journal"
LARGEST = 64 * 2**20
"""Bytes; no make comes near it, so a larger file is not ours and is not read."""


def place(data: Path, name: str) -> Path:
    """Where the copy of a make lies in a data folder: legible, and unlike any other name's."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40] or "make"
    return (
        data / FOLDER / f"{plain}-{sha256(name.encode('utf-8', 'replace')).hexdigest()[:8]}{SUFFIX}"
    )


def render(lines: list[str]) -> bytes:
    """A whole copy."""
    return "".join(
        f"{s} {line}\n" for s, line in zip(chain.seals(lines), lines, strict=True)
    ).encode()


def rewrite(path: Path, made: Chain) -> int:
    """Write the copy anew, all or nothing; gives its size in bytes. Raises OSError."""
    content = render([made.head, *made.bodies])
    replace(path, content)
    return len(content)


def append(path: Path, sealed: list[tuple[str, str]], size: int) -> int:
    """Add (digest, line) pairs to a copy of `size` bytes and force them to the disk.

    Gives the new size. Raises OSError, and then the copy is as it was, as far as the disk lets.
    """
    content = "".join(f"{digest} {line}\n" for digest, line in sealed).encode()
    descriptor = os.open(path, os.O_WRONLY | os.O_APPEND | BINARY)
    try:
        written = 0
        while written < len(content):
            written += os.write(descriptor, content[written:])
        force(descriptor)
    except OSError:
        os.ftruncate(descriptor, size)
        raise
    finally:
        os.close(descriptor)
    return size + len(content)


def cut(path: Path, size: int) -> None:
    """Take back what `append` added beyond `size` bytes. Raises OSError."""
    os.truncate(path, size)


def read(path: Path) -> tuple[Chain | None, int]:
    """The sound beginning of a copy, and how many lines there are, an unfinished one too.

    It is whole where the chain has as many. (None, 0) for a file that cannot be read at all.
    """
    try:
        if path.stat().st_size > LARGEST:
            return None, 0
        content = path.read_bytes()
    except OSError:
        return None, 0
    # Split at line feeds alone: JSON may hold other characters that Python calls line ends.
    raw = content.split(b"\n")
    unfinished = raw.pop()
    lines = [line.decode("utf-8", "replace").partition(" ") for line in raw]
    kept = chain.sound((digest, body) for digest, _, body in lines)
    head = chain.read_head(kept[0]) if kept else None
    count = len(lines) + bool(unfinished)
    return (None, count) if head is None else (Chain(head.name, kept[0], tuple(kept[1:])), count)


def whole(made: Chain | None, lines: int) -> bool:
    """Whether what `read` gave is all of a copy."""
    return made is not None and lines == len(made.bodies) + 1
