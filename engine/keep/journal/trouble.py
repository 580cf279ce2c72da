"""What went wrong with the disk or the file on it, in the words that sentences are made of."""

import errno
import sqlite3

_NO_SPACE = {errno.ENOSPC, errno.EDQUOT}
_NOT_DAMAGE = {
    sqlite3.SQLITE_BUSY,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_LOCKED,
    sqlite3.SQLITE_NOMEM,
    sqlite3.SQLITE_PERM,
    sqlite3.SQLITE_READONLY,
}
"""Errors of the disk or the system; every other one at opening is the file's own."""


_LONGEST = 100


def of_the_system(error: Exception) -> bool:
    """Whether SQLite failed for the disk's or the system's sake, and the file may be sound."""
    return isinstance(error, sqlite3.Error) and _code(error) in _NOT_DAMAGE


def why(error: Exception) -> str:
    """`full`, `busy`, or the system's own words."""
    if isinstance(error, OSError):
        return "full" if error.errno in _NO_SPACE else (error.strerror or str(error))
    if isinstance(error, sqlite3.Error):
        code = _code(error)
        if code == sqlite3.SQLITE_FULL:
            return "full"
        if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            return "busy"
    return str(error)


def told(error: Exception) -> str:
    """The same as words within a sentence."""
    found = why(error)
    return {"full": "the disk is full", "busy": "another program holds it"}.get(found, found)


def brief(error: Exception) -> str:
    """The error's own words, without the long text that SQLite quotes in some."""
    said = str(error)
    return said if len(said) <= _LONGEST else f"{said[:_LONGEST]}…"


def plain(text: str) -> str:
    """Text that can be printed and looked up: file names and arguments may hold any byte."""
    return text.encode("utf-8", "replace").decode()


def _code(error: sqlite3.Error) -> int:
    return int(getattr(error, "sqlite_errorcode", 0)) & 0xFF
