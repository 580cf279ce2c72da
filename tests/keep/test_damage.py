"""Torn and corrupt files: set aside, never deleted, and the newest sound state comes back.

Each run kills the writer (so that a write-ahead log is left), damages one file at random, opens.
More of the same: `SPOKENROW_TIMES=60 pytest tests/keep/test_damage.py`.
"""

import random
import shutil
from pathlib import Path

import pytest

from engine.keep.journal import backups, copy
from engine.keep.store import Store
from tests.keep.conftest import a_plan, some_events
from tests.keep.harm import harm
from tests.times import times

RUNS = times(16)


@pytest.fixture(scope="module")
def killed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder as a killed program leaves it: two makes, a backup, a log that was not merged."""
    live, dead = tmp_path_factory.mktemp("live"), tmp_path_factory.mktemp("dead") / "data"
    with Store(live / "makes.db") as store:
        store.create("throw", a_plan())
        store.append("throw", some_events(1, 10))
    for backup in backups.list_backups(live):
        backup.unlink()
    with Store(live / "makes.db") as store:
        store.create("cap", a_plan("Cap"))
        for event in some_events(11, 30):
            store.append("throw", [event])
            store.append("cap", [event])
        shutil.copytree(live, dead)
    assert (dead / "makes.db-wal").stat().st_size > 0
    return dead


def everything(data: Path) -> dict[str, list[object]]:
    with Store(data / "makes.db") as store:
        return {name: list(store.load(name)[1]) for name in store.names()}


WHOLE = {"throw": some_events(1, 30), "cap": some_events(11, 30)}


def contents(folder: Path) -> set[bytes]:
    return {path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("seed", range(RUNS))
@pytest.mark.parametrize("file", ["makes.db", "makes.db-wal", "makes.db-shm"])
def test_any_one_part_of_the_main_file_may_go(
    seed: int, file: str, killed: Path, tmp_path: Path
) -> None:
    data = shutil.copytree(killed, tmp_path / "data")
    said = harm(data / file, random.Random(seed))
    assert everything(data) == WHOLE, said
    with Store(data / "makes.db") as store:
        assert store.health == (), "it is mended once and for all"


@pytest.mark.parametrize("seed", range(RUNS // 2))
def test_any_copy_may_go(seed: int, killed: Path, tmp_path: Path) -> None:
    data = shutil.copytree(killed, tmp_path / "data")
    for made in (data / "journal").iterdir():
        harm(made, random.Random(seed))
    assert everything(data) == WHOLE
    with Store(data / "makes.db") as store:
        assert store.health == ()
        for name in WHOLE:
            assert store.copy_of(name) == (store.chain(name), True)


@pytest.mark.parametrize("seed", range(RUNS // 2))
def test_when_all_go_the_sound_beginning_is_kept(seed: int, killed: Path, tmp_path: Path) -> None:
    data = shutil.copytree(killed, tmp_path / "data")
    dice = random.Random(seed)
    for path in [*data.glob("makes.db*"), *(data / "journal").iterdir()]:
        harm(path, dice)
    for name, events in everything(data).items():
        assert events == WHOLE[name][: len(events)]


def test_a_damaged_file_is_set_aside_byte_for_byte_and_told(killed: Path, tmp_path: Path) -> None:
    data = shutil.copytree(killed, tmp_path / "data")
    main = data / "makes.db"
    (data / "makes.db-wal").unlink()
    content = b"not a database " * 900
    main.write_bytes(content)
    with Store(main) as store:
        (told,) = store.health
        assert "makes.db was damaged (file is not a database)" in told
        assert "2 makes were put together again" in told
    assert content in contents(data / "set-aside")


def test_a_note_that_rots_in_the_middle_is_noticed(killed: Path, tmp_path: Path) -> None:
    # SQLite's own check does not look into the text of a row; the digests do.
    data = shutil.copytree(killed, tmp_path / "data")
    for file in ("makes.db", "makes.db-wal"):
        content = (data / file).read_bytes()
        (data / file).write_bytes(content.replace(b'"text":"row 14"', b'"text":"row 41"'))
    # The log's own checksum would drop the changed frames, so make it one file first.
    with Store(data / "makes.db") as store:
        pass
    content = (data / "makes.db").read_bytes()
    assert b'"text":"row 14"' in content
    (data / "makes.db").write_bytes(content.replace(b'"text":"row 14"', b'"text":"row 41"'))
    with Store(data / "makes.db") as store:
        assert "is not as it was written" in store.health[0]
    assert everything(data) == WHOLE


def test_a_lost_main_file_comes_back_from_the_copies(killed: Path, tmp_path: Path) -> None:
    data = tmp_path / "data"
    shutil.copytree(killed / "journal", data / "journal")
    assert everything(data) == WHOLE


def test_lost_copies_come_back_from_the_main_file(killed: Path, tmp_path: Path) -> None:
    data = shutil.copytree(killed, tmp_path / "data")
    shutil.rmtree(data / "journal")
    with Store(data / "makes.db") as store:
        assert store.health == ()
        assert store.copy_of("throw") == (store.chain("throw"), True)


def test_with_main_file_and_copies_gone_the_backup_is_taken(killed: Path, tmp_path: Path) -> None:
    data = shutil.copytree(killed, tmp_path / "data")
    shutil.rmtree(data / "journal")
    (data / "makes.db").write_bytes(b"x" * 5000)
    (data / "makes.db-wal").unlink()
    assert everything(data) == {"throw": some_events(1, 10)}


def test_an_older_main_file_put_back_catches_up(killed: Path, tmp_path: Path) -> None:
    data = shutil.copytree(killed, tmp_path / "data")
    for part in data.glob("makes.db*"):
        part.unlink()
    shutil.copy(backups.list_backups(data)[0], data / "makes.db")
    with Store(data / "makes.db") as store:
        told = " ".join(store.health)
        assert "20 actions of 'throw' stood in the journal copy" in told
        assert "'cap' was found in its journal copy alone" in told
    assert everything(data) == WHOLE


def test_a_copy_that_tells_another_story_is_set_aside(killed: Path, tmp_path: Path) -> None:
    data = shutil.copytree(killed, tmp_path / "data")
    with Store(data / "makes.db") as store:
        made = store.chain("throw")
    other = made._replace(bodies=('{"at":1.0,"kind":"undo"}', *made.bodies[1:]))
    copy.rewrite(copy.place(data, "throw"), other)
    with Store(data / "makes.db") as store:
        assert "is not as in the main file" in store.health[0]
    assert everything(data) == WHOLE
    assert copy.render([other.head, *other.bodies]) in contents(data / "set-aside")


def test_a_copied_copy_is_not_another_make(killed: Path, tmp_path: Path) -> None:
    data = shutil.copytree(killed, tmp_path / "data")
    place = copy.place(data, "throw")
    shutil.copy(place, place.with_name("throw (1).journal"))
    assert everything(data) == WHOLE


def test_a_huge_copy_is_not_read(killed: Path, tmp_path: Path) -> None:
    data = shutil.copytree(killed, tmp_path / "data")
    with copy.place(data, "throw").open("r+b") as file:
        file.truncate(3 * 2**30)  # sparse
    with Store(data / "makes.db") as store:
        assert "could not be read" in store.health[0]
    assert everything(data) == WHOLE
