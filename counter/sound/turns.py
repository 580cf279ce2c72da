"""Whose turn it is to speak: what is to be played waits for her.

What has not begun waits for the end of her breath; what is being said falls silent within a moment
where she speaks into it, and goes on where it was when she has ended without having been
understood (a word that is taken puts another sound in its place). None of the two waits for ever:
somebody may talk all the time. No input or output of its own.
"""

from __future__ import annotations

from collections import deque

import numpy as np
from numpy.typing import NDArray

_BEGINS_WITHIN_S = 1.5
"""Where somebody talks all the time, an answer comes all the same,"""
_PAUSES_S = 3.0
"""and what has begun does not stand still for longer than this in all."""
_FADES_S = 0.01
"""A sound that breaks off clicks."""

Sound = NDArray[np.float32]


class Turns:
    """The sounds that are to be played, one after the other. Not thread-safe."""

    def __init__(self, rate: int) -> None:
        """`rate` in Hz."""
        self._rate = rate
        self._queue: deque[Sound] = deque()
        self._waited_s = 0.0
        self._paused_s = 0.0
        self._begun = self._paused = False

    def __bool__(self) -> bool:
        """Whether anything is still to be played."""
        return bool(self._queue)

    @property
    def paused(self) -> bool:
        """Whether we fell silent because she speaks."""
        return self._paused

    def add(self, sound: Sound) -> None:
        """To be played when all before it has been."""
        self._queue.append(sound)

    def clear(self) -> None:
        """Nothing is to be played any more."""
        self._queue.clear()
        self._begun = self._paused = False
        self._waited_s = self._paused_s = 0.0

    def take(self, frames: int, *, busy: bool, into_ours: bool) -> tuple[Sound, int]:
        """The next samples, and how many of them are ours; the rest is silence.

        `busy` is whether she speaks or may go on, `into_ours` whether she speaks over what is
        being played now.
        """
        block = np.zeros(frames, np.float32)
        if not self._queue:
            self.clear()
            return block, 0
        seconds = frames / self._rate
        if not self._begun:
            if busy and self._waited_s < _BEGINS_WITHIN_S:
                self._waited_s += seconds
                return block, 0
            self._begun = True
        was = self._paused
        self._paused = (into_ours or (was and busy)) and self._paused_s < _PAUSES_S
        fade = min(frames, round(_FADES_S * self._rate))
        if self._paused:
            self._paused_s += seconds
            if was:
                return block, 0
            count = self._fill(block[:fade])
            block[:fade] *= np.linspace(1, 0, fade, dtype=np.float32)
            return block, count
        count = self._fill(block)
        if was:
            block[:fade] *= np.linspace(0, 1, fade, dtype=np.float32)
        return block, count

    def _fill(self, block: Sound) -> int:
        """Moves samples from the queue into `block`; how many there were."""
        filled = 0
        while self._queue and filled < len(block):
            head = self._queue[0]
            count = min(len(block) - filled, len(head))
            block[filled : filled + count] = head[:count]
            filled += count
            if count == len(head):
                self._queue.popleft()
            else:
                self._queue[0] = head[count:]
        return filled
