"""A spoken note while it is spoken: from her first word until she is quiet, or half a minute.

It lives in memory. What becomes of it is decided elsewhere; nothing is written here.
"""

from __future__ import annotations

import numpy as np

from engine.ears.gate import FRAME, FRAME_S, Gate
from engine.keep.notes import LONGEST_S

QUIET_S = 2.5
"""So long a quiet ends it: a note is made of sentences."""
NOBODY_S = 8.0
"""Where nobody says anything for so long, nothing is kept."""
_AROUND_S = 0.3
"""Kept before her first sound and after her last: soft beginnings and ends."""
_BYTES = 2 * FRAME


class Noting:
    """Takes sound, 16 kHz mono 16-bit, until it is over."""

    def __init__(self) -> None:
        self._gate = Gate()
        self._rest = b""
        self._frames: list[bytes] = []
        self._first = self._last = 0
        """Numbers of the first and the last voiced frame, from 1; 0 before any."""
        self._ended = False

    @property
    def seconds(self) -> float:
        """How long it is so far."""
        return len(self._frames) * FRAME_S

    @property
    def over(self) -> bool:
        """Whether it is at its end."""
        count = len(self._frames)
        quiet_s = QUIET_S if self._last else NOBODY_S
        most = count * FRAME_S >= LONGEST_S
        return self._ended or most or (count - self._last) * FRAME_S >= quiet_s

    def end(self) -> None:
        """It ends here, by a key."""
        self._ended = True

    def feed(self, pcm: bytes) -> None:
        """More of it. What comes after its end is not taken."""
        self._rest += pcm
        while len(self._rest) >= _BYTES and not self.over:
            frame, self._rest = self._rest[:_BYTES], self._rest[_BYTES:]
            self._frames.append(frame)
            if self._gate.feed(np.frombuffer(frame, "<i2")).voiced:
                self._last = len(self._frames)
                self._first = self._first or self._last

    def sound(self) -> bytes:
        """What she said; nothing where she said nothing."""
        if not self._last:
            return b""
        around = round(_AROUND_S / FRAME_S)
        return b"".join(self._frames[max(0, self._first - 1 - around) : self._last + around])
