"""Two instances on one make: the second looks on or takes over, and never interleaves."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from counter.tui.app import SpokenrowApp
from counter.tui.screens.row import RowScreen
from counter.tui.screens.take_over import TakeOver
from engine.keep.store import Store, TakenOver
from models.event import Advanced
from tests.keep.conftest import BEGAN, a_plan
from tests.tui.unhurried import unhurried

PLAY = """
import sys, time
from pathlib import Path
from engine.base.refusal import Refusal
from engine.keep.store import Store
from models.event import Noted

store = Store(Path(sys.argv[1]))
took = 0
for n in range(int(sys.argv[3])):
    try:
        store.load("throw")
        store.open_for_writing("throw", take_over=sys.argv[4] == "grabs")
        store.append("throw", [Noted(at=float(n), text=f"{sys.argv[2]} {n} a"),
                               Noted(at=float(n), text=f"{sys.argv[2]} {n} b")])
        took += 1
        if n % 3 == 0:
            store.release("throw")
    except Refusal:
        time.sleep(0.001)
print(took)
"""


def test_windows_that_fight_never_interleave_an_action(tmp_path: Path) -> None:
    main = tmp_path / "makes.db"
    with Store(main) as store:
        store.create("throw", a_plan())
    fighters = [
        subprocess.Popen(
            [sys.executable, "-c", PLAY, str(main), who, "60", how],
            stdout=subprocess.PIPE,
            text=True,
        )
        for who, how in (("a", "grabs"), ("b", "grabs"), ("c", "waits"))
    ]
    took = [int(fighter.communicate(timeout=60)[0]) for fighter in fighters]
    assert all(fighter.returncode == 0 for fighter in fighters)
    with Store(main) as store:
        assert store.health == ()
        texts = [event.text for event in store.load("throw")[1]]
    assert len(texts) == 2 * sum(took), "every action that was taken is there, once"
    assert [t[:-1] for t in texts[::2]] == [t[:-1] for t in texts[1::2]], "and in one piece"
    for who in "abc":
        own = [int(t.split()[1]) for t in texts[::2] if t.startswith(who)]
        assert own == sorted(own)


def test_a_killed_window_leaves_the_make_free(tmp_path: Path) -> None:
    main = tmp_path / "makes.db"
    with Store(main) as store:
        store.create("throw", a_plan())
    holder = subprocess.Popen(
        [
            sys.executable,
            "-c",
            "import sys, time; from pathlib import Path; from engine.keep.store import Store;"
            "Store(Path(sys.argv[1])).open_for_writing('throw'); print('has it', flush=True);"
            "time.sleep(60)",
            str(main),
        ],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert holder.stdout is not None
    assert holder.stdout.readline() == "has it\n"
    with Store(main) as store:
        assert store.holder("throw") is not None
        os.kill(holder.pid, signal.SIGKILL)
        holder.wait()
        assert store.holder("throw") is None
        store.append("throw", [Advanced(at=BEGAN, step=1)])
    holder.stdout.close()


async def test_the_app_asks_and_takes_over(tmp_path: Path) -> None:
    with Store(tmp_path / "makes.db") as first, Store(tmp_path / "makes.db") as second:
        first.create("throw", a_plan())
        first.append("throw", [Advanced(at=BEGAN, step=1)])
        app = SpokenrowApp(second, tmp_path / "settings.json", make="throw", **unhurried())
        async with app.run_test() as pilot:
            await pilot.pause()
            assert isinstance(app.screen, TakeOver)
            await pilot.press("n")
            await pilot.press("space")
            assert isinstance(app.screen, RowScreen)
            assert app.screen.work.state.at == 1, "looking on changes nothing"
            app.to_shelf()
            app.open_named("throw")
            await pilot.pause()
            await pilot.press("y")
            await pilot.pause()
            await pilot.press("space")
            await pilot.pause()
            assert isinstance(app.screen, RowScreen)
            assert app.screen.work.state.at == 2
        with pytest.raises(TakenOver, match="look on"):
            first.append("throw", [Advanced(at=BEGAN, step=2)])


async def test_the_app_says_when_it_was_taken_over(tmp_path: Path) -> None:
    with Store(tmp_path / "makes.db") as first, Store(tmp_path / "makes.db") as second:
        first.create("throw", a_plan())
        app = SpokenrowApp(first, tmp_path / "settings.json", make="throw", **unhurried())
        async with app.run_test() as pilot:
            await pilot.pause()
            await pilot.press("space")
            second.open_for_writing("throw", take_over=True)
            await pilot.press("space")
            await pilot.pause()
            assert isinstance(app.screen, RowScreen)
            assert app.screen.work.state.at == 1
            shown = "\n".join(s.text for s in app.screen._compositor.render_strips())
            assert "taken over by another" in shown
