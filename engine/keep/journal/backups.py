"""Dated backups of the main file, made by themselves and thinned out with age."""

import contextlib
import os
import sqlite3
from collections.abc import Iterable
from datetime import date
from pathlib import Path

from engine.base.files import PRIVATE_FILE, PRIVATE_FOLDER, force_folder, make_folder

FOLDER = "backups"
DAYS = 7
WEEKS = 4
MONTHS = 6


def folder(data: Path) -> Path:
    """Where the backups of a data folder lie."""
    return data / FOLDER


def list_backups(data: Path) -> list[Path]:
    """The backups of a data folder, the newest first by the date in their names."""
    found = (path for path in folder(data).glob("makes-*.db") if not path.is_fifo())
    return sorted(found, reverse=True)


def back_up(db: sqlite3.Connection, data: Path, name: str) -> Path:
    """Copy the open main file, all or nothing, over no other. Raises OSError, sqlite3.Error."""
    target = folder(data) / f"makes-{name}.db"
    count = 1
    while target.exists():
        count += 1
        target = target.with_name(f"makes-{name}-{count}.db")
    make_folder(target.parent, PRIVATE_FOLDER)
    new = target.with_suffix(".new")
    new.unlink(missing_ok=True)
    try:
        os.close(os.open(new, os.O_RDWR | os.O_CREAT, PRIVATE_FILE))
        with contextlib.closing(sqlite3.connect(new)) as copy:
            copy.execute("PRAGMA synchronous = FULL")
            db.backup(copy)
            # A backup is one file, without a write-ahead log beside it.
            copy.execute("PRAGMA journal_mode = DELETE")
        new.replace(target)
    except (OSError, sqlite3.Error):
        new.unlink(missing_ok=True)
        raise
    force_folder(target.parent)
    return target


def daily(db: sqlite3.Connection, data: Path, today: date, *, thin_out: bool = True) -> None:
    """Make the day's backup if there is none yet, and thin out. Raises OSError, sqlite3.Error."""
    if (folder(data) / f"makes-{today.isoformat()}.db").exists():
        return
    made = back_up(db, data, today.isoformat())
    if not thin_out:
        return
    dated = {}
    for path in list_backups(data):
        with contextlib.suppress(ValueError):
            dated[date.fromisoformat(path.stem.removeprefix("makes-"))] = path
    for day in set(dated) - kept(dated):
        # A clock that ran ahead leaves dates of the future: today's is kept whatever they say.
        if dated[day] != made:
            dated[day].unlink(missing_ok=True)


def kept(days: Iterable[date]) -> set[date]:
    """Of these days the ones worth keeping: the last seven, then one a week, then one a month."""
    newest_first = sorted(set(days), reverse=True)
    keep = set(newest_first[:DAYS])
    for period, count in (
        (lambda d: d.isocalendar()[:2], WEEKS),
        (lambda d: (d.year, d.month), MONTHS),
    ):
        seen: dict[tuple[int, int], date] = {}
        for day in newest_first:
            seen.setdefault(period(day), day)
        keep |= set(list(seen.values())[:count])
    return keep
