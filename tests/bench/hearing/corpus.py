"""The sound the ears are measured on: streams of commands, talk, words, noise and music.

Raw speech is cached in the user's cache folder; the streams are put together from it anew, always
the same way (all chance is seeded).
"""

import hashlib
import os
import re
from dataclasses import dataclass, field
from functools import cache, partial
from pathlib import Path

import numpy as np
import platformdirs

from engine.words.grammar import vocabulary
from models.command import Context
from tests.bench.hearing import voices
from tests.bench.hearing.voices import RATE

COMMANDS = """row done|advance|take back|take that back|dropped loop|dropped loop at three
dropped loop at seventeen|dropped loop at forty six|dropped loop at one hundred twelve|missed loop
missed loop at ninety|dropped stitch|dropped stitch at eight|loop repaired|repaired|accept mark
rip back two rows|rip back fifteen rows|rip back one row|measured forty|measured fourteen
measured fifty two point five|measured thirty one and a half|measured nine point seven
four more rows|twenty more rows|one more row|it fits|fits|too tight|too loose|where am i|say again
new ball|yes|no|take a break|back to work|finish the make|stop listening|start listening
help""".replace("\n", "|").split("|")


CONTEXTS = {"yes": Context.YES_NO, "no": Context.YES_NO, "start listening": Context.ASLEEP}
"""What is said in answer to something; the rest is said in the middle of a row."""


@dataclass
class Said:
    """One command in a stream; times in seconds of the stream."""

    start_s: float
    end_s: float
    text: str
    context: Context = Context.ROW


@dataclass
class Stream:
    """Sound (int16, 16 kHz) with what was said in it, if anything was."""

    condition: str
    kind: str
    """"commands", or "talk", "words", "noise", where nothing may move."""
    voice: str
    sound: np.ndarray
    said: list[Said] = field(default_factory=list)

    @property
    def seconds(self):
        return len(self.sound) / RATE


class Shelf:
    """The cache of raw speech."""

    def __init__(self):
        self.folder = Path(platformdirs.user_cache_dir("spokenrow")) / "hearing-bench"
        self.folder.mkdir(parents=True, exist_ok=True)

    def speech(self, voice, text):
        """The voice saying the text, silence cut from both ends."""
        key = hashlib.sha1(f"{voice}|{text}".encode()).hexdigest()[:16]
        path = self.folder / f"{key}.wav"
        if not path.exists():
            making = path.with_name(f"{key}.{os.getpid()}.wav")
            voices.synthesise(voice, text, making)
            making.rename(path)
        return trimmed(voices.load(path))

    def human(self, path):
        """A recorded person's file, silence cut from both ends."""
        key = hashlib.sha1(str(path).encode()).hexdigest()[:16]
        kept = self.folder / f"{key}.npy"
        if not kept.exists():
            np.save(kept, voices.load(path).astype(np.float32))
        return trimmed(np.load(kept))


def trimmed(sound, below_db=-36):
    """Without what is softer than `below_db` under the loudest 20 ms, at both ends."""
    count = len(sound) // 320
    if not count:
        return sound
    level = np.sqrt((sound[: count * 320].reshape(count, 320) ** 2).mean(axis=1)) + 1e-9
    loud = np.flatnonzero(20 * np.log10(level / level.max()) > below_db)
    return sound[loud[0] * 320 : (loud[-1] + 1) * 320]


def loudness(sound):
    """Root mean square of the louder frames: the level of the speech, not of its pauses."""
    count = max(1, len(sound) // 320)
    level = np.sqrt((sound[: count * 320].reshape(count, -1) ** 2).mean(axis=1))
    return float(np.sqrt((level[level > level.max() / 10] ** 2).mean()))


SPEECH_LEVEL = 0.06
"""Root mean square to which every speaker is brought: about -24 dB of full scale."""


def at_level(sound, level=SPEECH_LEVEL):
    return sound * (level / max(loudness(sound), 1e-6))


def room(seconds, rng, level=0.0005):
    """A quiet room and the microphone's own hiss, -66 dB."""
    return rng.normal(0, level, round(seconds * RATE))


def hiss(seconds):
    """An empty room as the microphone gives it, int16."""
    return (room(seconds, np.random.default_rng(0)) * 32768).astype("<i2")


def pink(seconds, rng):
    """Noise whose power falls by 3 dB an octave (from 60 Hz), root mean square 1."""
    count = round(seconds * RATE)
    spectrum = np.fft.rfft(rng.normal(size=count))
    hz = np.maximum(np.fft.rfftfreq(count, 1 / RATE), 60)
    sound = np.fft.irfft(spectrum / np.sqrt(hz), count)
    return sound / sound.std()


def babble(shelf, seconds, rng):
    """Six people reading at once, root mean square 1."""
    mixed = np.zeros(round(seconds * RATE))
    for number, voice in enumerate([*voices.TUNE.values(), *list(voices.REPORT.values())[:2]]):
        talk = at_level(shelf.speech(voice, reading(120, seed=900 + number)))
        mixed += np.roll(np.resize(talk, len(mixed)), rng.integers(len(talk)))
    return mixed / mixed.std()


def music(seconds, rng):
    """Plucked tones with overtones, chords and a beat: no voice, but far from steady."""
    count = round(seconds * RATE)
    sound = np.zeros(count + RATE * 3)
    scale = 220 * 2 ** (np.array([0, 2, 4, 7, 9, 12, 14, 16]) / 12)
    at = 0
    while at < count:
        beat = int(rng.choice([4000, 8000, 12_000]))
        for hz in rng.choice(scale, rng.integers(1, 4), replace=False):
            t = np.arange(round(RATE * rng.uniform(0.3, 1.5))) / RATE
            tone = sum(np.sin(2 * np.pi * hz * k * t) / k for k in range(1, 8))
            sound[at : at + len(t)] += tone * np.exp(-t * 4)
        at += beat
    sound = sound[:count]
    return sound / sound.std()


def clatter(seconds, rng):
    """Needles, cups and a chair: short knocks in a quiet room."""
    sound = np.zeros(round(seconds * RATE))
    for at in rng.uniform(0, seconds - 1, round(seconds * 0.8)):
        t = np.arange(round(RATE * rng.uniform(0.02, 0.25))) / RATE
        ring = np.sin(2 * np.pi * rng.uniform(300, 5000) * t) + rng.normal(0, 0.7, len(t))
        start = round(at * RATE)
        sound[start : start + len(t)] += ring * np.exp(-t * rng.uniform(15, 80)) * 0.2
    return sound


def echo(sound, seconds=0.5, seed=5):
    """A live room: exponentially dying reflections, 60 dB in `seconds`; the direct sound leads."""
    rng = np.random.default_rng(seed)
    t = np.arange(round(seconds * RATE)) / RATE
    tail = rng.normal(0, 1, len(t)) * 10 ** (-3 * t / seconds)
    tail[: round(0.004 * RATE)] = 0
    tail *= 0.5 / np.sqrt((tail**2).sum())
    tail[0] = 1.0
    size = len(sound) + len(tail)
    return np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(tail, size), size)[: len(sound)]


def reading(words, seed):
    """Running text of about that many words: licence texts, which every Debian has."""
    sentences = _sentences()
    rng = np.random.default_rng(seed)
    picked, count = [], 0
    start = int(rng.integers(len(sentences)))
    while count < words:
        sentence = " ".join(sentences[start % len(sentences)].split())
        picked.append(sentence)
        count += len(sentence.split())
        start += 1
    return " ".join(picked)


@cache
def _sentences():
    text = " ".join(
        (Path("/usr/share/common-licenses") / name).read_text(errors="ignore")
        for name in ("GPL-3", "GFDL-1.3", "LGPL-2.1", "MPL-2.0")
    )
    return [
        s for s in re.split(r"(?<=[.;:])\s+", re.sub(r"[^A-Za-z.,;:' ]+", " ", text)) if len(s) > 20
    ]


def foreign_words(count, seed):
    """Dictionary words, most of them short, none of which is a command word or sounds like one."""
    import pocketsphinx

    path = Path(pocketsphinx.get_model_path("en-us")) / "cmudict-en-us.dict"
    sounds = {}
    for line in path.read_text().splitlines():
        word, *phones = line.split()
        sounds.setdefault(word.split("(")[0], set()).add(tuple(phones))
    commands = set().union(*(sounds.get(w, set()) for w in vocabulary()))
    foreign = sorted(
        word
        for word, phones in sounds.items()
        if word.isalpha() and 2 <= len(word) <= 9 and not phones & commands
    )
    return list(np.random.default_rng(seed).choice(foreign, count, replace=False))


def commands_stream(shelf, speaker, texts, condition, rng):
    """Each command alone, a second and more of quiet between them, in its room."""
    voice_name, voice = speaker
    pieces, said, at = [room(2.5, rng)], [], 2.5
    for text in texts:
        speech = at_level(shelf.speech(voice, text))
        said.append(Said(at, at + len(speech) / RATE, text, CONTEXTS.get(text, Context.ROW)))
        gap = rng.uniform(1.2, 2.2)
        pieces += [speech, np.zeros(round(gap * RATE))]
        at += len(speech) / RATE + gap
    return finish(
        shelf,
        np.concatenate(pieces),
        rng,
        kind="commands",
        voice=voice_name,
        condition=condition,
        said=said,
    )


def numbers_stream(shelf, condition, rng):
    """The recorded woman's numbers, where a number is asked for."""
    names = "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen"
    names = f"{names} fifteen sixteen seventeen eighteen nineteen twenty".split()
    names += ["thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
    pieces, said, at = [room(2.5, rng)], [], 2.5
    for text, path in zip(names, voices.human_numbers().values(), strict=True):
        speech = at_level(shelf.human(path))
        said.append(Said(at, at + len(speech) / RATE, text, Context.NUMBER))
        gap = rng.uniform(1.2, 2.2)
        pieces += [speech, np.zeros(round(gap * RATE))]
        at += len(speech) / RATE + gap
    return finish(
        shelf,
        np.concatenate(pieces),
        rng,
        kind="commands",
        voice="recorded woman",
        condition=condition,
        said=said,
    )


def apart(clips, rng, gap=(1.0, 2.0)):
    """Clips one after the other with quiet between them."""
    pieces = [np.zeros(2 * RATE)]
    for clip in clips:
        pieces += [at_level(clip), np.zeros(round(rng.uniform(*gap) * RATE))]
    return np.concatenate(pieces)


CONDITIONS = {
    "clean": lambda shelf, s, rng: s,
    "echo": lambda shelf, s, rng: echo(s),
    "soft voice": lambda shelf, s, rng: s * 0.1,
    "pink 20 dB": lambda shelf, s, rng: s + pink(len(s) / RATE, rng) * SPEECH_LEVEL / 10,
    "pink 10 dB": lambda shelf, s, rng: s + pink(len(s) / RATE, rng) * SPEECH_LEVEL / 10**0.5,
    "pink 5 dB": lambda shelf, s, rng: s + pink(len(s) / RATE, rng) * SPEECH_LEVEL / 10**0.25,
    "music 20 dB": lambda shelf, s, rng: s + music(len(s) / RATE, rng) * SPEECH_LEVEL / 10,
    "babble 20 dB": lambda shelf, s, rng: s + babble(shelf, len(s) / RATE, rng) * SPEECH_LEVEL / 10,
    "babble 10 dB": lambda shelf, s, rng: (
        s + babble(shelf, len(s) / RATE, rng) * SPEECH_LEVEL / 10**0.5
    ),
}


def finish(shelf, sound, rng, *, kind, voice, condition, said=()):
    """The stream in its condition, as the microphone would give it."""
    change = CONDITIONS.get(condition)
    heard = change(shelf, sound, rng) if change else sound
    heard = heard + rng.normal(0, 0.0005, len(heard))
    pcm = np.clip(heard * 32768, -32768, 32767).astype("<i2")
    return Stream(condition, kind, voice, pcm, list(said))


def orders(part, quick=False, only=None):
    """As `lived.orders`; the streams of a condition share what they are made of, so they are made
    here.
    """
    return [partial(_itself, one) for one in build(part, quick, only)]


def _itself(one):
    return one


def build(part, quick=False, only=None):
    """Yields the streams. `part` is "tune" or "report"; `only` keeps conditions that hold it."""
    shelf = Shelf()
    speakers = voices.TUNE if part == "tune" else voices.REPORT
    texts = COMMANDS[::3] if quick else COMMANDS
    base = 0 if part == "tune" else 10_000
    conditions = ("clean", "pink 10 dB") if quick else CONDITIONS
    for number, condition in enumerate(conditions):
        if only and only not in condition:
            continue
        for place, speaker in enumerate(speakers.items()):
            rng = np.random.default_rng(base + 100 * number + place)
            order = [texts[i] for i in rng.permutation(len(texts))]
            yield commands_stream(shelf, speaker, order, condition, rng)
        if part == "report":
            yield numbers_stream(shelf, condition, np.random.default_rng(base + number))
    for stream in _nothing_said(shelf, part, speakers, quick, base):
        if not only or only in stream.condition:
            yield stream


def _conversation(shelf, speakers, count, rng):
    """People answering each other in scraps of two to eight words, with pauses as people make."""
    words = reading(count * 8, seed=int(rng.integers(1 << 30))).split()
    clips, at = [], 0
    while len(clips) < count:
        length = int(rng.integers(2, 9))
        scrap = " ".join(words[at : at + length])
        at += length
        clips.append(shelf.speech(speakers[len(clips) % len(speakers)], scrap))
    return apart(clips, rng, gap=(0.3, 2.5))


def _nothing_said(shelf, part, speakers, quick, base):
    rng = np.random.default_rng(base + 7777)
    scale = 0.15 if quick else 1.0
    for place, (name, voice) in enumerate(speakers.items()):
        text = reading(round(900 * scale), seed=base + place)
        talk = at_level(shelf.speech(voice, text))
        yield finish(shelf, talk, rng, kind="talk", voice=name, condition="continuous talk")
    chat = _conversation(shelf, list(speakers.values()), round(250 * scale), rng)
    yield finish(shelf, chat, rng, kind="talk", voice="all in turn", condition="conversation")
    for place, (name, voice) in enumerate(speakers.items()):
        words = foreign_words(round(100 * scale), seed=base + 50 + place)
        sound = apart([shelf.speech(voice, word) for word in words], rng)
        yield finish(shelf, sound, rng, kind="words", voice=name, condition="foreign words apart")
    if part == "report":
        prompts = voices.human_prompts()[:: (8 if quick else 1)]
        sound = apart([shelf.human(path) for path in prompts], rng)
        yield finish(
            shelf, sound, rng, kind="words", voice="recorded woman", condition="human prompts apart"
        )
        read = apart([shelf.human(p) for p in voices.human_reading()], rng, (0.3, 0.6))
        yield finish(shelf, read, rng, kind="talk", voice="read aloud", condition="human reading")
    length = 60 if quick else 600
    for name, sound in (
        ("pink noise", pink(length, rng) * 0.02),
        ("music", music(length, rng) * 0.04),
        ("clatter", clatter(length, rng)),
        ("babble", babble(shelf, length / 2, rng) * 0.03),
    ):
        yield finish(shelf, sound, rng, kind="noise", voice=name, condition=name)


def wanted(name, only):
    """Whether a condition is one of those that are asked for: all, or letters between commas."""
    return not only or any(letters in name for letters in only.split(","))
