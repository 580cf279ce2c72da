"""The voice-activity gate: which 20 ms frames hold somebody's voice.

Pure arithmetic on the sound; no clock but the frames. The room is learned band by band while
nobody speaks, so a fan or rain raises the floor of its own bands only. A sound that stays level
for a second is part of the room, however loud: speech never does.

What stands out is measured by the likelihood ratio of Gaussian speech over Gaussian noise with the
voice's power at its likeliest (Sohn, Kim and Sung, "A statistical model-based voice activity
detection", IEEE Signal Processing Letters 6(1), 1999; from memory): for a band whose power is g
times the room's, g - ln g - 1. It is averaged over the bands and over the last frames, because one
frame of noise often stands out and four hardly ever do.

What stands out need not be near: music and a television do as well, and go on and on. So a frame
is voiced only while the level of the last moments is beyond what the background itself reaches.
"""

from __future__ import annotations

from collections import deque
from itertools import pairwise
from math import exp
from statistics import fmean

import numpy as np
from numpy.typing import NDArray

from models.frozen import Frozen

RATE = 16_000
"""Hz, of everything behind the microphone."""
FRAME = 320
"""Samples in a frame: 20 ms."""
FRAME_S = FRAME / RATE

_EDGES_HZ = (150, 300, 450, 650, 900, 1200, 1600, 2100, 2700, 3400, 4300, 5400, 6500)
_FLOOR_DB = -78.0
"""No room is quieter than this in one band: the hiss of a cheap microphone, dB of full scale."""
_OPEN = 0.4
"""The likelihood ratio's logarithm from which a frame counts as voice in a steady room; noise that
is level goes beyond it for less than a frame in a thousand, however loud it is."""
_STEADY_ROOM_DB = 1.0
"""A room's level moves by less than this, mean dB from frame to frame, in steady noise."""
_RESTLESS = 1.6
"""How the logarithm of that bound grows, for each dB by which a room moves more."""
_MOST_OPEN = 8.0
"""No room asks for more: one voice that goes on, a television's, is still seen as talk then."""
_STAY = 0.6
"""The share of that while the gate is open: word ends are softer than word beginnings."""
_AVERAGED = 4
"""Frames."""
_SPREAD = (-20.0, 30.0)
"""Bands are counted no further under and over the room than this, dB."""
_MOST_RATIO = 100.0
"""No band counts for more."""
_FAINT_DB = -62.0
"""Below this level, dB of full scale, nothing is a voice at this microphone."""
_STEADY_FRAMES = 50
_STEADY_DB = 7.0
"""A second whose level moves less than this is no speech (speech moves by 20 dB and more)."""

_PIECE_FRAMES = 5
_SHORT_FRAMES = 150
"""Three seconds."""
_LONG_PIECES = 80
"""Eight seconds: nobody speaks to a counter for that long, so a sound that does is the room's."""

_FALLS_DB = 0.6
"""How fast a level that was reached is forgotten, dB a frame: soft sounds in a word hold on."""
_NEAR_DB = (1.5, 5.0)
"""Beyond the background by so much is near, dB: in a steady room, in a restless one."""
_NEAR_RESTLESS = 1.4
"""How the first grows towards the second, for each dB by which a room moves more than steady."""
_BACKGROUND_FRAMES = 500
"""Ten seconds of what was not near tell how loud the background gets."""
_BACKGROUND_SHARE = 0.95
_UNBROKEN_FRAMES = 500
"""Nearness that goes on for ten seconds is background."""
_AFTER_FRAMES = 15
"""The end of a word and its echo are no background: so many frames after it are left out."""
_CROWDED, _NO_MORE = 0.75, 0.5
"""From this share of the last ten seconds standing out of the room something other than her is
sounding on, and only what is near is hers; until no more than the second one does."""


class Frame(Frozen):
    """What the gate says of one frame."""

    voiced: bool
    level_db: float
    """Loudness in the speech bands, dB of full scale."""
    room_db: float
    """The room's own loudness there, as learned so far."""
    background_db: float = -120.0
    """What the loudness of what is not near goes up to; -120 before any was heard."""


class Gate:
    """Feed it frames; it says which are voiced and how loud the room is."""

    def __init__(self) -> None:
        freqs = np.fft.rfftfreq(FRAME, 1 / RATE)
        picks = [(freqs >= low) & (freqs < high) for low, high in pairwise(_EDGES_HZ)]
        self._bands = np.array(picks, dtype=np.float64)
        window = np.hanning(FRAME)
        self._window = window / np.sqrt((window**2).sum() * FRAME / 2)
        self._room: NDArray[np.float64] | None = None
        self._unsure = 1.0
        self._ratios: deque[float] = deque(maxlen=_AVERAGED)
        self._levels: deque[float] = deque(maxlen=_LONG_PIECES * _PIECE_FRAMES)
        self._recent: deque[NDArray[np.float64]] = deque(maxlen=_STEADY_FRAMES)
        self._pieces: deque[NDArray[np.float64]] = deque(maxlen=_LONG_PIECES)
        self._piece: list[NDArray[np.float64]] = []
        self._usual: NDArray[np.float64] | None = None
        self._hot = 0
        self._open = False
        self._spread = 2.0
        self._reached = -120.0
        self._near_frames = 0
        self._since_near = _AFTER_FRAMES
        self._settled = True
        self._standing: deque[bool] = deque(maxlen=_BACKGROUND_FRAMES)
        self._crowded = False
        self._far: deque[float] = deque(maxlen=_BACKGROUND_FRAMES)
        self._background = -120.0

    @property
    def spread_db(self) -> float:
        """How much the room's own level moves from frame to frame, mean dB either way."""
        return self._spread

    @property
    def sounds_on_db(self) -> float | None:
        """What the loudness of something goes up to that sounds on and on; None if nothing does."""
        return self._background if self._crowded else None

    def feed(self, samples: NDArray[np.int16]) -> Frame:
        """One frame of FRAME samples, 16 kHz mono. Raises ValueError for any other length."""
        if len(samples) != FRAME:
            raise ValueError(f"a frame has {FRAME} samples, not {len(samples)}")
        spectrum = np.fft.rfft(samples.astype(np.float64) / 32768 * self._window)
        power = self._bands @ (spectrum.real**2 + spectrum.imag**2)
        bands = np.maximum(10 * np.log10(power + 1e-12), _FLOOR_DB)
        level = float(10 * np.log10(power.sum() + 1e-12))
        if self._room is None:
            # The first frame may already be speech: believe no room louder than a quiet one.
            self._room = np.minimum(bands, -62.0)
        self._ratios.append(_ratio(bands - self._room))
        self._levels.append(level)
        self._recent.append(bands)
        self._piece.append(bands)
        if len(self._piece) == _PIECE_FRAMES:
            self._pieces.append(np.mean(self._piece, axis=0))
            self._piece.clear()
            self._usual = None
            if len(self._levels) > 2 * _STEADY_FRAMES:
                levels = np.array(self._levels)
                # The short one, too: what stopped three seconds ago makes no room restless.
                self._spread = min(_spread(levels), _spread(levels[-_SHORT_FRAMES:]))
        near = self._near(level)
        loud = fmean(self._ratios) > self._threshold() and level > _FAINT_DB
        self._hot = min(self._hot + 1, 4) if loud else max(self._hot - 1, 0)
        if loud and self._steady():
            self._room = np.mean(np.array(self._recent), axis=0)
            self._levels = deque(self._last_second(), self._levels.maxlen)
            loud, self._hot = False, 0
        self._open = self._hot >= 2 or (self._open and self._hot > 0)
        self._learn(bands, loud)
        standing = loud and self._open
        crowded = self._crowd(standing=standing)
        return Frame(
            voiced=standing and (near or not crowded),
            level_db=level,
            room_db=self._room_db(),
            background_db=self._background,
        )

    def _near(self, level: float) -> bool:
        """Whether the last moments were louder than the background gets."""
        self._reached = max(level, self._reached - _FALLS_DB)
        least, most = _NEAR_DB
        moves = max(0.0, self._spread - _STEADY_ROOM_DB)
        beyond = min(most, least + _NEAR_RESTLESS * moves)
        near = self._reached > self._background + beyond
        self._near_frames = self._near_frames + 1 if near else 0
        self._since_near = 0 if near else self._since_near + 1
        # What was reached by her falls for a while: none of that is the background's own.
        self._settled = not near and (self._settled or level >= self._reached)
        unbroken = self._near_frames > _UNBROKEN_FRAMES
        if unbroken or (self._settled and self._since_near > _AFTER_FRAMES):
            self._far.append(self._reached)
            if len(self._far) % _PIECE_FRAMES == 0:
                self._background = float(np.quantile(np.array(self._far), _BACKGROUND_SHARE))
        return near

    def _crowd(self, *, standing: bool) -> bool:
        """Whether something stands out of the room all the time."""
        self._standing.append(standing)
        share = sum(self._standing) / _BACKGROUND_FRAMES
        self._crowded = share > (_NO_MORE if self._crowded else _CROWDED)
        return self._crowded

    def _threshold(self) -> float:
        moves = max(0.0, self._spread - _STEADY_ROOM_DB)
        opens = min(_OPEN * exp(_RESTLESS * moves), _MOST_OPEN)
        return _STAY * opens if self._open else opens

    def _steady(self) -> bool:
        last = self._last_second()
        return len(last) == _STEADY_FRAMES and max(last) - min(last) < _STEADY_DB

    def _last_second(self) -> list[float]:
        return list(self._levels)[-_STEADY_FRAMES:]

    def _learn(self, bands: NDArray[np.float64], loud: bool) -> None:
        assert self._room is not None
        if loud or self._open:
            # A command must not become the room; what goes on and on (music, a television) does,
            # and what stands out of it is heard. The guard asks for more the more it moves.
            if len(self._pieces) == self._pieces.maxlen:
                if self._usual is None:  # once for each piece, not for each frame
                    self._usual = np.median(np.array(self._pieces), axis=0)
                self._room = self._room + 0.05 * np.maximum(self._usual - self._room, 0.0)
            return
        self._unsure = max(self._unsure * 0.95, 0.06)
        self._room = self._room + self._unsure * (bands - self._room)

    def _room_db(self) -> float:
        assert self._room is not None
        return _sum_db(self._room)


def _ratio(over_db: NDArray[np.float64]) -> float:
    """The mean log likelihood ratio of bands that stand so far over the room."""
    times = 10 ** (np.clip(over_db, *_SPREAD) / 10)
    return float(np.minimum(times - np.log(times) - 1, _MOST_RATIO).mean())


def _spread(levels_db: NDArray[np.float64]) -> float:
    """The mean deviation of the room's level, from its softer frames: a voice only ever adds.

    In a normal distribution these quantiles lie 1.03 deviations apart, and the mean deviation is
    0.8 of one.
    """
    low, high = np.quantile(levels_db, (0.1, 0.4))
    return float(high - low) * 0.8 / 1.03


def _sum_db(bands: NDArray[np.float64]) -> float:
    return float(10 * np.log10((10 ** (bands / 10)).sum()))
