"""Read-back in her room: words said into it, and hours of it with nobody speaking.

    python -m tests.bench.aloud                  words into read-back, on the reporting voices
    python -m tests.bench.aloud --count 5 --tune a few of them, on the tuning voices
    python -m tests.bench.aloud --own 120        minutes of read-back with nothing else to hear
    python -m tests.bench.aloud --own 20 --slips 7   the loudspeaker stands still so often, seconds

The small voice reads the rows of a cardigan out, one after the other, and falls silent where the
program does (`counter.sound.turns`; with `--speaks-on` it does not). The sound goes through a
loudspeaker that is not quite linear (a hyperbolic tangent), a way of 20 to 400 ms and a room (the
image-source method, half a metre from the microphone, RT60 0.3 s; `tests.bench.hearing.rooms`), at
her loudness or 20 dB under it. What the microphone gives goes through the parts that the app uses:
`counter.sound.apart`, then the ears. All of it in the sound's own time, as fast as it computes.
Needs pyroomacoustics and the voices of the hearing bench.
"""

import argparse
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from itertools import product
from pathlib import Path

import numpy as np
import soxr
from scipy.signal import fftconvolve

from counter.sound.apart import Apart
from counter.sound.listening import BREATH_S
from counter.sound.speech import find_voice
from counter.sound.tones import RATE as PLAYED
from counter.sound.tones import rising_sound
from counter.sound.turns import Turns
from engine.ears.listener import Listener
from engine.ears.recogniser import Recogniser
from tests.bench.__main__ import machine
from tests.bench.hearing import rooms, voices
from tests.bench.hearing.corpus import Said, Shelf, Stream, at_level
from tests.bench.hearing.score import Score, score
from tests.bench.hearing.subjects import Move
from tests.bench.hearing.table import interval
from tests.bench.read_out import WORDS, sentences

RATE, BLOCK = 16_000, 320
WAYS_S = (0.02, 0.13, 0.33, 0.4)
LEVELS_DB = (0.0, -20.0)
PAUSE_S = 0.4
"""Between two sentences of ours."""
ROUND_MIN = 2.0
"""Minutes over one way with nobody speaking, before the next way has its turn."""
LEARNING_S = 14.0
"""Two sentences or three before her first word: as in an evening, the way is known by then."""


class Room:
    """What a microphone gives of what is played and of what is said, block by block."""

    def __init__(self, way_s, level_db, seed, part):
        rng = np.random.default_rng(seed)
        with tempfile.TemporaryDirectory() as folder:
            response = rooms.response(part, 0.3, 0.5, rng, Path(folder))
        response = response[max(0, int(np.argmax(np.abs(response))) - 16) :]
        self._response = response / np.sqrt((response**2).sum()) * 10 ** (level_db / 20)
        self._coming = np.zeros(len(response) + BLOCK - 1)
        late = round(way_s * RATE)
        self._on_its_way = np.zeros(late + BLOCK)
        self._rng = rng
        self._coming_out = np.zeros(0)
        self._stood = 0

    def stands_still(self):
        """The loudspeaker stands still for up to 0.1 s; the next time it catches up."""
        if self._stood:
            self._coming_out = self._coming_out[self._stood :]
        self._stood = 0 if self._stood else round(self._rng.uniform(0, 0.1) * RATE)
        self._coming_out = np.append(np.zeros(self._stood), self._coming_out)

    def heard(self, ours, hers):
        """Samples of -1 … 1, BLOCK of each."""
        self._coming_out = np.append(self._coming_out, ours)
        ours, self._coming_out = self._coming_out[:BLOCK], self._coming_out[BLOCK:]
        self._coming[:-BLOCK] = self._coming[BLOCK:]
        self._coming[-BLOCK:] = 0.0
        self._coming += fftconvolve(np.tanh(2 * ours) / 2, self._response)
        self._on_its_way[:-BLOCK] = self._on_its_way[BLOCK:]
        self._on_its_way[-BLOCK:] = self._coming[:BLOCK]
        return self._on_its_way[:BLOCK] + hers + self._rng.normal(0, 0.0005, BLOCK)


@dataclass
class Evening:
    """What the ears made of it."""

    moves: list = field(default_factory=list)
    refusals: list = field(default_factory=list)
    deaf_s: float = 0.0
    paused_s: float = 0.0
    """For how long we fell silent because she seemed to speak,"""
    pauses: int = 0
    """and how often."""


def reading(seed):
    """The tone at the start, then sentence after sentence, 16 kHz."""
    voice, told = find_voice(), sentences()
    assert voice is not None, "no voice: pip install 'spokenrow[voice]'"
    yield soxr.resample(rising_sound(), PLAYED, RATE)
    number = seed * 17
    while True:
        spoken, rate = voice(told[number % len(told)])
        number += 1
        yield at_level(soxr.resample(np.asarray(spoken, float), rate, RATE))


def words_of(speaker, seed, count, seconds):
    """Her sound, and what was said when."""
    rng, shelf = np.random.default_rng(seed), Shelf()
    order = [WORDS[i % len(WORDS)] for i in rng.permutation(max(count, len(WORDS)))[:count]]
    sound, said = np.zeros(round(seconds * RATE)), []
    for place, text in enumerate(order):
        clip = at_level(shelf.speech(speaker, text))
        at = round((LEARNING_S + 4.5 * place + rng.uniform(0, 1.5)) * RATE)
        sound[at : at + len(clip)] += clip
        said.append(Said(at / RATE, (at + len(clip)) / RATE, text))
    return sound, said


def listen(room, hers, seed, *, yields=True, slips_s=0.0):
    """Reads out into the room while she says what she says; it falls silent for her, unless not
    `yields`. The loudspeaker stands still every `slips_s`, where that is not 0.
    """
    apart, listener, turns, texts = Apart(), Listener(Recogniser()), Turns(RATE), reading(seed)
    found, gap, last = Evening(), 0.5, None
    for start in range(0, len(hers) - BLOCK + 1, BLOCK):
        at_s = start / RATE
        gap -= BLOCK / RATE
        if not turns and gap <= 0:
            last = next(texts)
            turns.add(last.astype(np.float32))
        was = turns.paused
        busy = yields and listener.quiet_s < BREATH_S
        ours, count = turns.take(BLOCK, busy=busy, into_ours=yields and apart.hers)
        found.paused_s += turns.paused * BLOCK / RATE
        found.pauses += turns.paused and not was
        if turns:
            gap = PAUSE_S
        if slips_s and start % (round(slips_s * RATE / BLOCK) * BLOCK) == 0:
            room.stands_still()
            apart.slipped()
        apart.played(ours, at_s, sounding=count > 0)
        sound = room.heard(ours, hers[start : start + BLOCK])
        pcm = (np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes()
        for given, deaf in apart.heard(pcm, at_s):
            found.deaf_s += deaf * len(given) / (2 * RATE)
            for heard in listener.feed(given, deaf=deaf):
                found.refusals += [heard] if heard.reason else []
                if heard.taken or heard.withdrawn:
                    # The ears' clock is late by what is still held back.
                    late = at_s + BLOCK / RATE - listener.now_s
                    found.moves.append(Move(heard.decided_s + late, heard.command, heard.withdrawn))
                if heard.taken:
                    turns.clear()  # as it is answered: with another sound
    return found


def into_it(task):
    """One voice's words into read-back over one way."""
    way_s, level_db, place, (name, voice), part, count, yields = task
    seed = round(1000 * way_s) + place + (500 if level_db else 0)
    hers, said = words_of(voice, seed, count, LEARNING_S + 4.5 * count + 4)
    found = listen(Room(way_s, level_db, seed, part), hers, seed, yields=yields)
    stream = Stream(f"{way_s}", "commands", name, hers, said)
    return way_s, level_db, score(stream, found.moves, 0.0, found.refusals)


def alone(task):
    """Minutes of read-back over one way, with nobody speaking."""
    way_s, level_db, minutes, seed, slips_s = task
    room, nothing = Room(way_s, level_db, seed, "report"), np.zeros(round(60 * minutes * RATE))
    return listen(room, nothing, seed, slips_s=slips_s)


def main():
    """Print one table."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.aloud")
    parser.add_argument("--own", type=float, help="minutes of read-back, over all the ways")
    parser.add_argument("--slips", type=float, default=0.0, help="with --own, seconds")
    parser.add_argument("--count", type=int, default=6, help="words for each voice, way and level")
    parser.add_argument("--tune", action="store_true", help="the tuning voices")
    parser.add_argument("--level", type=float, help="only this loudness of the loudspeaker, dB")
    parser.add_argument("--speaks-on", action="store_true", help="our voice does not yield to hers")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--misses", action="store_true", help="list what was not right")
    chosen = parser.parse_args()
    print(f"On {machine()}:\n", flush=True)
    with ProcessPoolExecutor(chosen.jobs) as pool:
        if chosen.own:
            return _alone(pool, chosen.own, chosen.slips)
        return _words(pool, chosen)


def _alone(pool, minutes, slips_s):
    """In rounds over all the ways, so that a run that is broken off has heard each of them."""
    ways = list(product(sorted((*WAYS_S, 0.07, 0.2, 0.26)), LEVELS_DB))
    rounds = max(1, round(minutes / len(ways) / ROUND_MIN))
    each = minutes / len(ways) / rounds
    found = {way: [] for way in ways}
    for number in range(rounds):
        tasks = [(*way, each, 40 + place + 100 * number, slips_s) for place, way in enumerate(ways)]
        for way, one in zip(ways, pool.map(alone, tasks), strict=True):
            found[way].append(one)
        moved = sum(len(one.moves) for ones in found.values() for one in ones)
        print(f"{(number + 1) * each * len(ways):.0f} minutes: {moved} moves", flush=True)
    print("\n| way | loudspeaker | minutes | moves | heard and refused | deaf | fell silent |")
    print(7 * "|---" + "|")
    for (way, level), ones in found.items():
        moves, refused = sum(len(o.moves) for o in ones), sum(len(o.refusals) for o in ones)
        deaf_s, silent_s = sum(o.deaf_s for o in ones), sum(o.paused_s for o in ones)
        print(
            f"| {1000 * way:.0f} ms | {level:+.0f} dB | {each * rounds:.1f} | {moves} | {refused} |"
            f" {deaf_s:.0f} s | {sum(o.pauses for o in ones)} times, {silent_s:.0f} s |"
        )
    print(f"\n{minutes:g} minutes: {moved} moves by our own voice")
    return 1 if moved else 0


def _words(pool, chosen):
    part = "tune" if chosen.tune else "report"
    lived = {**voices.TUNE, **voices.REPORT}
    speakers = [(name, lived[name]) for name in voices.LIVED[part]]
    each = [
        (way, level, place, speaker, part, chosen.count, not chosen.speaks_on)
        for way, level in product(WAYS_S, LEVELS_DB if chosen.level is None else (chosen.level,))
        for place, speaker in enumerate(speakers)
    ]
    print(
        "| way | loudspeaker | words | right (95 % interval) | asked back as meant | wrong |"
        " without a word | end of the word to the decision: median, 95th |"
    )
    print(8 * "|---" + "|")
    done, whole = {}, Score()
    for way, level, one in pool.map(into_it, each):
        found = done.setdefault((way, level), Score())
        found.add(one)
        whole.add(one)
        if chosen.misses and one.misses:
            print(*one.misses, sep="\n", file=sys.stderr, flush=True)
        if found.said == chosen.count * len(speakers):
            _tell(f"{1000 * way:.0f} ms | {level:+.0f} dB", found)
    _tell("all | ", whole)
    return 0


def _tell(name, found):
    low, high = interval(found.right, found.said)
    share = 100 * found.right / found.said
    print(
        f"| {name} | {found.said} | {share:.0f} % ({100 * low:.0f}–{100 * high:.0f}) |"
        f" {found.asked} | {found.wrong} | {found.false} |"
        f" {1000 * found.wait(50):.0f}, {1000 * found.wait(95):.0f} ms |",
        flush=True,
    )


if __name__ == "__main__":
    sys.exit(main())
