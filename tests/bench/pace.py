"""How many rows a minute can be spoken, in the sound's own time.

    python -m tests.bench.pace [--count 20] [--tune]

Every voice says “row done” as soon as the one before is answered and she has drawn a breath, and
says it again where it was not taken. So the machine's load does not enter; what painting adds is
told by `python -m tests.bench`. Needs the voices of the hearing bench.
"""

import argparse
from statistics import median

import numpy as np

from engine.ears.listener import Listener
from engine.ears.recogniser import Recogniser
from models.command import Action
from tests.bench.__main__ import machine
from tests.bench.hearing import voices
from tests.bench.hearing.corpus import Shelf, at_level, room

RATE, BLOCK = 16_000, 320
BREATHS_S = (0.2, 0.5, 1.0)
"""From the answer to her next word."""
PATIENCE_S = 2.0
"""After a word that was not answered she says it again."""


def spoken(clip, count, breath_s, listener):
    """Rows taken, tries, seconds in all, and the waits from the end of a word to its decision."""
    rng = np.random.default_rng(count)
    waits, tries, taken = [], 0, 0
    at, starts, ended = 0, round(1.0 * RATE), None
    while taken < count and tries < 3 * count + 1:
        block = room(BLOCK / RATE, rng)
        if at <= starts < at + BLOCK:
            tries += 1
            starts, ended = at, (at + len(clip)) / RATE
        lies = slice(max(0, at - starts), max(0, at - starts + BLOCK))
        part = clip[lies] if at >= starts else clip[:0]
        block[: len(part)] += part
        at += BLOCK
        pcm = (np.clip(block, -1, 1) * 32767).astype("<i2").tobytes()
        for heard in listener.feed(pcm):
            if heard.taken and heard.command.action is Action.ADVANCE:
                taken += 1
                waits.append(heard.decided_s - ended)
                starts = at + round(breath_s * RATE)
            elif heard.withdrawn:
                taken -= 1
        if at > starts and ended is not None and at / RATE > ended + PATIENCE_S:
            starts = at + BLOCK
    return taken, tries, at / RATE - 1.0, waits


def main():
    parser = argparse.ArgumentParser(prog="python -m tests.bench.pace")
    parser.add_argument("--count", type=int, default=20, help="rows for each voice")
    parser.add_argument("--tune", action="store_true", help="the tuning voices")
    chosen = parser.parse_args()
    lived = {**voices.TUNE, **voices.REPORT}
    names = voices.LIVED["tune" if chosen.tune else "report"]
    shelf, recogniser = Shelf(), Recogniser()
    print(f"On {machine()}, {len(names)} voices, {chosen.count} rows each:\n", flush=True)
    print(
        "| from the answer to the next word | rows a minute | taken | tries | wait: median, 95th |"
    )
    print("|---|---|---|---|---|")
    for breath_s in BREATHS_S:
        rows, tries, seconds, waits = 0, 0, 0.0, []
        for name in names:
            clip = at_level(shelf.speech(lived[name], "row done"))
            one = spoken(clip, chosen.count, breath_s, Listener(recogniser))
            rows, tries, seconds = rows + one[0], tries + one[1], seconds + one[2]
            waits += one[3]
        print(
            f"| {breath_s:g} s | {60 * rows / seconds:.0f} | {rows} | {tries} |"
            f" {1000 * median(waits):.0f}, {1000 * np.percentile(waits, 95):.0f} ms |",
            flush=True,
        )


if __name__ == "__main__":
    main()
