"""A main file put together again from its write-ahead log alone, or over what is left of it.

SQLite throws a log away when the main file it belongs to is empty, and the log of a young main
file holds nearly all of it. Source: SQLite's file format, section 4, "The Write-Ahead Log".
"""

import struct
from collections.abc import Iterator

_HEADER, _FRAME = 32, 24
_MAGIC = 0x377F0682
"""With 1 added where the checksums are of big-endian words."""
_ROLLBACK_MODE = b"\x01\x01"
"""Bytes 18 and 19 of a main file that has no log."""


def merged(log: bytes, main: bytes = b"") -> bytes:
    """The main file with every transaction of its log that is whole; empty where there is none."""
    if len(log) < _HEADER:
        return b""
    magic, _, page, _, *_ = struct.unpack(">8I", log[:_HEADER])
    if magic & ~1 != _MAGIC or page < 512 or page > 65_536 or page & (page - 1):
        return b""
    pages: dict[int, bytes] = {}
    size = 0
    waiting: dict[int, bytes] = {}
    for number, after_commit, content in _frames(log, page, ">" if magic & 1 else "<"):
        waiting[number] = content
        if after_commit:
            pages |= waiting
            size, waiting = after_commit, {}
    if not pages:
        return b""
    old = [main[at : at + page] for at in range(0, len(main), page)]
    made = bytearray()
    for number in range(1, size + 1):
        kept = old[number - 1] if number <= len(old) else b""
        made += pages.get(number, kept.ljust(page, b"\0"))
    made[18:20] = _ROLLBACK_MODE
    return bytes(made)


def _frames(log: bytes, page: int, order: str) -> Iterator[tuple[int, int, bytes]]:
    """Page number, size after commit (0 before it) and content, up to the first unsound frame."""
    sums = _sums(log[:24], (0, 0), order)
    if sums != struct.unpack(">2I", log[24:_HEADER]):
        return
    for at in range(_HEADER, len(log) - _FRAME - page + 1, _FRAME + page):
        head, content = log[at : at + _FRAME], log[at + _FRAME : at + _FRAME + page]
        if head[8:16] != log[16:24]:
            return  # a frame of an earlier log
        sums = _sums(content, _sums(head[:8], sums, order), order)
        if sums != struct.unpack(">2I", head[16:]):
            return
        number, after_commit = struct.unpack(">2I", head[:8])
        if number == 0 or max(number, after_commit) > 2**24:
            return
        yield number, after_commit, content


def _sums(content: bytes, sums: tuple[int, int], order: str) -> tuple[int, int]:
    one, two = sums
    for a, b in struct.iter_unpack(f"{order}2I", content):
        one = (one + a + two) & 0xFFFFFFFF
        two = (two + b + one) & 0xFFFFFFFF
    return one, two
