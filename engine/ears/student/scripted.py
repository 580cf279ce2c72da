"""Speech whose words are known: English by synthetic voices, for phones that the rest lacks.

Commands, single common words (most of them no command) and strings of common words, so that the
student hears every English phone in many contexts and not the commands alone.
"""

import json
import subprocess
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import soxr
from wordfreq import top_n_list

from engine.ears.forge.sphinx import read_dictionary
from engine.ears.grammar import lengths, numbers, patterns
from engine.ears.student.speech import RATE, written
from models.command import Context

_VARIANTS = (
    "f1 f4 f5 m1 m2 m4 m5 m6 m8 klatt2 klatt3 Alicia Andrea Andy Annie Diogo Gene Lee Marco "
    "Michael Mike adam anika antonio aunty belinda benjamin boris david ed edward gustave iven "
    "john kaukovalta linda marcelo max michel miguel"
)
"""Of espeak-ng. Not among them: those that the hearing bench tunes or reports with."""
VARIANTS = tuple(_VARIANTS.split())
DIALECTS = ("en-us", "en-us", "en-gb-x-rp", "en-us", "en-029")
"""Taken in turn. Plain en-gb and en-gb-scotland are the bench's."""
SEED = 8
_COMMANDS, _WORDS, _STRINGS, _STRING_WORDS = 44, 44, 22, 6
_COMMON = 8000


def texts(random: np.random.Generator) -> list[str]:
    """What one voice says."""
    dictionary = read_dictionary()
    fillings = {"{n}": sorted(numbers()), "{m}": sorted(lengths())}
    every = sorted({tuple(p) for p in patterns(Context.NUMBER)})
    said = []
    for _ in range(_COMMANDS):
        words: list[str] = []
        for word in every[random.integers(len(every))]:
            options = fillings.get(word)
            words += options[random.integers(len(options))] if options else [word]
        said.append(" ".join(words))
    common = [w for w in top_n_list("en", _COMMON) if w in dictionary and w.isalpha()]
    said += random.choice(common, _WORDS).tolist()
    said += [" ".join(random.choice(common, _STRING_WORDS)) for _ in range(_STRINGS)]
    return [text for text in said if all(word in dictionary for word in text.split())]


def spoken(voice: str, speed: int, pitch: int, text: str) -> np.ndarray:
    """The text by an espeak-ng voice, int16."""
    raw = subprocess.run(
        ["espeak-ng", "-v", voice, "-s", str(speed), "-p", str(pitch), "--stdout", text],
        capture_output=True,
        check=True,
    ).stdout
    rate = int.from_bytes(raw[24:28], "little")
    sound: np.ndarray = soxr.resample(np.frombuffer(raw[44:], "<i2"), rate, RATE)
    return sound


def voices() -> Iterator[tuple[str, list[tuple[str, np.ndarray]]]]:
    """Each voice with its texts and their sound."""
    for number, variant in enumerate(VARIANTS):
        random = np.random.default_rng((SEED, number))
        name = f"{DIALECTS[number % len(DIALECTS)]}+{variant}"
        said = texts(random)
        speeds = random.integers(120, 190, len(said)).tolist()
        pitches = random.integers(30, 70, len(said)).tolist()
        with ThreadPoolExecutor(2) as pool:
            sounds = list(pool.map(spoken, [name] * len(said), speeds, pitches, said))
        yield name, list(zip(said, sounds, strict=True))


def scripted(corpus: Path) -> None:
    """Writes one Opus file a voice and `scripted.json`: voice, file, clips in samples, texts;
    and `lexicon.json`: how each of the words is pronounced.
    """
    index: list[dict[str, Any]] = []
    for number, (name, clips) in enumerate(voices()):
        file = f"s{number:03}.ogg"
        written(corpus / file, np.concatenate([sound for _, sound in clips]))
        index.append(
            {
                "speaker": f"espeak-ng/{name}",
                "split": "train",
                "file": file,
                "clips": [len(sound) for _, sound in clips],
                "texts": [text for text, _ in clips],
            }
        )
    (corpus / "scripted.json").write_text(json.dumps(index))
    dictionary = read_dictionary()
    words = sorted({word for entry in index for text in entry["texts"] for word in text.split()})
    (corpus / "lexicon.json").write_text(json.dumps({w: dictionary[w][0] for w in words}))
