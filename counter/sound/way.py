"""Which sample of ours goes with which of the microphone's, by their numbers alone.

A sound server hands sound over in its own good time: the times of two streams wander against each
other by 20 ms and more while not one sample is lost. Their numbers do not. So the way is measured
between numbers, again and again while we sound; the clocks only tell where to look for it. Two
sound cards do not run alike: then the way grows or shrinks evenly, by up to some samples a second,
and a filter that were left alone would run after it. So a line is laid through what is measured.

Pure arithmetic on the sound, samples of -1 … 1 at RATE.
"""

from __future__ import annotations

import threading
from collections import deque

import numpy as np
from numpy.typing import NDArray

from counter.sound.echo import LONGEST_S, delay_of
from counter.sound.residue import RATE, Sound

_PIECE_S = 1.0
"""So much of ours is looked for at a time."""
_CLOCKS_S = 0.06
"""By so much the times of the streams may be wrong."""
COMPARED_S = _PIECE_S + LONGEST_S + 2 * _CLOCKS_S
"""So far back reaches what is compared."""
NEARBY_S, _LATER_S, _SOONER_S = 0.5, 0.15, 0.02
"""A stream that stood still for a moment is looked for by less of it, so much later or sooner."""
NEARBY_COMPARED_S = NEARBY_S + _LATER_S + _SOONER_S
"""So far back reaches what is compared then."""
_CERTAIN = 10.0
"""See `echo`: noise alone reaches about five."""
_HEARD_AT = 0.003
_SHARE = 0.2
"""Where less of it is any louder than that, it tells nothing: a short tone is found anywhere."""
_LAID_THROUGH = 40
"""Measurements that the line is laid through,"""
_LAID_S = 2.0
"""if they are so far apart; before, the way is taken to drift as it did."""
_DRIFTS = 3e-4
"""By this share, two clocks differ at most."""
_TAPS = 16
"""Samples on both sides from which one that lies between two is made."""


class Kept:
    """The last seconds of a stream, by the number of the sample. For more threads than one."""

    def __init__(self, seconds: float) -> None:
        self._lock = threading.Lock()
        self._sound = np.zeros(round(seconds * RATE), np.float32)
        self.count = 0
        """How many samples there have been; the number of the next one."""

    def add(self, sound: NDArray[np.float32]) -> None:
        """What comes next."""
        with self._lock:
            self._sound[(self.count + np.arange(len(sound))) % len(self._sound)] = sound
            self.count += len(sound)

    def get(self, start: int, length: int) -> NDArray[np.float32]:
        """Samples from the number `start` on; silence where they are not kept, or not there yet."""
        wanted = start + np.arange(length)
        with self._lock:
            there = (wanted >= max(0, self.count - len(self._sound))) & (wanted < self.count)
            return np.where(there, self._sound[wanted % len(self._sound)], np.float32(0))

    def between(self, start: float, length: int) -> Sound:
        """Samples from a place between two of them: a sinc under a Hann window."""
        whole = int(np.floor(start))
        off = np.arange(-_TAPS + 1, _TAPS + 1) - (start - whole)
        weights = np.sinc(off) * np.cos(0.5 * np.pi * off / (_TAPS + 1)) ** 2
        around = self.get(whole - _TAPS + 1, length + 2 * _TAPS - 1).astype(np.float64)
        return np.correlate(around, weights, "valid")


class DriftLine:
    """The way as it is and as it drifts, from measurements that are a little off."""

    def __init__(self) -> None:
        self._measured: deque[tuple[int, int]] = deque(maxlen=_LAID_THROUGH)
        self._place = self._ahead = self._drift = 0.0

    def at(self, place: int) -> float:
        """What to add to the number of the microphone's sample `place`."""
        return self._ahead + self._drift * (place - self._place)

    def begin(self, place: int, ahead: int) -> None:
        """The way is another one. The clocks are still the same."""
        self._measured.clear()
        self.add(place, ahead)

    def add(self, place: int, ahead: int) -> None:
        """A measurement."""
        self._measured.append((place, ahead))
        places, aheads = np.array(self._measured, float).T
        self._place = float(places.mean())
        if places[-1] - places[0] >= _LAID_S * RATE:
            away = places - self._place
            drift = float(away @ aheads / (away @ away))
            self._drift = min(_DRIFTS, max(-_DRIFTS, drift))
        self._ahead = float(aheads.mean())


Measured = tuple[int, int]
"""The number of a sample heard, and what to add to it for the one of ours that came back in it."""


def ahead_near(ours: Kept, heard: Kept, before: float) -> Measured | None:
    """The same where it was `before` a stream stood still: sooner, since it is looked for nearby.

    None also where that cannot be told yet or any more.
    """
    length, span = round(NEARBY_S * RATE), round((_LATER_S + _SOONER_S) * RATE)
    first = heard.count - length - span
    begins = first + round(before + _SOONER_S * RATE)
    return _found(ours.get(begins, length), heard, (first, begins), span)


def ahead_of(ours: Kept, heard: Kept, clocks_s: float) -> Measured | None:
    """The way, in the midst of what is compared: until now it may have drifted.

    `clocks_s`, about what to add for the one that was handed over at the same time, in seconds.
    None where nothing of ours is to be found.
    """
    length, span = round(_PIECE_S * RATE), round((LONGEST_S + 2 * _CLOCKS_S) * RATE)
    first = heard.count - length - span
    begins = first + round((clocks_s + _CLOCKS_S) * RATE)
    return _found(ours.get(begins, length), heard, (first, begins), span)


def _found(
    played: NDArray[np.float32], heard: Kept, begin: tuple[int, int], span: int
) -> Measured | None:
    """Where `played` is in what is heard; `begin` are the numbers at which both are looked into."""
    first, begins = begin
    if first < 0 or begins < 0 or np.mean(np.abs(played) > _HEARD_AT) < _SHARE:
        return None
    lag, certain = delay_of(played, heard.get(first, len(played) + span), span)
    if certain < _CERTAIN:
        return None
    return first + lag + len(played) // 2, begins - first - lag
