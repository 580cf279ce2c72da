"""Takes steady noise out of sound before the starter model hears it, frame by frame, causally.

The acoustic model was trained behind such a noise remover, so it is part of the recogniser, not a
luxury. The method is the asymmetric noise suppression with temporal masking and weight smoothing
of C. Kim and R. M. Stern, "Power-Normalized Cepstral Coefficients (PNCC) for Robust Speech
Recognition", IEEE/ACM Transactions on Audio, Speech and Language Processing 24(7), 2016, with the
constants of CMU Sphinx's front end. It works on the waveform here, since Vosk computes its own
cepstra: each band's gain is applied to the spectrum, and the frames are added up again.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

RATE_HZ: Final = 16000
_HOP: Final = 160
_WINDOW: Final = 3 * _HOP
_FFT: Final = 512
_BANDS: Final = 25
_LOW_HZ: Final = 130.0
_HIGH_HZ: Final = 6800.0
_PRE_EMPHASIS: Final = 0.97

_POWER_MEMORY: Final = 0.7
_RISE_MEMORY: Final = 0.999
_FALL_MEMORY: Final = 0.5
_PEAK_MEMORY: Final = 0.85
_PEAK_MASK: Final = 0.2
_MOST_GAIN: Final = 20.0
_SMOOTH: Final = 4
"""Bands to each side that a band's gain is averaged over."""


def _mel(hertz: NDArray[np.float64] | float) -> Floats:
    return np.asarray(2595.0 * np.log10(1.0 + np.asarray(hertz, np.float64) / 700.0))


def _bank() -> tuple[Floats, Floats]:
    """Triangular mel filters of unit area (bands, bins), with their centres in Hz."""
    edges = 700.0 * (10 ** (np.linspace(_mel(_LOW_HZ), _mel(_HIGH_HZ), _BANDS + 2) / 2595.0) - 1.0)
    bins = np.arange(_FFT // 2 + 1) * RATE_HZ / _FFT
    low, centre, high = edges[:-2, None], edges[1:-1, None], edges[2:, None]
    rise, fall = (bins - low) / (centre - low), (high - bins) / (high - centre)
    shape = np.maximum(0.0, np.minimum(rise, fall)) * 2.0 / (high - low) * RATE_HZ / _FFT
    # The power that the filters see is that of the pre-emphasised sound.
    emphasis = np.abs(1.0 - _PRE_EMPHASIS * np.exp(-2j * np.pi * bins / RATE_HZ)) ** 2
    return shape * emphasis, edges[1:-1]


class NoiseRemover:
    """Streaming: sound in, the same length of sound out, 30 ms late.

    What it has learned of the room stays with it from one utterance to the next.
    """

    DELAY: Final = _WINDOW
    """Samples between a sound going in and its coming out."""

    def __init__(self) -> None:
        self._filters, centres = _bank()
        bins = np.arange(_FFT // 2 + 1) * RATE_HZ / _FFT
        place = np.interp(bins, centres, np.arange(_BANDS))
        lower = np.minimum(place.astype(int), _BANDS - 2)
        self._spread = np.zeros((_BANDS, len(bins)))
        self._spread[lower, np.arange(len(bins))] = 1.0 - (place - lower)
        self._spread[lower + 1, np.arange(len(bins))] += place - lower
        near = np.abs(np.subtract.outer(np.arange(_BANDS), np.arange(_BANDS))) <= _SMOOTH
        self._smoothing = near / near.sum(1, keepdims=True)
        # A periodic Hann window at a third of its length adds up to one and a half.
        self._window = np.hanning(_WINDOW + 1)[:-1]
        self._power: Floats | None = None
        self._noise = np.zeros(_BANDS)
        self._floor = np.zeros(_BANDS)
        self._peak = np.zeros(_BANDS)
        self.begin()

    def begin(self) -> None:
        """Forgets the sound still under way, but not what is known of the room."""
        self._pending = np.zeros(0)
        self._history = np.zeros(_WINDOW - _HOP)
        self._tail = np.zeros(_WINDOW)
        # One hop of silence ahead, so that a block that is no whole number of hops is never short.
        self._ready = np.zeros(_HOP)

    def process(self, samples: NDArray[np.int16]) -> NDArray[np.int16]:
        """The next stretch of cleaned sound, as many samples as are given."""
        pending = np.concatenate([self._pending, samples.astype(np.float64)])
        frames = len(pending) // _HOP
        self._pending = pending[frames * _HOP :]
        if frames:
            track = np.concatenate([self._history, pending[: frames * _HOP]])
            self._history = track[-(_WINDOW - _HOP) :]
            self._ready = np.concatenate([self._ready, self._clean(track, frames)])
        out, self._ready = self._ready[: len(samples)], self._ready[len(samples) :]
        return np.clip(np.rint(out), -32768, 32767).astype(np.int16)

    def _clean(self, track: Floats, frames: int) -> Floats:
        windows = np.lib.stride_tricks.sliding_window_view(track, _WINDOW)[::_HOP][:frames]
        spectra = np.fft.rfft(windows * self._window, _FFT)
        powers = (np.abs(spectra) ** 2) @ self._filters.T
        gains = np.array([self._gain(power) for power in powers]) @ self._smoothing.T
        pieces = np.fft.irfft(spectra * np.sqrt(gains @ self._spread), _FFT)[:, :_WINDOW] / 1.5
        out = np.zeros(frames * _HOP)
        for number, piece in enumerate(pieces):
            self._tail += piece
            out[number * _HOP : (number + 1) * _HOP] = self._tail[:_HOP]
            self._tail = np.concatenate([self._tail[_HOP:], np.zeros(_HOP)])
        return out

    def _gain(self, power: Floats) -> Floats:
        """The power gain of each band for the next frame."""
        if self._power is None:
            self._power = power.copy()
            self._noise = power / _MOST_GAIN
            self._floor = power / _MOST_GAIN
        self._power = _POWER_MEMORY * self._power + (1 - _POWER_MEMORY) * power
        self._noise = _lower_envelope(self._power, self._noise)
        signal = np.maximum(self._power - self._noise, 1.0)
        self._floor = _lower_envelope(signal, self._floor)
        masked = np.where(
            signal < _PEAK_MEMORY * self._peak * _PEAK_MEMORY,
            self._peak * _PEAK_MEMORY * _PEAK_MASK,
            signal,
        )
        self._peak = np.maximum(signal, self._peak * _PEAK_MEMORY)
        kept = np.maximum(masked, self._floor)
        gain = np.minimum(kept / np.maximum(self._power, 1e-9), _MOST_GAIN)
        return np.asarray(np.maximum(gain, 1.0 / _MOST_GAIN))


def _lower_envelope(value: Floats, envelope: Floats) -> Floats:
    """Follows falling values fast and rising ones slowly."""
    memory = np.where(value >= envelope, _RISE_MEMORY, _FALL_MEMORY)
    return np.asarray(memory * envelope + (1 - memory) * value)
