"""Pull the microphone out in mid-word, again and again, while the app listens.

    python -m tests.faults.microphone TRIES [--seed N] [--how unloaded|moved|killed|frozen]

The app, headless but otherwise whole, hears a real PortAudio stream from a PulseAudio of its own.
A recorded voice says "row done"; somewhere within the words the source goes. Then: no row may move,
none may be missing on disk, the app must say that the microphone is gone; the source comes back,
and the next "row done" must count, once. The source is `unloaded`; or it is `moved`: another one
stays, to which the server moves the stream without a word; or the server is `killed`, or `frozen`
until the app has noticed. Prints one line of JSON.
"""

import argparse
import json
import queue
import random
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from counter.shared.recordings import demo_recording
from engine.ears.listener import Listener
from engine.ears.recogniser import Recogniser
from engine.keep.store import Store
from engine.keep.verify import verify
from engine.plan.planning import make_plan, read_gauge
from tests.sound.pulse import Pulse

RATE = 16_000
MAKE = "throw"
FIRST_S = 3.3
"""The demo's recording up to here holds its first command, "row done", and quiet around it."""
NOTICED_S, NOTICED_MOVED_S = 5.0, 40.0
BACK_S = 15.0
COUNTED_S = 6.0
LIVELY_S = 4.0
"""Of the room before the words; `tests.faults.hearing` wants three."""
SETTLED_S = 1.2
"""Nothing may come of the half word in this time after the microphone is back."""
HISS_S = 120
"""Longer than any try."""
WITHIN = (0.1, 0.95)
"""The share of the words that is said before the plug is pulled."""


class How(StrEnum):
    """Ways for a microphone to go."""

    UNLOADED = "unloaded"
    MOVED = "moved"
    KILLED = "killed"
    FROZEN = "frozen"


def pull(pulse: Pulse, how: How) -> None:
    """The microphone goes."""
    match how:
        case How.UNLOADED | How.MOVED:
            pulse.unload("mic")
        case How.KILLED:
            pulse.kill()
        case How.FROZEN:
            pulse.signal(signal.SIGSTOP)


def bring_back(pulse: Pulse, how: How) -> None:
    """And comes back."""
    match how:
        case How.UNLOADED | How.MOVED:
            pulse.load("mic")
        case How.KILLED:
            pulse.start()
        case How.FROZEN:
            pulse.signal(signal.SIGCONT)


class Room:
    """What a microphone hears when nobody speaks: a hiss, as long as there is a microphone."""

    def __init__(self, pulse: Pulse, sound: Path) -> None:
        hiss = np.random.default_rng(1).normal(0, 10, HISS_S * RATE)
        soundfile.write(sound, hiss.astype("<i2"), RATE)
        self._pulse, self._sound = pulse, sound
        self._player: subprocess.Popen[bytes] | None = None

    def begin(self) -> None:
        self._player = subprocess.Popen(
            ["paplay", "--device=mic", self._sound],
            env=self._pulse.env,
            stderr=subprocess.DEVNULL,
        )

    def end(self) -> None:
        if self._player is not None:
            self._player.kill()
            self._player.wait()


class App:
    """The app's program, and what can be seen of it."""

    def __init__(self, data: Path, env: dict[str, str]) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.faults.hearing", str(data), MAKE],
            env=env,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        self.seen: dict[str, Any] = {}
        self._lines: queue.Queue[str] = queue.Queue()
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self._lines.put(line)

    def wait(self, seconds: float, until: Callable[[dict[str, Any]], bool]) -> bool:
        """Whether it came to be seen in time."""
        end = time.monotonic() + seconds
        while not (self.seen and until(self.seen)):
            try:
                self.seen = json.loads(self._lines.get(timeout=max(0.0, end - time.monotonic())))
            except queue.Empty:
                return False
        return True

    def settle(self, seconds: float) -> dict[str, Any]:
        """What is to be seen that long from now."""
        end = time.monotonic() + seconds
        self.wait(seconds, lambda _: time.monotonic() > end)
        return self.seen


def words_at(sound: Path) -> tuple[float, float]:
    """Where in the recording the words stand, seconds, as the ears themselves hear them."""
    recogniser = Recogniser()
    listener = Listener(recogniser)
    pcm = soundfile.read(sound, dtype="int16")[0].tobytes()
    (heard,) = [*listener.feed(pcm), *listener.end()]
    assert heard.heard == "row done"
    recogniser.close()
    return heard.start_s, heard.end_s


def on_disk(data: Path) -> int:
    """How many events of the make a next start would find, all sound."""
    with Store(data / "makes.db") as store:
        assert verify(store, MAKE).sound
        return len(store.load(MAKE)[1])


def one(pulse: Pulse, app: App, room: Room, sound: Path, *, pull_s: float, how: How) -> list[str]:
    """One try; gives what went wrong."""
    room.begin()
    seen = app.settle(LIVELY_S)
    at, events = seen["at"], seen["events"]
    wrong = []
    speaking = subprocess.Popen(
        ["paplay", "--device=mic", sound], env=pulse.env, stderr=subprocess.DEVNULL
    )
    time.sleep(pull_s)
    pull(pulse, how)
    speaking.kill()
    speaking.wait()
    room.end()
    said, within_s = ("silent", NOTICED_MOVED_S) if how is How.MOVED else ("gone", NOTICED_S)
    if not app.wait(within_s, lambda seen: seen[said]):
        wrong.append("not said")
    elif app.seen["open"]:
        wrong.append("said to be open")
    bring_back(pulse, how)
    room.begin()
    if not app.wait(BACK_S, lambda seen: seen["open"]):
        wrong.append("not back")
    seen = app.settle(SETTLED_S)
    if (seen["at"], seen["events"]) != (at, events):
        wrong.append("a row moved")
    at = seen["at"]
    pulse.speak(sound)
    if not app.wait(COUNTED_S, lambda seen: seen["at"] != at):
        wrong.append("the next word did not count")
    seen = app.settle(SETTLED_S)
    if seen["at"] > at + 1:
        wrong.append("the next word counted more than once")
    if on_disk(sound.parent) != seen["events"]:
        wrong.append("a row was lost")
    room.end()
    return wrong


def main(tries: int, seed: int = 1, how: How = How.UNLOADED) -> dict[str, Any]:
    """How often what went wrong."""
    dice = random.Random(seed)
    count: dict[str, Any] = {"tries": tries, "wrong": 0, "how": []}
    with tempfile.TemporaryDirectory() as folder:
        data, sound = Path(folder), Path(folder) / "said.wav"
        soundfile.write(
            sound, soundfile.read(demo_recording(), stop=round(FIRST_S * RATE))[0], RATE
        )
        begin, end = words_at(sound)
        with Store(data / "makes.db") as store:
            store.create(MAKE, make_plan("throw", read_gauge("5 x 3.75")))
        pulse = Pulse(data)
        pulse.start()
        if how is How.UNLOADED:
            pulse.unload("spk")
        app, room = App(data, pulse.env), Room(pulse, data / "hiss.wav")
        try:
            assert app.wait(30, lambda seen: seen["open"]), "the app did not open its ears"
            for number in range(tries):
                pull_s = begin + dice.uniform(*WITHIN) * (end - begin)
                if wrong := one(pulse, app, room, sound, pull_s=pull_s, how=how):
                    count["wrong"] += 1
                    count["how"].append(f"{number}: {', '.join(wrong)} (after {pull_s:.2f} s)")
        finally:
            room.end()
            app.process.kill()
            app.process.wait()
            pulse.kill()
    return count


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("tries", type=int)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--how", type=How, choices=list(How), default=How.UNLOADED)
    given = parser.parse_args()
    print(json.dumps(main(given.tries, given.seed, given.how)))
