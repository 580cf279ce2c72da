"""From the end of a spoken word to the decision, on the bundled recording; and from a key to the
first sound of what is read out.

The first is in seconds of sound, so that the machine's load does not enter; what the computing adds
is the real-time factor. The hearing bench measures the same over many voices and rooms. The second
is by the clock, from the call that a key makes to the samples that the loudspeaker is given.
"""

import threading
import time
from collections.abc import Iterator
from statistics import median

from counter.shared.demo import demo_making
from counter.shared.recordings import demo_recording
from counter.sound import natural
from counter.sound.hearing import hear
from counter.sound.speech import Manner, Speaker, find_voice
from counter.sound.tones import Loudspeaker
from engine.ears import wav
from engine.ears.listener import Listener
from engine.ears.recogniser import Recogniser
from engine.script import wording

_SENTENCES = 12
"""Sentences of the demo make that are read out."""


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
    yield from _first_sound()


class _Given(Loudspeaker):
    """A loudspeaker that only notes when it is given something."""

    def __init__(self) -> None:
        super().__init__()
        self.given = threading.Event()

    def play(self, *_: object) -> None:
        self.given.set()


def _first_sound() -> Iterator[tuple[str, str]]:
    state = demo_making().state
    steps = state.script.steps
    told = list(dict.fromkeys(wording.spoken(s, state.plan.craft) for s in steps))[:_SENTENCES]
    small = find_voice()
    if small is None:
        return
    loudspeaker = _Given()
    speaker = Speaker(loudspeaker)
    speaker.use(Manner(natural=False))
    yield "a key to the first sound, small voice", _waits(speaker, loudspeaker, told)
    if natural.speaks("en"):
        speaker.use(Manner(natural=True))
        speaker.say(told[0])  # it begins to load
        loudspeaker.given.wait(60)
        waits = _waits(speaker, loudspeaker, told)
        yield "the same, natural voice, while it loads and computes", waits
        speaker.prepare(told)
        while not speaker.all_ready(told):
            time.sleep(0.5)
        waits = _waits(speaker, loudspeaker, told)
        yield "the same, prepared ahead", waits
    speaker.close()


def _waits(speaker: Speaker, loudspeaker: _Given, told: list[str]) -> str:
    waits = []
    for text in told:
        loudspeaker.given.clear()
        start = time.perf_counter()
        speaker.say(text)
        assert loudspeaker.given.wait(60), speaker.trouble
        waits.append(time.perf_counter() - start)
    least, middle, most = (1000 * s for s in (min(waits), median(waits), max(waits)))
    return f"least {least:.0f} ms, median {middle:.0f} ms, most {most:.0f} ms"
