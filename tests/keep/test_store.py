"""What the rest of the program may rely on."""

import sqlite3
import stat
from pathlib import Path

import pytest

from engine.base.refusal import Refusal
from engine.keep.journal import backups, copy
from engine.keep.store import InUse, Store, TakenOver
from engine.plan.planning import begun
from models.event import Advanced, Measured, Noted
from tests.keep.conftest import BEGAN, a_plan, some_events

NOT_A_TIME = Advanced.model_construct(at=float("nan"), step=23)
"""What no clock gives, past the models' own bounds."""


def opened(data: Path) -> Store:
    return Store(data / "makes.db")


def test_what_was_written_is_there(data: Path) -> None:
    with opened(data) as store:
        assert store.health == ()
        assert store.names() == ["throw"]
        assert store.load("throw") == (begun(a_plan()), some_events(1, 20))


def test_every_setting_that_durability_hangs_on(data: Path) -> None:
    # https://www.sqlite.org/pragma.html#pragma_synchronous: 2 is FULL.
    with opened(data) as store:
        assert store._db.execute("PRAGMA synchronous").fetchone() == (2,)
        assert store._db.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_main_file_and_copy_say_the_same_after_every_append(data: Path) -> None:
    with opened(data) as store:
        for event in some_events(21, 30):
            store.append("throw", [event])
            made, whole = store.copy_of("throw")
            assert whole
            assert made == store.chain("throw")


def test_several_events_are_one_action(data: Path) -> None:
    with opened(data) as store:
        with pytest.raises(Refusal):
            store.append("throw", [*some_events(21, 22), NOT_A_TIME])
        assert len(store.load("throw")[1]) == 20
        store.append("throw", some_events(21, 23))
        assert store.load("throw")[1] == some_events(1, 23)


@pytest.mark.parametrize(
    "event",
    [
        NOT_A_TIME,
        Measured.model_construct(at=BEGAN, step=1, cm=float("inf"), lead="body", rows=3),
        Noted.model_construct(at=BEGAN, text="half a letter: \ud800"),
        Noted(at=BEGAN, text="a" * 200_000),
    ],
)
def test_what_would_not_read_back_is_never_written(data: Path, event: Advanced) -> None:
    with opened(data) as store:
        with pytest.raises(Refusal, match=r"written down|too long"):
            store.append("throw", [event])
        assert store.load("throw")[1] == some_events(1, 20)


def test_any_text_reads_back(data: Path) -> None:
    text = "½ “tail”\n\r\x85\u2028\0 \x1b[31m 🧶 end"
    with opened(data) as store:
        store.append("throw", [Noted(at=BEGAN, text=text)])
    with opened(data) as store:
        assert store.health == ()
        kept = store.load("throw")[1][-1]
        assert kept == Noted(at=BEGAN, text=text)
        assert kept.text == "½ “tail”␊␍␤␤␀ ␛[31m 🧶 end"


def test_the_last_touched_make_comes_first_whatever_the_clock_says(data: Path) -> None:
    with opened(data) as store:
        store.create("cap", a_plan("Cap"))
        assert store.names() == ["cap", "throw"]
        store.append("throw", [Advanced(at=5.0, step=1)])  # 1970: the clock jumped back
        assert store.names() == ["throw", "cap"]


def test_names(data: Path) -> None:
    with opened(data) as store:
        assert store.free_name("Throw") == "throw-2"
        assert store.free_name("½ § !") == "make"
        with pytest.raises(Refusal, match="already called"):
            store.create("throw", a_plan())
        for bad in ("", " a", "a\nb", "x" * 81):
            with pytest.raises(Refusal, match="cannot be called"):
                store.create(bad, a_plan())
        for odd in ("../../etc/passwd", "Mum's cardigan", "CON", "THROW", "毛衣", "a/b"):
            store.create(odd, a_plan())
        assert len(list((data / "journal").iterdir())) == 7
        with pytest.raises(Refusal, match="There is no make called 'hat'"):
            store.load("hat")
    with opened(data) as store:
        assert store.health == ()
        assert len(store.names()) == 7


def test_a_second_window_looks_on(data: Path) -> None:
    with opened(data) as first, opened(data) as second:
        first.open_for_writing("throw")
        assert second.holder("throw") is not None
        with pytest.raises(InUse, match="take it over here"):
            second.append("throw", some_events(21, 21))
        first.append("throw", some_events(21, 21))
        assert second.load("throw")[1] == some_events(1, 21)


def test_a_second_window_takes_over_and_the_first_can_write_no_more(data: Path) -> None:
    with opened(data) as first, opened(data) as second:
        first.load("throw")
        first.append("throw", some_events(21, 21))
        second.load("throw")
        second.open_for_writing("throw", take_over=True)
        with pytest.raises(TakenOver, match="look on"):
            first.append("throw", some_events(22, 22))
        second.append("throw", some_events(22, 22))
        with pytest.raises(InUse):
            first.append("throw", some_events(23, 23))
        second.release("throw")
        # The first has not seen what the second did, so it must look before it writes.
        with pytest.raises(Refusal, match="went on in another window"):
            first.append("throw", some_events(23, 23))
        assert first.load("throw")[1] == some_events(1, 22)
        first.append("throw", some_events(23, 23))
        assert second.load("throw")[1] == some_events(1, 23)


def test_a_window_that_was_closed_leaves_the_make_free(data: Path) -> None:
    with opened(data) as first:
        first.open_for_writing("throw")
    with opened(data) as second:
        second.append("throw", some_events(21, 21))


def test_a_file_of_a_newer_version_is_left_alone(data: Path) -> None:
    db = sqlite3.connect(data / "makes.db")
    db.execute("PRAGMA user_version = 99")
    db.close()
    before = (data / "makes.db").read_bytes()
    with pytest.raises(Refusal, match="newer spokenrow"):
        opened(data)
    assert (data / "makes.db").read_bytes() == before


def test_an_event_of_a_newer_version_is_refused_in_a_sentence(data: Path) -> None:
    with opened(data) as store:
        make = store.chain("throw")
        body = '{"at":1.0,"kind":"blocked","pins":12}'
        newer = make._replace(bodies=(*make.bodies, body))
        copy.rewrite(copy.place(data, "throw"), newer)
    with opened(data) as store, pytest.raises(Refusal, match="newest spokenrow"):
        store.load("throw")


def test_backups_are_made_once_a_day_and_open_by_themselves(data: Path) -> None:
    with opened(data) as store:
        store.append("throw", some_events(21, 25))
    made = backups.list_backups(data)
    assert len(made) == 1
    for path in made:
        db = sqlite3.connect(path)
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        db.close()


def test_files_are_for_their_owner_where_the_system_says_so(data: Path) -> None:
    assert stat.S_IMODE((data / "opening.lock").stat().st_mode) & 0o077 == 0
