"""Her voice apart from ours, while we speak.

What is played and what is heard are two streams of samples, each with its own clock. `way` tells
which sample of the one comes back in which of the other; the two are counted side by side, and the
canceller takes ours out. What it gives is heard at once. Until it knows the way, what is heard
while we speak is held back: once we are silent it is listened to after all, if the way could be
learnt from it, and passed on as not to be heard where it could not.

A stream may stand still, or lose some of its sound: then the way is longer or shorter, and sounds
as it did. So the filter stays, and goes on where the way is found again.

Times are seconds of one steady clock. No input or output of its own.
"""

from __future__ import annotations

import copy
from collections import deque

import numpy as np

from counter.sound.canceller import TAIL_S, Canceller
from counter.sound.echo import Echo
from counter.sound.echo import Sound as Piece
from counter.sound.residue import BLOCK, RATE, Sound
from counter.sound.way import (
    COMPARED_S,
    NEARBY_COMPARED_S,
    DriftLine,
    Kept,
    Measured,
    ahead_near,
    ahead_of,
)

_EARLY_S = 0.012
"""The filter begins so long before the way is over: it is known about as well."""
_SAME = round(0.002 * RATE)
"""Ways that differ by no more are the same, or one that drifts as two clocks do."""
_MEASURED_EVERY = 12
"""Blocks."""
_FOLLOWS = 0.002
"""How quickly the clocks of two streams are followed."""
_JUMPED_S = 0.04
"""A stream that differs by this from its count stood still, or lost some of its sound."""
_WANDERS_S = 0.05
"""By so much the time that the way takes may be wrong."""
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
        self._ours, self._mic = Kept(_KEPT_S), Kept(_KEPT_S)
        self._began_s = 0.0
        self._rest = b""
        self._heard = 0
        self._line = DriftLine()
        self._early = 0
        self._met = self._found = False
        self._perhaps: int | None = None
        self._lost_at = self._sure_from = 0
        self._astray = False
        self._clocks: float | None = None
        self._slipped = False
        self._silent_s = _LASTS_S
        self._at_work = False
        self._held: deque[tuple[int, bytes]] = deque()

    @property
    def knows(self) -> bool:
        """Whether a word said into our own speech can be heard."""
        return self._found and self._canceller.knows

    @property
    def hers(self) -> bool:
        """Whether she speaks into our own sound now."""
        return self._at_work and self._canceller.hers

    def played(self, sound: Piece, at_s: float, *, sounding: bool) -> None:
        """All that goes to the loudspeaker, silence (not `sounding`) as well, samples of -1 … 1."""
        self._began_s = at_s - self._ours.count / RATE
        self._ours.add(sound)
        if sounding:
            self.echo.played(sound, at_s)

    def slipped(self) -> None:
        """The sound stood still on its way out."""
        self._slipped = True  # the ears' thread sees it
        self.echo.forget()

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
        self._mic.add(_samples(block).astype(np.float32))
        given = self._count_side_by_side(at_s)
        if not echoes and not self._still_there():
            return [*given, *self._flushed(), *self._released(), (block, False)]
        if not self._found:
            self._hold(block)
            return given + self._too_old()
        knew = self._canceller.knows
        left = self._canceller.feed(self._beside(self._heard), _samples(block))
        self._at_work = True
        if self._canceller.lost:
            return [*given, (_pcm(left), True), *self._lose(astray=True)]
        if knew and not self._canceller.knows:
            return [*given, (_pcm(self._canceller.drain()), True)]
        if not knew and not self._canceller.knows:
            self._hold(block)
            return given + self._too_old()
        if not knew and self._held:
            # What is known now serves for what was said before: heard again, it is ours no more.
            self._hold(block)
            return given + self._heard_again(copy.deepcopy(self._canceller), whole=False)
        return [*given, (_pcm(left), False)] if len(left) else given

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
        if self._found:
            self._canceller.rest()
            for place, block in self._held:
                self._canceller.feed(self._beside(place), _samples(block))
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
        given: list[Told] = []
        canceller.rest()
        places = iter([place for place, _ in self._held])
        for place, block in self._held:
            left = canceller.feed(self._beside(place), _samples(block))
            if len(left):
                # What was on its way when a stream stood still came by the way before.
                sure = next(places) >= self._sure_from
                given.append((_pcm(left), not (canceller.knows and sure)))
        if whole:
            given.append((_pcm(canceller.flush()), not canceller.knows))
        self._held.clear()
        return given

    def _still_there(self) -> bool:
        """Whether, by the count of samples, our sound may be in what is heard now."""
        if not self._found:
            return False
        ours = bool(np.any(self._beside(self._heard)))
        self._silent_s = 0.0 if ours else self._silent_s + BLOCK / RATE
        return self._silent_s < _LASTS_S

    def _count_side_by_side(self, at_s: float) -> list[Told]:
        """Which of our samples goes with the microphone's, if that is known."""
        clocks = at_s - self._began_s - self._heard / RATE
        stood = self._clocks is not None and abs(clocks - self._clocks) > _JUMPED_S
        self._clocks = clocks if self._clocks is None or stood else self._clocks
        self._clocks += _FOLLOWS * (clocks - self._clocks)
        slipped, self._slipped = self._slipped or stood, False
        given = self._lose() if slipped and self._found else []
        if self.echo.unheard:
            self._met = self._found = False
        elif self._heard // BLOCK % self._measured_every == 0:
            measured = self._measured(clocks)
            if measured is not None:
                self._follow(*measured, clocks - measured[1] / RATE)
        return given

    @property
    def _stood_still(self) -> bool:
        """Whether the way only sounds later, or sooner, than it did: a stream stood still."""
        return self._met and not self._found and not self._astray

    @property
    def _measured_every(self) -> int:
        return _MEASURED_EVERY // 2 if self._stood_still else _MEASURED_EVERY

    def _measured(self, clocks_s: float) -> Measured | None:
        """The way, by what sounded since it was lost, if it was."""
        if not self._stood_still:
            return ahead_of(self._ours, self._mic, clocks_s)
        before = self._line.at(self._lost_at)
        lost_s = (self._heard - self._lost_at) / RATE
        if lost_s < NEARBY_COMPARED_S + clocks_s - before / RATE:
            return None
        near = ahead_near(self._ours, self._mic, before)
        if near is None and lost_s >= COMPARED_S:
            return ahead_of(self._ours, self._mic, clocks_s)
        return near

    def _lose(self, *, astray: bool = False) -> list[Told]:
        """The way is another one now: what the canceller still has cannot be told from ours.

        `astray` where the filter no longer fits, and not only its place.
        """
        self._found, self._perhaps, self._lost_at = False, None, self._heard
        self._astray = astray
        self._canceller.doubt()
        if not self._at_work:
            return []
        self._at_work = False
        left = self._canceller.flush()
        return [(_pcm(left), True)] if len(left) and not self._held else []

    def _follow(self, place: int, way: int, takes_s: float) -> None:
        """The way has been measured: it is where it was, or another one."""
        same = self._met and abs(way - self._line.at(place)) <= _SAME
        if same and self._found:
            self._line.add(place, way)
            self._perhaps = None
            return
        sure = self._perhaps is not None and abs(way - self._perhaps) <= _SAME
        self._perhaps = way
        if self._met and not sure:
            return
        if not self._met:
            self._early = round(min(_EARLY_S, max(0.0, takes_s) / 2) * RATE)
            self._canceller.forget()
        elif self._found and self._canceller.knows:
            return  # an echo of the room may be louder than the sound itself for once
        elif same and self._astray:
            if self._heard - self._lost_at < COMPARED_S * RATE:
                return  # that was before it was lost
            self._canceller.forget()  # as long as it was, and yet not what it was
        self._line.begin(place, way)
        self._sure_from = self._lost_at + round((max(0.0, takes_s) + _WANDERS_S) * RATE)
        self._met, self._found, self._perhaps = True, True, None

    def _beside(self, place: int) -> Sound:
        """Our samples that go with a block of the microphone's; silence where they are not kept."""
        return self._ours.between(place + self._line.at(place) + self._early, BLOCK)


def _samples(pcm: bytes) -> Sound:
    return np.frombuffer(pcm, "<i2").astype(np.float64) / 32768


def _pcm(sound: Sound) -> bytes:
    return np.round(np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes()
