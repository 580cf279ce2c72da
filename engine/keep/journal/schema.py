"""The main file's tables, and the way to them from every earlier version.

The version is SQLite's `user_version`. Version 1 was written with 0 there.
"""

import sqlite3
from collections.abc import Callable

from engine.keep.journal import chain
from engine.keep.journal.chain import Head

VERSION = 3

_MAKE_AND_EVENT = """
CREATE TABLE make (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    plan TEXT NOT NULL,
    created REAL NOT NULL
);
CREATE TABLE event (
    make INTEGER NOT NULL REFERENCES make(id),
    seq INTEGER NOT NULL,
    at REAL NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (make, seq)
);
"""
_SEALS = """
ALTER TABLE make ADD COLUMN extra TEXT;
ALTER TABLE make ADD COLUMN digest TEXT NOT NULL DEFAULT '';
ALTER TABLE make ADD COLUMN touched INTEGER NOT NULL DEFAULT 0;
ALTER TABLE event ADD COLUMN digest TEXT NOT NULL DEFAULT '';
CREATE TABLE claim (
    make INTEGER PRIMARY KEY REFERENCES make(id),
    token TEXT NOT NULL,
    owner TEXT NOT NULL
);
"""


def version(db: sqlite3.Connection) -> int:
    """The version of a file: 0 for an empty one."""
    (number,) = db.execute("PRAGMA user_version").fetchone()
    if number == 0 and db.execute("SELECT 1 FROM sqlite_master WHERE name = 'event'").fetchone():
        return 1
    return int(number)


def foreign(db: sqlite3.Connection) -> str:
    """What a file holds that no version ever made, in words; a trigger would undo our writing."""
    row = db.execute(
        "SELECT type, name FROM sqlite_master "
        "WHERE type IN ('trigger', 'view') OR (type = 'index' AND sql IS NOT NULL)"
    ).fetchone()
    return f"the {row[0]} {row[1]!r}" if row else ""


def has_tables(db: sqlite3.Connection) -> bool:
    """Whether makes and events are tables; to read a view may take for ever."""
    (count,) = db.execute(
        "SELECT COUNT(*) FROM sqlite_master WHERE name IN ('make', 'event') AND type = 'table'"
    ).fetchone()
    return bool(count == 2)


def migrate(db: sqlite3.Connection) -> None:
    """Bring a file to this version, inside the caller's transaction. Raises sqlite3.Error."""
    for number in range(version(db) + 1, VERSION + 1):
        _STEPS[number](db)
    db.execute(f"PRAGMA user_version = {VERSION}")


def _run(db: sqlite3.Connection, script: str) -> None:
    # executescript would commit the caller's transaction first.
    for statement in script.split(";"):
        if statement.strip():
            db.execute(statement)


def _to_1(db: sqlite3.Connection) -> None:
    _run(db, _MAKE_AND_EVENT)


def _to_2(db: sqlite3.Connection) -> None:
    """Seals on every line, a count of touches that needs no clock, and who may write."""
    _run(db, _SEALS)
    order = db.execute(
        "SELECT make.id, make.name, make.plan, make.created FROM make "
        "LEFT JOIN event ON event.make = make.id "
        "GROUP BY make.id ORDER BY MAX(COALESCE(event.at, make.created)), make.id"
    ).fetchall()
    for touched, (make, name, plan, created) in enumerate(order, 1):
        digest = chain.seal("", chain.write_head(Head(name, plan, created, None)))
        db.execute("UPDATE make SET digest = ?, touched = ? WHERE id = ?", (digest, touched, make))
        rows = db.execute("SELECT seq, body FROM event WHERE make = ? ORDER BY seq", (make,))
        for seq, body in rows.fetchall():
            digest = chain.seal(digest, body)
            db.execute(
                "UPDATE event SET digest = ? WHERE make = ? AND seq = ?", (digest, make, seq)
            )


def _to_3(db: sqlite3.Connection) -> None:
    """Room for the script that a make began with; `engine.keep.moving` finds it.

    A window of the first release that is still open can write no more: it knows no scripts.
    """
    _run(db, "ALTER TABLE make ADD COLUMN script TEXT; DELETE FROM claim;")


_STEPS: dict[int, Callable[[sqlite3.Connection], None]] = {1: _to_1, 2: _to_2, 3: _to_3}
