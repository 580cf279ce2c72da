"""The ears of the app: a thread that listens, and news of what it heard.

Sound comes from a source (the microphone, or a recording paced in real time), goes through the
listener, and what was decided is posted to the app, which acts on it in its own thread. A thread
of its own, and a daemon: a hung sound server must not hold the program's end. What computes with
sound is loaded in that thread as well, after the first screen is painted.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from counter.sound.microphone import Microphone, MicrophoneError, State, microphones
from engine.base.refusal import Refusal
from engine.ears.guard import Bounds, Sensitivity
from models.command import Heard, Situation

if TYPE_CHECKING:
    from counter.sound.noting import Noting
    from engine.ears.decoding import Cleaner, Decoder
    from engine.ears.fluency import Fluency
    from engine.ears.listener import Listener

_PIECE = 640
"""Bytes at a time, 20 ms: what an utterance changed must hold before the next is heard."""
_RATE = 16_000
BREAK = bytes(2 * _RATE)
"""A second that is not listened to, after which nothing said before it goes on."""
_LEVELS = " ▁▂▃▄▅▆▇█"
_QUIETEST_DB, _LOUDEST_DB = -65.0, -15.0
_LEVEL_EVERY_S = 0.25
"""Seconds between two paintings of the level: enough to see that it lives, too slow to distract."""
_CLOSE_S = 2.0
_DEAF_TOLD_S = 0.6
"""Seconds of our own sound from which the line says that nothing else is heard: no tone is as long.
"""


@dataclass(frozen=True)
class EarsHeard:
    """An utterance was decided."""

    heard: Heard


@dataclass(frozen=True)
class EarsState:
    """How loud it is now, 0 to 1; also sent when the microphone changes."""

    level: float = 0.0


@dataclass(frozen=True)
class EarsLack:
    """Something that the ears cannot do, though they hear; in one sentence."""

    told: str


@dataclass(frozen=True)
class EarsNote:
    """A spoken note is over."""

    sound: bytes
    """16 kHz mono 16-bit; empty where nothing was said."""
    broken: bool = False
    """The microphone went meanwhile: what is there was said before."""


_ANYBODY = (
    "Every voice counts now: turn “My voice only” off and on again in the settings, or rehearse "
    "once more, to be the only one."
)
News = EarsHeard | EarsState | EarsLack | EarsNote
"""What the ears have to tell."""
BREATH_S = 0.28
"""Quiet from which nothing follows in the same breath: until then our answer would drown it."""
Without = Callable[[bytes, float], Iterable[tuple[bytes, bool]]]
"""Given each piece of the microphone's sound and the time of its first sample (monotonic clock,
seconds): what the ears get for it, without our own sound, and whether that is not to be heard."""
Post = Callable[[News], object]
"""Takes the news out of the ears' thread."""


class Source(Protocol):
    """Where the sound comes from."""

    trouble: str
    """What is wrong, in one sentence; empty when nothing is."""
    breaks: int
    """How often its sound broke off."""

    def open(self) -> None:
        """Opens it. Raises MicrophoneError."""

    def read(self, timeout_s: float = 0.1) -> bytes:
        """16 kHz mono 16-bit sound since the last call; b"" when none came in time."""

    def close(self) -> None:
        """Closes it, soon whatever happens."""


class Recording:
    """A recording that is heard as if it were spoken now; silence after its end."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self.trouble = ""
        self.breaks = 0
        self.over = False
        self._sound: Iterator[bytes] = iter(())
        self._began = 0.0
        self._sent = 0

    def open(self) -> None:
        """Starts it. Raises MicrophoneError where the recording cannot be used."""
        from engine.ears import wav

        try:
            self._sound = _pieces(wav.blocks(self._path))
        except wav.AudioError as error:
            raise MicrophoneError(str(error)) from error
        self._began = time.monotonic()

    def read(self, timeout_s: float = 0.1) -> bytes:
        """The next piece, when its time has come."""
        due = self._began + self._sent / (2 * _RATE)
        wait = due - time.monotonic()
        if wait > timeout_s:
            time.sleep(timeout_s)
            return b""
        if wait > 0:
            time.sleep(wait)
        piece = next(self._sound, b"")
        if not piece:
            self.over = True
            piece = bytes(_PIECE)
        self._sent += len(piece)
        return piece

    def close(self) -> None:
        """Nothing is held open."""


def _pieces(blocks: Iterator[bytes]) -> Iterator[bytes]:
    for block in blocks:
        for start in range(0, len(block), _PIECE):
            yield block[start : start + _PIECE]


class Ears:
    """Hears commands in a thread of its own."""

    def __init__(
        self,
        source: Source,
        find: Callable[[str], Fluency],
        decoder: Callable[[Fluency], Decoder],
        cleaner: Callable[[Fluency], Cleaner | None] = lambda _: None,
    ) -> None:
        """`find` gives the voice model of a language, `decoder` reads it, `cleaner` the denoiser,
        if there is one.

        All are called in the thread, for they take a moment; what they raise is told.
        """
        self._source = source
        self._find = find
        self._decoder = decoder
        self._cleaner = cleaner
        self._language = "en"
        self._attention = False
        self._sensitivity: Sensitivity | Bounds = Sensitivity.EVEN
        self._fluency: Fluency | None = None
        self._spoken = ""
        """The language that was asked for when the model in use was read."""
        self._thread: threading.Thread | None = None
        self._stop = threading.Event()
        self._ready = False
        self._hindered = False
        self._anybody = False
        self._failed = ""
        self._deaf_s = 0.0
        self._quiet_s = BREATH_S
        self._noting: Noting | None = None

    @property
    def trouble(self) -> str:
        """Why nothing is heard now, in one sentence with the remedy; empty when all is well."""
        return self._failed or self._source.trouble

    @property
    def listening(self) -> bool:
        """Whether the thread is at work."""
        return self._thread is not None and self._thread.is_alive()

    @property
    def sensitivity(self) -> Sensitivity | Bounds:
        """How careful the guard is, or the bounds that a rehearsal fitted."""
        return self._sensitivity

    @sensitivity.setter
    def sensitivity(self, value: Sensitivity | Bounds) -> None:
        self._sensitivity = value  # the thread sees it

    @property
    def language(self) -> str:
        """Whose words are listened to."""
        return self._language

    @language.setter
    def language(self, value: str) -> None:
        self._language = value  # the thread sees it, and reads another model

    def ask_attention(self, wanted: bool) -> str:
        """Whether the attention word must come first; gives why it cannot, empty where it can.

        What only the voice model tells, once it is read, comes as EarsLack.
        """
        self._attention = wanted  # the thread sees it
        fluency = self._fluency
        return fluency.cannot_call if wanted and fluency is not None else ""

    @property
    def deaf(self) -> bool:
        """Whether our own sound is in the air, so that a word said now would be lost."""
        return self._deaf_s > 0

    @property
    def talking(self) -> bool:
        """Whether she speaks, or did just now and may go on."""
        return self._ready and self._quiet_s < BREATH_S

    @property
    def hearing(self) -> bool:
        """Whether a word said now would be heard."""
        return self.listening and self._ready and not self.trouble

    def take_note(self) -> None:
        """What is said from now on is no command but a note; it comes as EarsNote."""
        from counter.sound.noting import Noting

        self._noting = Noting()  # the thread sees it

    def end_note(self) -> None:
        """The note ends here."""
        if (noting := self._noting) is not None:
            noting.end()

    def drop_note(self) -> None:
        """The note is not wanted: words are commands again."""
        self._noting = None

    @property
    def noted_s(self) -> float:
        """Seconds of the note now spoken; 0 where none is."""
        noting = self._noting
        return noting.seconds if noting is not None else 0.0

    def microphones(self) -> list[str]:
        """The names to choose from; none where a recording is heard or no sound can be had."""
        if not isinstance(self._source, Microphone):
            return []
        try:
            return microphones()
        except MicrophoneError:
            return []

    @property
    def microphone(self) -> str | None:
        """The name that was asked for; None for the system's choice, or for a recording."""
        return self._source.wanted if isinstance(self._source, Microphone) else None

    def use_microphone(self, name: str | None) -> None:
        """Listen to another microphone, at once."""
        if isinstance(self._source, Microphone):
            self._source.change_to(name)

    def open(
        self,
        post: Post,
        situation: Callable[[], Situation],
        without: Without,
    ) -> None:
        """Start to listen, or try again. `without` takes our own sound out of what is heard."""
        if self.listening:
            return
        self._failed = ""
        self._thread = threading.Thread(
            target=self._listen, args=(post, situation, without), name="ears", daemon=True
        )
        self._thread.start()

    def close(self) -> None:
        """Stop, within two seconds."""
        self._stop.set()
        if self._thread is not None:
            self._thread.join(_CLOSE_S)

    def line(self, level: float, *, listening: bool) -> str:
        """How they are, in a few words and a bar."""
        if self.trouble:
            return self._briefly()
        if not self._ready:
            return "soon listening"
        if not listening:
            return "not listening"
        if self._deaf_s >= _DEAF_TOLD_S:
            return "I speak, then listen"
        bar = _LEVELS[min(len(_LEVELS) - 1, round(level * (len(_LEVELS) - 1)))]
        return f"I listen {bar}"

    def _briefly(self) -> str:
        """The trouble in a few words: the ears are not lost where the microphone is mute."""
        source = self._source
        if not self._failed and isinstance(source, Microphone):
            if source.state is State.DEAD:
                return "the microphone gives no sound"
            if source.state is State.OPEN:
                return "the sound has gaps, keys work"
        return "not hearing, keys work"

    def _listen(
        self,
        post: Post,
        situation: Callable[[], Situation],
        without: Without,
    ) -> None:
        try:
            listener = self._wake(situation, post)
            self._source.open()
        except Exception as error:  # whatever it is, the app must go on by keyboard
            self._failed = str(error) or type(error).__name__
            post(EarsState())
            return
        self._ready = True
        post(EarsState())
        try:
            self._hear(listener, post, situation, without)
        except Refusal as refusal:
            self._failed = str(refusal)
        except Exception as error:
            self._failed = (
                f"Listening stopped ({error or type(error).__name__}): start again to have it; "
                "keys work."
            )
        finally:
            self._ready = False
            self._end_note(post, broken=True)
            self._source.close()
            post(EarsState())

    def _note(self, pcm: bytes, post: Post, *, deaf: bool) -> bool:
        """Whether this belongs to a note that is being spoken."""
        noting = self._noting
        if noting is None:
            return False
        if not deaf:
            noting.feed(pcm)
        if noting.over:
            self._end_note(post)
        return True

    def _end_note(self, post: Post, *, broken: bool = False) -> None:
        noting, self._noting = self._noting, None
        if noting is not None:
            post(EarsNote(noting.sound(), broken=broken))

    def _deaf(self, given: list[tuple[bytes, bool]], seconds: float) -> None:
        """Counts for how long nothing has been heard: nothing came, or nothing that may be."""
        heard = bool(given) and not given[-1][1]
        self._deaf_s = 0.0 if heard else self._deaf_s + seconds

    def _wake(self, situation: Callable[[], Situation], post: Post) -> Listener:
        """Get ready for the words of the language that is wanted now.

        That takes a while, and another may be wanted before it is over: then for that one.
        """
        from engine.ears.listener import Listener

        while True:
            self._spoken = language = self._language
            try:
                self._fluency = fluency = self._find(language)
                listener = Listener(
                    self._decoder(fluency),
                    situation,
                    language=fluency.language,
                    cleaner=self._cleaner(fluency),
                )
            except Exception:
                if language != self._language and not self._stop.is_set():
                    continue
                raise
            if language == self._language:
                break
        told = [fluency.told, fluency.cannot_call if self._attention else ""]
        if any(told):
            post(EarsLack(" ".join(filter(None, told))))
        return listener

    def _set(self, listener: Listener) -> None:
        """As it is wanted now. The thread alone does it, so nothing that is set gets lost."""
        listener.sensitivity = self._sensitivity
        fluency = self._fluency
        listener.attention = self._attention and not (fluency and fluency.cannot_call)

    def _hear(
        self,
        listener: Listener,
        post: Post,
        situation: Callable[[], Situation],
        without: Without,
    ) -> None:
        """Until the end. What is said while other words are learnt is heard in those."""
        from counter.sound.echo import Steady

        painted, trouble, breaks = 0.0, self.trouble, self._source.breaks
        steady = Steady(_RATE)
        while not self._stop.is_set():
            if self._spoken != self._language:
                self._ready = False
                post(EarsState())
                listener = self._wake(situation, post)
                self._ready = True
            self._set(listener)
            sound = self._source.read()
            at_s = steady.at(time.monotonic(), len(sound) // 2)
            for start in range(0, len(sound), _PIECE):
                piece = sound[start : start + _PIECE]
                given = list(without(piece, at_s + start / (2 * _RATE)))
                self._deaf(given, len(piece) / (2 * _RATE))
                # Time passes while we are deaf, so our own tone withdraws nothing.
                for pcm, deaf in given:
                    noted = self._note(pcm, post, deaf=deaf)
                    for heard in listener.feed(pcm, deaf=deaf or noted):
                        post(EarsHeard(heard))
                self._quiet_s = listener.quiet_s
            if listener.hindrance and not self._hindered:
                self._hindered = True  # told once: she knows her room
                post(EarsLack(listener.hindrance))
            if listener.anybody and not self._anybody:
                post(EarsLack(_ANYBODY))
            self._anybody = listener.anybody
            if self._source.breaks != breaks:
                breaks = self._source.breaks
                steady = Steady(_RATE)
                # Half a word before the break and half a one after it are no word.
                listener.feed(BREAK, deaf=True)
                self._end_note(post, broken=True)
            now = time.monotonic()
            if now - painted >= _LEVEL_EVERY_S or trouble != self.trouble:
                painted, trouble = now, self.trouble
                post(EarsState(_loud(listener.level_db)))


def _loud(level_db: float) -> float:
    return min(1.0, max(0.0, (level_db - _QUIETEST_DB) / (_LOUDEST_DB - _QUIETEST_DB)))
