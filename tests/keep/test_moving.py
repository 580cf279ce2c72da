"""Journals of the first release stay where they stood, whatever the designs have become.

`files/release` was written by the first release itself: every built-in design, both crafts,
written patterns, measured, planned anew, ripped back and taken back at random. `shown.json` is
what its screen showed at the end.
"""

import json
import lzma
from pathlib import Path
from typing import Any

import pytest

from engine.keep import exchange
from engine.keep.journal import backups
from engine.keep.moving import first
from engine.keep.store import Store, Unreadable
from engine.keep.verify import unsound, verify
from engine.make import progress
from engine.make.making import Making
from models.command import Action, Command
from models.event import Planning
from models.state import MakeState
from tests.keep.altered import alter, break_all

RELEASE = Path(__file__).parent / "files" / "release"
SHOWN: dict[str, dict[str, Any]] = json.loads((RELEASE / "shown.json").read_text("utf-8"))


def as_left(data: Path) -> Path:
    """The main file as the first release left it."""
    main = data / "makes.db"
    main.touch(0o600)
    main.write_bytes(lzma.decompress((RELEASE / "makes.db.xz").read_bytes()))
    return main


def few_left(data: Path) -> Path:
    """Four of its makes, as journal copies alone."""
    (data / "journal").mkdir()
    for path in (RELEASE / "journal").iterdir():
        (data / "journal" / path.name).write_bytes(path.read_bytes())
    return data / "makes.db"


def shown(state: MakeState) -> dict[str, Any]:
    """What `shown.json` has, of a state."""
    step = state.step
    return {
        "at": state.at,
        "steps": len(state.script.steps),
        "done": state.done,
        "yarn_used": state.yarn_taken,
        "yarn_in_all": state.script.yarn_loops,
        "ball_used": state.ball_used,
        "balls": state.balls,
        "part": step.part if step else None,
        "row": step.row if step else None,
        "doing": [[o.stitch, o.times, o.at] for o in step.operations] if step else None,
        "ahead": [
            [x.part, x.kind.value, x.row, [[o.stitch, o.times, o.at] for o in x.operations]]
            for x in state.script.steps[state.at : state.at + 12]
        ],
    }


def expected(name: str) -> dict[str, Any]:
    """All that decides her next loop; the words for it may have improved since."""
    left_out = {"events", "kinds", "text", "spoken"}
    return {key: value for key, value in SHOWN[name].items() if key not in left_out}


def test_the_kept_journals_hold_everything_that_happens() -> None:
    kinds = {kind for made in SHOWN.values() for kind in made["kinds"]}
    assert kinds >= {"measured", "more rows", "replanned", "rip back", "undo", "fit verdict"}
    assert {name.split("-")[0] for name in SHOWN} >= {"cardigan", "cap", "shawl", "written"}


def test_every_make_of_the_first_release_stays_on_its_row_under_altered_designs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    main = as_left(tmp_path)
    alter(monkeypatch)
    with Store(main) as store:
        assert store.health == ()
        for name in SHOWN:
            begun, events = store.load(name)
            state = progress.fold(begun, events)
            assert shown(state) == expected(name), name
            assert len(events) == SHOWN[name]["events"]
            assert not any(isinstance(e, Planning) and e.tail is None for e in events)
            assert unsound(state) == []
        assert all(verify(store, name).sound for name in ("six-rows", "child-cardigan-loop-400"))
    (kept,) = [p for p in backups.list_backups(tmp_path) if "before-version" in p.name]
    assert kept.stat().st_size > 0
    # From now on no design is asked at all.
    break_all(monkeypatch)
    with Store(main) as store:
        assert store.health == ()
        for name in SHOWN:
            assert shown(progress.fold(*store.load(name))) == expected(name), name


def test_copies_alone_are_moved_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    main = few_left(tmp_path)
    alter(monkeypatch)
    with Store(main) as store:
        assert len(store.names()) == 4
        for name in store.names():
            assert shown(progress.fold(*store.load(name))) == expected(name), name
    with Store(main) as store:
        assert store.health == ()


def test_a_moved_make_goes_on_and_is_taken_back_exactly(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    main = few_left(tmp_path)
    alter(monkeypatch)
    name = "written-blanket"
    with Store(main) as store:
        made = Making(*store.load(name), lambda events: store.append(name, events))
        trail = [made.state]
        for second in range(30):
            if made.do(Command(action=Action.ADVANCE), 1_790_000_000.0 + second).events:
                trail.append(made.state)
        while len(trail) > 1:
            trail.pop()
            made.do(Command(action=Action.TAKE_BACK), 1_790_001_000.0)
            assert made.state == trail[-1]


@pytest.mark.parametrize("path", sorted((RELEASE / "exports").iterdir()), ids=lambda p: p.stem)
def test_exports_of_the_first_release_come_in_on_their_row(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    alter(monkeypatch)
    with Store(tmp_path / "makes.db") as store:
        name = exchange.import_text(store, exchange.read_file(path))
        assert shown(progress.fold(*store.load(name))) == expected(path.stem)
        # Out and in again it is the same, and no design is asked.
        text = exchange.export_text(store, name)
        break_all(monkeypatch)
        again = exchange.import_text(store, text, "again")
        assert store.load(again) == store.load(name)


def test_without_the_first_releases_modules_it_is_said_and_no_make_is_guessed_at(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Then today's designs are asked, which may be others."""
    monkeypatch.setattr(first.sys, "executable", str(tmp_path / "gone"))
    alter(monkeypatch)
    with Store(few_left(tmp_path)) as store:
        lost = []
        for name in store.names():
            try:
                begun, events = store.load(name)
            except Unreadable as told:  # today's design has no place for what was done then
                lost.append(str(told))
                continue
            assert any(repr(name) in told and "compare its row" in told for told in store.health)
            assert progress.fold(begun, events).script.steps
        assert len(lost) <= 1
        for told in lost:
            assert "does not run here any more" in told
            assert "nothing was changed" in told
