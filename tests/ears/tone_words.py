"""A language of tones: one frequency per word, and a decoder that understands it exactly.

It lets the listener be tested without a voice model: what the ears make of quiet, talk and time
does not depend on how words sound.
"""

from types import SimpleNamespace

import numpy as np

from models.command import Context

RATE = 16_000
WORDS = (  # noqa: SIM905 - read as the words they are
    "row done advance take back that dropped loop at missed repaired rip rows one more measured "
    "point and a half twelve twenty five forty yes no where am i help hum [unk] listen now "
    "hundred"
).split()
_HZ = {word: 400 + 150 * place for place, word in enumerate(WORDS)}


def quiet(seconds, level=20.0, seed=1):
    """A room's hiss: white noise whose standard deviation is `level` of 32768."""
    return np.random.default_rng(seed).normal(0, level, round(seconds * RATE))


def say(text, word_s=0.24, gap_s=0.06, level=6000.0):
    """The words, each a swelling tone with some breath, with a short gap between them."""
    pieces = []
    for word in text.split():
        t = np.arange(round(word_s * RATE)) / RATE
        swell = np.sin(np.pi * t / word_s)
        breath = np.random.default_rng(len(t)).normal(0, 0.15, len(t))  # a voice fills all bands
        tone = np.sin(2 * np.pi * _HZ[word] * t) + breath
        pieces += [level * swell * tone, np.zeros(round(gap_s * RATE))]
    return np.concatenate(pieces[:-1])


def scene(*pieces):
    """Pieces one after the other (a number is that many seconds of quiet), over a quiet room."""
    sound = np.concatenate([np.zeros(round(p * RATE)) if np.isscalar(p) else p for p in pieces])
    return pcm(sound + quiet(len(sound) / RATE + 0.001)[: len(sound)])


def pcm(sound):
    """16-bit little-endian bytes."""
    return np.clip(sound, -32768, 32767).astype("<i2").tobytes()


class ToneDecoder:
    """Hears the tones as words; `slips` maps a last answer to the one that `finish` gives."""

    def __init__(self, confidence=1.0, slips=None):
        self.confidence = confidence
        self.slips = slips or {}
        self.contexts = []
        self.fed_s = 0.0

    def start(self, context: Context):
        self.contexts.append(context)
        self._rest, self._words, self._run = np.zeros(0), [], 0

    def feed(self, sound):
        samples = np.concatenate([self._rest, np.frombuffer(sound, "<i2").astype(float)])
        self.fed_s += len(sound) / 2 / RATE
        while len(samples) >= 320:
            self._frame(samples[:320])
            samples = samples[320:]
        self._rest = samples
        return " ".join(self._words)

    def _frame(self, frame):
        if np.sqrt((frame**2).mean()) < 35:
            self._run = 0
            return
        self._run += 1
        if self._run == 4:  # the swell is well under way
            hz = np.fft.rfftfreq(320, 1 / RATE)[np.abs(np.fft.rfft(frame)).argmax()]
            self._words.append(min(_HZ, key=lambda word: abs(_HZ[word] - hz)))

    def finish(self):
        text = " ".join(self._words)
        return SimpleNamespace(
            text=self.slips.get(text, text), confidence=self.confidence, words=()
        )
