"""Four sources hold a make: main file, its log, journal copy, backups. Any of them may go, rot or
be an older one: whichever sound source has most of a make is what is shown, or the maker is told.

More of the same: `SPOKENROW_TIMES=42 pytest tests/keep/test_sources.py` tries 1,008 combinations.
"""

import contextlib
import json
import os
import random
import shutil
import sqlite3
import tempfile
from datetime import date
from hashlib import sha256
from pathlib import Path

import pytest

from engine.keep.journal import backups, copy
from engine.keep.store import Store
from tests.keep.conftest import a_plan, some_events
from tests.keep.harm import harm
from tests.times import times

NAMES = ("throw", "cap")


class World:
    """A folder as a killed program leaves it, and what it was on earlier days."""

    def __init__(self, root: Path) -> None:
        live, self.dead = root / "live", root / "dead"
        self.older: dict[int, Path] = {}
        with Store(live / "makes.db") as store:
            store.create("throw", a_plan())
            store.create("cap", a_plan("Cap"))
        shutil.rmtree(live / "backups")
        done = 0
        for day, until in enumerate((10, 20, 33, 40), 1):
            with Store(live / "makes.db") as store:
                for event in some_events(done + 1, until):
                    store.append("throw", [event])
                    store.append("cap", [event])
                done = until
                if until == 40:
                    shutil.copytree(live, self.dead)
                    break
                backups.back_up(store._db, live, date(2026, 5, day).isoformat())
            self.older[day] = root / f"day-{day}"
            shutil.copytree(live, self.older[day])
        for made in backups.list_backups(self.dead):
            if not made.stem.startswith("makes-2026-05-0"):
                made.unlink()
        with Store(live / "makes.db") as store:
            self.bodies = {name: list(store.chain(name).bodies) for name in NAMES}


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> World:
    return World(tmp_path_factory.mktemp("world"))


# --- what a source holds, read apart from the code that is tested ----------------------------


def prefix(world: World, name: str, bodies: list[str]) -> int:
    """How many events of the true story a source has, in order from the first."""
    count = 0
    for mine, theirs in zip(world.bodies[name], bodies, strict=False):
        if mine != theirs:
            break
        count += 1
    return count


def in_copy(world: World, path: Path) -> tuple[str, int] | None:
    """Name and length of what a journal copy proves."""
    before, lines = "", []
    with contextlib.suppress(OSError):
        for raw in path.read_bytes().split(b"\n")[:-1]:
            digest, _, line = raw.decode("utf-8", "replace").partition(" ")
            if sha256(f"{before}\n{line}".encode()).hexdigest()[:16] != digest:
                break
            before = digest
            lines.append(line)
    if not lines:
        return None
    name = json.loads(lines[0])["name"]
    return name, prefix(world, name, lines[1:])


def in_database(world: World, path: Path) -> dict[str, int]:
    """Name and length of what a main file, with its log beside it, or a backup still proves."""
    found: dict[str, int] = {}
    with tempfile.TemporaryDirectory() as scratch:
        for ending in ("", "-wal"):
            part = path.with_name(path.name + ending)
            if part.exists():
                shutil.copy(part, Path(scratch) / f"x.db{ending}")
        if not (Path(scratch) / "x.db").exists():
            return {}
        with (
            contextlib.suppress(sqlite3.Error),
            contextlib.closing(sqlite3.connect(Path(scratch) / "x.db")) as db,
        ):
            for make, name in db.execute("SELECT id, name FROM make").fetchall():
                rows: list[str] = []
                with contextlib.suppress(sqlite3.Error):
                    for (body,) in db.execute(
                        "SELECT body FROM event WHERE make = ? ORDER BY seq", (make,)
                    ):
                        rows.append(body)
                if name in NAMES:
                    found[name] = prefix(world, name, rows)
    return found


def best(world: World, data: Path) -> dict[str, int]:
    """For each make the longest that any one source proves."""
    most: dict[str, int] = {}
    sources = [in_database(world, p) for p in (data / "makes.db", *backups.list_backups(data))]
    for place in (data / "journal").glob("*.journal"):
        if (found := in_copy(world, place)) and place == copy.place(data, found[0]):
            sources.append(dict([found]))
    for source in sources:
        for name, count in source.items():
            most[name] = max(most.get(name, 0), count)
    return most


def damage(world: World, data: Path, dice: random.Random) -> str:
    """Every source as it was, gone, empty, older or rotten."""
    said = []
    day = world.older[dice.choice(list(world.older))]
    for ending in ("", "-wal"):
        path = data / f"makes.db{ending}"
        kind = dice.choice(["whole", "gone", "empty", "older", "rotten"])
        said.append(f"{path.name} {kind}")
        if kind == "older":
            if (day / "makes.db").exists() and not ending:
                shutil.copy(day / "makes.db", path)
            elif ending:
                path.unlink(missing_ok=True)
        else:
            _damage(path, kind, dice)
    for place in sorted((data / "journal").iterdir()):
        kind = dice.choice(["whole", "gone", "empty", "older", "rotten"])
        said.append(f"{place.name} {kind}")
        if kind == "older":
            shutil.copy(day / "journal" / place.name, place)
        else:
            _damage(place, kind, dice)
    for path in backups.list_backups(data):
        kind = dice.choice(["whole", "whole", "gone", "empty", "rotten"])
        said.append(f"{path.name} {kind}")
        _damage(path, kind, dice)
    if dice.random() < 0.3:  # a backup that has more than all else, as after a folder put back
        shutil.copy(world.older[3] / "makes.db", data / "backups" / "makes-2026-05-09.db")
        said.append("a backup ahead")
    return ", ".join(said)


def _damage(path: Path, kind: str, dice: random.Random) -> None:
    if kind == "gone":
        path.unlink(missing_ok=True)
    elif kind == "empty" and path.exists():
        path.write_bytes(b"")
    elif kind == "rotten" and path.exists():
        harm(path, dice)


def contents(folder: Path) -> set[bytes]:
    return {p.read_bytes() for p in folder.rglob("*") if p.is_file() and p.stat().st_size}


ONCE_LOST = {569, 916}
"""The last sound event before a broken one; events whose make's own first line is unsound."""


@pytest.mark.parametrize("seed", sorted(ONCE_LOST.union(range(times(12)))))
def test_whichever_sound_source_has_most_is_shown_or_told_of(
    seed: int, world: World, tmp_path: Path
) -> None:
    data = shutil.copytree(world.dead, tmp_path / "data")
    said = damage(world, data, random.Random(seed))
    most = best(world, data)
    kept = {path.name: path.read_bytes() for path in backups.list_backups(data)}
    with Store(data / "makes.db") as store:
        told = " ".join(store.health)
        for name, count in most.items():
            if name not in store.names():
                assert repr(name) in told, said
                continue
            bodies = list(store.chain(name).bodies)
            shown = prefix(world, name, bodies)
            assert shown == len(bodies), f"not the true story: {said}"
            assert shown >= count or repr(name) in told, f"{name}: {shown} of {count}; {said}"
    # Nothing is overwritten: every backup is as it was, or set aside as it was.
    for content in kept.values():
        assert not content or content in contents(data)
    with Store(data / "makes.db") as store:
        assert store.health == (), f"{said}: it is mended once and for all"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="run on Linux or macOS")
def test_a_pipe_among_the_sources_holds_nothing_up(world: World, tmp_path: Path) -> None:
    data = shutil.copytree(world.dead, tmp_path / "data")
    os.mkfifo(data / "backups" / "makes-2026-05-20.db")
    os.mkfifo(data / "journal" / "x.journal")
    with Store(data / "makes.db") as store:
        assert store.health == ()
        assert set(store.names()) == set(NAMES)


ENDLESS = "WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x FROM n) SELECT x FROM n"


@pytest.mark.parametrize(
    "planted",
    [
        "CREATE TRIGGER t AFTER INSERT ON event BEGIN DELETE FROM event; END",
        "CREATE UNIQUE INDEX i ON event (kind) WHERE seq > 40",
        f"ALTER TABLE make RENAME TO old; CREATE VIEW make AS {ENDLESS}",
    ],
    ids=["a trigger", "an index", "a view without end"],
)
def test_what_someone_planted_in_the_main_file_does_nothing(
    planted: str, world: World, tmp_path: Path
) -> None:
    data = shutil.copytree(world.dead, tmp_path / "data")
    with contextlib.closing(sqlite3.connect(data / "makes.db")) as db:
        db.executescript(planted)
    with Store(data / "makes.db") as store:
        assert "none of ours" in " ".join(store.health)
        assert [len(store.chain(name).bodies) for name in NAMES] == [40, 40]
        store.append("throw", some_events(41, 42))
    with Store(data / "makes.db") as store:
        assert store.health == ()
        assert len(store.chain("throw").bodies) == 42


# --- one by one ------------------------------------------------------------------------------


def bare(world: World, tmp_path: Path, *, keep: tuple[str, ...]) -> Path:
    data = shutil.copytree(world.dead, tmp_path / "data")
    if "main" not in keep:
        for part in data.glob("makes.db*"):
            if not ("log" in keep and part.name.endswith("-wal")):
                part.unlink()
    if "copies" not in keep:
        shutil.rmtree(data / "journal")
    if "backups" not in keep:
        shutil.rmtree(data / "backups")
    return data


@pytest.mark.parametrize("empty", [False, True])
def test_backups_alone_come_back_and_say_so(world: World, tmp_path: Path, empty: bool) -> None:
    data = bare(world, tmp_path, keep=("backups",))
    if empty:
        (data / "makes.db").touch()
    with Store(data / "makes.db") as store:
        assert sorted(store.names()) == ["cap", "throw"]
        assert len(store.chain("throw").bodies) == 33
        told = " ".join(store.health)
        assert "'throw' was found in the backup of 2026-05-03 alone and is back" in told
        assert "at its 33rd action, throw, row" in told


def test_a_new_main_file_beside_old_backups_is_not_an_empty_shelf(
    world: World, tmp_path: Path
) -> None:
    data = bare(world, tmp_path, keep=("backups",))
    fresh = tmp_path / "fresh"
    with Store(fresh / "makes.db") as store:
        store.create("new", a_plan())
    shutil.copy(fresh / "makes.db", data / "makes.db")
    with Store(data / "makes.db") as store:
        assert sorted(store.names()) == ["cap", "new", "throw"]


def test_the_log_of_a_young_main_file_is_enough(tmp_path: Path) -> None:
    live, dead = tmp_path / "live", tmp_path / "dead"
    with Store(live / "makes.db") as store:
        store.create("throw", a_plan())
        store.append("throw", some_events(1, 10))
        dead.mkdir()
        shutil.copy(live / "makes.db-wal", dead / "makes.db-wal")
    for main in (None, b""):
        data = shutil.copytree(dead, tmp_path / f"data-{main is None}")
        if main is not None:
            (data / "makes.db").write_bytes(main)
        with Store(data / "makes.db") as store:
            assert len(store.chain("throw").bodies) == 10
            assert "the log of the main file" in " ".join(store.health)
        assert (dead / "makes.db-wal").read_bytes() in contents(data / "set-aside")


def test_a_main_file_put_back_to_an_older_day_catches_up_from_a_backup(
    world: World, tmp_path: Path
) -> None:
    data = bare(world, tmp_path, keep=("backups",))
    shutil.copy(world.older[1] / "makes.db", data / "makes.db")
    with Store(data / "makes.db") as store:
        assert len(store.chain("throw").bodies) == 33
        told = " ".join(store.health)
        assert "23 actions of 'throw' stood in the backup of 2026-05-03" in told


def test_another_story_in_a_backup_is_told_with_which_is_newer_and_not_mixed_in(
    world: World, tmp_path: Path
) -> None:
    data = bare(world, tmp_path, keep=("backups",))
    shutil.copy(world.older[1] / "makes.db", data / "makes.db")
    for path in backups.list_backups(data):
        path.unlink()
    with Store(data / "makes.db") as store:
        store.append("throw", some_events(34, 35))  # she goes on from the older one
    shutil.copy(world.older[3] / "makes.db", data / "backups" / "makes-2026-05-03.db")
    with Store(data / "makes.db") as store:
        assert len(store.chain("throw").bodies) == 12
        assert "'throw'" not in " ".join(store.health)  # the shelf's is the newer
    shutil.copy(world.dead / "makes.db", tmp_path / "x.db")
    shutil.copy(world.dead / "makes.db-wal", tmp_path / "x.db-wal")
    with contextlib.closing(sqlite3.connect(tmp_path / "x.db")) as db:
        backups.back_up(db, data, "2026-05-04")
    with Store(data / "makes.db") as store:
        told = " ".join(store.health)
        assert "the backup of 2026-05-04 the make 'throw' is not as on the shelf" in told
        assert "40 actions, newer than the 12 there" in told
        assert "spokenrow restore throw" in told
        assert len(store.chain("throw").bodies) == 12


def test_double_damage_is_named_for_the_make_that_it_hit(world: World, tmp_path: Path) -> None:
    data = bare(world, tmp_path, keep=("main", "copies"))
    with Store(data / "makes.db") as store:
        assert store.health == ()
    at = b'"text":"row 35"'
    content = (data / "makes.db").read_bytes()
    place = copy.place(data, "throw")
    main_at = content.index(at, content.index(b"Porch throw"))
    (data / "makes.db").write_bytes(
        content[:main_at] + at.replace(b"35", b"53") + content[main_at + len(at) :]
    )
    place.write_bytes(place.read_bytes().replace(at, at.replace(b"35", b"53")))
    with Store(data / "makes.db") as store:
        told = " ".join(store.health)
        lost = [name for name in NAMES if len(store.chain(name).bodies) < 40]
        for name in NAMES:
            assert (f"actions of {name!r} cannot be read any more" in told) == (name in lost)
    with Store(data / "makes.db") as store:
        assert store.health == ()
