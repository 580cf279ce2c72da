"""One bad make never stands in the way of another: neither one that comes in nor one on disk."""

import json
import sqlite3
import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from counter.commandline import main
from counter.tui.app import SpokenrowApp
from engine.base.refusal import Refusal
from engine.keep import exchange
from engine.keep.journal import chain, copy, opening
from engine.keep.journal.chain import Chain, Head
from engine.keep.store import Store
from engine.make.making import Making
from models.command import Action, Command
from tests.keep.conftest import a_plan
from tests.times import times

BAD_TIMES = [-1e18, 1e300, -1.0, 1e18, 253_402_300_800.0]


def an_export(tmp_path: Path) -> dict[str, Any]:
    """A make of ten events, as it is exported."""
    with Store(tmp_path / "out" / "makes.db") as store:
        store.create("mine", a_plan())
        making = Making(*store.load("mine"), lambda events: store.append("mine", events))
        for second in range(9):
            making.do(Command(action=Action.ADVANCE), 1_700_000_000.0 + second)
        making.do(Command(action=Action.MORE_ROWS, value=2), 1_700_000_020.0)
        return dict(json.loads(exchange.export_text(store, "mine")))


def smuggle(data: Path, name: str, change: Any) -> None:
    """Put a make on disk as no import of today's would: sealed, and wrong in itself."""
    with Store(data / "makes.db") as store:
        made = store.chain("good")
    head = chain.read_head(made.head)
    assert head
    bodies = [json.loads(body) for body in made.bodies]
    fields = head._asdict() | {"name": name}
    change(fields, bodies)
    line = chain.write_head(Head(**fields))
    copy.rewrite(copy.place(data, name), Chain(name, line, tuple(json.dumps(b) for b in bodies)))
    with Store(data / "makes.db") as store:
        assert name in store.names()


def bad_time(_head: dict[str, Any], bodies: list[dict[str, Any]]) -> None:
    bodies[3]["at"] = -1e18


def far_time(_head: dict[str, Any], bodies: list[dict[str, Any]]) -> None:
    bodies[0]["at"] = 1e300


def odd_kind(_head: dict[str, Any], bodies: list[dict[str, Any]]) -> None:
    bodies[5]["kind"] = "levitated"


def no_plan(head: dict[str, Any], _bodies: list[dict[str, Any]]) -> None:
    head["plan"] = '{"design": 7}'


def no_script(head: dict[str, Any], _bodies: list[dict[str, Any]]) -> None:
    head["script"] = "1 e AAAA"


def far_step(_head: dict[str, Any], bodies: list[dict[str, Any]]) -> None:
    bodies[2] = {"kind": "dropped loop", "at": 1_700_000_003.0, "step": 900_000}


def far_rip(_head: dict[str, Any], bodies: list[dict[str, Any]]) -> None:
    bodies[2] = {"kind": "rip back", "at": 1_700_000_003.0, "to_step": 0}


def late_creation(head: dict[str, Any], _bodies: list[dict[str, Any]]) -> None:
    head["created"] = 1e300


BAD = {
    change.__name__: change
    for change in (
        bad_time,
        far_time,
        odd_kind,
        no_plan,
        no_script,
        far_step,
        far_rip,
        late_creation,
    )
}


@pytest.fixture
def data(tmp_path: Path) -> Path:
    with Store(tmp_path / "makes.db") as store:
        store.create("good", a_plan())
        making = Making(*store.load("good"), lambda events: store.append("good", events))
        for second in range(9):
            making.do(Command(action=Action.ADVANCE), 1_700_000_000.0 + second)
    return tmp_path


@pytest.mark.parametrize("at", BAD_TIMES)
def test_a_time_that_no_clock_shows_is_not_imported(at: float, tmp_path: Path) -> None:
    made = an_export(tmp_path)
    for where in ("event", "created"):
        odd = json.loads(json.dumps(made))
        if where == "event":
            odd["events"][4]["at"] = at
        else:
            odd["created"] = at
        with Store(tmp_path / "in" / "makes.db") as store:
            with pytest.raises(Refusal):
                exchange.import_text(store, json.dumps(odd))
            assert store.names() == []


NUMBERS = st.sampled_from(
    [-1, -(10**9), 10**7, 10**30, -1e18, 1e300, 2**63, 0.5, "7", None, "x" * 200_000, [], {}, True]
)


def places(node: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    found = []
    for key, value in node.items() if isinstance(node, dict) else enumerate(node):
        found.append((*path, key))
        if isinstance(value, dict | list):
            found += places(value, (*path, key))
    return found


@settings(max_examples=times(30), deadline=None)
@given(st.data())
def test_what_comes_in_whatever_it_is_leaves_every_make_shown(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    """Any number or text in an export changed: refused in a sentence, or shown and worked on."""
    folder = tmp_path_factory.mktemp("import")
    made = an_export(folder)
    for _ in range(data.draw(st.integers(1, 2))):
        *path, last = data.draw(st.sampled_from(places(made)))
        node: Any = made
        for key in path:
            node = node[key]
        try:
            node[last] = data.draw(NUMBERS)
        except (KeyError, IndexError, TypeError):
            continue
    with Store(folder / "in" / "makes.db") as store:
        refused = ""
        try:
            name = exchange.import_text(store, json.dumps(made))
        except Refusal as why:
            refused = str(why)
        if refused:
            assert len(refused) < 1_000
            assert store.names() == []
            return
        begun, events = store.load(name)
        making = Making(begun, events)
        making.do(Command(action=Action.TAKE_BACK), time.time())
        assert exchange.export_text(store, name)
    assert main(["--data", str(folder / "in"), "log", name]) == 0


@pytest.mark.parametrize("kind", list(BAD))
async def test_the_app_starts_and_shows_a_bad_make_as_such(kind: str, data: Path) -> None:
    smuggle(data, "bad", BAD[kind])
    with Store(data / "makes.db") as store:
        app = SpokenrowApp(store, data / "settings.json")
        async with app.run_test(size=(100, 40)) as pilot:
            await pilot.pause()
            await app.workers.wait_for_complete()
            await pilot.pause()
            makes = app.screen.query_one("#makes")
            told = {o.id: str(o.prompt) for o in makes.options}  # type: ignore[attr-defined]
            assert "Row 9" in told["good"]
            if kind != "late_creation":  # which stands in nobody's way
                assert "cannot be opened" in told["bad"]
                assert "spokenrow restore bad" in told["bad"] or "install" in told["bad"]
            app.open_named("good")
            await pilot.pause()
            await pilot.press("space")
            await pilot.pause()
            assert len(store.load("good")[1]) == 10


@pytest.mark.parametrize("kind", list(BAD))
def test_every_command_says_what_is_wrong_with_a_bad_make_and_works_on_another(
    kind: str, data: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    smuggle(data, "bad", BAD[kind])
    ours = ["--data", str(data)]
    for command in ("log", "export", "verify"):
        assert main([*ours, command, "good"]) == 0
        capsys.readouterr()
        assert main([*ours, command, "bad"]) in (0, 1, 2)
        told = capsys.readouterr()
        assert "mistake of its own" not in told.err
    code = main([*ours, "verify"])
    out = capsys.readouterr().out
    assert "good" in out
    assert "bad" in out
    assert code == (0 if kind == "late_creation" else 1)
    assert main([*ours, "doctor"]) in (0, 1)
    assert "mistake of its own" not in capsys.readouterr().err


# --- nothing deletes a file that it did not make --------------------------------------------


def test_a_create_that_fails_leaves_the_other_makes_copy(
    data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening, "_WAIT_S", 0.05)
    place = copy.place(data, "good")
    before = place.read_bytes()
    with Store(data / "makes.db") as store:
        with pytest.raises(Refusal, match="already called"):
            store.create("good", a_plan("Another"))
        assert place.read_bytes() == before
        lock = sqlite3.connect(data / "makes.db", isolation_level=None)
        lock.execute("BEGIN IMMEDIATE")
        with pytest.raises(Refusal, match="Another program holds"):
            store.create("good", a_plan("Another"))
        with pytest.raises(Refusal, match="Another program holds"):
            store.create("new", a_plan("Another"))
        lock.execute("ROLLBACK")
        lock.close()
        assert place.read_bytes() == before
        assert not copy.place(data, "new").exists()


def test_a_copy_that_lies_there_already_is_set_aside_and_not_written_over(data: Path) -> None:
    with Store(data / "makes.db") as store:
        place = copy.place(data, "new")
        place.write_bytes(b"somebody's")
        store.create("new", a_plan())
        (aside,) = (data / "set-aside").iterdir()
        assert aside.read_bytes() == b"somebody's"
        assert copy.read(place)[1]
