"""Whose voice a word was said in: how a stretch of speech sounds, and whether two are one voice.

How a person says a phone differs from how others say it, by much the same in all of her words. So
the cepstra of a stretch are held against the mean of each phone, phone by phone (the network's own
shares tell which is said), and what is left is explained by a few numbers of the speaker, as is her
pitch. Those numbers are never fixed: a stretch gives a Gaussian for them, a wide one where it is
short, and two stretches are one voice by as much as a common set of numbers explains them better
than one set each.

The model is that of P. Kenny, G. Boulianne, P. Dumouchel, "Eigenvoice modeling with sparse training
data", IEEE Transactions on Speech and Audio Processing 13(3), 2005, with shares from a network (Y.
Lei et al., "A novel scheme for speaker recognition using a phonetically-aware deep neural network",
ICASSP 2014); the ratio is that of S. Prince, J. Elder, "Probabilistic linear discriminant analysis
for inferences about identity", ICCV 2007. `engine.forge.likeness` fitted it; `likeness.json` holds
it as plain numbers.
"""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine.ears.fit import Fit
from engine.ears.hers import Timbre
from engine.ears.phones import HOP, HOP_S, Phones

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]

FILE = "likeness.json"
CEPSTRA = 24
"""So many are looked at, without the loudness before them."""
_RATE, _WINDOW, _FFT = 16_000, 640, 2048
_LOWEST_HZ, _HIGHEST_HZ = 65.0, 420.0
_PERIODIC = 0.55
"""A frame repeats itself by so much where a pitch is told, 0 to 1."""
_FIRST = 0.9
"""The first peak that is as high as this share of the highest is the pitch, not its double."""
_SPEECH = 0.5
"""A frame is looked at when it is speech rather than silence."""


class SpeechSums(NamedTuple):
    """What is counted in a stretch of speech."""

    counts: Doubles
    """Frames of each phone, (phones,)."""
    sums: Doubles
    """The sum of their cepstra, (phones, CEPSTRA)."""
    pitches: float
    """Frames that have a pitch."""
    pitch: float
    """The sum of its logarithm, Hz."""


def stretch(cepstra: Floats, shares: Floats, sound: NDArray[np.int16]) -> SpeechSums:
    """Counts a stretch: (frames, bins), the share of each phone but silence in (frames, phones),
    and its 16 kHz sound.
    """
    spoken = shares * (shares.sum(1, keepdims=True) > _SPEECH)
    rows = cepstra[:, 1 : CEPSTRA + 1]
    hz = pitches(sound)
    return SpeechSums(
        spoken.sum(0).astype(np.float64),
        (spoken.T @ rows).astype(np.float64),
        float(len(hz)),
        float(np.log(hz).sum()),
    )


def pitches(sound: NDArray[np.int16]) -> Doubles:
    """The pitch of each frame that has one, Hz, by its autocorrelation."""
    if len(sound) < _WINDOW:
        return np.zeros(0)
    frames = np.lib.stride_tricks.sliding_window_view(sound.astype(np.float64), _WINDOW)[::HOP]
    frames = frames - frames.mean(1, keepdims=True)
    window = np.hanning(_WINDOW)
    power = np.abs(np.fft.rfft(frames * window, _FFT)) ** 2
    own = np.abs(np.fft.rfft(window, _FFT)) ** 2
    power[:, round(1500 * _FFT / _RATE) :] = 0
    repeats = np.fft.irfft(power)[:, :_WINDOW] / np.fft.irfft(own)[:_WINDOW]
    least, most = int(_RATE / _HIGHEST_HZ), int(_RATE / _LOWEST_HZ)
    alike = repeats[:, : most + 2] / np.maximum(repeats[:, :1], 1e-9)
    inner = alike[:, least : most + 1]
    peak = (inner >= alike[:, least - 1 : most]) & (inner >= alike[:, least + 1 : most + 2])
    best = np.where(peak, inner, 0.0)
    highest = best.max(1)
    first = (best >= _FIRST * highest[:, None]).argmax(1) + least
    found: Doubles = _RATE / first[highest > _PERIODIC]
    return found


class Likeness:
    """The fitted model: what a voice adds to the mean cepstra of each phone, and to the pitch."""

    def __init__(self, told: dict[str, Any]) -> None:
        """`told` as `likeness.json` has it."""
        self.phones: list[str] = told["phones"]
        """Whose shares are counted, in order."""
        self._means = np.array(told["means"])
        self._ways = np.array(told["ways"]) * np.array(told["steps"])
        """(phones × CEPSTRA + 1, numbers of a speaker)."""
        self._sure = np.array(told["sure"])
        """The precision of each cepstrum of a frame, and of its pitch, over how alike frames are.
        """
        self._within = np.array(told["within"])
        """How much each of the numbers varies from utterance to utterance of one person."""
        self._slope: float = told["slope"]
        self._offset: float = told["offset"]
        phones, numbers = len(self.phones), self._ways.shape[1]
        cepstra = phones * CEPSTRA
        weighed = self._ways * self._sure[:, None]
        shape = phones, CEPSTRA, numbers
        self._gains = np.einsum(
            "pdr,pds->prs", self._ways[:cepstra].reshape(shape), weighed[:cepstra].reshape(shape)
        )
        self._pitch_gain = np.outer(self._ways[cepstra], weighed[cepstra])
        self._weighed = weighed
        self._triangle = np.triu_indices(numbers)

    def raw(self, heard: SpeechSums) -> tuple[Doubles, Doubles]:
        """What a stretch tells of its own sound: precision, and precision times mean."""
        counts = np.repeat(heard.counts, CEPSTRA)
        cepstra = heard.sums.ravel() - counts * self._means[:-1]
        pitch = heard.pitch - heard.pitches * self._means[-1]
        linear: Doubles = np.append(cepstra, pitch) @ self._weighed
        precision = np.tensordot(heard.counts, self._gains, 1)
        precision += heard.pitches * self._pitch_gain
        return precision, linear

    def voice(self, heard: SpeechSums) -> Timbre:
        """How the speaker of a stretch sounds."""
        precision, linear = self.raw(heard)
        # an utterance tells of itself, too: how it was said, the room, the microphone
        widened = np.linalg.inv(np.eye(len(linear)) + precision * self._within)
        precision = widened @ precision
        return Timbre(
            words=1,
            linear=tuple(np.round(widened @ linear, 4).tolist()),
            precision=tuple(np.round(precision[self._triangle], 4).tolist()),
        )

    def odds(self, hers: Timbre, other: Timbre) -> float:
        """The logarithm of how much likelier one voice is than two; calibrated."""
        both = self._evidence(hers.and_also(other))
        found = both - self._evidence(hers) - self._evidence(other)
        return self._slope * found + self._offset

    def _evidence(self, voice: Timbre) -> float:
        """The logarithm of how likely what is known of a voice is, of anybody."""
        linear = np.array(voice.linear)
        precision = np.zeros((len(linear), len(linear)))
        precision[self._triangle] = voice.precision
        precision += np.triu(precision, 1).T
        precision += np.eye(len(linear))
        spread = np.linalg.slogdet(precision)[1]
        return float(linear @ np.linalg.solve(precision, linear) - spread) / 2


@cache
def likeness() -> Likeness:
    """The one that comes with the program."""
    return Likeness(json.loads((files("engine.ears") / FILE).read_text(encoding="utf-8")))


def voice_in(sound: NDArray[np.int16], phones: Phones, scores: Floats, fit: Fit) -> Timbre | None:
    """Who said what lies along 16 kHz sound as `fit` tells; None of a network whose phones are
    others. `scores` are the sound's.
    """
    if phones.names[1:] != likeness().phones:
        return None
    begin, end = round(fit.start_s / HOP_S), round(fit.end_s / HOP_S)
    shares = np.exp(np.logaddexp.reduce(scores[begin:end], axis=2))[:, 1:]
    cepstra = phones.cepstra(sound)[begin:end]
    return likeness().voice(stretch(cepstra, shares, sound[begin * HOP : end * HOP]))
