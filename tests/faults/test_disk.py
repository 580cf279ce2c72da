"""Disk full, disk read-only, folder gone: one sentence, and nothing lost."""

import shutil
from pathlib import Path

import pytest

from counter.commandline import main
from counter.shared.settings import Settings
from counter.shared.work import open_work
from engine.base.refusal import Refusal
from engine.keep.store import Store
from models.command import Action, Command
from models.event import Event, Noted
from tests.faults.conftest import Disk
from tests.keep.conftest import BEGAN, a_plan, some_events


def begin(data: Path) -> list[Event]:
    with Store(data / "makes.db") as store:
        store.create("throw", a_plan())
        store.append("throw", some_events(1, 10))
    return list(some_events(1, 10))


def everything(data: Path) -> list[Event]:
    with Store(data / "makes.db") as store:
        return store.load("throw")[1]


def fill_up(store: Store, most: int = 400) -> list[Event]:
    """Append until it is refused; gives what was taken."""
    taken: list[Event] = []
    for n in range(most):
        event = Noted(at=BEGAN + n, text=f"note {n} " + "x" * 500)
        try:
            store.append("throw", [event])
        except Refusal as refusal:
            told = str(refusal)
            break
        taken.append(event)
    else:
        raise AssertionError("the disk never filled up")
    assert "is full, so this was not counted: free some space" in told
    return taken


@pytest.mark.parametrize("leave", [0, 1, 4096, 8192, 12288, 20000, 40000, 65536, 100_000])
def test_a_disk_that_fills_up_under_an_open_make(disk: Disk, leave: int) -> None:
    events = begin(disk.place)
    with Store(disk.place / "makes.db") as store:
        store.open_for_writing("throw")
        disk.fill(leave)
        events += fill_up(store)
        assert store.load("throw")[1] == events
        with pytest.raises(Refusal, match="full"):
            store.append("throw", [Noted(at=BEGAN, text="y" * 4000)])
        disk.empty()
        events.append(Noted(at=BEGAN, text="and on"))
        store.append("throw", events[-1:])
        made, whole = store.copy_of("throw")
        assert whole
        assert made == store.chain("throw")
    assert everything(disk.place) == events


def test_a_start_on_a_full_disk_shows_everything(disk: Disk) -> None:
    events = begin(disk.place)
    disk.fill()
    with Store(disk.place / "makes.db") as store:
        assert store.load("throw")[1] == events
        with pytest.raises(Refusal, match="full"):
            store.append("throw", some_events(11, 11))
        with pytest.raises(Refusal, match="full"):
            store.create("other", a_plan())
    disk.empty()
    assert everything(disk.place) == events


def test_a_first_start_on_a_full_disk_is_a_sentence(
    disk: Disk, capsys: pytest.CaptureFixture[str]
) -> None:
    disk.fill()
    assert main(["--data", str(disk.place), "log", "throw"]) == 2
    (told,) = capsys.readouterr().err.splitlines()
    assert "the disk is full" in told


def test_the_screen_does_not_move_on_a_full_disk(disk: Disk) -> None:
    begin(disk.place)
    with Store(disk.place / "makes.db") as store:
        work = open_work(store, "throw", Settings())
        disk.fill()
        for n in range(50):
            before = work.state
            outcome = work.do(Command(action=Action.NOTE, text="z" * 3000), BEGAN + n)
            if not outcome.taken:
                break
        assert not outcome.taken
        assert "free some space" in outcome.say
        assert work.state == before
        disk.empty()
        assert work.do(Command(action=Action.ADVANCE), BEGAN).taken


def test_a_read_only_folder_can_be_looked_at(
    disk: Disk, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    events = begin(disk.place)
    disk.read_only()
    with Store(disk.place / "makes.db") as store:
        assert "cannot be written" in store.read_only
        assert store.health == (store.read_only,)
        assert store.load("throw")[1] == events
        for act in (
            lambda: store.append("throw", some_events(11, 11)),
            lambda: store.create("other", a_plan()),
            lambda: store.open_for_writing("throw", take_over=True),
        ):
            with pytest.raises(Refusal, match="nothing counts until"):
                act()
    out = tmp_path / "rescued.json"
    assert main(["--data", str(disk.place), "export", "throw", str(out)]) == 0
    assert "makes can be looked at" in capsys.readouterr().err
    assert '"kind": "note"' in out.read_text()
    assert main(["--data", str(disk.place), "import", str(out)]) == 2
    disk.read_only(False)
    assert everything(disk.place) == events


def test_a_folder_locked_while_a_log_was_left_shows_all_of_it(disk: Disk, tmp_path: Path) -> None:
    live = tmp_path / "live"
    with Store(live / "makes.db") as store:
        store.create("throw", a_plan())
        store.append("throw", some_events(1, 30))
        shutil.copytree(live, disk.place, dirs_exist_ok=True)  # as a killed program leaves it
    disk.read_only()
    assert everything(disk.place) == some_events(1, 30)


def test_a_folder_locked_under_an_open_make_refuses_and_goes_on_later(disk: Disk) -> None:
    events = begin(disk.place)
    # A remount is refused while files are open for writing, so the folder is taken away instead.
    with Store(disk.place / "makes.db") as store:
        store.open_for_writing("throw")
        (disk.place / "makes.db").rename(disk.place / "elsewhere.db")
        with pytest.raises(Refusal, match="moved or replaced while it was open"):
            store.append("throw", some_events(11, 11))
        (disk.place / "elsewhere.db").rename(disk.place / "makes.db")
        store.append("throw", some_events(11, 11))
    assert everything(disk.place) == [*events, *some_events(11, 11)]


def test_a_folder_that_is_a_file_is_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").write_text("mine")
    for place in (tmp_path / "file", tmp_path / "file" / "below", Path("/proc/nowhere")):
        assert main(["--data", str(place), "log", "throw"]) == 2
        (told,) = capsys.readouterr().err.splitlines()
        assert "cannot be used" in told
    assert (tmp_path / "file").read_text() == "mine"
