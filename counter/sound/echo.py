"""How our own sound comes back through the microphone: how late, how loud, how long it rings.

A loudspeaker may be wired or wireless; between the sample that is handed over and the sample that
the microphone gives lie 20 to 400 ms. Nobody is asked for that: what is played is compared with
what is heard, a rising tone at the start and then whatever is said, and the delay is followed.
Until it is known, the longest is reckoned with; where nothing of ours is ever heard (headphones)
nothing is, and a word is heard while we speak.

Times are seconds of one steady clock. Both sides tell when they were handed a piece of sound, so
all that lies between them is part of the path. No input or output of its own.
"""

from __future__ import annotations

import threading
from collections import deque
from statistics import median

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
"""Hz of all sound here."""
LONGEST_S = 0.5
"""The longest path that is looked for: a wireless loudspeaker in a slow system."""
RINGS_S = 0.15
"""How long a room gives a sound back, at least."""
_RINGS_MOST_S = 0.6
_EARLY_S = 0.03
"""Sound is taken for ours from this before it can come: the path is known about as well."""
_GAP_S = 0.1
"""Pieces nearer than this are one sound."""
_LONGEST_SOUND_S = 3.0
"""Of a longer sound, its beginning is compared."""
_SHORTEST_SOUND_S = 0.1
_TELLING_S = 0.25
"""A sound as long as this is found if it can be heard at all."""
_CERTAIN = 8.0
"""A peak of the correlation so many times as high as its like elsewhere is the path: noise alone
reaches about five."""
_NONE_AFTER = 3
"""Sounds of ours that were not found before it is believed that none is heard."""
_KEPT = 5
"""Measurements of which the middle counts."""
_MEMORY_S = 8.0
_FRAME = 320
_DRIFT = 2e-4
"""A sound card's clock is off by less than this, as a share."""

Sound = NDArray[np.float32]


class Steady:
    """When the samples of a stream were handed over, without the jitter of the hand-over."""

    def __init__(self, rate: int) -> None:
        self._rate = rate
        self._samples = 0
        self._began: float | None = None

    def at(self, now: float, samples: int) -> float:
        """The time of the first of `samples` that are handed over at `now`."""
        began = now - (self._samples + samples) / self._rate
        # The earliest hand-over is the truest; a stream that lags for long was stopped between.
        if self._began is None or began < self._began or began > self._began + LONGEST_S:
            self._began = began
        self._began += _DRIFT * samples / self._rate
        first = self._began + self._samples / self._rate
        self._samples += samples
        return first


class _Own:
    """One sound of ours, still growing or done."""

    def __init__(self, at_s: float) -> None:
        self.began_s = self.ended_s = at_s
        self.pieces: list[Sound] = []
        self.measured = False

    @property
    def samples(self) -> Sound:
        return np.concatenate(self.pieces)[: round(_LONGEST_SOUND_S * RATE)]


class Echo:
    """Fed from the loudspeaker's thread and the ears'."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._own: deque[_Own] = deque(maxlen=40)
        self._heard: deque[tuple[float, Sound]] = deque()
        self._delays: deque[float] = deque(maxlen=_KEPT)
        self._rings: deque[float] = deque(maxlen=_KEPT)
        self._missed = 0

    @property
    def path_s(self) -> float | None:
        """From handing a sample over until the microphone gives it; None where it is not known."""
        kept = list(self._delays)  # the loudspeaker's thread may clear it meanwhile
        return median(kept) if kept else None

    @property
    def unheard(self) -> bool:
        """Our sound does not reach the microphone."""
        return not self._delays and self._missed >= _NONE_AFTER

    def forget(self) -> None:
        """The sound stood still on its way out: what was known of the path no longer holds."""
        with self._lock:
            self._delays.clear()
            self._rings.clear()
            self._missed = 0

    def played(self, sound: Sound, at_s: float) -> None:
        """A piece of our own sound, samples of -1 … 1, handed to the loudspeaker at `at_s`."""
        with self._lock:
            last = self._own[-1] if self._own else None
            if last is None or last.measured or at_s - last.ended_s > _GAP_S:
                last = _Own(at_s)
                self._own.append(last)
            last.pieces.append(sound)
            last.ended_s = at_s + len(sound) / RATE

    def heard(self, pcm: bytes, at_s: float) -> bool:
        """A piece of the microphone's sound whose first sample came at `at_s`.

        Says whether our own sound may be in it.
        """
        sound = np.frombuffer(pcm, "<i2").astype(np.float32) / np.float32(32768)
        with self._lock:
            self._heard.append((at_s, sound))
            while self._heard[0][0] < at_s - _MEMORY_S:
                self._heard.popleft()
            done = [own for own in self._own if not own.measured and self._is_over(own, at_s)]
            for own in done:
                own.measured = True
            ours = self._ours(at_s, at_s + len(sound) / RATE)
        for own in done:
            self._measure(own)
        return ours

    def _is_over(self, own: _Own, now: float) -> bool:
        length = min(own.ended_s - own.began_s, _LONGEST_SOUND_S)
        return now > own.began_s + length + LONGEST_S + _RINGS_MOST_S

    def _ours(self, from_s: float, to_s: float) -> bool:
        path = self.path_s
        if self.unheard:
            return False
        if path is not None:
            early, late, rings = path - _EARLY_S, path, max(self._rings)
        else:
            early, late, rings = 0.0, LONGEST_S, _RINGS_MOST_S
        return any(
            own.began_s + early < to_s and from_s < own.ended_s + late + rings for own in self._own
        )

    def _measure(self, own: _Own) -> None:
        played = own.samples
        if len(played) < _SHORTEST_SOUND_S * RATE:
            return
        span_s = len(played) / RATE + LONGEST_S + _RINGS_MOST_S
        heard = self._between(own.began_s, span_s)
        if heard is None:
            return
        lag, certain = delay_of(played, heard, round(LONGEST_S * RATE))
        if certain < _CERTAIN:
            # A tone of a moment may be lost in the room and come back all the same; and what is
            # louder than the room may be ours, whatever the correlation says.
            self._missed += len(played) >= _TELLING_S * RATE and not _lively(heard)
            if self._missed >= _NONE_AFTER:
                self._delays.clear()  # another loudspeaker, or headphones now
            return
        self._missed = 0
        delay = lag / RATE
        known = self.path_s
        if known is not None and abs(delay - known) > 2 * _EARLY_S:
            self._delays.clear()  # another loudspeaker: what was known is of the old one
            self._rings.clear()
        self._delays.append(delay)
        self._rings.append(_rings_s(heard, lag + len(played)))

    def _between(self, from_s: float, span_s: float) -> Sound | None:
        """The microphone's sound of that time; None where some of it is missing."""
        with self._lock:
            pieces = list(self._heard)
        sound = np.zeros(round(span_s * RATE), np.float32)
        filled = 0
        for at_s, piece in pieces:
            start = round((at_s - from_s) * RATE)
            begin, end = max(0, start), min(len(sound), start + len(piece))
            if begin < end:
                sound[begin:end] = piece[begin - start : end - start]
                filled += end - begin
        return sound if filled > 0.95 * len(sound) else None


def delay_of(played: Sound, heard: Sound, longest: int) -> tuple[int, float]:
    """By how many samples `played` comes later in `heard`, at most `longest`; and how certain.

    The generalised cross-correlation with a partly whitened spectrum (C. Knapp, G. Carter, "The
    generalized correlation method for estimation of time delay", IEEE Trans. ASSP 24, 1976). The
    certainty is the peak over the root mean square of all.
    """
    size = 1 << (len(played) + len(heard)).bit_length()
    both = np.fft.rfft(heard, size) * np.conj(np.fft.rfft(played, size))
    strength = np.abs(both)
    both /= strength**0.8 + 1e-6 * float(strength.max()) + 1e-12
    found = np.abs(np.fft.irfft(both, size))[: max(longest, len(heard) - len(played))]
    peak = int(np.argmax(found[:longest]))
    usual = float(np.sqrt(np.mean(found**2)))
    return peak, float(found[peak]) / usual if usual > 0 else 0.0


def _levels(sound: Sound) -> Sound:
    """Root mean squares of its frames of 20 ms."""
    frames = sound[: len(sound) // _FRAME * _FRAME].reshape(-1, _FRAME)
    levels: Sound = np.sqrt(np.mean(frames**2, axis=1))
    return levels


def _lively(heard: Sound) -> bool:
    """Whether anything stands out of the room."""
    levels = _levels(heard)
    return float(np.percentile(levels, 90)) > 2.0 * float(np.percentile(levels, 10)) + 1e-4


def _rings_s(heard: Sound, ends: int) -> float:
    """How long after its end a sound is still louder than the quiet around it, seconds."""
    levels = _levels(heard)
    quiet = 2.0 * float(np.percentile(levels, 10)) + 1e-4
    after = levels[ends // _FRAME + 1 :]
    rings = next((i for i, level in enumerate(after) if level < quiet), len(after))
    return min(_RINGS_MOST_S, max(RINGS_S, (rings + 3) * _FRAME / RATE))
