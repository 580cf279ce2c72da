"""Opening the main file: damage is looked for, mended and told, and nothing is lost by it.

`open_main` is the door. A sound file is migrated and brought to agree with the copies; a damaged
one is set aside and put together again (`rescue`); a folder that cannot be written is looked at
in memory.
"""

import contextlib
import os
import sqlite3
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from engine.base.files import PRIVATE_FILE, PRIVATE_FOLDER, make_folder, set_aside
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.keep.journal import backups, copy, locks, private, rescue, schema, trouble
from engine.keep.journal.agreement import agree
from engine.keep.journal.owner import Owner

_WAIT_S = 5.0
_COMPANIONS = ("-wal", "-shm", "-journal")


@dataclass(frozen=True)
class Opened:
    """An open main file, and what is to be known of it."""

    db: sqlite3.Connection
    health: tuple[str, ...]
    """What opening found and did, a sentence each."""
    identity: tuple[int, int] = (0, 0)
    """Device and inode of the file, by which another one in its place is known."""
    sole: Path | None = None
    """The file that keeps others out of a folder whose drive does not lock."""
    read_only: str = ""
    """Why nothing can be written, in one sentence; empty where it can."""


def open_main(path: Path, me: Owner) -> Opened:
    """Open the main file at `path` for the program `me`, making it where there is none.

    Raises Refusal where there is nothing to open, or a newer version wrote it.
    """
    opening = _Opening(path)
    try:
        make_folder(path.parent, PRIVATE_FOLDER)
        try:
            with locks.opening(path.parent / "opening.lock"):
                return opening.open()
        except locks.NoLocks as problem:
            opening.only_one(me, problem)
            return opening.open()
    except (OSError, sqlite3.Error, ValueError) as error:
        if isinstance(error, Refusal):
            raise
        return opening.look_only(error)


@dataclass
class _Opening:
    """One try at opening; `health` grows as it goes."""

    path: Path
    sole: Path | None = None
    health: list[str] = field(default_factory=list)
    beside: list[rescue.Found] = field(default_factory=list)
    """What was found of makes elsewhere than in an open main file."""

    def only_one(self, me: Owner, problem: locks.NoLocks) -> None:
        """Have a folder whose drive does not lock for `me` alone. Raises Refusal, OSError."""
        sole = self.path.parent / "only-one.lock"
        locks.claim_folder(sole, me)
        self.sole = sole
        self.health.append(
            f"The drive of {self.path.parent} does not lock files ({problem}), as network "
            "drives may not: only one window can use it at a time."
        )

    def open(self) -> Opened:
        """Open, mend and back up. Raises Refusal, OSError and sqlite3.Error."""
        if told := private.mend(self.path.parent):
            self.health.append(told)
        self._without_main()
        db = self._connect()
        try:
            self._prepare(db)
        except (sqlite3.DatabaseError, rescue.Damaged) as error:
            db.close()
            if trouble.of_the_system(error):
                raise
            db = self._rescued(trouble.brief(error))
        except BaseException:
            db.close()
            raise
        status = self.path.stat()
        try:
            # Where something had to be told, every old backup may still be wanted.
            backups.daily(db, self.path.parent, date.today(), thin_out=not self.health)
        except (OSError, sqlite3.Error) as error:
            self.health.append(
                f"Today's backup could not be made in {backups.folder(self.path.parent)} "
                f"({trouble.why(error)}); the makes themselves are safe."
            )
        return Opened(db, tuple(self.health), (status.st_dev, status.st_ino), self.sole)

    def _without_main(self) -> None:
        """Where the main file is gone or empty: say so, and keep its log from SQLite.

        SQLite throws a log away that has no main file.
        """
        with contextlib.suppress(OSError):
            if self.path.stat().st_size > 0:
                return
        data = self.path.parent
        there = [*(data / copy.FOLDER).glob(f"*{copy.SUFFIX}"), *backups.list_backups(data)]
        log = self.path.with_name(self.path.name + "-wal")
        if log.exists() and log.stat().st_size > 0:
            kept = set_aside(log, rescue.place_aside(data))
            there.append(kept)
            found: dict[str, rescue.Found] = {}
            rescue.salvage_log(kept.read_bytes(), b"", "the log of the main file", found)
            self.beside += found.values()
        if there:
            how = "is empty" if self.path.exists() else "is not there"
            self.health.append(
                f"The main file {self.path} {how}: what its log, the journal copies and the "
                "backups hold is taken."
            )

    def _connect(self) -> sqlite3.Connection:
        # Made here, since SQLite would let others read it; its companions get the same mode.
        os.close(os.open(self.path, os.O_RDWR | os.O_CREAT, PRIVATE_FILE))
        where = self.path.absolute().as_uri() + ("?vfs=unix-none" if self.sole else "")
        return sqlite3.connect(where, uri=True, isolation_level=None, timeout=_WAIT_S)

    def _prepare(self, db: sqlite3.Connection) -> None:
        """Make an open file ready: settings, check, migration, agreement with the copies."""
        db.execute("PRAGMA trusted_schema = OFF")
        if self.sole:
            # Without locks there is no shared memory either; exclusive mode does without.
            db.execute("PRAGMA locking_mode = EXCLUSIVE")
        rescue.check(db)  # before anything is changed
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("PRAGMA synchronous = FULL")
        db.execute("PRAGMA fullfsync = ON")
        db.execute("PRAGMA checkpoint_fullfsync = ON")
        version = schema.version(db)
        if version > schema.VERSION:
            raise Refusal(
                f"{self.path} was written by a newer spokenrow: install the newest version to "
                "open it; nothing was changed."
            )
        if 0 < version < schema.VERSION:
            backups.back_up(db, self.path.parent, f"before-version-{schema.VERSION}")
        db.execute("BEGIN IMMEDIATE")
        try:
            schema.migrate(db)
            agree(db, self.path.parent, self.health.append, self.beside)
            db.execute("COMMIT")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                if db.in_transaction:
                    db.execute("ROLLBACK")
            raise

    def _rescued(self, how: str) -> sqlite3.Connection:
        """A new main file from all that is sound; the damaged one is set aside."""
        data = self.path.parent
        aside = set_aside(self.path, rescue.place_aside(data), _COMPANIONS)
        self.beside = rescue.gather(aside, data)
        found = rescue.longest(self.beside)
        db = self._connect()
        try:
            self.health.append(
                f"{self.path.name} was damaged ({how}) and is set aside as {aside}; "
                + (
                    f"{some(len(found), 'make was', 'makes were')} put together "
                    "again, to the last sound action, from the journal copies and backups."
                    if found
                    else "no make was found in it, its copies or its backups."
                )
            )
            db.execute("BEGIN IMMEDIATE")
            schema.migrate(db)
            rescue.build(db, (one.made for one in found.values()))
            db.execute("COMMIT")
            self._prepare(db)
        except BaseException:
            db.close()
            raise
        return db

    def look_only(self, error: Exception) -> Opened:
        """What can be read, in memory, where nothing can be written."""
        data = self.path.parent
        try:
            found = rescue.longest(rescue.gather(self.path, data))
        except (OSError, ValueError):
            found = {}
        if not found:
            raise Refusal(
                f"The data folder {trouble.plain(str(data))} cannot be used "
                f"({trouble.told(error)}): see to it, or name another with --data."
            ) from error
        read_only = (
            f"The data folder {data} cannot be written ({trouble.told(error)}): makes can be "
            "looked at, and nothing counts until that is mended or another is named with --data."
        )
        db = sqlite3.connect(":memory:", isolation_level=None)
        schema.migrate(db)
        rescue.build(db, (one.made for one in found.values()))
        return Opened(db, (*self.health, read_only), sole=self.sole, read_only=read_only)
