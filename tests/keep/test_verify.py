"""Replay proof: what is sound is called sound, and what is not is named."""

import sqlite3
from pathlib import Path

import pytest

from counter.commandline import main
from engine.keep.journal import copy
from engine.keep.store import Store
from engine.keep.verify import replay, verify
from engine.make.making import Making
from engine.plan.planning import begun
from models.command import Action, Command
from models.event import Advanced, Undone
from tests.keep.conftest import BEGAN, a_plan


@pytest.fixture
def played(tmp_path: Path) -> Path:
    with Store(tmp_path / "makes.db") as store:
        store.create("throw", a_plan())
        making = Making(*store.load("throw"), lambda new: store.append("throw", new))
        for n in range(12):
            making.do(Command(action=Action.ADVANCE), BEGAN + n)
        making.do(Command(action=Action.TAKE_BACK), BEGAN + 20)
    return tmp_path


def ill(data: Path) -> list[str]:
    with Store(data / "makes.db") as store:
        return [c.what for c in verify(store, "throw").checks if not c.sound]


def test_a_sound_make_passes(played: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert ill(played) == []
    assert main(["--data", str(played), "verify", "throw"]) == 0
    out = capsys.readouterr().out
    assert "13 events, each proven by its digest" in out
    assert "step 12 of 58, as shown" in out


def test_a_forged_event_is_named(played: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # Someone writes past the program, digests and all: only the replay can tell.
    with Store(played / "makes.db") as store:
        made = store.chain("throw")
    forged = made._replace(bodies=(*made.bodies, '{"at":1.0,"kind":"advance","step":40}'))
    copy.rewrite(copy.place(played, "throw"), forged)
    assert ill(played) == ["replay"]
    assert main(["--data", str(played), "verify"]) == 1
    assert "it was given on step 40, and the work stands on 12" in capsys.readouterr().out


def test_a_changed_line_is_named(played: Path) -> None:
    with Store(played / "makes.db") as store:
        other = sqlite3.connect(played / "makes.db")
        other.execute("UPDATE event SET body = replace(body, '\"step\":5', '\"step\":6') ")
        other.commit()
        other.close()
        wrong = [c.what for c in verify(store, "throw").checks if not c.sound]
    assert wrong == ["main file", "journal copy", "replay"]


def test_a_lost_copy_is_named(played: Path) -> None:
    with Store(played / "makes.db") as store:
        copy.place(played, "throw").unlink()
        assert [c.what for c in verify(store, "throw").checks if not c.sound] == ["journal copy"]
    assert ill(played) == [], "opening mended it"


def test_an_event_too_many_or_too_few_cannot_pass() -> None:
    steps = [Advanced(at=BEGAN + n, step=n) for n in range(1, 9)]
    assert replay(begun(a_plan()), steps).faults == ()
    assert replay(begun(a_plan()), steps[:3] + steps[4:]).faults
    assert replay(begun(a_plan()), [*steps[:3], steps[2], *steps[3:]]).faults
    assert replay(begun(a_plan()), [Undone(at=BEGAN)]).faults


def test_an_unknown_make_is_a_sentence(played: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--data", str(played), "verify", "hat"]) == 2
    assert capsys.readouterr().err == "There is no make called 'hat'; there are: throw.\n"
