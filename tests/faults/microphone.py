"""Pull the microphone out in mid-word, again and again, while the app listens.

    python -m tests.faults.microphone TRIES [--seed N] [--moved]

The app, headless but otherwise whole, hears a real PortAudio stream from a PulseAudio of its own.
A recorded voice says "row done"; somewhere within the words the source is unloaded. Then: no row
may move, none may be missing on disk, the app must say that the microphone is gone; the source
comes back, and the next "row done" must count, once. With `--moved` another source stays, to which
the server moves the stream without a word. Prints one line of JSON.
"""

import argparse
import json
import queue
import random
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import soundfile

from counter.recordings import demo_recording
from engine.ears.listener import Listener
from engine.ears.recogniser import Recogniser
from engine.planning import make_plan, read_gauge
from engine.store import Store
from engine.verify import verify
from tests.ears.pulse import Pulse

RATE = 16_000
MAKE = "throw"
FIRST_S = 3.3
"""The demo's recording up to here holds its first command, "row done", and quiet around it."""
NOTICED_S, NOTICED_MOVED_S = 5.0, 40.0
BACK_S = 15.0
COUNTED_S = 6.0
SETTLED_S = 1.2
"""Nothing may come of the half word in this time after the microphone is back."""
WITHIN = (0.1, 0.95)
"""The share of the words that is said before the plug is pulled."""


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


def one(
    pulse: Pulse, app: App, data: Path, sound: Path, *, pull_s: float, moved: bool
) -> list[str]:
    """One try; gives what went wrong."""
    at, events = app.seen["at"], app.seen["events"]
    wrong = []
    speaking = subprocess.Popen(
        ["paplay", "--device=mic", sound], env=pulse.env, stderr=subprocess.DEVNULL
    )
    time.sleep(pull_s)
    pulse.unload("mic")
    speaking.kill()
    speaking.wait()
    said = "silent" if moved else "gone"
    if not app.wait(NOTICED_MOVED_S if moved else NOTICED_S, lambda seen: seen[said]):
        wrong.append("not said")
    if not wrong and app.seen["open"]:
        wrong.append("said to be open")
    pulse.load("mic")
    if moved:
        # Only a sound tells that it is back.
        subprocess.run(["paplay", "--device=mic", sound], env=pulse.env, check=True)
    if not app.wait(BACK_S, lambda seen: seen["open"]):
        wrong.append("not back")
    app.wait(SETTLED_S, lambda seen: seen["at"] != at)
    if not moved and (app.seen["at"], app.seen["events"]) != (at, events):
        wrong.append("a row moved")
    if on_disk(data) != app.seen["events"]:
        wrong.append("a row was lost")
    before = app.seen["at"]
    pulse.speak(sound)
    if not app.wait(COUNTED_S, lambda seen: seen["at"] == before + 1):
        wrong.append("the next word did not count")
    app.wait(SETTLED_S, lambda seen: seen["at"] != before + 1)
    if app.seen["at"] != before + 1:
        wrong.append("the next word counted otherwise than once")
    if on_disk(data) != app.seen["events"]:
        wrong.append("a row was lost")
    return wrong


def main(tries: int, seed: int = 1, *, moved: bool = False) -> dict[str, Any]:
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
        if not moved:
            pulse.unload("spk")
        app = App(data, pulse.env)
        try:
            assert app.wait(30, lambda seen: seen["open"]), "the app did not open its ears"
            for number in range(tries):
                pull_s = begin + dice.uniform(*WITHIN) * (end - begin)
                if wrong := one(pulse, app, data, sound, pull_s=pull_s, moved=moved):
                    count["wrong"] += 1
                    count["how"].append(f"{number}: {', '.join(wrong)} (after {pull_s:.2f} s)")
        finally:
            app.process.kill()
            app.process.wait()
            pulse.kill()
    return count


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("tries", type=int)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--moved", action="store_true")
    given = parser.parse_args()
    print(json.dumps(main(given.tries, given.seed, moved=given.moved)))
