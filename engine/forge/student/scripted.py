"""Speech whose words are known: English by synthetic voices, for phones that the rest lacks.

Formant voices (espeak-ng) for variety, natural ones (`natural`) for how people sound.

Commands, single common words (most of them no command) and strings of common words, so that the
student hears every English phone in many contexts and not the commands alone.
"""

import json
import subprocess
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import soxr
from wordfreq import top_n_list

from engine.forge.lexicon import with_variants
from engine.forge.near import near_phrases, part
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
_NEAR = 40
_COMMON = 8000
_FEW, _SHARE_OF_FEW = 100, 0.6
"""Numbers below this are said more than the others."""


_dictionary = cache(read_dictionary)
_common = cache(top_n_list)


def texts(random: np.random.Generator, share: float = 1.0, near: Sequence[str] = ()) -> list[str]:
    """What one voice says, or a share of it; some of the `near` phrases too, if there are any."""
    dictionary = _dictionary()

    def count(of: int) -> int:
        return round(of * share)

    said = [_command(random) for _ in range(count(_COMMANDS))]
    alone = sorted(" ".join(words) for words in numbers() if len(words) == 1)
    said += random.choice(alone, count(_NUMBERS)).tolist()
    common = [w for w in _common("en", _COMMON) if w in dictionary and w.isalpha()]
    said += random.choice(common, count(_WORDS)).tolist()
    said += [" ".join(random.choice(common, _STRING_WORDS)) for _ in range(count(_STRINGS))]
    if near:
        said += random.choice(near, count(_NEAR)).tolist()
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


_BLENDS = 40
_SLOWEST, _QUICKEST = 0.75, 1.6
"""Paces, as shares of the voice's own: evenly spread by their logarithm."""


def planned(work: Path) -> None:
    """Writes `reading.json`: what each natural voice reads, and how fast.

    Voices made for English come first, then their blends: a reading that is broken off has those.
    """
    _, voices = natural.fetched(work)
    names = natural.names(voices)
    kept = [name for name in names if split(f"kokoro/{name}") == "train"]
    dictionary, _ = with_variants(read_dictionary())
    near = sorted(p for p in near_phrases(dictionary) if part(p) == "tune")
    random = np.random.default_rng((SEED, 2))
    order = sorted(names, key=lambda name: not natural.is_english(name))
    english = sum(map(natural.is_english, names))
    order[english:english] = natural.blends(random, kept, _BLENDS)
    plan = []
    for number, name in enumerate(order):
        random = np.random.default_rng((SEED, 1, number))
        said = texts(random, 1.0 if natural.is_english(name) else natural.FOREIGN_SHARE, near)
        paces = np.exp(random.uniform(np.log(_SLOWEST), np.log(_QUICKEST), len(said)))
        plan.append(
            {
                "voice": name,
                "texts": said,
                "said": natural.tokens(name, said),
                "paces": paces.round(3).tolist(),
            }
        )
    (work / "reading.json").write_text(json.dumps(plan))


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

    for name, clips in formant():
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
    planned(work)
    index += json.loads((work / "reading.json").read_text())
    dictionary = read_dictionary()
    words = sorted({word for entry in index for text in entry["texts"] for word in text.split()})
    (corpus / "lexicon.json").write_text(json.dumps({w: dictionary[w][0] for w in words}))
