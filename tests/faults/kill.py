"""SIGKILL at a random moment between key and paint, again and again, on one growing shelf.

    python -m tests.faults.kill RUNS [--seed N] [--bare]

Each run forks a child that opens the make and works keys as fast as it can: in the app, headless
but otherwise whole, or with `--bare` on the engine alone. Whenever the child paints it first tells
what it is about to show. The parent kills it at a random moment, opens the folder as the next start
would, and compares: everything told must be on disk, at most the action in flight may be there
beyond it, and what earlier runs left must not have changed. Prints one line of JSON.
"""

import argparse
import asyncio
import json
import os
import random
import signal
import tempfile
import time
from hashlib import sha256
from pathlib import Path
from typing import Any

from counter.shared.settings import Settings
from counter.shared.work import Work, open_work
from counter.tui.app import SpokenrowApp
from engine.keep.store import Store
from engine.keep.verify import verify
from engine.plan.planning import make_plan, read_gauge
from models.command import Action, Command
from tests.tui.unhurried import unhurried

KEYS = ["space"] * 12 + ["u"] * 3 + ["p"] * 2 + ["b", "e", "w"]
ACTIONS = {
    "space": Action.ADVANCE,
    "u": Action.TAKE_BACK,
    "p": Action.PAUSE,
    "b": Action.NEW_BALL,
    "e": Action.REPAIRED,
    "w": Action.WHERE,
}
LONGEST_EVENTS = 150
"""Events after which a new make is begun."""
IN_FLIGHT = 2
"""Events that one action may write."""


def fingerprint(events: list[Any]) -> str:
    return sha256("\n".join(event.model_dump_json() for event in events).encode()).hexdigest()[:16]


def told(work: Work) -> str:
    making = work.making
    return f"{len(making.events)} {making.state.at} {fingerprint(making.events)}\n"


def work_bare(data: Path, name: str, seed: int, pipe: int) -> None:
    """The engine alone: every paint is a line in the pipe."""
    dice = random.Random(seed)
    work = open_work(Store(data / "makes.db"), name, Settings())
    while True:
        os.write(pipe, told(work).encode())
        work.do(Command(action=ACTIONS[dice.choice(KEYS)]), time.time())


async def work_app(data: Path, name: str, seed: int, pipe: int) -> None:
    """The app: what goes to the terminal is told just before it goes."""
    dice = random.Random(seed)
    app = SpokenrowApp(Store(data / "makes.db"), data / "settings.json", make=name, **unhurried())
    display = app._display

    def paint(screen: Any, renderable: Any) -> None:
        row = app.row_screen
        if row is not None:
            os.write(pipe, told(row.work).encode())
        display(screen, renderable)

    app._display = paint  # type: ignore[method-assign]
    async with app.run_test() as pilot:
        while True:
            await pilot.press(dice.choice(KEYS))


def run(data: Path, name: str, dice: random.Random, bare: bool) -> tuple[str, list[str]]:
    """One child, killed; gives when, and every line it told."""
    reads, writes = os.pipe()
    seed = dice.randrange(2**32)
    child = os.fork()
    if child == 0:
        os.close(reads)
        try:
            if bare:
                work_bare(data, name, seed, writes)
            else:
                asyncio.run(work_app(data, name, seed, writes))
        finally:
            os._exit(3)  # only SIGKILL ends it
    os.close(writes)
    with os.fdopen(reads, "rb", buffering=0) as pipe:
        text = b""
        if dice.random() < 0.1:
            time.sleep(dice.uniform(0, 0.3))  # while it opens
        else:
            text = pipe.read(1)
            time.sleep(dice.uniform(0, 0.05 if bare else 0.3))
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        if not os.WIFSIGNALED(status):
            raise AssertionError("the child ended by itself: nothing was tried")
        while more := pipe.read(65536):
            text += more
    lines = text.decode().splitlines(keepends=True)
    return ("working" if lines else "opening"), [line for line in lines if line.endswith("\n")]


def main() -> None:
    """Run them all."""
    parser = argparse.ArgumentParser()
    parser.add_argument("runs", type=int)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--bare", action="store_true")
    arguments = parser.parse_args()
    dice = random.Random(arguments.seed)
    plan = make_plan("throw", read_gauge("5 x 3.75"), ball_loops=40)
    count = {"runs": 0, "opening": 0, "working": 0, "in flight kept": 0, "mended": 0, "lost": 0}
    painted = 0
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder)
        name, before = "", []
        for _ in range(arguments.runs):
            if not name or len(before) > LONGEST_EVENTS:
                with Store(data / "makes.db") as store:
                    name = store.free_name("throw")
                    store.create(name, plan)
                before = []
            when, lines = run(data, name, dice, arguments.bare)
            count["runs"] += 1
            count[when] += 1
            painted += len(lines)
            with Store(data / "makes.db") as store:
                events = store.load(name)[1]
                count["mended"] += bool(store.health)
                sound = verify(store, name).sound
                sound &= len(store.names()) == len({*store.names(), name})
            shown, _, digest = lines[-1].split() if lines else (len(before), "0", "")
            shown = int(shown)
            kept = (
                sound
                and events[: len(before)] == before
                and shown <= len(events) <= shown + (IN_FLIGHT if lines else 0)
                and (not digest or fingerprint(events[:shown]) == digest)
            )
            count["lost"] += not kept
            count["in flight kept"] += len(events) > shown
            before = events
    count["paints"] = painted
    count["seconds"] = round(time.monotonic() - began)
    print(json.dumps(count))


if __name__ == "__main__":
    main()
