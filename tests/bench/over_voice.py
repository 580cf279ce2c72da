"""Words said into our own voice through a real stream, as loud as it is.

    python -m tests.bench.over_voice [--count 15] [--leak 130] [--misses]

starts a sound server of its own, whose loudspeaker comes back into the microphone so many
milliseconds later and no softer, reads rows of a cardigan out without an end, and speaks `--count`
words of each voice into that: microphone, canceller, ears and guard are the app's own, and so is
that our voice yields to hers. The voices are reporting ones; two are of the kind that reads out.
"""

import argparse
import json
import os
import random
import subprocess
import sys
import tempfile
import threading
import time
from itertools import count as numbers
from pathlib import Path

import numpy as np
import soundfile

from tests.bench.__main__ import machine
from tests.bench.hearing.table import interval
from tests.bench.hearing.voices import REPORT, load, synthesise
from tests.bench.read_out import WORDS, sentences
from tests.sound.pulse import Pulse

RATE = 16_000
VOICES = ("flite rms", "flite awb", "espeak en-us+f2", "espeak scotland")
LEARNING_S, ANSWERED_S, BETWEEN_S = 16.0, 2.5, 0.6
"""Before her first word; for an answer after each; and then before the next."""
_SOUNDS = 0.01


class Spoken:
    """What the ears made of the word that is being said, or of none."""

    def __init__(self):
        self.meant = self.end_s = None
        self.taken, self.asked, self.unasked, self.seen = [], False, 0, []

    def begin(self, meant):
        self.taken, self.asked, self.seen, self.meant = [], False, [], meant

    def hear(self, heard):
        self.seen.append(f"{heard.heard} ({heard.reason or 'taken'})")
        if self.meant is None:
            self.unasked += heard.taken
        elif heard.withdrawn:
            self.taken = self.taken[:-1]
        elif heard.taken:
            self.taken.append((heard.command, time.monotonic()))
        elif heard.asks and heard.command == self.meant:
            self.asked = True


def loudness(sound):
    """Root mean square where it sounds."""
    return float(np.sqrt(np.mean(np.square(sound[np.abs(sound) > _SOUNDS]))))


def said_as_loud(name, text, ours, folder):
    """A file in which that voice says it, as loud as `ours`."""
    path = folder / "said.wav"
    synthesise(REPORT[name], text, path)
    said = load(path)
    sounds = np.flatnonzero(np.abs(said) > _SOUNDS)
    said = said[sounds[0] : sounds[-1]]
    said = np.clip(said * ours / loudness(said), -1, 1)
    soundfile.write(path, said, RATE, subtype="PCM_16")
    return path


def one_word(spoken, path, meant):
    """Say it, and wait for what comes of it."""
    spoken.begin(meant)
    subprocess.run(["paplay", "--device=mic", path], check=True)
    ended = time.monotonic()
    while time.monotonic() < ended + ANSWERED_S and not spoken.taken:
        time.sleep(0.02)
    time.sleep(BETWEEN_S)
    taken, spoken.meant = spoken.taken, None
    return {
        "right": len(taken) == 1 and taken[0][0] == meant,
        "wrong": any(command != meant for command, _ in taken),
        "asked": spoken.asked and not taken,
        "wait_ms": 1000 * (taken[0][1] - ended) if taken else None,
        "heard": "; ".join(spoken.seen),
    }


def inside(folder, count):
    """In the environment of the sound server; tells each word in a line of JSON."""
    from counter.sound.listening import EarsHeard
    from counter.sound.opening import ears_from
    from counter.sound.speech import find_voice
    from counter.sound.voice import Voice
    from engine.words.phrases import phrase_book
    from models.command import Situation

    voice, told = Voice(), sentences()
    voice.open()
    ears = ears_from(folder, None, "testmic", None, voice)
    spoken, over = Spoken(), threading.Event()
    voice.busy = lambda: ears.talking

    def post(news):
        if isinstance(news, EarsHeard):
            spoken.hear(news.heard)
            if news.heard.taken:
                voice._speaker.hush()  # as it is answered: with another sound

    def read_out():
        for number in numbers():
            if over.wait(0.4):
                return
            voice._speaker.say(told[number % len(told)])
            while not voice.speaking and not over.wait(0.02):
                pass
            while voice.speaking and not over.wait(0.02):
                pass

    ears.open(post, Situation, voice.without_ours)
    while not ears.hearing:
        time.sleep(0.1)
    voice.hello()
    time.sleep(2.0)
    threading.Thread(target=read_out, daemon=True).start()
    ours = loudness(np.asarray(find_voice()(told[3])[0]))
    time.sleep(LEARNING_S)
    dice = random.Random(5)
    for name in VOICES:
        for text in dice.sample(WORDS, min(count, len(WORDS))):
            path = said_as_loud(name, text, ours, folder)
            while not voice.speaking:
                time.sleep(0.02)
            time.sleep(dice.uniform(0.3, 0.9))
            breaks, into = ears._source.breaks, voice.speaking
            given = one_word(spoken, path, phrase_book().read(text).command)
            broke = ears._source.breaks != breaks
            given |= {"voice": name, "text": text, "into": into, "broke": broke}
            print(json.dumps(given), flush=True)
    print(json.dumps({"unasked": spoken.unasked}), flush=True)
    over.set()
    os._exit(0)  # a sound server that goes first must not hold this up


def main():
    parser = argparse.ArgumentParser(prog="python -m tests.bench.over_voice")
    parser.add_argument("--count", type=int, default=15, help="words of each voice")
    parser.add_argument("--leak", type=int, default=130, metavar="MS")
    parser.add_argument("--misses", action="store_true", help="tell what was not right")
    parser.add_argument("--inside", type=Path, help="used by itself: the folder of the server")
    chosen = parser.parse_args()
    if chosen.inside:
        return inside(chosen.inside, chosen.count)
    print(f"On {machine()}, over {chosen.leak} ms, as loud as our voice:\n", flush=True)
    with tempfile.TemporaryDirectory() as folder:
        pulse = Pulse(Path(folder))
        pulse.start()
        try:
            pulse.leak(chosen.leak / 1000, 0)
            words = (sys.executable, "-m", "tests.bench.over_voice", "--inside", folder)
            out = subprocess.Popen(
                [*words, "--count", str(chosen.count)], env=pulse.env,
                stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
            )  # fmt: skip
            found = [json.loads(line) for line in out.stdout if line.startswith("{")]
        finally:
            pulse.kill()
    *said, end = found
    for one in said:
        if chosen.misses and not one["right"]:
            lost = " (the microphone lost sound)" if one["broke"] else ""
            print(f"{one['voice']}: “{one['text']}”: {one['heard'] or 'nothing'}{lost}")
    for name in (*VOICES, ""):
        tell(name or "all", [one for one in said if name in ("", one["voice"])])
    into, broke = (sum(one[what] for one in said) for what in ("into", "broke"))
    print(f"\n{into} of {len(said)} began while our voice sounded, in {broke} sound was lost;")
    print(f"{end['unasked']} moves without a word")
    return 0


def tell(name, said):
    right = sum(one["right"] for one in said)
    low, high = interval(right, len(said))
    waits = [one["wait_ms"] for one in said if one["right"]]
    wait = f"{np.median(waits):.0f}, {np.percentile(waits, 95):.0f} ms" if waits else "–"
    print(
        f"{name}: {right} of {len(said)} right ({100 * low:.0f}–{100 * high:.0f}),"
        f" {sum(one['wrong'] for one in said)} wrong,"
        f" {sum(one['asked'] for one in said)} asked back as meant; wait {wait}"
    )


if __name__ == "__main__":
    sys.exit(main())
