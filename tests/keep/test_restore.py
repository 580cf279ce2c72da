"""Earlier states are listed by make and date, and come back beside what is there."""

import json
from pathlib import Path

import pytest

from counter.commandline import main
from engine.keep.journal import backups, copy
from engine.keep.store import Store
from engine.make import progress
from tests.keep.conftest import a_plan, some_events
from tests.keep.test_bad_makes import BAD, smuggle


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A make of thirty events, with backups of its tenth and its twentieth."""
    data = tmp_path / "data"
    with Store(data / "makes.db") as store:
        store.create("throw", a_plan())
        for day, (first, last) in enumerate(((1, 10), (11, 20), (21, 30)), 1):
            store.append("throw", some_events(first, last))
            if day < 3:
                backups.back_up(store._db, data, f"2026-05-0{day}")
    return data


def told(capsys: pytest.CaptureFixture[str], data: Path, *given: str) -> str:
    assert main(["--data", str(data), "restore", *given]) == 0
    return capsys.readouterr().out


def test_states_are_listed_by_make_and_date_with_row_and_part(
    old: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    listed = told(capsys, old)
    assert "throw (on the shelf: 30 actions)" in listed
    assert "  2026-05-02: 20 actions, the last 2023-11-14" in listed
    assert "  2026-05-01: 10 actions" in listed
    assert "throw, row 1" in listed
    assert listed == told(capsys, old, "throw", "--list")


def test_a_state_comes_back_beside_what_is_there(
    old: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "throw-2 is on the shelf: 10 actions" in told(
        capsys, old, "throw", "--from", "2026-05-01"
    )
    assert "earlier is on the shelf: 20 actions" in told(capsys, old, "throw", "--name", "earlier")
    with Store(old / "makes.db") as store:
        assert store.health == ()
        assert store.load("throw")[1] == some_events(1, 30)
        assert store.load("throw-2")[1] == some_events(1, 10)
        assert store.load("earlier")[1] == some_events(1, 20)
        assert store.load("earlier")[0] == store.load("throw")[0]
        store.append("throw-2", some_events(11, 12))
    assert "nothing to bring back" in told(capsys, old) or "2026-05-01" in told(capsys, old)


def test_a_wrong_name_or_source_is_one_sentence(
    old: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for given in (["hat"], ["throw", "--from", "2001-01-01"], ["throw", "--name", "throw"]):
        assert main(["--data", str(old), "restore", *given]) == 2
        (line,) = capsys.readouterr().err.splitlines()
        assert line


@pytest.mark.parametrize("kind", ["bad_time", "odd_kind", "far_step", "far_rip"])
def test_what_can_be_read_of_a_bad_make_comes_back(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with Store(tmp_path / "makes.db") as store:
        store.create("good", a_plan())
        store.append("good", some_events(1, 6))
    smuggle(tmp_path, "bad", BAD[kind])
    assert "readable" in told(capsys, tmp_path, "bad", "--list")
    assert "bad-2 is on the shelf" in told(capsys, tmp_path, "bad")
    with Store(tmp_path / "makes.db") as store:
        begun, events = store.load("bad-2")
        assert progress.fold(begun, events).script.steps
        assert events == some_events(1, len(events))
        assert len(events) in (2, 3, 5)


def test_a_make_of_which_nothing_can_be_read_is_told_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with Store(tmp_path / "makes.db") as store:
        store.create("good", a_plan())
    smuggle(tmp_path, "bad", BAD["no_script"])
    assert main(["--data", str(tmp_path), "restore", "bad"]) == 2
    assert "nothing of a make 'bad'" in capsys.readouterr().err


def test_a_copy_that_was_set_aside_is_listed(old: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (place,) = (old / "journal").iterdir()
    with Store(old / "makes.db") as store:
        made = store.chain("throw")
    other = [json.loads(body) for body in made.bodies[:12]]
    other[3]["at"] += 0.5
    copy.rewrite(place, made._replace(bodies=tuple(json.dumps(body) for body in other)))
    listed = told(capsys, old)
    assert ".journal: 12 actions" in listed
