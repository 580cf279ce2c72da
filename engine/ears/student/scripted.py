"""Speech whose words are known: English by synthetic voices, for phones that the rest lacks.

Formant voices (espeak-ng) for variety, natural ones (`natural`) for how people sound.

Commands, single common words (most of them no command) and strings of common words, so that the
student hears every English phone in many contexts and not the commands alone.
"""

import json
import subprocess
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np
import soxr
from wordfreq import top_n_list

from engine.ears.forge.sphinx import read_dictionary
from engine.ears.grammar import lengths, numbers, patterns
from engine.ears.student import natural
from engine.ears.student.speech import RATE, split, written
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


def texts(random: np.random.Generator, share: float = 1.0) -> list[str]:
    """What one voice says, or a share of it."""
    dictionary = read_dictionary()
    fillings = {"{n}": sorted(numbers()), "{m}": sorted(lengths())}
    every = sorted({tuple(p) for p in patterns(Context.NUMBER)})
    said = []
    for _ in range(round(_COMMANDS * share)):
        words: list[str] = []
        for word in every[random.integers(len(every))]:
            options = fillings.get(word)
            words += options[random.integers(len(options))] if options else [word]
        said.append(" ".join(words))
    common = [w for w in top_n_list("en", _COMMON) if w in dictionary and w.isalpha()]
    said += random.choice(common, round(_WORDS * share)).tolist()
    said += [" ".join(random.choice(common, _STRING_WORDS)) for _ in range(round(_STRINGS * share))]
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


Clips = list[tuple[str, np.ndarray]]
"""Texts and their sound."""


def formant() -> Iterator[tuple[str, Clips]]:
    """Each espeak-ng voice with what it says."""
    for number, variant in enumerate(VARIANTS):
        random = np.random.default_rng((SEED, number))
        name = f"{DIALECTS[number % len(DIALECTS)]}+{variant}"
        said = texts(random)
        speeds = random.integers(120, 190, len(said)).tolist()
        pitches = random.integers(30, 70, len(said)).tolist()
        with ThreadPoolExecutor(2) as pool:
            sounds = list(pool.map(spoken, [name] * len(said), speeds, pitches, said))
        yield f"espeak-ng/{name}", list(zip(said, sounds, strict=True))


def read_aloud(work: Path, done: Callable[[str], bool]) -> Iterator[tuple[str, Clips]]:
    """Each natural voice with what it says, but for those that are `done`."""
    weights, voices = natural.fetched(work)
    readers = natural.Readers(weights, voices)
    for number, voice in enumerate(natural.names(voices)):
        random = np.random.default_rng((SEED, 1, number))
        said = texts(random, 1.0 if natural.is_english(voice) else natural.FOREIGN_SHARE)
        paces = random.uniform(0.8, 1.25, len(said)).tolist()
        if not done(name := f"kokoro/{voice}"):
            yield name, list(zip(said, readers.read(voice, paces, said), strict=True))
    readers.close()


def scripted(work: Path) -> None:
    """Writes one Opus file a voice and `scripted.json`: voice, file, clips in samples, texts;
    and `lexicon.json`: how each of the words is pronounced.

    A voice that an earlier run has written is kept, so the stage can be broken off.
    """
    corpus = work / "corpus"
    kept = corpus / "scripted.json"
    index: list[dict[str, Any]] = json.loads(kept.read_text()) if kept.exists() else []

    def done(name: str) -> bool:
        return any(entry["speaker"] == name for entry in index)

    for name, clips in chain(formant(), read_aloud(work, done)):
        if done(name):
            continue
        file = f"{name.replace('/', '-').replace('+', '-')}.ogg"
        written(corpus / file, np.concatenate([sound for _, sound in clips]))
        index.append(
            {
                "speaker": name,
                "split": split(name),
                "file": file,
                "clips": [len(sound) for _, sound in clips],
                "texts": [text for text, _ in clips],
            }
        )
        kept.write_text(json.dumps(index))
        print(name, flush=True)
    dictionary = read_dictionary()
    words = sorted({word for entry in index for text in entry["texts"] for word in text.split()})
    (corpus / "lexicon.json").write_text(json.dumps({w: dictionary[w][0] for w in words}))
