"""How well each phone of a phrase was said: the starter's own network, looked at phone by phone.

Vosk says which phrase is the best and how much better than the next, and nothing of how well it
fits. So the same network is computed here once more, over the stretch of an utterance, and the
phrase's phones are laid along it (Viterbi). The phones are taken without their context: the network
has learnt both. A phone's fit is the mean logarithm of its share among all phones and silence.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engine.ears.fit import Fit
from engine.ears.matrices import Reader
from engine.ears.replaced import STATES, margin

Floats = NDArray[np.float32]

FILE = "am/spoken.json"
"""In a model's folder: the words' phones, the network's columns for them, its offsets."""
SILENCE = "SIL"
HOP_S = 0.01
"""Seconds from one frame to the next."""
HOP = 160
"""The same in samples."""
_RATE = 16_000
_LENGTH, _FFT = 410, 512
_PRE_EMPHASIS = 0.97
_FAR = np.float32(-1e9)
UNLIKE = 40.0
"""As far apart as it matters."""


class Phones:
    """The network of a model folder that has `FILE`."""

    def __init__(self, folder: Path) -> None:
        """Reads it. Raises FileNotFoundError where a model tells nothing of its phones."""
        told: dict[str, Any] = json.loads((folder / FILE).read_text(encoding="utf-8"))
        self.names: list[str] = told["phones"]
        self._columns = np.array(told["columns"])
        self._words: dict[str, list[list[int]]] = told["words"]
        self._alike: dict[str, list[list[int]]] | None = told.get("alike")
        self._offsets: list[list[int]] = told["offsets"]
        bins = told["bins"]
        self._bank = _bank(bins, told["low_hz"], told["high_hz"])
        cosine = np.cos(math.pi / bins * (np.arange(bins)[:, None] + 0.5) * np.arange(bins))
        cosine *= math.sqrt(2 / bins)
        cosine[:, 0] = math.sqrt(1 / bins)
        self._cosine = cosine.astype(np.float32)
        self._window = np.hamming(_LENGTH).astype(np.float32)
        reader = Reader((folder / "am" / "final.mdl").read_bytes())
        reader.seek("<NumComponents>")
        layers = [_affine(reader, number) for number in range(len(self._offsets) + 2)]
        *self._hidden, self._neck, (weights, bias) = layers
        rows = self._columns.ravel()
        self._output = (weights[rows], bias[rows])
        self.silence = self.names.index(SILENCE)

    def cepstra(self, sound: NDArray[np.int16]) -> Floats:
        """Of 16 kHz sound, (frames, bins), 10 ms apart, as Kaldi computes them."""
        if len(sound) < _LENGTH:
            return np.zeros((0, len(self._cosine)), np.float32)
        frames = np.lib.stride_tricks.sliding_window_view(sound.astype(np.float32), _LENGTH)
        frames = frames[::HOP]
        before = np.concatenate([frames[:, :1], frames[:, :-1]], 1)
        spectra = np.fft.rfft((frames - _PRE_EMPHASIS * before) * self._window, _FFT)
        power = (np.abs(spectra) ** 2).astype(np.float32) @ self._bank.T
        found: Floats = np.log(np.maximum(power, np.finfo(np.float32).eps)) @ self._cosine
        return found

    def scores(self, sound: NDArray[np.int16]) -> Floats:
        """The logarithm of each state's share, (frames, phones, STATES); shares sum to one."""
        x = self.cepstra(sound)
        if not len(x):
            return np.zeros((0, len(self.names), STATES), np.float32)
        low = sum(min(offsets) for offsets in self._offsets)
        high = sum(max(offsets) for offsets in self._offsets)
        x = np.pad(x, ((-low, high), (0, 0)), mode="edge")
        for offsets, (weights, bias) in zip(self._offsets, self._hidden, strict=True):
            least = min(offsets)
            length = len(x) - (max(offsets) - least)
            joined = np.concatenate([x[o - least : o - least + length] for o in offsets], 1)
            x = np.maximum(joined @ weights.T + bias, 0)
        for weights, bias in (self._neck, self._output):
            x = x @ weights.T + bias
        x = x - x.max(1, keepdims=True)
        shares: Floats = x - np.log(np.exp(x).sum(1, keepdims=True))
        return shares.reshape(len(x), len(self.names), STATES)

    def knows(self, text: str) -> bool:
        """Whether it is told how each of the words is pronounced."""
        return all(word in self._words for word in text.split())

    def fit(self, scores: Floats, text: str) -> Fit | None:
        """How the words of `text` lie along `scores`; None where there is no room for them.

        Raises KeyError for a word that the model does not tell of.
        """
        path = _Path(self.silence)
        path.pause(must=True)
        for word in text.split():
            path.word(self._words[word])
        path.pause(must=True)
        states = path.along(scores)
        if states is None:
            return None
        return self._measured(scores, states)

    def unlike(self, scores: Floats, text: str) -> float | None:
        """How much likelier the words of `text` are along `scores` than the same with one of them
        replaced by a word that sounds like it, natural logarithm, no further than `UNLIKE`; None
        where there is no room for them, or the model tells of no such words.

        Raises KeyError for a word that the model does not tell of.
        """
        if self._alike is None or not len(scores):
            return None
        said = text.split()
        others = [self._alike.get(word, []) for word in said]
        found = margin(scores, [self._words[word] for word in said], others, self.silence)
        return None if found is None else max(-UNLIKE, min(UNLIKE, found))

    def _measured(self, scores: Floats, states: list[tuple[int, int, int]]) -> Fit | None:
        """`states` are place in the path, phone and state, of each frame."""
        places = [place for place, _, _ in states]
        marks = [0, *(i for i in range(1, len(places)) if places[i] != places[i - 1]), len(places)]
        whole = np.logaddexp.reduce(scores, axis=2)
        fits, margins, lengths, bounds = [], [], [], []
        for begin, end in pairwise(marks):
            phone = states[begin][1]
            if phone == self.silence:
                continue
            means = whole[begin:end].mean(0)
            own = float(means[phone])
            means[phone] = _FAR
            fits.append(own)
            margins.append(own - float(means.max()))
            lengths.append(end - begin)
            bounds += [begin, end]
        if not fits:
            return None
        start, end = bounds[0], bounds[-1]
        own_path = np.mean([scores[t, states[t][1], states[t][2]] for t in range(start, end)])
        best = scores[start:end].max(axis=(1, 2)).mean()
        whole_path = sum(float(scores[t, p, s]) for t, (_, p, s) in enumerate(states))
        silent = np.exp(whole[:, self.silence])
        return Fit(
            worst=min(fits),
            mean=float(np.mean(fits)),
            margin=min(margins),
            free=float(best - own_path),
            start_s=start * HOP_S,
            end_s=end * HOP_S,
            shortest_s=min(lengths) * HOP_S,
            silent_before=float(silent[max(0, start - 25) : start].mean()) if start else 0.0,
            silent_after=float(silent[end : end + 25].mean()) if end < len(silent) else 0.0,
            total=whole_path,
        )


class _Path:
    """The states of a phrase from left to right, with other ways to say its words side by side."""

    def __init__(self, silence: int) -> None:
        self._silence = silence
        self._states: list[tuple[int, int, int]] = []
        self._before: list[list[int]] = []
        self._ends: list[int] = []
        self._place = 0

    def pause(self, *, must: bool = False) -> None:
        """Silence here; it may be left out unless it `must` be there."""
        ends = self._phone(self._silence, self._ends)
        self._ends = [ends] if must else [*self._ends, ends]

    def word(self, ways: Sequence[Sequence[int]]) -> None:
        """A word, said in one of some ways, after a pause or none."""
        if self._place > 1:
            self.pause()
        starts, ends = self._ends, []
        for way in ways:
            came = starts
            for phone in way:
                came = [self._phone(phone, came)]
            ends += came
        self._ends = ends

    def _phone(self, phone: int, came: list[int]) -> int:
        for state in range(STATES):
            self._states.append((self._place, phone, state))
            self._before.append(came if state == 0 else [len(self._states) - 2])
        self._place += 1
        return len(self._states) - 1

    def along(self, scores: Floats) -> list[tuple[int, int, int]] | None:
        """Place, phone and state of each frame on the best way; None where it is too short."""
        count = len(self._states)
        if not len(scores):
            return None
        phones = np.array([phone for _, phone, _ in self._states])
        numbers = np.array([state for _, _, state in self._states])
        emitted = scores[:, phones, numbers]
        most = max(map(len, self._before))
        before = np.full((count, most + 1), count)
        for state, came in enumerate(self._before):
            before[state, 0] = state
            before[state, 1 : 1 + len(came)] = came
        best = np.full(count + 1, _FAR, np.float32)
        best[0] = emitted[0, 0]
        steps = np.zeros((len(scores), count), np.int64)
        for t in range(1, len(scores)):
            options = best[before]
            steps[t] = options.argmax(1)
            best[:count] = options.max(1) + emitted[t]
            best[count] = _FAR
        at = max(self._ends, key=lambda state: best[state])
        if best[at] < _FAR / 2:
            return None
        found = [at]
        for t in range(len(scores) - 1, 0, -1):
            at = int(before[at, steps[t, at]])
            found.append(at)
        return [self._states[state] for state in reversed(found)]


def _affine(reader: Reader, number: int) -> tuple[Floats, Floats]:
    reader.seek(f"affine{number}")
    reader.seek("<LinearParams>")
    weights = reader.matrix()
    reader.seek("<BiasParams>")
    return weights, reader.vector()


def _bank(bins: int, low_hz: float, high_hz: float) -> Floats:
    """Kaldi's triangular mel filters, (bins, FFT/2 + 1)."""

    def mel(hz: NDArray[np.float64] | float) -> NDArray[np.float64]:
        return np.asarray(1127.0 * np.log(1.0 + np.asarray(hz) / 700.0))

    low, high = mel(low_hz), mel(high_hz)
    step = (high - low) / (bins + 1)
    mels = mel(np.arange(_FFT // 2) * _RATE / _FFT)
    bank = np.zeros((bins, _FFT // 2 + 1), np.float32)
    for number in range(bins):
        left, centre, right = (low + (number + k) * step for k in range(3))
        up, down = (mels - left) / (centre - left), (right - mels) / (right - centre)
        bank[number, : _FFT // 2] = np.maximum(0, np.minimum(up, down))
    return bank
