"""The sound of a rehearsal, cut into tries: from a recording, or from a microphone with prompts."""

from __future__ import annotations

import math
import time
import wave
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

from counter.sound.listening import BREAK, Source
from engine.base.refusal import Refusal
from engine.ears import wav
from engine.ears.decoding import Cleaner, Decoder
from engine.ears.evidence import Evidence
from engine.ears.gate import RATE
from engine.ears.guard import BOUNDS, Sensitivity
from engine.ears.hers import Timbre
from engine.ears.listener import Listener
from engine.ears.rehearsal import TIMES, Try, situation_of
from models.command import Heard, Situation

_PIECE = 640
_GAP_S = 0.6
"""Voice again within this, after the ears had done with it, is the same try."""
_SHORTEST_S = 0.15
"""A sound shorter than this that was no words was a click."""
_PATIENCE_S = 8.0
"""How long a try is waited for."""
_KEPT_S = 8
"""The most that is kept of a try, seconds."""


class Tries:
    """The ears at their readiest, and what they make of one try after another."""

    def __init__(
        self, decoder: Decoder, cleaner: Cleaner | None = None, language: str = "en"
    ) -> None:
        # Other talk does not count against a try: everything here was asked for.
        eager = BOUNDS[Sensitivity.EAGER].model_copy(
            update={
                "after_talk_s": 0.0,
                "quiet_before_s": 0.0,
                # Whoever rehearses is the one whose voice it is.
                "voice": Timbre(),
                "anothers": -math.inf,
            }
        )
        self.listener = Listener(
            decoder,
            lambda: self._situation,
            language=language,
            sensitivity=eager,
            cleaner=cleaner,
        )
        self._language = language
        self._situation = Situation(question_open=True)
        self._evidence: Evidence | None = None
        self._voice: Timbre | None = None
        self._heard: Heard | None = None
        self._clear_db = 0.0
        self._began_s: float | None = None
        self._ended_s: float | None = None

    def expect(self, phrase: str) -> None:
        """What is to be said next: it is heard where it would be said in earnest."""
        self._situation = situation_of(phrase, self._language)

    def feed(self, piece: bytes, *, deaf: bool = False) -> tuple[float, Try] | None:
        """Takes 20 ms of sound; gives a try that is over, its phrase empty, and when it began."""
        heard = self.listener.feed(piece, deaf=deaf)
        now = self.listener.now_s
        self._note(heard)
        if self.listener.hearing:
            if self._began_s is None:
                self._began_s = now
            self._ended_s = None
        elif self._began_s is not None and self._ended_s is None:
            self._ended_s = now
        elif self._ended_s is not None and now - self._ended_s > _GAP_S:
            return self._over()
        return None

    def _note(self, heard: Sequence[Heard]) -> None:
        for one in heard:
            self._heard = None if one.withdrawn else one
            self._clear_db = self.listener.clear_db
            self._evidence = self.listener.evidence
            self._voice = self.listener.voice

    def _over(self) -> tuple[float, Try] | None:
        began, ended, heard = self._began_s, self._ended_s, self._heard
        self._began_s = self._ended_s = self._heard = None
        assert began is not None
        assert ended is not None
        if heard is None:
            if ended - began < _SHORTEST_S + 0.5:  # half a second of quiet is waited for
                return None
            return began, Try(phrase="")
        return began, Try(
            phrase="",
            heard=heard.heard,
            confidence=heard.confidence,
            clear_db=round(self._clear_db, 1),
            fault="" if heard.asks else heard.reason,
            evidence=self._evidence and self._evidence.model_copy(update={"hers": None}),
            voice=self._voice,
        )


def from_recording(path: Path, phrases: Sequence[str], tries: Tries) -> tuple[Try, ...]:
    """The tries of a recording of the phrases in order, each said `TIMES` times.

    Raises Refusal where it holds another number of utterances, AudioError (one too) where it
    cannot be used.
    """
    wanted = [phrase for phrase in phrases for _ in range(TIMES)]
    found: list[tuple[float, Try]] = []
    for piece in _pieces([*wav.blocks(path), bytes(2 * 2 * RATE)]):
        tries.expect(wanted[min(len(found), len(wanted) - 1)])
        if over := tries.feed(piece):
            found.append(over)
    if len(found) != len(wanted):
        last = f"; the last began at {found[-1][0]:.1f} s" if found else ""
        raise Refusal(
            f"{path} holds {len(found)} utterances where {len(wanted)} are wanted{last}: say "
            f"each of the {len(phrases)} phrases of 'rehearse --list' {TIMES} times, in that "
            "order, with two seconds of quiet between."
        )
    return tuple(
        said.model_copy(update={"phrase": phrase})
        for phrase, (_, said) in zip(wanted, found, strict=True)
    )


def from_microphone(
    source: Source,
    phrases: Sequence[str],
    tries: Tries,
    *,
    prompt: Callable[[str, int], object],
    tell: Callable[[str], object],
    deaf: Callable[[], bool],
    keep: Path | None = None,
) -> Iterator[Try]:
    """Asks for each phrase `TIMES` times and gives each try as it is heard.

    Nothing heard in time is a try, too; one during which the microphone went is asked for again
    when it is back. With `keep`, the sound of each is written into that folder. `tell` is given
    what goes wrong, in a sentence. Raises MicrophoneError where the source does not open.
    """
    source.open()
    try:
        for phrase in phrases:
            for count in range(1, TIMES + 1):
                tries.expect(phrase)
                prompt(phrase, count)
                while (found := _one(source, tries, deaf)) is None:
                    _wait_for(source, tries, tell)
                    prompt(phrase, count)
                said, sound = found
                if keep is not None:
                    try:
                        _keep(keep / f"{phrase.replace(' ', '-')}-{count}.wav", sound)
                    except OSError as error:
                        tell(f"No more sound is kept in {keep} ({error.strerror}); the tries are.")
                        keep = None
                yield said.model_copy(update={"phrase": phrase})
    finally:
        source.close()


def _one(source: Source, tries: Tries, deaf: Callable[[], bool]) -> tuple[Try, bytes] | None:
    """One try and its sound; None where the microphone went meanwhile."""
    sound, breaks = bytearray(), source.breaks
    end = time.monotonic() + _PATIENCE_S
    while time.monotonic() < end:
        ours = deaf()
        got = source.read()
        if source.trouble or source.breaks != breaks:
            return None
        if ours:
            end = time.monotonic() + _PATIENCE_S
        else:
            sound += got
        for piece in _pieces([got]):
            if over := tries.feed(piece, deaf=ours):
                return over[1], bytes(sound)
    return Try(phrase="", fault="nothing was heard"), bytes(sound)


def _wait_for(source: Source, tries: Tries, tell: Callable[[str], object]) -> None:
    """Until the microphone is back; what was half said then is forgotten."""
    tell(source.trouble or "The sound broke off there: once more.")
    while source.trouble:
        source.read()
    for piece in _pieces([BREAK]):
        tries.feed(piece, deaf=True)


def _pieces(blocks: Iterable[bytes]) -> Iterator[bytes]:
    for block in blocks:
        for start in range(0, len(block), _PIECE):
            yield block[start : start + _PIECE]


def _keep(path: Path, sound: bytes) -> None:
    count, free = 1, path
    while free.exists():  # of an earlier rehearsal, which stays
        count += 1
        free = path.with_stem(f"{path.stem}-{count}")
    # wave complains on its own, too, of a file that it cannot open.
    with free.open("xb") as raw, wave.open(raw, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(sound[-_KEPT_S * 2 * RATE :])
