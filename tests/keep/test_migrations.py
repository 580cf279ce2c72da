"""Files of every earlier version open, with every row."""

import sqlite3
from pathlib import Path

import pytest

from engine.keep.journal import backups, schema
from engine.keep.store import Store
from engine.make.making import Making

FILES = Path(__file__).parent / "files"


def restored(version: int, data: Path, mode: str) -> Path:
    """An earlier version's file, as that version left it."""
    main = data / "makes.db"
    db = sqlite3.connect(main)
    db.execute(f"PRAGMA journal_mode = {mode}")
    db.executescript((FILES / f"version-{version}.sql").read_text(encoding="utf-8"))
    if version > 1:
        db.execute(f"PRAGMA user_version = {version}")
    db.close()
    main.chmod(0o600)
    return main


def rows(path: Path) -> list[tuple[object, ...]]:
    db = sqlite3.connect(path)
    found = db.execute("SELECT make, seq, body FROM event ORDER BY make, seq").fetchall()
    found += db.execute("SELECT name, plan, created FROM make ORDER BY id").fetchall()
    db.close()
    return found


def test_there_is_a_file_of_every_earlier_version() -> None:
    kept = {int(path.stem.removeprefix("version-")) for path in FILES.glob("version-*.sql")}
    assert kept == set(range(1, schema.VERSION))


@pytest.mark.parametrize("version", range(1, schema.VERSION))
@pytest.mark.parametrize("mode", ["WAL", "DELETE"])
def test_an_earlier_file_keeps_every_row(version: int, mode: str, tmp_path: Path) -> None:
    main = restored(version, tmp_path, mode)
    before = rows(main)
    with Store(main) as store:
        assert store.health == ()
        assert store.names() == ["porch-throw", "harbour-cardigan"]
        made = Making(*store.load("porch-throw"), lambda e: store.append("porch-throw", e))
        assert made.state.at == 4
        assert made.state.balls == 2
        assert made.state.notes[0].text == "blue “tail” left long – ½"
    assert rows(main) == before
    # The old file is kept as it was, in case the new version is the one that is wrong.
    (kept,) = [p for p in backups.list_backups(tmp_path) if "before-version" in p.name]
    assert rows(kept) == before
    with Store(main) as store:
        assert store.health == ()


@pytest.mark.parametrize("version", range(1, schema.VERSION))
def test_a_migration_that_is_cut_short_changes_nothing(
    version: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    main = restored(version, tmp_path, "WAL")
    before = rows(main)

    def power_cut(db: sqlite3.Connection) -> None:
        schema_steps[schema.VERSION](db)
        raise KeyboardInterrupt

    schema_steps = dict(schema._STEPS)
    monkeypatch.setitem(schema._STEPS, schema.VERSION, power_cut)
    with pytest.raises(KeyboardInterrupt):
        Store(main)
    monkeypatch.undo()
    assert rows(main) == before
    with Store(main) as store:
        assert len(store.names()) == 2


def test_a_damaged_earlier_file_gives_what_is_sound(tmp_path: Path) -> None:
    main = restored(1, tmp_path, "DELETE")
    content = bytearray(main.read_bytes())
    at = content.rindex(b"porch-throw")  # the index of names, not the make itself
    content[at : at + 4] = b"arch"
    main.write_bytes(content)
    with Store(main) as store:
        assert "set aside" in store.health[0]
        assert len(store.load("porch-throw")[1]) == 12
    (aside,) = (tmp_path / "set-aside").glob("*makes.db")
    assert aside.read_bytes() == content


def test_an_empty_file_is_a_new_one(tmp_path: Path) -> None:
    (tmp_path / "makes.db").touch(0o600)
    with Store(tmp_path / "makes.db") as store:
        assert store.names() == []
        assert store.health == ()
