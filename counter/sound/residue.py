"""What the filter leaves of us: whether she is in it, and how to be rid of the rest.

A loudspeaker is not linear and a room is longer than the filter, so something of us is always
left. How much that usually is, for so loud an echo, the median of the past tells, band by band.
What stands far out of that in many bands at once is not ours: she speaks. Then little is taken
away, by spectral subtraction (S. Boll, "Suppression of acoustic noise in speech using spectral
subtraction", IEEE Trans. ASSP 27(2), 1979, from memory), so that her word stays as it was. While
she does not, all is turned down to the room's own softness, or what is left of us would stand
around her word as talk. Her first, soft sounds do not stand out: so all comes a little later,
and what lies just before is let through with the rest.
"""

from __future__ import annotations

from collections import deque

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
"""Hz."""
BLOCK = 320
"""Samples at a time, 20 ms."""

_BINS = BLOCK + 1
_BANDS = np.unique(np.round(np.geomspace(3, _BINS, 25)).astype(int))[:-1]
"""The first frequency of each band, from 75 Hz."""
_WIDTHS = np.diff(np.append(_BANDS, _BINS))
_STEP_DB, _BESIDE_HER_DB = 0.3, 0.05
"""How far the median of what is left moves in a block; and while she speaks."""
_AGAIN_DB = 1.0
"""Likewise for a filter that was right before: it is proved again, or is not, and not learnt."""
_SHE_LASTS_S = 3.0
"""What stands out for longer, by and large, is no word: the way has changed, or somebody talks."""
_USUAL_DB = (-40.0, 6.0)
_TIMES, _TIMES_BESIDE_HER = 4.0, 2.0
"""What is left is taken to be so many times its median: it comes and goes."""
_FLOOR = 0.1
"""No band gets softer than by this: a hole would be heard as a sound of its own."""
_FALLS = 0.75
"""How much of an echo is still in the room a block later, beyond the filter."""
_ACTIVE = 1e-5
"""Power of our echo in a band from which it tells how much is left."""
_STANDS_OUT = 10.0
"""So many times the room's own power, likewise."""
_ROOM_GROWS = 1.01
"""How the room's power may grow from block to block: its softest moments are the room."""
_ROOM_MOVES = 3.0
"""The room is no more than so many times its softest moments."""
_KNOWN_DB, _UNKNOWN_DB = 15.0, 11.0
"""So much less of us must be left, in half of the bands, that her voice can be told from ours; and
until it is no more than the second."""
_BANDS_ENOUGH = 8
_HER_TIMES = 12.0
"""A band in which so many times as much is left as usual tells of her."""
_HER_ROOM = 8.0
"""So many times the room's own power, likewise."""
_HER_BANDS = 8
"""She speaks where so many bands tell of her,"""
_HER_BLOCKS, _OF_BLOCKS = 3, 5
"""in so many of the last blocks."""
_BEFORE, _AFTER = 9, 12
"""Blocks let through before she stands out, and after."""

Sound = NDArray[np.float64]
_Spectrum = NDArray[np.complex128]


class Residue:
    """Fed what the filter left and the echo that it expected, block by block."""

    def __init__(self) -> None:
        self._window = np.sqrt(np.hanning(2 * BLOCK + 1)[:-1])
        self._room = np.full(len(_BANDS), np.inf)
        self.forget()
        self.rest()

    def forget(self) -> None:
        """The way is another one."""
        self._usual_db = np.zeros(len(_BANDS))
        self._seen = np.zeros(len(_BANDS), bool)
        self._knows = False
        self._proved_before = False
        self._stood_out = 0

    def doubt(self) -> None:
        """The filter is as it was, but may not fit any more: it must be proved again."""
        before = self._knows or self._proved_before
        self.forget()
        self._proved_before = before

    def rest(self) -> None:
        """The next block follows on nothing."""
        self._left_before = self._echo_before = np.zeros(BLOCK)
        self._half_done: Sound | None = None
        self._lasting = np.zeros(len(_BANDS))
        self._coming: deque[tuple[_Spectrum, Sound, Sound]] = deque()
        self._told: deque[bool] = deque(maxlen=_OF_BLOCKS)
        self._open = 0

    @property
    def taken_db(self) -> float:
        """How much softer our sound is left, dB, in half of the bands; 0 before it is known."""
        if np.count_nonzero(self._seen) < _BANDS_ENOUGH:
            return 0.0
        return -float(np.median(self._usual_db[self._seen]))

    @property
    def knows(self) -> bool:
        """Whether what comes out can be taken for hers."""
        return self._knows

    @property
    def hers(self) -> bool:
        """Whether she speaks into our own sound now."""
        return self._knows and sum(self._told) >= _HER_BLOCKS

    @property
    def a_word(self) -> bool:
        """Whether she speaks, and not for so long that it must be something else."""
        return self.hers and self._stood_out * BLOCK < _SHE_LASTS_S * RATE

    def feed(self, left: Sound, echo: Sound) -> Sound:
        """A block of some time ago, as it is given to the ears; nothing at first."""
        self._coming.append(self._bands(left, echo))
        if self.hers:
            self._open = _BEFORE + _AFTER
        return self._next() if len(self._coming) > _BEFORE else np.zeros(0)

    def flush(self) -> Sound:
        """All that is still to come, when nothing of ours follows."""
        given = [self.feed(np.zeros(BLOCK), np.zeros(BLOCK))]
        while self._coming:
            given.append(self._next())
        self.rest()
        return np.concatenate(given)

    def _next(self) -> Sound:
        spectrum, there, ours = self._coming.popleft()
        if self._open or not self._knows:
            self._open = max(0, self._open - 1)
            rest = np.clip(1 - _TIMES_BESIDE_HER * ours / there, _FLOOR**2, 1.0)
        else:
            rest = np.clip(1 - _TIMES * ours / there, _FLOOR**2, 1.0)
            rest = np.minimum(rest, _ROOM_MOVES * self._room / there)
        spread = np.empty(_BINS)
        spread[: _BANDS[0]] = rest[0]
        spread[_BANDS[0] :] = np.repeat(rest, _WIDTHS)
        halves = np.fft.irfft(spectrum * np.sqrt(spread)) * self._window
        before, self._half_done = self._half_done, halves[BLOCK:]
        if before is None:  # the block before it was let through as it was: nothing to give yet
            return np.zeros(0)
        return before + halves[:BLOCK]

    def _bands(self, left: Sound, echo: Sound) -> tuple[_Spectrum, Sound, Sound]:
        """The spectrum of a block, its power by bands, and how much of that is usually ours."""
        spectrum = np.fft.rfft(np.concatenate((self._left_before, left)) * self._window)
        expected = np.fft.rfft(np.concatenate((self._echo_before, echo)) * self._window)
        self._left_before, self._echo_before = left, echo
        there = np.add.reduceat(np.square(np.abs(spectrum)), _BANDS) + 1e-9
        of_us = np.add.reduceat(np.square(np.abs(expected)), _BANDS)
        self._room = np.minimum(there, _ROOM_GROWS * self._room)
        self._lasting = np.maximum(of_us, _FALLS * self._lasting)
        ours = self._lasting * 10 ** (self._usual_db / 10)
        self._look(there, ours)
        self._learn(there, of_us)
        return spectrum, there, ours

    def _look(self, there: Sound, ours: Sound) -> None:
        """Whether she is in it."""
        hers = there > np.maximum(_HER_TIMES * ours, _HER_ROOM * self._room)
        self._told.append(int(np.count_nonzero(hers & self._seen)) >= _HER_BANDS)
        out = self._stood_out + 1 if self.hers else self._stood_out - 1
        self._stood_out = min(max(0, out), 2 * round(_SHE_LASTS_S * RATE / BLOCK))

    def _learn(self, there: Sound, of_us: Sound) -> None:
        """How much of us is usually left."""
        beyond = np.maximum(there - _ROOM_MOVES * self._room, 0.0)
        ratio_db = 10 * np.log10((beyond + 1e-9) / (of_us + 1e-9))
        again = self._proved_before and not self._knows
        step = _BESIDE_HER_DB if self.a_word else _AGAIN_DB if again else _STEP_DB
        moved = self._usual_db + np.where(ratio_db > self._usual_db, step, -step)
        tells = of_us > np.maximum(_ACTIVE, _STANDS_OUT * self._room)
        self._usual_db = np.where(tells, np.clip(moved, *_USUAL_DB), self._usual_db)
        self._seen |= tells
        self._knows = self.taken_db >= (_UNKNOWN_DB if self._knows else _KNOWN_DB)
