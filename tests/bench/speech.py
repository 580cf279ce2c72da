"""From the end of a spoken word to the decision, on the bundled recording.

In seconds of sound, so that the machine's load does not enter; what the computing adds is the
real-time factor. The hearing bench measures the same over many voices and rooms.
"""

import time
from collections.abc import Iterator
from statistics import median

from counter.shared.demo import demo_making
from counter.shared.recordings import demo_recording
from counter.sound.hearing import hear
from engine.ears import wav
from engine.ears.listener import Listener
from engine.ears.recogniser import Recogniser


def figures() -> Iterator[tuple[str, str]]:
    """Name and figure of each measurement."""
    sound = list(wav.blocks(demo_recording()))
    seconds = sum(map(len, sound)) / 2 / 16_000
    making = demo_making()
    began = making.state.last_at or 0.0
    recogniser = Recogniser()
    listener = Listener(recogniser, lambda: making.situation(began + listener.now_s))
    waits = []
    start = time.perf_counter()
    for heard in hear(sound, listener):
        if making.heard(heard, began + listener.now_s).taken:
            waits.append(heard.decided_s - heard.end_s)
    spent = time.perf_counter() - start
    recogniser.close()
    yield (
        f"demo recording, end of a word to its decision ({len(waits)} words)",
        f"median {median(waits) * 1000:.0f} ms, most {max(waits) * 1000:.0f} ms of sound",
    )
    yield "the same recording, computing per second of sound", f"{spent / seconds:.2f} s"
