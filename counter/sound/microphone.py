"""The microphone: 16 kHz mono 16-bit sound from PortAudio, whatever happens to the device.

PortAudio does not tell when a device goes: a killed sound server ends the stream without a word,
a frozen one just stops calling back. So three things are watched: the stream's end, whether it is
active, and the age of the last callback. A lost microphone is opened again, every few seconds,
until it is back. Where there is another source the server may also move the stream to that and say
nothing, and keep it there when the microphone is back; so one that gives only silence is opened
anew beside the old stream, now and then, and sound that stops dead counts as broken off. Sound may
also get lost on its way, in PortAudio (it says so) or in the queue here; every piece has a number,
and a number left out is a break. Closing may hang with the server; it is left to a thread with a
time limit.

sounddevice is imported late: it fails without PortAudio, and the app runs without ears.
"""

from __future__ import annotations

import atexit
import contextlib
import itertools
import queue
import sys
import threading
import time
from collections import deque
from collections.abc import Callable
from enum import StrEnum
from functools import partial
from typing import TYPE_CHECKING, Any

from engine.base.refusal import Refusal

if TYPE_CHECKING:
    import soxr

RATE = 16_000
BLOCK = 320
"""Samples a callback, 20 ms: small blocks are the cheapest latency there is."""
_LATENCY_S = 0.04
_STALE_S = 1.5
"""No callback for this long: the device is gone."""
_RETRY_S = 2.0
_CLOSE_S = 1.0
_DEAD_S = 20.0
"""This long without one sample that differs from zero: a microphone that hears nothing."""
_LIVELY_S = 60.0
"""A room is never all zeros: after this long without a run of them, one is a break. A microphone
that closes itself between words gives them all the time."""
_STOPPED_S = 0.06
"""Such a run; shorter than the quiet after which a phrase is decided."""
_ANEW_S = 10.0
"""Seconds between two openings of a microphone that gives only silence."""
_QUEUE_BLOCKS = 500
"""Ten seconds; what nobody takes by then is dropped, oldest first."""
_LOSSES, _LOSSES_S = 5, 10.0
"""So many breaks by lost sound, in so many seconds: no word can be trusted any more."""

NEEDS_PORTAUDIO = (
    "I cannot hear: the sound library PortAudio is missing; install it "
    "(Debian and Ubuntu: sudo apt-get install -y libportaudio2) and start again. Keys work."
    if sys.platform.startswith("linux")
    else "I cannot hear: the sound library PortAudio does not load; reinstall with "
    "pip install --force-reinstall sounddevice and start again. Keys work."
)


class MicrophoneError(Refusal):
    """No sound can be had. Its text is one sentence with the remedy."""


class State(StrEnum):
    """How the microphone is."""

    CLOSED = "closed"
    OPEN = "open"
    LOST = "lost"
    """It was there; it is being looked for."""
    DEAD = "dead"
    """It is open and gives digital silence: switched off, muted or not allowed."""


def microphones() -> list[str]:
    """The names of what can be listened to. Raises MicrophoneError without PortAudio."""
    sd = _sounddevice()
    return [d["name"] for d in sd.query_devices() if d["max_input_channels"] > 0]


def _sounddevice() -> Any:
    try:
        import sounddevice  # late: see the top
    except OSError as error:
        raise MicrophoneError(NEEDS_PORTAUDIO) from error
    return sounddevice


class Microphone:
    """One microphone, by name, opened again whenever it is lost.

    The thread that wants the sound calls `read`; everything else happens in PortAudio's thread.
    """

    def __init__(
        self,
        name: str | None = None,
        around_refresh: Callable[[Callable[[], None]], None] | None = None,
    ) -> None:
        """`name` is a device name or a part of one; None is the system's default.

        Finding a device that was plugged in since the start needs PortAudio to begin anew, which
        ends every stream of the program: `around_refresh` is given that act, to close other
        streams before it and open them after.
        """
        self.name = name
        self._around_refresh = around_refresh or (lambda act: act())
        self.state = State.CLOSED
        self.trouble = ""
        """What is wrong, in one sentence; empty when nothing is."""
        self.breaks = 0
        """How often its sound broke off: what was half heard then never got its end."""
        self._sd: Any = None
        self._stream: Any = None
        self._blocks: queue.Queue[tuple[int, bytes]] = queue.Queue(_QUEUE_BLOCKS)
        """Pieces of sound, numbered as they came."""
        self._later: list[tuple[int, bytes]] = []
        self._numbers = itertools.count()
        self._next = 0
        """The number that goes on without a gap."""
        self._lost_at: deque[float] = deque(maxlen=_LOSSES)
        self._lively_s = self._zeros_s = 0.0
        self._last_callback = 0.0
        self._last_sound = 0.0
        self._ended = threading.Event()
        self._closing: threading.Thread | None = None
        self._retry_at = 0.0
        self.wanted = name
        self._changed = threading.Event()

    def open(self) -> None:
        """Opens it. Raises MicrophoneError when there is none, none of that name, or it is busy."""
        self._sd = _sounddevice()
        self._changed.clear()
        self.name = self.wanted
        self._numbers, self._next = itertools.count(), 0
        self._start_any_rate()
        self.state, self.trouble = State.OPEN, ""

    def _start_any_rate(self) -> None:
        device = self._find()
        try:
            self._start(device, RATE)
        except self._sd.PortAudioError:
            # Some devices know only their own rate; then the change is made here.
            try:
                rate = round(self._sd.query_devices(device, "input")["default_samplerate"])
                self._start(device, rate)
            except self._sd.PortAudioError as error:
                raise MicrophoneError(
                    f"The microphone{_named(self.name)} does not open "
                    f"({_portaudio_says(error)}): is another program using it? Keys work."
                ) from error

    def read(self, timeout_s: float = 0.1) -> bytes:
        """The sound since the last call, 16 kHz mono 16-bit; b"" when none came in time.

        Notices a lost microphone and opens it again; never raises for one.
        """
        pieces, self._later = self._later, []
        try:
            if not pieces:
                pieces.append(self._blocks.get(timeout=timeout_s))
            while True:
                pieces.append(self._blocks.get_nowait())
        except queue.Empty:
            pass
        breaks = self.breaks
        self._look()
        gone = self.breaks != breaks
        whole = self._to_a_break(pieces)
        # What came before the microphone was lost does not go on after it.
        self._later = [] if gone else pieces[whole:]
        return b"".join(piece for _, piece in pieces[:whole])

    def _to_a_break(self, pieces: list[tuple[int, bytes]]) -> int:
        """How many of them there are until the sound breaks off, which is counted."""
        for place, (number, piece) in enumerate(pieces):
            missing, first = number != self._next, self._next == 0
            self._next = number if missing and not first else number + 1
            if missing:
                self.breaks += 1
                self._lost_at.append(time.monotonic())
                if not first:  # nothing was heard before the first: it need not wait for a break
                    return place
            if self._stops_dead(piece):
                self.breaks += 1
                return place + 1
        return len(pieces)

    def change_to(self, name: str | None) -> None:
        """Use another; the thread that reads changes to it at its next read."""
        self.wanted = name
        self._changed.set()

    def close(self) -> None:
        """Closes it, within a second even when the sound server hangs."""
        self._drop()
        self.state = State.CLOSED

    def _find(self) -> int:
        """The device's number, by exact name before part of a name."""
        try:
            devices = list(self._sd.query_devices())
            if self.name is None:
                number = self._sd.default.device[0]
                if number is None or number < 0:
                    self._sd.query_devices(kind="input")  # raises where there is none
                    number = next(i for i, d in enumerate(devices) if d["max_input_channels"] > 0)
                return int(number)
        except (self._sd.PortAudioError, StopIteration) as error:
            raise MicrophoneError(
                "I cannot hear: no microphone is connected; plug one in and start listening again. "
                "Keys work."
            ) from error
        inputs = [(i, d["name"]) for i, d in enumerate(devices) if d["max_input_channels"] > 0]
        wanted = self.name.lower()
        for fits in (str.__eq__, str.__contains__):
            for number, name in inputs:
                if fits(name.lower(), wanted):
                    return number
        known = ", ".join(name for _, name in inputs) or "none"
        raise MicrophoneError(f"No microphone is called {self.name!r}; there are: {known}.")

    def _start(self, device: int, rate: int) -> None:
        resample = None
        if rate != RATE:
            import soxr

            resample = soxr.ResampleStream(rate, RATE, 1, dtype="int16", quality="MQ")
        ended = threading.Event()
        stream = self._sd.RawInputStream(
            device=device,
            samplerate=rate,
            channels=1,
            dtype="int16",
            blocksize=round(BLOCK * rate / RATE),
            latency=_LATENCY_S,
            callback=partial(self._callback, resample),
            finished_callback=ended.set,
        )
        now = time.monotonic()
        self._last_callback = self._last_sound = now
        stream.start()
        self._stream, self._ended = stream, ended

    def _callback(
        self,
        resample: soxr.ResampleStream | None,
        data: Any,
        _frames: int,
        _time: Any,
        status: Any,
    ) -> None:
        """PortAudio's thread: quick, and nothing that can raise."""
        if status and (status.input_overflow or status.input_underflow):
            next(self._numbers)  # sound is missing before this piece
        number, pcm = next(self._numbers), bytes(data)
        now = time.monotonic()
        self._last_callback = now
        silent = not pcm.strip(b"\0")
        if not silent:
            self._last_sound = now
        if resample is not None:
            import numpy as np

            samples = resample.resample_chunk(np.frombuffer(pcm, "<i2"))
            # The resampler dithers: silence must stay silence to be seen.
            pcm = bytes(2 * len(samples)) if silent else samples.astype("<i2").tobytes()
        while True:
            try:
                self._blocks.put_nowait((number, pcm))
                return
            except queue.Full:
                try:
                    self._blocks.get_nowait()
                except queue.Empty:
                    continue

    def _stops_dead(self, pcm: bytes) -> bool:
        """Whether a lively sound has just turned to nothing at all."""
        seconds = len(pcm) / (2 * RATE)
        if pcm.strip(b"\0"):
            if self._zeros_s >= _STOPPED_S:
                self._lively_s = 0.0
            self._zeros_s = 0.0
            self._lively_s += seconds
            return False
        before, self._zeros_s = self._zeros_s, self._zeros_s + seconds
        return before < _STOPPED_S <= self._zeros_s and self._lively_s >= _LIVELY_S

    def _look(self) -> None:
        """Is it still there? Is it back?"""
        now = time.monotonic()
        if self._changed.is_set():
            self._changed.clear()
            self._break_off()
            self.name = self.wanted
            self.state, self._retry_at = State.LOST, now
            self.trouble = f"The microphone{_named(self.name)} is not there yet; keys work."
        if self.state in (State.OPEN, State.DEAD):
            gone = (
                self._ended.is_set()
                or not self._stream.active
                or now - self._last_callback > _STALE_S
            )
            if gone:
                self._break_off()
                self.state = State.LOST
                self.trouble = (
                    f"The microphone{_named(self.name)} is gone; it is used again when it is back."
                )
                self._retry_at = now + _RETRY_S
            elif now - self._last_sound > _DEAD_S:
                if self.state is State.DEAD and now >= self._retry_at and not self._hangs:
                    self._retry_at = now + _ANEW_S
                    self._open_anew()
                elif self.state is State.OPEN:
                    self.state, self._retry_at = State.DEAD, now
                self.trouble = (
                    f"The microphone{_named(self.name)} gives only silence: is it unplugged or "
                    "muted, or is this program not allowed to use it?"
                )
            else:
                self.state, self.trouble = State.OPEN, self._losing(now)
        elif self.state is State.LOST and now >= self._retry_at and not self._hangs:
            self._retry_at = now + _RETRY_S
            self._reopen()

    def _losing(self, now: float) -> str:
        """What is wrong where sound gets lost again and again."""
        if len(self._lost_at) < _LOSSES or now - self._lost_at[0] > _LOSSES_S:
            return ""
        return (
            f"The sound of the microphone{_named(self.name)} has gaps, so no word is sure: this "
            "computer has too much to do at once; close what is not needed. Keys work."
        )

    def _reopen(self) -> None:
        trouble = self.trouble
        try:
            try:
                self.open()
            except MicrophoneError:
                self._around_refresh(self._refresh)
                self.open()
        except MicrophoneError:
            self.state, self.trouble = State.LOST, trouble

    def _open_anew(self) -> None:
        """Another stream of the same name beside the silent one, which goes once that is open."""
        silent, since = self._stream, self._last_sound
        try:
            self._start_any_rate()
        except MicrophoneError:
            return  # a device that only one stream may use; its own end is noticed
        self._last_sound = since
        self._close(silent)

    def _break_off(self) -> None:
        self.breaks += 1
        self._drop()
        self._lively_s = self._zeros_s = 0.0
        self._lost_at.clear()
        with contextlib.suppress(queue.Empty):
            while True:
                self._blocks.get_nowait()

    def _refresh(self) -> None:
        """PortAudio lists the devices once, when it begins; so it begins again."""
        self._sd._terminate()
        self._sd._initialize()

    @property
    def _hangs(self) -> bool:
        return self._closing is not None and self._closing.is_alive()

    def _drop(self) -> None:
        stream, self._stream = self._stream, None
        if stream is not None:
            self._close(stream)

    def _close(self, stream: Any) -> None:
        self._closing = threading.Thread(target=close_quietly, args=(stream,), daemon=True)
        self._closing.start()
        self._closing.join(_CLOSE_S)
        if self._hangs:
            # PortAudio's own end at exit would wait for the same server for ever.
            atexit.unregister(self._sd._exit_handler)


def close_quietly(stream: Any) -> None:
    """Ends a PortAudio stream; one whose server died may not even close. May hang."""
    try:
        stream.abort()
        stream.close()
    except Exception:
        return


def _named(name: str | None) -> str:
    return "" if name is None else f" {name!r}"


def _portaudio_says(error: Exception) -> str:
    return str(error.args[0] if error.args else error).split("[")[0].strip().rstrip(".")
