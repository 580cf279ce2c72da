"""The journal on disk: makes and their events in one SQLite file.

An event is on disk when `append` returns: write-ahead logging with synchronous FULL, one
transaction for each action.
"""

import re
import sqlite3
import time
from collections.abc import Sequence
from pathlib import Path

from engine.refusal import Refusal
from models.event import EVENT, Event
from models.plan import Plan

_SCHEMA = """
CREATE TABLE IF NOT EXISTS make (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    plan TEXT NOT NULL,
    created REAL NOT NULL
);
CREATE TABLE IF NOT EXISTS event (
    make INTEGER NOT NULL REFERENCES make(id),
    seq INTEGER NOT NULL,
    at REAL NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (make, seq)
);
"""


class Store:
    """All makes of one data folder. Raises Refusal for what the maker can mend."""

    def __init__(self, path: Path) -> None:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._db = sqlite3.connect(path, isolation_level=None)
            self._db.execute("PRAGMA journal_mode = WAL")
            self._db.execute("PRAGMA synchronous = FULL")
            self._db.executescript(_SCHEMA)
        except (OSError, sqlite3.Error) as error:
            raise Refusal(
                f"The data folder {path.parent} cannot be used ({error}): free it, or name "
                "another with --data."
            ) from error

    def close(self) -> None:
        """Close the file."""
        self._db.close()

    def names(self) -> list[str]:
        """Names of all makes, the last touched first."""
        rows = self._db.execute(
            "SELECT name FROM make LEFT JOIN event ON event.make = make.id "
            "GROUP BY make.id ORDER BY MAX(COALESCE(event.at, make.created)) DESC, make.id DESC"
        )
        return [name for (name,) in rows]

    def free_name(self, title: str) -> str:
        """A short name made from a title that no other make has."""
        base = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-") or "make"
        taken, name, count = set(self.names()), base, 1
        while name in taken:
            count += 1
            name = f"{base}-{count}"
        return name

    def create(self, name: str, plan: Plan) -> None:
        """Begin a make. Raises Refusal where the name is taken."""
        try:
            self._db.execute(
                "INSERT INTO make (name, plan, created) VALUES (?, ?, ?)",
                (name, plan.model_dump_json(), time.time()),
            )
        except sqlite3.IntegrityError:
            raise Refusal(f"A make is already called {name!r}: choose another name.") from None

    def load(self, name: str) -> tuple[Plan, list[Event]]:
        """A make's plan and its events in order. Raises Refusal for an unknown name."""
        make, plan = self._make(name)
        rows = self._db.execute("SELECT body FROM event WHERE make = ? ORDER BY seq", (make,))
        return Plan.model_validate_json(plan), [EVENT.validate_json(body) for (body,) in rows]

    def append(self, name: str, events: Sequence[Event]) -> None:
        """Write events down, all or none; they are on disk when this returns."""
        make, _ = self._make(name)
        with self._db:
            self._db.execute("BEGIN IMMEDIATE")
            (last,) = self._db.execute(
                "SELECT COALESCE(MAX(seq), 0) FROM event WHERE make = ?", (make,)
            ).fetchone()
            self._db.executemany(
                "INSERT INTO event (make, seq, at, kind, body) VALUES (?, ?, ?, ?, ?)",
                [
                    (make, last + i, event.at, event.kind, event.model_dump_json())
                    for i, event in enumerate(events, 1)
                ],
            )

    def _make(self, name: str) -> tuple[int, str]:
        row = self._db.execute("SELECT id, plan FROM make WHERE name = ?", (name,)).fetchone()
        if row is None:
            known = ", ".join(self.names()) or "none yet"
            raise Refusal(f"There is no make called {name!r}; there are: {known}.")
        return int(row[0]), str(row[1])
