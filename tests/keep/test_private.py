"""A data folder is its owner's alone, new and old."""

import os
import stat
from pathlib import Path

import pytest

from counter.commandline import main
from counter.shared import settings
from engine.base import files
from engine.keep.journal import rescue
from engine.keep.store import Store
from tests.keep.conftest import a_plan, some_events

pytestmark = pytest.mark.skipif(os.name == "nt", reason="folders there are the user's already")


def open_to_others(folder: Path) -> list[str]:
    """What others on the machine could read or write, by name."""
    there = [folder, *folder.rglob("*")]
    return sorted(p.name for p in there if stat.S_IMODE(p.lstat().st_mode) & 0o077)


@pytest.fixture(autouse=True)
def _usual_mask() -> object:
    before = os.umask(0o022)
    yield
    os.umask(before)


def test_a_new_folder_and_all_in_it_is_the_owners_alone(tmp_path: Path) -> None:
    data = tmp_path / "above" / "data"
    with Store(data / "makes.db") as store:
        store.create("throw", a_plan())
        store.append("throw", some_events(1, 5))
        files.set_aside(next((data / "journal").iterdir()), rescue.place_aside(data))
        assert settings.save(settings.settings_path(data), settings.Settings()) == ""
        assert {"makes.db-wal", "makes.db-shm"} <= {path.name for path in data.iterdir()}
        assert open_to_others(data) == []
    with Store(data / "makes.db") as store:
        assert "Others" not in " ".join(store.health)
    assert open_to_others(data) == []


def test_an_old_folder_is_mended_with_a_word_and_once(tmp_path: Path) -> None:
    data = tmp_path / "data"
    with Store(data / "makes.db") as store:
        store.create("throw", a_plan())
    for path in [data, *data.rglob("*")]:
        path.chmod(0o755 if path.is_dir() else 0o644)
    with Store(data / "makes.db") as store:
        assert store.health == (
            f"Others on this machine could read the makes in {data}; now only you can.",
        )
    assert open_to_others(data) == []
    with Store(data / "makes.db") as store:
        assert store.health == ()


def test_a_folder_that_is_used_for_other_things_keeps_its_mode(tmp_path: Path) -> None:
    (tmp_path / "holiday.jpg").touch(0o644)
    (tmp_path / "linked").symlink_to("/etc/hostname")
    tmp_path.chmod(0o755)
    with Store(tmp_path / "makes.db") as store:
        store.create("throw", a_plan())
    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o755
    assert set(open_to_others(tmp_path)) == {tmp_path.name, "holiday.jpg", "linked"}


def test_a_file_that_is_exported_has_the_usual_mode(tmp_path: Path) -> None:
    with Store(tmp_path / "data" / "makes.db") as store:
        store.create("throw", a_plan())
    given = ["--data", str(tmp_path / "data"), "export", "throw", str(tmp_path / "throw.json")]
    assert main(given) == 0
    assert stat.S_IMODE((tmp_path / "throw.json").stat().st_mode) == 0o644


def test_folders_above_are_made_lasting(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    forced: list[Path] = []
    monkeypatch.setattr(files, "force_folder", forced.append)
    files.make_folder(tmp_path / "a" / "b" / "c", 0o700)
    assert forced == [tmp_path, tmp_path / "a", tmp_path / "a" / "b"]
    assert stat.S_IMODE((tmp_path / "a" / "b" / "c").stat().st_mode) == 0o700
    files.make_folder(tmp_path / "a" / "b" / "c", 0o700)
    assert len(forced) == 3
    (tmp_path / "file").touch()
    with pytest.raises(FileExistsError):
        files.make_folder(tmp_path / "file")


def test_a_link_to_a_folder_of_other_things_leaves_them_as_they_are(tmp_path: Path) -> None:
    data, others = tmp_path / "data", tmp_path / "others"
    with Store(data / "makes.db") as store:
        store.create("throw", a_plan())
    (data / "backups").rename(others)
    (data / "backups").symlink_to(others)
    (others / "letter.txt").touch(0o644)
    data.chmod(0o755)
    for _ in range(2):
        with Store(data / "makes.db") as store:
            assert store.names() == ["throw"]
    assert stat.S_IMODE((others / "letter.txt").stat().st_mode) == 0o644
    assert stat.S_IMODE(data.stat().st_mode) == 0o700


def test_what_is_half_written_goes_into_no_file_and_no_link_that_was_there(tmp_path: Path) -> None:
    victim, out = tmp_path / "victim", tmp_path / "out.svg"
    victim.write_text("mine")
    (tmp_path / "out.svg.new").symlink_to(victim)
    (tmp_path / "sheet.svg.new").write_text("mine too")
    for path in (out, tmp_path / "sheet.svg"):
        assert main(["--data", str(tmp_path / "data"), "picture", "throw", "-o", str(path)]) == 0
        assert path.read_text("utf-8").startswith("<")
    assert victim.read_text() == "mine"
    assert (tmp_path / "sheet.svg.new").read_text() == "mine too"
    settings_file = settings.settings_path(tmp_path / "data")
    settings_file.parent.mkdir(exist_ok=True)
    settings_file.with_name(settings_file.name + ".new").symlink_to(victim)
    assert settings.save(settings_file, settings.Settings()) == ""
    assert victim.read_text() == "mine"
    assert not [path for path in tmp_path.rglob("*.new") if path.parent != tmp_path]
