"""A newer design is told of in a line, and brought in by a command."""

import io
from pathlib import Path

import pytest

from counter.commandline import main
from engine.keep.store import Store
from engine.make import progress
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from models.command import Action, Command
from tests.keep.altered import alter

THROW = make_plan("throw", read_gauge("5 x 3.75"), given={"width": 40.0, "height": 32.0})


@pytest.fixture
def data(tmp_path: Path) -> Path:
    with Store(tmp_path / "makes.db") as store:
        store.create("mine", THROW)
        making = Making(*store.load("mine"), lambda events: store.append("mine", events))
        for second in range(4):
            making.do(Command(action=Action.ADVANCE), 1_700_000_000.0 + second)
    return tmp_path


def steps(data: Path, name: str = "mine") -> tuple[int, int]:
    with Store(data / "makes.db") as store:
        state = progress.fold(*store.load(name))
        return state.at, len(state.script.steps)


def test_plain_offers_it_in_a_line_and_renew_brings_it_in(
    data: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    before = steps(data)
    assert main(["--data", str(data), "renew", "mine", "--yes"]) == 2
    assert "nothing to renew" in capsys.readouterr().err
    alter(monkeypatch, after=8)
    assert main(["--data", str(data), "plain", "mine"]) == 0
    (offer,) = [line for line in capsys.readouterr().out.splitlines() if "renew" in line]
    assert offer.startswith("The throw is worked out differently now")
    assert steps(data) == before
    assert main(["--data", str(data), "renew", "mine"]) == 2  # nobody is there to say yes
    assert steps(data) == before
    assert main(["--data", str(data), "renew", "mine", "--yes"]) == 0
    assert steps(data) == (before[0], before[1] + 1)
    capsys.readouterr()
    assert main(["--data", str(data), "plain", "mine"]) == 0
    assert "renew" not in capsys.readouterr().out


def test_another_make_can_be_begun_like_it(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = steps(data)
    alter(monkeypatch, after=8)
    assert main(["--data", str(data), "renew", "mine", "--anew"]) == 0
    assert steps(data) == before
    assert steps(data, "throw") == (0, before[1] + 1)
