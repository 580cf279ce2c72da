"""Read-back in her room: words said into it, and hours of it with nobody speaking.

    python -m tests.bench.aloud                  words into read-back, on the reporting voices
    python -m tests.bench.aloud --count 5 --tune a few of them, on the tuning voices
    python -m tests.bench.aloud --own 120        minutes of read-back with nothing else to hear

The small voice reads the rows of a cardigan out, one after the other. The sound goes through a
loudspeaker that is not quite linear (a hyperbolic tangent), a way of 20 to 400 ms and a room (the
image-source method, half a metre from the microphone, RT60 0.3 s; `tests.bench.hearing.rooms`), at
her loudness or 20 dB under it. What the microphone gives goes through the parts that the app uses:
`counter.sound.apart`, then the ears.
Needs pyroomacoustics and the voices of the hearing bench.
"""

import argparse
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import numpy as np
import soxr
from scipy.signal import fftconvolve

from counter.sound.apart import Apart
from counter.sound.speech import find_voice
from counter.sound.tones import RATE as PLAYED
from counter.sound.tones import rising_sound
from engine.ears.listener import Listener
from engine.ears.recogniser import Recogniser
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script import wording
from tests.bench.__main__ import machine
from tests.bench.hearing import rooms, voices
from tests.bench.hearing.corpus import Said, Shelf, Stream, at_level
from tests.bench.hearing.score import Score, score
from tests.bench.hearing.subjects import Move

RATE, BLOCK = 16_000, 320
WAYS_S = (0.02, 0.13, 0.33, 0.4)
LEVELS_DB = (0.0, -20.0)
PAUSE_S = 0.4
"""Between two sentences of ours."""
LEARNING_S = 14.0
"""Two sentences or three before her first word: as in an evening, the way is known by then."""
WORDS = (
    "row done", "take back", "dropped loop", "loop repaired", "where am i", "say again",
    "new ball", "take a break", "two more rows", "rip back three rows", "stop listening",
    "show the piece", "it fits", "too tight", "further", "be quiet", "dropped loop at twelve",
    "measured thirty one and a half",
)  # fmt: skip


@dataclass
class Scene:
    """A stretch of read-back, and what a microphone makes of it."""

    ours: np.ndarray
    heard: np.ndarray
    said: list


def sentences():
    """What a cardigan's rows read out as, in full."""
    plan = make_plan("cardigan", read_gauge("5 x 3.75"), size="M")
    script = script_for(plan)
    return [wording.text(step, plan.craft) for step in script.steps]


def reading(seconds, seed):
    """The tone at the start, then sentence after sentence, 16 kHz."""
    voice, told = find_voice(), sentences()
    assert voice is not None, "no voice: pip install 'spokenrow[voice]'"
    sound = np.zeros(round(seconds * RATE))
    clips = [soxr.resample(rising_sound(), PLAYED, RATE)]
    at, number = round(0.5 * RATE), seed * 17
    while at < len(sound):
        clip = clips.pop() if clips else None
        if clip is None:
            spoken, rate = voice(told[number % len(told)])
            number += 1
            clip = at_level(soxr.resample(np.asarray(spoken, float), rate, RATE))
        clip = clip[: len(sound) - at]
        sound[at : at + len(clip)] = clip
        at += len(clip) + round(PAUSE_S * RATE)
    return sound


def scene(way_s, level_db, seconds, seed, speaker=None, part="report", count=0):  # noqa: PLR0917
    """Ours, and hers where somebody speaks."""
    rng = np.random.default_rng(seed)
    ours = reading(seconds, seed)
    with tempfile.TemporaryDirectory() as folder:
        response = rooms.response(part, 0.3, 0.5, rng, Path(folder))
    first = int(np.argmax(np.abs(response)))
    response = response[max(0, first - 16) :]
    response = response / np.sqrt((response**2).sum())
    loudspeaker = np.tanh(2 * ours) / 2
    back = fftconvolve(loudspeaker, response)[: len(ours)] * 10 ** (level_db / 20)
    late = round(way_s * RATE)
    heard = np.concatenate((np.zeros(late), back[: len(back) - late]))
    heard += rng.normal(0, 0.0005, len(heard))
    said = []
    if speaker:
        shelf = Shelf()
        order = [WORDS[i % len(WORDS)] for i in rng.permutation(max(count, len(WORDS)))[:count]]
        for place, text in enumerate(order):
            clip = at_level(shelf.speech(speaker, text))
            at = round((LEARNING_S + 4.5 * place + rng.uniform(0, 1.5)) * RATE)
            heard[at : at + len(clip)] += clip
            said.append(Said(at / RATE, (at + len(clip)) / RATE, text))
    return Scene(ours, heard, said)


def listen(made):
    """What the ears make of it: moves, refusals, and how long they were deaf, seconds."""
    apart, listener = Apart(), Listener(Recogniser())
    moves, refusals, deaf_blocks = [], [], 0
    pcm = (np.clip(made.heard, -1, 1) * 32767).astype("<i2")
    for start in range(0, len(pcm) - BLOCK + 1, BLOCK):
        piece = made.ours[start : start + BLOCK].astype(np.float32)
        apart.played(piece, start / RATE, sounding=bool(np.any(piece)))
        for given, deaf in apart.heard(pcm[start : start + BLOCK].tobytes(), start / RATE):
            deaf_blocks += deaf
            for heard in listener.feed(given, deaf=deaf):
                refusals += [heard] if heard.reason else []
                if heard.taken or heard.withdrawn:
                    moves.append(Move(heard.decided_s, heard.command, heard.withdrawn))
    return moves, refusals, deaf_blocks * BLOCK / RATE


def into_it(task):
    """One voice's words into read-back over one way."""
    way_s, level_db, place, (name, voice), part, count = task
    seed = round(1000 * way_s) + place + (500 if level_db else 0)
    seconds = LEARNING_S + 4.5 * count + 4
    made = scene(way_s, level_db, seconds, seed, voice, part, count)
    moves, refusals, _ = listen(made)
    stream = Stream(f"{way_s}", "commands", name, made.heard, made.said)
    return way_s, level_db, score(stream, moves, 0.0, refusals)


def alone(task):
    """Minutes of read-back over one way, with nobody speaking."""
    way_s, level_db, minutes, seed = task
    moves, refusals, deaf_s = listen(scene(way_s, level_db, 60 * minutes, seed))
    kept = sum(not move.withdrawn for move in moves) - sum(move.withdrawn for move in moves)
    return way_s, level_db, kept, len(moves), len(refusals), deaf_s


def main():
    """Print one table."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.aloud")
    parser.add_argument("--own", type=float, help="minutes of read-back, over all the ways")
    parser.add_argument("--count", type=int, default=6, help="words for each voice, way and level")
    parser.add_argument("--tune", action="store_true", help="the tuning voices")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--misses", action="store_true", help="list what was not right")
    chosen = parser.parse_args()
    print(f"On {machine()}:\n", flush=True)
    with ProcessPoolExecutor(chosen.jobs) as pool:
        if chosen.own:
            return _alone(pool, chosen.own)
        return _words(pool, chosen)


def _alone(pool, minutes):
    ways = (*WAYS_S, 0.07, 0.2, 0.26)
    each = [
        (way, level, minutes / len(ways) / 2, 40 + place)
        for place, (way, level) in enumerate(product(sorted(ways), LEVELS_DB))
    ]
    print("| way | loudspeaker | minutes | moves | phrases heard and refused | deaf |")
    print("|---|---|---|---|---|---|")
    moved = 0
    for task, (way, level, kept, moves, refused, deaf_s) in zip(
        each, pool.map(alone, each), strict=True
    ):
        moved += moves
        told = f"| {1000 * way:.0f} ms | {level:+.0f} dB | {task[2]:.1f} | {kept} | {refused} |"
        print(f"{told} {deaf_s:.0f} s |", flush=True)
    print(f"\n{minutes:g} minutes: {moved} moves by our own voice")
    return 1 if moved else 0


def _words(pool, chosen):
    part = "tune" if chosen.tune else "report"
    lived = {**voices.TUNE, **voices.REPORT}
    speakers = [(name, lived[name]) for name in voices.LIVED[part]]
    each = [
        (way, level, place, speaker, part, chosen.count)
        for way, level in product(WAYS_S, LEVELS_DB)
        for place, speaker in enumerate(speakers)
    ]
    print("| way | loudspeaker | words | right | asked back as meant | wrong | without a word |")
    print("|---|---|---|---|---|---|---|")
    done, whole = {}, Score()
    for way, level, one in pool.map(into_it, each):
        found = done.setdefault((way, level), Score())
        found.add(one)
        whole.add(one)
        if found.said == chosen.count * len(speakers):
            _tell(f"{1000 * way:.0f} ms | {level:+.0f} dB", found)
    _tell("all | ", whole)
    if chosen.misses:
        for miss in whole.misses:
            print(miss)
    return 0


def _tell(name, found):
    share = 100 * found.right / max(1, found.said)
    print(
        f"| {name} | {found.said} | {share:.0f} % | {found.asked} | {found.wrong} |"
        f" {found.false} |",
        flush=True,
    )


if __name__ == "__main__":
    sys.exit(main())
