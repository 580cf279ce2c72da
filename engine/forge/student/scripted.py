"""Speech whose words are known: English by synthetic voices, for phones that the rest lacks.

Formant voices (espeak-ng) for variety, natural ones (`natural`) for how people sound.

Commands, single common words (most of them no command) and strings of common words, so that the
student hears every English phone in many contexts and not the commands alone.
"""

import json
import subprocess
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np
import soxr
from wordfreq import top_n_list

from engine.forge.sphinx import read_dictionary
from engine.forge.student import natural
from engine.forge.student.speech import RATE, split, written
from engine.words.grammar import attention, lengths, numbers, patterns
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
_COMMANDS, _NUMBERS, _WORDS, _STRINGS, _STRING_WORDS = 48, 22, 48, 26, 6
_COMMON = 8000
_FEW, _SHARE_OF_FEW = 100, 0.6
"""Numbers below this are said more than the others."""


def texts(random: np.random.Generator, share: float = 1.0) -> list[str]:
    """What one voice says, or a share of it."""
    dictionary = read_dictionary()

    def count(of: int) -> int:
        return round(of * share)

    said = [_command(random) for _ in range(count(_COMMANDS))]
    alone = sorted(" ".join(words) for words in numbers() if len(words) == 1)
    said += random.choice(alone, count(_NUMBERS)).tolist()
    common = [w for w in top_n_list("en", _COMMON) if w in dictionary and w.isalpha()]
    said += random.choice(common, count(_WORDS)).tolist()
    said += [" ".join(random.choice(common, _STRING_WORDS)) for _ in range(count(_STRINGS))]
    return [text for text in said if all(word in dictionary for word in text.split())]


def _command(random: np.random.Generator) -> str:
    """One of the phrases, its numbers mostly below a hundred, as they are in a garment."""
    call = attention()
    every = sorted({p for p in patterns(Context.NUMBER) if p[: len(call)] != call or p == call})
    fillings: dict[str, Mapping[tuple[str, ...], float]] = {"{n}": numbers(), "{m}": lengths()}
    words: list[str] = []
    for word in every[random.integers(len(every))]:
        if (values := fillings.get(word)) is None:
            words.append(word)
            continue
        most = _FEW if random.random() < _SHARE_OF_FEW else np.inf
        options = sorted(said for said, value in values.items() if value < most)
        words += options[random.integers(len(options))]
    return " ".join(words)


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
