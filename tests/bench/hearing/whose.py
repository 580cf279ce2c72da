"""Tells voices apart: how often a maker is not known as herself, and another is not told from her.

    python -m tests.bench.hearing.whose FOLDER ...

Over kept streams (`--keep`) of commands. Each voice is learnt from what it says in the quiet, as a
rehearsal would, and then every command of every condition is held against it, where it was said.
What is said in the quiet itself is held against the rest of that.
"""

import argparse
from collections import defaultdict
from pathlib import Path
from typing import NamedTuple

import numpy as np

from engine.ears.guard import ANOTHERS
from engine.ears.hers import Timbre
from engine.ears.likeness import likeness, voice_in
from engine.ears.phones import Phones
from engine.ears.recogniser import starter_dir
from engine.forge.likeness import equal_error
from tests.bench.hearing import kept
from tests.bench.hearing.voices import RATE

_LEARNT_IN = ("quiet", "accents")
_BEFORE_S, _AFTER_S = 0.15, 0.2


class Word(NamedTuple):
    """A command and how whoever said it sounds."""

    speaker: str
    condition: str
    text: str
    voice: Timbre


def words(path, phones):
    """The commands of a kept stream; those of which nothing can be told are left out."""
    stream = kept.read(path)
    for said in stream.said:
        start = max(0, round((said.start_s - _BEFORE_S) * RATE))
        sound = stream.sound[start : round((said.end_s + _AFTER_S) * RATE)]
        scores = phones.scores(sound)
        if fit := phones.fit(scores, said.text):
            voice = voice_in(sound, phones, scores, fit)
            yield Word(stream.voice, stream.condition, said.text, voice)


def odds(every):
    """(condition, text, odds) of each word against its own voice, and against all others'."""
    learnt = defaultdict(list)
    for word in every:
        if word.condition in _LEARNT_IN:
            learnt[word.speaker].append(word)
    own, others = [], []
    for word in every:
        for speaker, hers in learnt.items():
            voice = Timbre()
            for one in hers:
                if one is not word:
                    voice = voice.and_also(one.voice)
            found = word.condition, word.text, likeness().odds(voice, word.voice)
            (own if speaker == word.speaker else others).append(found)
    return own, others


def _line(name, own, others):
    lost = np.mean([odds < ANOTHERS for _, _, odds in own])
    told = np.mean([odds < ANOTHERS for _, _, odds in others])
    error = equal_error([one[2] for one in own], [one[2] for one in others])
    print(
        f"  {name:22}{len(own):6}{len(others):8}{100 * error:12.1f}{100 * lost:10.1f}"
        f"{100 * told:10.0f}"
    )


def main():
    """Reads the folders and prints a line for each condition; in a hundred."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.hearing.whose")
    parser.add_argument("folders", type=Path, nargs="+")
    chosen = parser.parse_args()
    phones = Phones(starter_dir())
    paths = [path for folder in chosen.folders for path in kept.paths(folder)]
    every = [word for path in paths for word in words(path, phones)]
    own, others = odds(every)
    print(f"{len(every)} commands of {len({word.speaker for word in every})} voices")
    print(f"  {'condition':22}{'hers':>6}{'others':>8}{'equal error':>12}{'lost':>10}{'told':>10}")
    for condition in dict.fromkeys(word.condition for word in every):
        both = ([one for one in side if one[0] == condition] for side in (own, others))
        _line(condition, *both)
    _line(
        "yes and no", *([one for one in side if one[1] in ("yes", "no")] for side in (own, others))
    )
    _line("all", own, others)


if __name__ == "__main__":
    main()
