"""Putting makes together again from whatever is still sound."""

import contextlib
import sqlite3
from collections.abc import Iterable, Iterator
from pathlib import Path

from engine.keep.journal import backups, chain, copy, schema
from engine.keep.journal.chain import Chain, Head

ASIDE = "set-aside"


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


def salvage(path: Path) -> list[Chain]:
    """What can still be read of a main file or a backup, damaged or not: sound beginnings."""
    found: dict[str, Chain] = {}
    # Without a writable folder only an "immutable" file opens, and then its log is not read.
    for mode in ("mode=ro", "mode=ro&immutable=1"):
        with contextlib.suppress(sqlite3.Error, OSError, ValueError):
            db = sqlite3.connect(f"{path.absolute().as_uri()}?{mode}", uri=True)
            with contextlib.closing(db):
                db.execute("PRAGMA trusted_schema = OFF")
                for made in _readable(db):
                    found[made.name] = longest([*found.values(), made])[made.name]
    return list(found.values())


def _readable(db: sqlite3.Connection) -> Iterator[Chain]:
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
        before = chain.seal("", head)
        with contextlib.suppress(sqlite3.DatabaseError, TypeError):
            rows = db.execute(
                f"SELECT seq, {sealed}, body FROM event WHERE make = ? ORDER BY seq", (make,)
            )
            for number, (seq, event_digest, body) in enumerate(rows, 1):
                before = chain.seal(before, body)
                if seq != number or event_digest not in (None, before):
                    break
                bodies.append(body)
        yield Chain(name, head, tuple(bodies))


_COLUMNS = {1: "NULL, NULL, NULL", 2: "extra, NULL, digest", 3: "extra, script, digest"}
"""Columns of a make beside those of the first version, as each version has them."""


def longest(found: Iterable[Chain]) -> dict[str, Chain]:
    """The chain with the most events for each make; of equals the first."""
    best: dict[str, Chain] = {}
    for made in found:
        if made.name not in best or len(made.bodies) > len(best[made.name].bodies):
            best[made.name] = made
    return best


def copies(data: Path) -> list[tuple[Path, Chain | None, bool]]:
    """Every journal copy of a folder: its place, its sound beginning, whether that is all."""
    places = sorted((data / copy.FOLDER).glob(f"*{copy.SUFFIX}"))
    return [(place, *copy.read(place)) for place in places]


def gather(main: Path, data: Path) -> dict[str, Chain]:
    """The newest sound state of every make, from the main file, the copies and the backups."""
    found = salvage(main) if main.exists() else []
    found += [made for _, made, _ in copies(data) if made]
    for backup in backups.list_backups(data):
        found += salvage(backup)
    return longest(found)
