"""Putting makes together again from whatever is still sound."""

import contextlib
import sqlite3
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from engine.keep.journal import backups, chain, copy, schema, wal
from engine.keep.journal.chain import Chain, Head

ASIDE = "set-aside"
LARGEST_MAIN = 2**30
"""Bytes of a main file that is put together with its log by hand; none comes near."""


class Damaged(Exception):
    """The main file is not what was written. Its text says how, in a few words."""


def place_aside(data: Path) -> Path:
    """Where damaged files are moved to."""
    return data / ASIDE


def check(db: sqlite3.Connection) -> None:
    """Raises Damaged, or sqlite3.DatabaseError, where the file's own structure is broken."""
    faults = [text for (text,) in db.execute("PRAGMA integrity_check(1)") if text != "ok"]
    if faults:
        raise Damaged(" ".join(faults[0].split()))


def chains(db: sqlite3.Connection) -> Iterator[Chain]:
    """Every make of a file of this version. Raises Damaged at a line its digest does not prove."""
    makes = db.execute(
        "SELECT id, name, plan, created, extra, script, digest FROM make ORDER BY touched"
    )
    for make, name, plan, created, extra, script, digest in makes.fetchall():
        try:
            head = chain.write_head(Head(name, plan, created, extra, script))
        except TypeError:
            raise Damaged(f"the beginning of {name!r} is not as it was written") from None
        events = _events(db, make)
        lines = [head, *(body for _, _, body in events)]
        digests = [digest, *(sealed for _, sealed, _ in events)]
        numbered = chain.increasing(number for number, _, _ in events)
        if chain.seals(lines) != digests or not numbered:
            raise Damaged(f"a line of {name!r} is not as it was written")
        yield Chain(name, head, tuple(lines[1:]))


def _events(db: sqlite3.Connection, make: int) -> list[tuple[int, str, str]]:
    return db.execute(
        "SELECT seq, digest, body FROM event WHERE make = ? ORDER BY seq", (make,)
    ).fetchall()


def build(db: sqlite3.Connection, found: Iterable[Chain]) -> None:
    """Add whole makes to a file of this version, inside the caller's transaction."""
    for made in found:
        add(db, made)


def add(db: sqlite3.Connection, made: Chain) -> int:
    """Add one make, touched last; gives its id. Raises sqlite3.IntegrityError for a taken name."""
    head = chain.read_head(made.head)
    if head is None:
        raise ValueError("a chain has a head")
    digest = chain.seal("", made.head)
    make = db.execute(
        "INSERT INTO make (name, plan, created, extra, script, digest, touched) "
        "SELECT ?, ?, ?, ?, ?, ?, COALESCE(MAX(touched), 0) + 1 FROM make",
        (*head, digest),
    ).lastrowid
    assert make is not None
    insert(db, make, chain.numbered(made.bodies, 0, digest))
    return make


def replace(db: sqlite3.Connection, made: Chain) -> None:
    """Put a make's lines in the place of those it has, with the touch it has.

    Raises sqlite3.Error.
    """
    make, touched = db.execute(
        "SELECT id, touched FROM make WHERE name = ?", (made.name,)
    ).fetchone()
    head = chain.read_head(made.head)
    if head is None:
        raise ValueError("a chain has a head")
    digest = chain.seal("", made.head)
    db.execute("DELETE FROM event WHERE make = ?", (make,))
    insert(db, make, chain.numbered(made.bodies, 0, digest))
    db.execute(
        "UPDATE make SET plan = ?, created = ?, extra = ?, script = ?, digest = ?, touched = ? "
        "WHERE id = ?",
        (*head[1:], digest, touched, make),
    )


def insert(db: sqlite3.Connection, make: int, sealed: list[tuple[int, str, str]]) -> None:
    """Add events, given as (number, digest, line), and count the touch."""
    db.executemany(
        "INSERT INTO event (make, seq, digest, body, at, kind) "
        "VALUES (?, ?, ?, ?, json_extract(?4, '$.at'), json_extract(?4, '$.kind'))",
        [(make, number, digest, body) for number, digest, body in sealed],
    )
    db.execute(
        "UPDATE make SET touched = (SELECT MAX(touched) + 1 FROM make) WHERE id = ?", (make,)
    )


class Found(NamedTuple):
    """What a source still has of a make."""

    made: Chain
    """The sound beginning."""
    lines: int
    """Events that seem to be there, the unsound ones too."""
    where: str = ""
    """The source in words."""


def salvage(path: Path, where: str = "") -> list[Found]:
    """What can still be read of a main file or a backup, damaged or not: sound beginnings."""
    found: dict[str, Found] = {}
    log = path.with_name(path.name + "-wal")
    with contextlib.suppress(OSError):
        size = path.stat().st_size if path.exists() else 0
        if log.exists() and size <= LARGEST_MAIN:
            salvage_log(log.read_bytes(), path.read_bytes() if size else b"", where, found)
        if size:  # SQLite would throw a log away whose main file is empty
            # Without a writable folder only an "immutable" file opens, and its log is not read.
            for mode in ("mode=ro", "mode=ro&immutable=1"):
                _salvage(path, mode, where, found)
    return list(found.values())


def salvage_log(log: bytes, main: bytes, where: str, found: dict[str, Found]) -> None:
    """What can be read of a log laid over what is left of its main file, into `found`."""
    if whole := wal.merged(log, main):
        with tempfile.TemporaryDirectory() as scratch:
            made = Path(scratch) / "makes.db"
            made.write_bytes(whole)
            _salvage(made, "mode=ro&immutable=1", where, found)


def _salvage(path: Path, mode: str, where: str, found: dict[str, Found]) -> None:
    with contextlib.suppress(sqlite3.Error, OSError, ValueError):
        db = sqlite3.connect(f"{path.absolute().as_uri()}?{mode}", uri=True)
        with contextlib.closing(db):
            db.execute("PRAGMA trusted_schema = OFF")
            for made, lines in _readable(db):
                other = found.get(made.name, Found(made, 0, where))
                best = max(other.made, made, key=lambda one: len(one.bodies))
                found[made.name] = Found(best, max(other.lines, lines), where)


def _readable(db: sqlite3.Connection) -> Iterator[tuple[Chain, int]]:
    version = schema.version(db)
    if version not in _COLUMNS:
        return
    makes: list[tuple[int, str, str, float, str | None, str | None, str | None]] = []
    with contextlib.suppress(sqlite3.DatabaseError):
        for row in db.execute(f"SELECT id, name, plan, created, {_COLUMNS[version]} FROM make"):
            makes.append(row)
    for make, name, plan, created, extra, script, digest in makes:
        try:
            head = chain.write_head(Head(name, plan, float(created), extra, script))
        except (TypeError, ValueError):
            continue
        if digest is not None and chain.seal("", head) != digest:
            continue
        sealed = "digest" if version > 1 else "NULL"
        bodies: list[str] = []
        before, lines, sound = chain.seal("", head), 0, True
        with contextlib.suppress(sqlite3.DatabaseError, TypeError):
            rows = db.execute(
                f"SELECT seq, {sealed}, body FROM event WHERE make = ? ORDER BY seq", (make,)
            )
            for lines, (seq, event_digest, body) in enumerate(rows, 1):
                before = chain.seal(before, body)
                sound = sound and seq == lines and event_digest in (None, before)
                if sound:
                    bodies.append(body)
        yield Chain(name, head, tuple(bodies)), lines


_COLUMNS = {1: "NULL, NULL, NULL", 2: "extra, NULL, digest", 3: "extra, script, digest"}
"""Columns of a make beside those of the first version, as each version has them."""


def longest(found: Iterable[Found]) -> dict[str, Found]:
    """For each make what has the most events; of equals the first."""
    best: dict[str, Found] = {}
    for one in found:
        name = one.made.name
        if name not in best or len(one.made.bodies) > len(best[name].made.bodies):
            best[name] = one
    return best


def copies(data: Path) -> list[tuple[Path, Chain | None, int]]:
    """Every journal copy of a folder: its place, its sound beginning, and how many lines it has.

    The lines count the head, and an unfinished one.
    """
    places = sorted((data / copy.FOLDER).glob(f"*{copy.SUFFIX}"))
    return [(place, *copy.read(place)) for place in places]


def in_backup(path: Path) -> str:
    """A backup in words."""
    return f"the backup of {path.stem.removeprefix('makes-')}"


def ahead(path: Path, ours: Mapping[str, Chain]) -> list[Found]:
    """What a backup has that is not merely the beginning of a make of ours.

    Its lines are read only where a look at the last ones leaves a doubt.
    """
    if _all_behind(path, ours):
        return []
    return [
        one
        for one in salvage(path, in_backup(path))
        if not (one.made.name in ours and one.made.begins(ours[one.made.name]))
    ]


def readable(path: Path) -> bool:
    """Whether a backup can be opened at all: it is a main file, of whatever version."""
    try:
        db = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)
        with contextlib.closing(db):
            return schema.version(db) > 0
    except (sqlite3.Error, OSError, ValueError):
        return False


def _all_behind(path: Path, ours: Mapping[str, Chain]) -> bool:
    try:
        db = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)
        with contextlib.closing(db):
            version = schema.version(db)
            if version not in _COLUMNS:
                return version == 0
            makes = db.execute(
                f"SELECT id, name, plan, created, {_COLUMNS[version]} FROM make"
            ).fetchall()
            for make, name, plan, created, extra, script, _ in makes:
                mine = ours.get(name)
                head = chain.write_head(Head(name, plan, created, extra, script))
                if mine is None or not Chain(name, head, ()).begins(mine):
                    return False
                (count,) = db.execute(
                    "SELECT COUNT(*) FROM event WHERE make = ?", (make,)
                ).fetchone()
                if count > len(mine.bodies):
                    return False
                last = db.execute(
                    "SELECT body FROM event WHERE make = ? ORDER BY seq DESC LIMIT 1", (make,)
                ).fetchone()
                if last and not chain.same(last[0], mine.bodies[count - 1]):
                    return False
    except (sqlite3.Error, OSError, ValueError, TypeError):
        return False
    return True


def gather(main: Path, data: Path) -> list[Found]:
    """What the main file, the copies and the backups have of every make; the best first."""
    found = salvage(main, "the main file")
    found += [Found(made, lines - 1, "its journal copy") for _, made, lines in copies(data) if made]
    for backup in backups.list_backups(data):
        found += salvage(backup, in_backup(backup))
    return found
