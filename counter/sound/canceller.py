"""Our own sound taken out of the microphone's: what is left is the room, and her.

The way from the loudspeaker to the microphone is a filter that is learnt while we speak: a
frequency-domain Kalman filter in blocks. Its state is the filter, one complex number for each
partition and frequency; what is not known of it is a variance beside each, and the step of
learning follows from both and from the power of all that is not our echo. So her voice over ours
needs no detector: while she speaks the step is small, and the filter stays.

    G. Enzner, P. Vary, "Frequency-domain adaptive Kalman filter for acoustic echo control in
    hands-free telephones", Signal Processing 86(6), 2006; in blocks after F. Kuech, E. Mabande,
    G. Enzner, "State-space architecture of the partitioned-block-based acoustic echo controller",
    ICASSP 2014. From memory.

What the filter leaves (a loudspeaker is not linear, a room is longer than it) is taken away band
by band, by spectral subtraction of what usually is left of so loud an echo; S. Boll, "Suppression
of acoustic noise in speech using spectral subtraction", IEEE Trans. ASSP 27(2), 1979, from memory.
How much that is, the median of the past tells, so that her voice now and then does not move it.

Pure arithmetic on the sound, samples of -1 … 1 at RATE. Most of the delay is somebody else's to
take away: the filter reaches from the sample that goes with the microphone's to TAIL_S before it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
"""Hz."""
BLOCK = 320
"""Samples at a time, 20 ms."""
TAIL_S = 0.36
"""Seconds of the way that are learnt: the direct sound and what a room gives back of it."""

_PARTS = round(TAIL_S * RATE / BLOCK)
_BINS = BLOCK + 1
_KEEPS = 0.999
"""How much of the filter is the same a block later: a hand that moves, a clock that drifts."""
_FRESH = 0.1
"""The share of this block in the power of what is left."""
_LEAST = 1e-9
_SILENT = 1e-3
"""Power of a frequency below which we are silent."""

_BANDS = np.unique(np.round(np.geomspace(3, _BINS, 25)).astype(int))[:-1]
"""The first frequency of each band, from 75 Hz."""
_STEP_DB = 0.3
"""How far the median of what is left moves in a block."""
_USUAL_DB = (-40.0, 6.0)
_TIMES = 4.0
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
_ASTRAY = 0.5
"""Where less than this of what the filter expects is there, the way is another one now."""
_ASTRAY_BLOCKS = 15

Sound = NDArray[np.float64]


class Canceller:
    """Fed a block of ours and the block of the microphone's that goes with it, in order."""

    def __init__(self) -> None:
        half = np.sqrt(np.hanning(2 * BLOCK + 1)[:-1])
        self._window = half
        self.forget()
        self.rest()

    def forget(self) -> None:
        """The way is another one: what was known of it no longer holds."""
        self._filter = np.zeros((_PARTS, _BINS), np.complex64)
        self._unsure = np.ones((_PARTS, _BINS), np.float32)
        self._left = np.full(_BINS, _LEAST, np.float32)
        self._usual_db = np.zeros(len(_BANDS))
        self._seen = np.zeros(len(_BANDS), bool)
        self._room = np.full(len(_BANDS), np.inf)
        self._knows = False
        self._together = self._expected = 0.0
        self._expected_blocks = 0

    def rest(self) -> None:
        """We are silent: the next block follows on nothing. What is known of the way stays."""
        self._ours = np.zeros((_PARTS, _BINS), np.complex64)
        self._before = np.zeros(BLOCK)
        self._heard_before = self._echo_before = np.zeros(BLOCK)
        self._half_done: Sound | None = None
        self._lasting = np.zeros(len(_BANDS))

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

    def feed(self, ours: Sound, heard: Sound) -> Sound:
        """What is left of the block before, once this one is known; nothing at the first.

        `ours` and `heard` are blocks of BLOCK samples. Raises ValueError for another length.
        """
        if len(ours) != BLOCK or len(heard) != BLOCK:
            raise ValueError(f"a block has {BLOCK} samples")
        self._ours[1:] = self._ours[:-1].copy()
        self._ours[0] = np.fft.rfft(np.concatenate((self._before, ours)))
        self._before = ours
        echo = np.fft.irfft((self._ours * self._filter).sum(0))[BLOCK:]
        left = heard - echo
        power = np.square(np.abs(self._ours))
        if power.max() > _SILENT:
            self._learn(left, power)
            self._doubt(heard, echo)
        return self._suppressed(left, echo)

    def flush(self) -> Sound:
        """The last block, when nothing of ours follows."""
        done = self._suppressed(np.zeros(BLOCK), np.zeros(BLOCK))
        self.rest()
        return done

    def _learn(self, left: Sound, power: Sound) -> None:
        error = np.fft.rfft(np.concatenate((np.zeros(BLOCK), left)))
        self._left += _FRESH * (np.square(np.abs(error)) - self._left)
        # Half of the window is zeros, and so is half of the power.
        gain = self._unsure / (0.5 * (power * self._unsure).sum(0) + self._left + _LEAST)
        step = np.fft.irfft(gain * np.conj(self._ours) * error, axis=1)
        step[:, BLOCK:] = 0.0  # the filter of a partition is no longer than it
        self._filter += np.fft.rfft(step, axis=1)
        self._filter *= _KEEPS
        self._unsure *= 1 - 0.5 * gain * power
        moved = np.square(np.abs(self._filter))
        self._unsure *= _KEEPS**2
        self._unsure += (1 - _KEEPS**2) * moved

    def _doubt(self, heard: Sound, echo: Sound) -> None:
        """Where the echo that is expected is not there, all is learnt anew.

        However loud she is, of the right echo all is in what is heard.
        """
        if float(echo @ echo) < BLOCK * 1e-7:
            return
        self._together += _FRESH * (float(heard @ echo) - self._together)
        self._expected += _FRESH * (float(echo @ echo) - self._expected)
        astray = self.knows and self._together < _ASTRAY * self._expected
        self._expected_blocks = self._expected_blocks + 1 if astray else 0
        if self._expected_blocks >= _ASTRAY_BLOCKS:
            self.forget()

    def _suppressed(self, left: Sound, echo: Sound) -> Sound:
        spectrum = np.fft.rfft(np.concatenate((self._heard_before, left)) * self._window)
        expected = np.fft.rfft(np.concatenate((self._echo_before, echo)) * self._window)
        self._heard_before, self._echo_before = left, echo
        there = np.add.reduceat(np.square(np.abs(spectrum)), _BANDS)
        of_us = np.add.reduceat(np.square(np.abs(expected)), _BANDS)
        self._room = np.minimum(there + _LEAST, _ROOM_GROWS * self._room)
        beyond = np.maximum(there - _ROOM_MOVES * self._room, 0.0)
        ratio_db = 10 * np.log10((beyond + _LEAST) / (of_us + _LEAST))
        moved = self._usual_db + np.where(ratio_db > self._usual_db, _STEP_DB, -_STEP_DB)
        tells = of_us > np.maximum(_ACTIVE, _STANDS_OUT * self._room)
        self._usual_db = np.where(tells, np.clip(moved, *_USUAL_DB), self._usual_db)
        self._seen |= tells
        self._knows = self.taken_db >= (_UNKNOWN_DB if self._knows else _KNOWN_DB)
        self._lasting = np.maximum(of_us, _FALLS * self._lasting)
        ours = _TIMES * self._lasting * 10 ** (self._usual_db / 10)
        gains = np.sqrt(np.clip(1 - ours / (there + 1e-12), _FLOOR**2, 1.0))
        spread = np.ones(_BINS)
        spread[: _BANDS[0]] = gains[0]
        spread[_BANDS[0] :] = np.repeat(gains, np.diff(np.append(_BANDS, _BINS)))
        halves = np.fft.irfft(spectrum * spread) * self._window
        before, self._half_done = self._half_done, halves[BLOCK:]
        if before is None:  # the block before it was let through as it was: nothing to give yet
            return np.zeros(0)
        return before + halves[:BLOCK]
