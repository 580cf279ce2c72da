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
    if other := schema.foreign(db):
        raise Damaged(f"it holds {other}, which is none of ours")
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


def proven(one: Found) -> bool:
    """Whether anything of the make is proven: its first line at least."""
    return bool(one.made.head)


def salvage(path: Path, where: str = "", heads: Mapping[str, str] | None = None) -> list[Found]:
    """What can still be read of a main file or a backup, damaged or not: sound beginnings.

    `heads` are first lines that other sources have, by name: where a make's own is unsound, its
    events are still proven by the right one. A make that none proves has a chain without a head.
    """
    found: dict[str, Found] = {}
    log = path.with_name(path.name + "-wal")
    with contextlib.suppress(OSError):
        size = path.stat().st_size if path.exists() else 0
        if log.exists() and size <= LARGEST_MAIN:
            main = path.read_bytes() if size else b""
            salvage_log(log.read_bytes(), main, where, found, heads)
        if size:  # SQLite would throw a log away whose main file is empty
            # Without a writable folder only an "immutable" file opens, and its log is not read.
            for mode in ("mode=ro", "mode=ro&immutable=1"):
                _salvage(path, mode, where, found, heads or {})
    return list(found.values())


def salvage_log(
    log: bytes,
    main: bytes,
    where: str,
    found: dict[str, Found],
    heads: Mapping[str, str] | None = None,
) -> None:
    """What can be read of a log laid over what is left of its main file, into `found`."""
    if whole := wal.merged(log, main):
        with tempfile.TemporaryDirectory() as scratch:
            made = Path(scratch) / "makes.db"
            made.write_bytes(whole)
            _salvage(made, "mode=ro&immutable=1", where, found, heads or {})


def _salvage(
    path: Path, mode: str, where: str, found: dict[str, Found], heads: Mapping[str, str]
) -> None:
    with contextlib.suppress(sqlite3.Error, OSError, ValueError):
        db = sqlite3.connect(f"{path.absolute().as_uri()}?{mode}", uri=True)
        with contextlib.closing(db):
            db.execute("PRAGMA trusted_schema = OFF")
            db.text_factory = bytes  # what is no UTF-8 any more ends one line, not all of them
            for made, lines in _readable(db, heads):
                other = found.get(made.name, Found(made, 0, where))
                best = max(other.made, made, key=lambda one: (bool(one.head), len(one.bodies)))
                found[made.name] = Found(best, max(other.lines, lines), where)


def _readable(db: sqlite3.Connection, heads: Mapping[str, str]) -> Iterator[tuple[Chain, int]]:
    version = schema.version(db)
    if version not in _COLUMNS or not schema.has_tables(db):
        return
    makes: list[list[object]] = []
    with contextlib.suppress(sqlite3.DatabaseError):
        for row in db.execute(f"SELECT id, name, plan, created, {_COLUMNS[version]} FROM make"):
            makes.append(list(map(_decoded, row)))
    makes += _only_named(db, {row[1] for row in makes})
    for make, name, plan, created, extra, script, digest in makes:
        if not isinstance(name, str):
            continue
        events, lines = _rows(db, make, "digest" if version > 1 else "NULL")
        own = _head(name, plan, created, extra, script)
        bodies = _sound(own, events) if own else ()
        if own and (bodies or digest is None or chain.seal("", own) == digest):
            yield Chain(name, own, bodies), lines
        elif bodies := _sound(other := heads.get(name, ""), events) if name in heads else ():
            yield Chain(name, other, bodies), lines
        else:
            yield Chain(name, "", ()), lines


def _only_named(db: sqlite3.Connection, known: set[object]) -> list[list[object]]:
    """Makes of which the index alone still tells number and name: what another source has as their
    first line proves their events."""
    rows: list[list[object]] = []
    with contextlib.suppress(sqlite3.DatabaseError):
        for number, name in db.execute("SELECT id, name FROM make ORDER BY name"):
            if (said := _decoded(name)) not in known:
                rows.append([number, said, None, None, None, None, ""])
    return rows


def _rows(db: sqlite3.Connection, make: object, sealed: str) -> tuple[list[list[object]], int]:
    """A make's events up to the first that cannot be read, and how many there seem to be."""
    rows: list[list[object]] = []
    asked = f"SELECT seq, {sealed}, body FROM event WHERE make = ?"
    with contextlib.suppress(sqlite3.DatabaseError):
        for row in db.execute(f"{asked} ORDER BY seq", (make,)):
            rows.append(list(map(_decoded, row)))
        return rows, len(rows)
    lines = len(rows)
    with contextlib.suppress(sqlite3.DatabaseError):
        (lines,) = db.execute("SELECT COUNT(*) FROM event WHERE make = ?", (make,)).fetchone()
    with contextlib.suppress(sqlite3.DatabaseError):
        # Of many rows the one before a broken one is lost as well: sqlite3 reads one ahead.
        while row := db.execute(f"{asked} AND seq = ?", (make, len(rows) + 1)).fetchone():
            rows.append(list(map(_decoded, row)))
    return rows, max(lines, len(rows))


def _decoded(value: object) -> object:
    if not isinstance(value, bytes):
        return value
    try:
        return value.decode()
    except UnicodeDecodeError:
        return value


def _head(name: str, plan: object, created: object, extra: object, script: object) -> str:
    """A make's first line; empty where its fields are not what was written."""
    optional = all(one is None or isinstance(one, str) for one in (extra, script))
    if not isinstance(plan, str) or not isinstance(created, int | float) or not optional:
        return ""
    with contextlib.suppress(TypeError, ValueError):
        return chain.write_head(Head(name, plan, float(created), extra, script))  # type: ignore[arg-type]
    return ""


def _sound(head: str, events: Iterable[list[object]]) -> tuple[str, ...]:
    """The events that digests prove: a sound digest proves all that stands before it, too."""
    bodies: list[str] = []
    before, proven = chain.seal("", head), 0
    for number, (seq, digest, body) in enumerate(events, 1):
        if seq != number or not isinstance(body, str):
            break
        before = chain.seal(before, body)
        bodies.append(body)
        if digest in (None, before):
            proven = number
    return tuple(bodies[:proven])


_COLUMNS = {1: "NULL, NULL, NULL", 2: "extra, NULL, digest", 3: "extra, script, digest"}
"""Columns of a make beside those of the first version, as each version has them."""


def longest(found: Iterable[Found]) -> dict[str, Found]:
    """For each make what has the most events; of equals the first, and none without a head."""
    best: dict[str, Found] = {}
    for one in found:
        name = one.made.name
        if one.made.head and (
            name not in best or len(one.made.bodies) > len(best[name].made.bodies)
        ):
            best[name] = one
    return best


def copies(data: Path) -> list[tuple[Path, Chain | None, int]]:
    """Every journal copy of a folder: its place, its sound beginning, and how many lines it has.

    The lines count the head, and an unfinished one.
    """
    places = sorted(p for p in (data / copy.FOLDER).glob(f"*{copy.SUFFIX}") if not p.is_fifo())
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
        for one in salvage(path, in_backup(path), {name: made.head for name, made in ours.items()})
        if proven(one) and not (one.made.name in ours and one.made.begins(ours[one.made.name]))
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
            if not schema.has_tables(db):
                return False
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
    copied = [Found(made, lines - 1, "its journal copy") for _, made, lines in copies(data) if made]
    heads: dict[str, str] = {}
    while True:
        found = [*salvage(main, "the main file", heads), *copied]
        for backup in backups.list_backups(data):
            found += salvage(backup, in_backup(backup), heads)
        known = {name: one.made.head for name, one in longest(found).items()}
        if known.keys() == heads.keys() or all(map(proven, found)):
            return found
        heads = known  # once more, now that there are heads for the makes that had none
