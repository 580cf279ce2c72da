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

How sure the filter is of itself it cannot tell from within: a tone that rises, or one vowel, looks
to it like much that was learnt. So what is left is compared with what was played: of the right
filter nothing that goes with our own sound is left, and what does go with it is how far the filter
is off, whoever else speaks (`_compare`). What is left all the same is `residue`'s to judge.

Pure arithmetic on the sound, samples of -1 … 1 at RATE. Most of the delay is somebody else's to
take away: the filter reaches from the sample that goes with the microphone's to TAIL_S before it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from counter.sound.residue import BLOCK, RATE, Residue, Sound

TAIL_S = 0.36
"""Seconds of the way that are learnt: the direct sound and what a room gives back of it."""

_PARTS = round(TAIL_S * RATE / BLOCK)
_BINS = BLOCK + 1
_KEEPS = 0.9997
"""How much of the filter is the same a block later: a hand that moves, a clock that drifts."""
_FIRST, _FALLS_DB = 0.3, 2.0
"""What a room may give back at once, and by how much less of it in each partition after."""
_FRESH = 0.1
"""The share of this block in the power of what is left."""
_COMPARED = 0.02
"""Likewise in the comparison of what is left with what was played: it goes over a second."""
_CHANCE = 3.0
"""So many times what chance would give must go together to tell anything."""
_REVIVED = 0.3
"""The share of what is found wrong that the filter is said to be unsure by."""
_LEAST = 1e-9
_SILENT = 1e-3
"""Power of a frequency below which we are silent."""
_ASTRAY = 0.5
"""Where less than this of what the filter expects is there, the way is another one now."""
_ASTRAY_BLOCKS = 15

_Power = NDArray[np.float32]
_ZEROS = np.zeros(BLOCK, np.float32)


class Canceller:
    """Fed a block of ours and the block of the microphone's that goes with it, in order."""

    def __init__(self) -> None:
        self._residue = Residue()
        self.lost = False
        """The way is another one now than what is known of it."""
        self.forget()
        self.rest()

    def forget(self) -> None:
        """The way is another one: what was known of it no longer holds."""
        self._filter = np.zeros((_PARTS, _BINS), np.complex64)
        falls = _FIRST * 10 ** (-_FALLS_DB / 10 * np.arange(_PARTS))
        self._unsure = np.outer(falls, np.ones(_BINS)).astype(np.float32)
        self._left = np.full(_BINS, _LEAST, np.float32)
        self._goes_with = np.zeros((_PARTS, _BINS), np.complex64)
        self._played = np.full((_PARTS, _BINS), _LEAST, np.float32)
        self._remains = np.full(_BINS, _LEAST, np.float32)
        self.doubt()
        self._residue.forget()

    def doubt(self) -> None:
        """What is known of the way may not hold: it must be proved again."""
        self._residue.doubt()
        self._together = self._expected = 0.0
        self._expected_blocks = 0
        self.lost = False

    def rest(self) -> None:
        """We are silent: the next block follows on nothing. What is known of the way stays."""
        self._ours = np.zeros((_PARTS, _BINS), np.complex64)
        self._before = _ZEROS
        self._residue.rest()

    @property
    def taken_db(self) -> float:
        """How much softer our sound is left, dB, in half of the bands; 0 before it is known."""
        return self._residue.taken_db

    @property
    def knows(self) -> bool:
        """Whether what comes out can be taken for hers."""
        return self._residue.knows

    @property
    def hers(self) -> bool:
        """Whether she speaks into our own sound now."""
        return self._residue.hers

    def feed(self, ours: Sound, heard: Sound) -> Sound:
        """What is left of a block some time ago; nothing at first.

        `ours` and `heard` are blocks of BLOCK samples. Raises ValueError for another length.
        """
        if len(ours) != BLOCK or len(heard) != BLOCK:
            raise ValueError(f"a block has {BLOCK} samples")
        played = ours.astype(np.float32)
        self._ours[1:] = self._ours[:-1].copy()
        self._ours[0] = np.fft.rfft(np.concatenate((self._before, played)))
        self._before = played
        echo = np.fft.irfft((self._ours * self._filter).sum(0))[BLOCK:].astype(np.float64)
        left = heard - echo
        power = np.square(self._ours.real) + np.square(self._ours.imag)
        if power.max() > _SILENT:
            if not self._residue.a_word:
                self._learn(left, power)
            self._is_there(heard, echo)
        return self._residue.feed(left, echo)

    def flush(self) -> Sound:
        """What is still to come, when nothing of ours follows."""
        done = self._residue.flush()
        self.rest()
        return done

    def drain(self) -> Sound:
        """What is still to come, while we go on."""
        return self._residue.flush()

    def _learn(self, left: Sound, power: _Power) -> None:
        error = np.fft.rfft(np.concatenate((_ZEROS, left.astype(np.float32))))
        loud = np.square(np.abs(error))
        self._left += _FRESH * (loud - self._left)
        # Her voice is there at once: no block counts for less than it is.
        others = np.maximum(self._left, loud)
        # Half of the window is zeros, and so is half of the power.
        gain = self._unsure / (0.5 * (power * self._unsure).sum(0) + others + _LEAST)
        alike = (np.conj(self._ours) * error).astype(np.complex64)
        step = np.fft.irfft(gain * alike, axis=1)
        step[:, BLOCK:] = 0.0  # the filter of a partition is no longer than it
        self._filter += np.fft.rfft(step, axis=1)
        self._filter *= _KEEPS
        self._unsure *= 1 - 0.5 * gain * power
        moved = np.square(self._filter.real) + np.square(self._filter.imag)
        self._unsure *= _KEEPS**2
        self._unsure += (1 - _KEEPS**2) * moved
        self._compare(alike, power, loud)

    def _compare(self, alike: NDArray[np.complex64], power: _Power, loud: _Power) -> None:
        """Where what is left goes with what was played, the filter is not as sure as it thinks."""
        self._goes_with += _COMPARED * (alike - self._goes_with)
        self._played += _COMPARED * (power - self._played)
        self._remains += _COMPARED * (loud - self._remains)
        found = np.square(self._goes_with.real) + np.square(self._goes_with.imag)
        found -= _CHANCE * _COMPARED * self._remains * self._played
        wrong = 4 * found / np.square(self._played + 1e-6)
        np.maximum(self._unsure, _REVIVED * np.clip(wrong, 0, 1), out=self._unsure)

    def _is_there(self, heard: Sound, echo: Sound) -> None:
        """Where the echo that is expected is not there, the way is lost.

        However loud she is, of the right echo all is in what is heard.
        """
        if float(echo @ echo) < BLOCK * 1e-7:
            return
        self._together += _FRESH * (float(heard @ echo) - self._together)
        self._expected += _FRESH * (float(echo @ echo) - self._expected)
        astray = self.knows and self._together < _ASTRAY * self._expected
        self._expected_blocks = self._expected_blocks + 1 if astray else 0
        self.lost = self._expected_blocks >= _ASTRAY_BLOCKS
