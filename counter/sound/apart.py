"""Her voice apart from ours, while we speak.

What is played and what is heard are two streams of samples, each with its own clock. `echo` tells
how late the one comes back in the other; from then on the two are counted side by side, and the
canceller takes ours out. What it gives is heard at once. Until it knows the way, what is heard
while we speak is held back: once we are silent it is listened to after all, if the way could be
learnt from it, and passed on as not to be heard where it could not.

Times are seconds of one steady clock. No input or output of its own.
"""

from __future__ import annotations

import copy
import threading
from collections import deque

import numpy as np

from counter.sound.canceller import TAIL_S, Canceller
from counter.sound.echo import Echo
from counter.sound.echo import Sound as Piece
from counter.sound.residue import BLOCK, RATE, Sound

_EARLY_S = 0.012
"""The filter begins so long before the way is over: it is known about as well."""
_ASTRAY_S = 0.008
"""A way that differs by this is another one, where the filter does not find it."""
_JUMPED_S = 0.04
"""A stream that differs by this from its count stood still, or lost some of its sound."""
_LASTS_S = TAIL_S + 0.1
"""For so long our sound is still in the room."""
_HELD_S = 8.0
"""So much is held back at most; what is older is not heard."""
_KEPT_S = 12
_BYTES = 2 * BLOCK

Told = tuple[bytes, bool]
"""A piece of sound for the ears, and whether it is not to be heard."""


class Apart:
    """Fed from the loudspeaker's thread and the ears'."""

    def __init__(self) -> None:
        self.echo = Echo()
        """How our sound comes back."""
        self._canceller = Canceller()
        self._lock = threading.Lock()
        self._ours = np.zeros(_KEPT_S * RATE, np.float32)
        self._count = 0
        self._began_s = 0.0
        self._rest = b""
        self._heard = 0
        self._ahead: int | None = None
        self._clocks = 0.0
        self._silent_s = _LASTS_S
        self._at_work = False
        self._held: deque[tuple[int, bytes]] = deque()

    @property
    def knows(self) -> bool:
        """Whether a word said into our own speech can be heard."""
        return self._ahead is not None and self._canceller.knows

    @property
    def hers(self) -> bool:
        """Whether she speaks into our own sound now."""
        return self._at_work and self._canceller.hers

    def played(self, sound: Piece, at_s: float, *, sounding: bool) -> None:
        """All that goes to the loudspeaker, silence (not `sounding`) as well, samples of -1 … 1."""
        with self._lock:
            size = len(self._ours)
            places = (self._count + np.arange(len(sound))) % size
            self._ours[places] = sound
            self._began_s = at_s - self._count / RATE
            self._count += len(sound)
        if sounding:
            self.echo.played(sound, at_s)

    def heard(self, pcm: bytes, at_s: float) -> list[Told]:
        """What the ears get for a piece of the microphone's sound, whose first sample is `at_s`.

        Nothing where it is held back, and more where that is over.
        """
        at_s -= len(self._rest) / (2 * RATE)
        self._rest += pcm
        given: list[Told] = []
        while len(self._rest) >= _BYTES:
            block, self._rest = self._rest[:_BYTES], self._rest[_BYTES:]
            given += self._block(block, at_s)
            self._heard += BLOCK
            at_s += BLOCK / RATE
        return given

    def _block(self, block: bytes, at_s: float) -> list[Told]:
        echoes = self.echo.heard(block, at_s)
        self._count_side_by_side(at_s)
        if not echoes and not self._still_there():
            given = self._flushed() + self._released()
            return [*given, (block, False)]
        if self._ahead is None:
            self._hold(block)
            return self._too_old()
        knew = self._canceller.knows
        left = self._canceller.feed(self._beside(self._heard, self._ahead), _samples(block))
        self._at_work = True
        if knew and not self._canceller.knows:
            return [(_pcm(self._canceller.drain()), True)]
        if not knew and not self._canceller.knows:
            self._hold(block)
            return self._too_old()
        if not knew and self._held:
            # What is known now serves for what was said before: heard again, it is ours no more.
            self._hold(block)
            return self._heard_again(copy.deepcopy(self._canceller), whole=False)
        return [(_pcm(left), False)] if len(left) else []

    def _hold(self, block: bytes) -> None:
        self._held.append((self._heard, block))

    def _too_old(self) -> list[Told]:
        given: list[Told] = []
        while len(self._held) * BLOCK > _HELD_S * RATE:
            given.append((self._held.popleft()[1], True))
        return given

    def _flushed(self) -> list[Told]:
        """The last of what the canceller has, once we are silent."""
        if not self._at_work:
            return []
        self._at_work = False
        left = self._canceller.flush()
        if self._held or not len(left):
            return []
        return [(_pcm(left), not self._canceller.knows)]

    def _released(self) -> list[Told]:
        """What was held back, now that we are silent."""
        if not self._held:
            return []
        if self._ahead is not None:
            self._canceller.rest()
            for place, block in self._held:
                self._canceller.feed(self._beside(place, self._ahead), _samples(block))
            self._canceller.rest()
            if self._canceller.knows:
                return self._heard_again(copy.deepcopy(self._canceller), whole=True)
        given = [(block, True) for _, block in self._held]
        self._held.clear()
        return given

    def _heard_again(self, canceller: Canceller, *, whole: bool) -> list[Told]:
        """What was held back, without us. The last of it comes with the blocks that follow, but
        where it is the `whole`.
        """
        assert self._ahead is not None
        given: list[Told] = []
        canceller.rest()
        for place, block in self._held:
            left = canceller.feed(self._beside(place, self._ahead), _samples(block))
            if len(left):
                given.append((_pcm(left), not canceller.knows))
        if whole:
            given.append((_pcm(canceller.flush()), not canceller.knows))
        self._held.clear()
        return given

    def _still_there(self) -> bool:
        """Whether, by the count of samples, our sound may be in what is heard now."""
        if self._ahead is None:
            return False
        ours = bool(np.any(self._beside(self._heard, self._ahead)))
        self._silent_s = 0.0 if ours else self._silent_s + BLOCK / RATE
        return self._silent_s < _LASTS_S

    def _count_side_by_side(self, at_s: float) -> None:
        """Which of our samples goes with the microphone's, if that is known.

        What the canceller knows is surer than any one measurement of the way, as long as no stream
        has jumped.
        """
        with self._lock:
            clocks = at_s - self._began_s - self._heard / RATE
        steady = abs(clocks - self._clocks) <= _JUMPED_S
        if self._ahead is not None and steady and self._canceller.knows:
            return
        path = self.echo.path_s
        if path is None:
            self._ahead = None
            return
        ahead = round((clocks - path + min(_EARLY_S, path / 2)) * RATE)
        if steady and self._ahead is not None and abs(ahead - self._ahead) <= _ASTRAY_S * RATE:
            return
        self._ahead, self._clocks = ahead, clocks
        self._canceller.forget()

    def _beside(self, place: int, ahead: int) -> Sound:
        """Our samples that go with a block of the microphone's; silence where they are not kept."""
        wanted = place + ahead + np.arange(BLOCK)
        with self._lock:
            there = (wanted >= max(0, self._count - len(self._ours))) & (wanted < self._count)
            found = self._ours[wanted % len(self._ours)]
        return np.where(there, found, 0.0).astype(np.float64)


def _samples(pcm: bytes) -> Sound:
    return np.frombuffer(pcm, "<i2").astype(np.float64) / 32768


def _pcm(sound: Sound) -> bytes:
    return np.round(np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes()
