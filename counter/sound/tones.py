"""Sound out: one loudspeaker stream that stays open, and the short tones that answer commands.

A stream that is opened for each tone loses the end of it, sometimes all of it; so one stream runs
all the time and plays silence unless something is queued. Speech goes through it as well, and
`Loudspeaker.sounding` says when the ears must be deaf.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from enum import Enum
from math import log
from typing import Any

import numpy as np
import soxr
from numpy.typing import NDArray

from counter.sound.apart import Apart
from counter.sound.echo import RATE as ECHO_RATE
from counter.sound.echo import Echo, Steady
from counter.sound.microphone import close_quietly
from counter.sound.turns import Turns

RATE = 48_000
"""Hz of the loudspeaker stream."""
_ECHO_S = 0.15
"""Seconds after the last sample in which the room may still give it back."""
_CLOSE_S = 1.0
_LATENCY_S = 0.1
"""With the least that there is, a busy machine hands sound over too late now and then."""

Sound = NDArray[np.float32]


class ToneShape(Enum):
    """The answers, each with its notes as (Hz, seconds)."""

    ADVANCE = ((659.3, 0.05), (987.8, 0.08))
    """Up: E5, B5."""
    TAKE_BACK = ((987.8, 0.05), (659.3, 0.08))
    """Down."""
    MARK = ((784.0, 0.05), (0.0, 0.04), (784.0, 0.05))
    """Twice the same: G5."""
    ASK = ((659.3, 0.05), (784.0, 0.05), (987.8, 0.12))
    """Three up, like a question."""
    REFUSED = ((196.0, 0.14),)
    """Low: G3."""
    LISTENS = ((987.8, 0.06),)
    """One, high: B5."""


def tone_sound(tone: ToneShape, volume: float = 0.25) -> Sound:
    """The tone at RATE, samples of -1 … 1, with soft edges so that it does not click."""
    notes = []
    for hz, seconds in tone.value:
        count = round(seconds * RATE)
        t = np.arange(count) / RATE
        edge = min(count // 2, round(0.006 * RATE))
        shape = np.ones(count)
        shape[:edge] = np.linspace(0, 1, edge)
        shape[count - edge :] = np.linspace(1, 0, edge)
        notes.append(volume * shape * (np.sin(2 * np.pi * hz * t) if hz else 0.0))
    return np.concatenate(notes).astype(np.float32)


def rising_sound(seconds: float = 0.3, volume: float = 0.2) -> Sound:
    """A tone that rises from 300 to 3000 Hz, at RATE: by it the way back to the ears is measured.

    Each octave takes as long as the next (an exponential sweep), so it is heard in any room.
    """
    count, rises = round(seconds * RATE), 10.0
    t = np.arange(count) / RATE
    turns = 300.0 * seconds / log(rises) * (rises ** (t / seconds) - 1)
    edge = round(0.02 * RATE)
    shape = np.ones(count)
    shape[:edge] = np.linspace(0, 1, edge)
    shape[count - edge :] = np.linspace(1, 0, edge)
    return (volume * shape * np.sin(2 * np.pi * turns)).astype(np.float32)


class Loudspeaker:
    """The persistent output stream. Silent, and no error, where there is none."""

    def __init__(self, device: str | int | None = None) -> None:
        """`device` as sounddevice names it; None is the default. Nothing is opened yet."""
        self._device = device
        self._stream: Any = None
        self._turns = Turns(RATE)
        self._lock = threading.Lock()
        self._until = 0.0
        self._latency = 0.0
        self._steady = Steady(RATE)
        self.apart = Apart()
        """Takes what is played out of what is heard."""
        self._to_ears = _resampler()
        self._given = self._told = 0
        """Samples that went into it and came out."""
        self.gain = 1.0
        """What every sample is multiplied by."""
        self.hold: Callable[[], bool] = lambda: False
        """Whether she is speaking, or may go on: what is queued should not begin to sound yet."""
        self.trouble = ""
        """Why there is no sound, in one sentence; empty when there is."""

    def open(self) -> bool:
        """Opens the stream; False (with `trouble` set) where that is not possible."""
        try:
            import sounddevice as sd  # late: it needs PortAudio, which may be missing

            self._stream = sd.RawOutputStream(
                samplerate=RATE,
                channels=1,
                dtype="int16",
                device=self._device,
                latency=_LATENCY_S,
                callback=self._fill,
            )
            self._steady = Steady(RATE)
            self._to_ears = _resampler()
            self._given = self._told = 0
            self._stream.start()
            self._latency = float(self._stream.latency)
        except Exception as error:  # PortAudio raises several kinds, OSError when it is missing
            self._stream = None
            self.trouble = (
                f"No loudspeaker ({str(error).splitlines()[0]}): the screen answers alone."
            )
            return False
        self.trouble = ""
        return True

    @property
    def echo(self) -> Echo:
        """How what is played comes back."""
        return self.apart.echo

    @property
    def silent_for_s(self) -> float:
        """Seconds since the last of our sound was in the air; 0 while some is."""
        with self._lock:
            return 0.0 if self._turns else max(0.0, time.monotonic() - self._until)

    @property
    def sounding(self) -> bool:
        """Something of ours is in the air, or just was: the ears must be deaf."""
        with self._lock:
            return bool(self._turns) or time.monotonic() < self._until

    def play(self, sound: Sound, rate: int = RATE) -> None:
        """Queues a sound, samples of -1 … 1 at `rate` Hz. Does nothing without a stream."""
        if self._stream is None or not self._stream.active or not len(sound):
            return
        if rate != RATE:
            sound = soxr.resample(sound, rate, RATE)
        with self._lock:
            self._turns.add((sound * self.gain).astype(np.float32))

    def tone(self, tone: ToneShape) -> None:
        """Plays the tone."""
        self.play(tone_sound(tone))

    def hush(self) -> None:
        """Drops what is queued, at once."""
        with self._lock:
            self._turns.clear()

    def close(self) -> None:
        """Closes the stream, within a second even when the sound server hangs."""
        stream, self._stream = self._stream, None
        self.hush()
        if stream is not None:
            closing = threading.Thread(target=close_quietly, args=(stream,), daemon=True)
            closing.start()
            closing.join(_CLOSE_S)

    def around(self, act: Callable[[], None]) -> None:
        """Does `act` while the stream is closed; for `Microphone`'s `around_refresh`."""
        was_open = self._stream is not None
        self.close()
        act()
        if was_open:
            self.open()

    def _fill(self, out: Any, frames: int, _time: Any, status: Any) -> None:
        """The stream's callback, in PortAudio's thread: what is queued, or silence."""
        if status and status.output_underflow:
            self._steady = Steady(RATE)
            self.apart.slipped()
        at_s = self._steady.at(time.monotonic(), frames)
        with self._lock:
            block, filled = self._turns.take(frames, busy=self.hold(), into_ours=self.apart.hers)
            if filled:
                self._until = time.monotonic() + frames / RATE + self._latency + _ECHO_S
        np.clip(block, -1, 1, out=block)
        self._tell(block, at_s, sounding=filled > 0)
        out[:] = (block * 32767).astype("<i2").tobytes()

    def _tell(self, block: Sound, at_s: float, *, sounding: bool) -> None:
        """What is played, at the rate of what is heard.

        It comes out of the resampler later and by fits and starts, so it is earlier than it looks.
        """
        told = self._to_ears.resample_chunk(block)
        at_s += self._told / ECHO_RATE - self._given / RATE
        self._given += len(block)
        self._told += len(told)
        self.apart.played(told, at_s, sounding=sounding)


def _resampler() -> soxr.ResampleStream:
    return soxr.ResampleStream(RATE, ECHO_RATE, 1, dtype="float32", quality="MQ")
