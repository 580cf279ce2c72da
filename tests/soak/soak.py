"""Long evenings in a short time: mixed sound and thousands of actions, and nothing that grows.

    python -m tests.soak.soak MINUTES [--events N] [--keys N]

MINUTES of sound (the bundled commands, silence, hiss, a wandering tone, half-phrases cut in two)
go through the gate, the recogniser, the guard and the state machine into a make on disk, as fast
as they can be computed; between the pieces N actions in all come by key. Then the app, headless
but otherwise whole, takes a number of keys. Prints one line of JSON: memory along the way, threads
and open files before and after, and whether the make verifies.
"""

import argparse
import asyncio
import contextlib
import ctypes
import gc
import json
import os
import random
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from counter.shared.recordings import demo_recording
from counter.sound.hearing import hear
from counter.tui.app import SpokenrowApp
from engine.ears import wav
from engine.ears.listener import Listener
from engine.ears.recogniser import Recogniser
from engine.keep.store import Store
from engine.keep.verify import verify
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from models.command import Action, Command
from tests.tui.unhurried import unhurried

RATE = 16_000
RECORDING = demo_recording()
BY_KEY = [Action.ADVANCE] * 8 + [
    Action.TAKE_BACK,
    Action.TAKE_BACK,
    Action.PAUSE,
    Action.NEW_BALL,
    Action.REPAIRED,
    Action.WHERE,
]
LONGEST_MAKE = 400
"""Events after which the next make is begun, so that a long soak stays a heap of evenings."""


def memory_mb() -> float:
    """Memory in use by this process, MB; 0 where the system does not tell.

    What the allocator holds free is given back first, where it can be: pieces of sound of all
    sizes leave holes, and holes are not a leak.
    """
    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL(None).malloc_trim(0)
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
    except OSError:
        return 0.0
    return round(pages * os.sysconf("SC_PAGE_SIZE") / 2**20, 1)


def handles() -> int:
    """Open files of this process; 0 where the system does not tell."""
    try:
        return len(os.listdir("/proc/self/fd"))
    except OSError:
        return 0


def evening(dice: random.Random) -> Iterator[bytes]:
    """Endless sound, in pieces of some seconds: 16 kHz mono 16-bit."""
    spoken = wav.read(RECORDING)
    noise = np.random.default_rng(dice.randrange(2**32))
    while True:
        yield spoken
        seconds = dice.uniform(5, 40)
        count = int(seconds * RATE)
        yield bytes(2 * count)
        hiss = noise.normal(0, dice.choice([30, 300, 1500]), count)
        yield np.clip(hiss, -32768, 32767).astype("<i2").tobytes()
        phase = np.cumsum(noise.uniform(200, 900, 1 + count // 4000).repeat(4000)[:count]) / RATE
        yield (np.sin(2 * np.pi * phase) * 4000).astype("<i2").tobytes()
        cut = dice.randrange(len(spoken) // 4, len(spoken) // 2) // 2 * 2
        yield spoken[cut : cut + dice.randrange(RATE, 4 * RATE) * 2]


class Shelf:
    """Makes one after another, all on disk; what is in hand takes words and keys."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self.names: list[str] = []
        self.taken = 0
        self._begin()

    def _begin(self) -> None:
        plan = make_plan("throw", read_gauge("5 x 3.75"), ball_loops=60)
        name = self.store.free_name("soak")
        self.store.create(name, plan)
        self.names.append(name)
        self.making = Making(plan, (), lambda new: self.store.append(name, new))

    def turn(self) -> None:
        """Begin the next make where this one is done or long."""
        if self.making.state.done or len(self.making.events) > LONGEST_MAKE:
            self.store.release(self.names[-1])
            self._begin()


def listen(store: Store, minutes: float, events: int, dice: random.Random) -> dict[str, object]:
    """The evening by ear and by key."""
    shelf = Shelf(store)
    recogniser = Recogniser()
    began = 1_800_000_000.0
    listener = Listener(recogniser, lambda: shelf.making.situation(began + listener.now_s))
    heard = taken = by_key = 0
    memory: list[float] = []
    every = max(1.0, minutes / 20)
    started = time.monotonic()
    for piece in evening(dice):
        if listener.now_s >= minutes * 60:
            break
        for utterance in hear([piece], listener):
            outcome = shelf.making.heard(utterance, began + listener.now_s)
            heard += 1
            taken += outcome.taken
            shelf.turn()
        share = listener.now_s / (minutes * 60)
        while by_key < min(events, round(events * share)):
            command = Command(action=dice.choice(BY_KEY))
            shelf.making.do(command, began + listener.now_s)
            by_key += 1
            shelf.turn()
        if listener.now_s / 60 >= every * len(memory):
            memory.append(memory_mb())
    recogniser.close()
    drift = sum(not verify(store, name).sound for name in shelf.names)
    return {
        "audio_minutes": round(listener.now_s / 60, 1),
        "seconds": round(time.monotonic() - started),
        "heard": heard,
        "taken": taken,
        "by_key": by_key,
        "makes": len(shelf.names),
        "makes_that_drifted": drift,
        "memory_mb": memory,
    }


async def press(store: Store, data: Path, keys: int, dice: random.Random) -> dict[str, object]:
    """The app under many keys, every page among them."""
    plan = make_plan("throw", read_gauge("5 x 3.75"), ball_loops=60)
    store.create("pressed", plan)
    app = SpokenrowApp(store, data / "settings.json", make="pressed", **unhurried())
    memory: list[float] = []
    async with app.run_test(size=(100, 30)) as pilot:
        for n in range(keys):
            await pilot.press(dice.choice(["space"] * 6 + ["u"] * 4 + ["p", "w", "question_mark"]))
            if app.screen is not app.row_screen:
                await pilot.press("escape")
            if n % max(1, keys // 10) == 0:
                memory.append(memory_mb())
    return {"keys": keys, "memory_mb": memory, "sound": verify(store, "pressed").sound}


def soak(minutes: float, events: int, keys: int, seed: int = 1) -> dict[str, object]:
    """All of it."""
    dice = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder)
        # Once around first, so that what is made once and kept is not taken for a leak.
        with Store(data / "first" / "makes.db") as store:
            listen(store, 0.5, 20, dice)
            asyncio.run(press(store, data, 10, dice))
        before = _held()
        with Store(data / "makes.db") as store:
            ears = listen(store, minutes, events, dice)
            app = asyncio.run(press(store, data, keys, dice))
        after = _held()
    return {
        "ears": ears,
        "app": app,
        "threads": [before[0], after[0]],
        "open_files": [before[1], after[1]],
    }


def _held() -> tuple[int, int]:
    gc.collect()
    return threading.active_count(), handles()


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser()
    parser.add_argument("minutes", type=float)
    parser.add_argument("--events", type=int, default=5000)
    parser.add_argument("--keys", type=int, default=2000)
    arguments = parser.parse_args()
    print(json.dumps(soak(arguments.minutes, arguments.events, arguments.keys)))


if __name__ == "__main__":
    main()
