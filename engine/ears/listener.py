"""From sound to guarded commands, with no input or output of its own.

`Listener.feed` takes 16 kHz mono 16-bit sound in pieces of any length and gives what was decided
in it. Time is the sound's own: a recording runs as fast as it can be computed and decides the
same. An utterance goes through these states:

    quiet ──voice──> hearing ──phrase whole, steady, short quiet──> decided ──quiet──> quiet
                        │ too long: talk ──quiet──> quiet              │ voice again
                        └<──────────── heard anew from its beginning ──┘

The decision falls early, after a short quiet, so that the screen answers at once. A phrase that
could go on ("dropped loop" … "at twelve") waits longer. When the voice goes on after a decision
all the same, the whole is heard again, and a move it does not bear out is withdrawn.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from enum import Enum, auto
from statistics import fmean, median

import numpy as np

from engine.ears.decoding import Answer, Cleaner, Decoder, TimedWord
from engine.ears.gate import FRAME, FRAME_S, Frame, Gate
from engine.ears.guard import (
    TALK_COUNTS_S,
    Bounds,
    Evidence,
    Outcome,
    Sensitivity,
    among_talk,
    clear_db,
    judge,
)
from engine.words.phrases import Reading, phrase_book
from models.command import Command, Context, Heard, Situation

_BYTES = FRAME * 2


class _State(Enum):
    QUIET = auto()
    HEARING = auto()
    DECIDED = auto()
    TALK = auto()


class Timing:
    """The listener's waits, in seconds of sound."""

    before = 0.3
    """Sound kept from before the gate opened: soft beginnings."""
    room = 0.5
    """Sound kept from before that, in which a cleaner learns the noise."""
    hold = 0.14
    """Quiet after a whole phrase that nothing can follow."""
    hold_open = 0.3
    """Quiet after a whole phrase that a longer one begins with."""
    drowned = 0.1
    """More sound from before, in a noisy room: soft beginnings drown."""
    drowned_wait = 0.02
    """More quiet than that in a noisy room, where soft sounds in the middle of words drown."""
    talked_over = 0.2
    """More quiet, among other people's talk, after a phrase that a longer one begins with: there
    "ninety" stops at nine for a while, and "one hundred twelve" at its hundred."""
    hold_last = 0.5
    """Quiet after anything else; also how long a decision is watched."""
    hold_talk = 0.7
    """How long a decision is watched after talk: a phrase among sentences is part of them."""
    steady = 0.06
    """The running answer must have stood this long."""
    parts = 0.2
    """Quiet that parts a word from what was no word before it: an "um", a cough."""
    resumed = 0.16
    """Voice after a decision, from which the speaker was still talking."""
    longest = 6.0
    """An utterance beyond this is talk; it is not decoded further."""
    talk_fades = 6.0
    """Seconds in which the memory of talk falls to a third."""
    call_lasts = 6.0
    """How long the attention word, said alone, keeps the ears open."""


_NOISY_DB = 28.0
"""A voice less than this above its room wants the cleaner. In a quieter room it only takes from
the speech: a clear voice is understood better without."""
_USUAL_VOICE_DB = -26.0
"""How loud a voice is taken to be, dB of full scale, until the maker's own commands tell."""
_SHORT_PHONES = 2
"""Words of no more phones than this ("the", "at") are often hardly said."""
_OWN_ENOUGH = 5
"""Commands of the maker's own from which their loudness is known."""


class Listener:
    """Hears utterances and judges them. Not thread-safe: one thread feeds it."""

    def __init__(
        self,
        decoder: Decoder,
        situation: Callable[[], Situation] = Situation,
        *,
        language: str = "en",
        sensitivity: Sensitivity | Bounds = Sensitivity.EVEN,
        attention: bool = False,
        cleaner: Cleaner | None = None,
    ) -> None:
        """`situation` is asked when an utterance begins and again when a decision falls.

        `attention` asks for the language's attention word before every command. Raises
        FileNotFoundError for an unknown language, ValueError where the language has no such word.
        """
        self.sensitivity: Sensitivity | Bounds = sensitivity
        """How careful the guard is, or the bounds that a rehearsal fitted."""
        self._decoder = decoder
        self._situation = situation
        self._book = phrase_book(language)
        if attention and not self._book.attention:
            raise ValueError(f"the word list {language!r} has no attention word")
        self.attention = attention
        """Whether the attention word is asked for; never true where the language has none."""
        self._cleaner = cleaner
        self._gate = Gate()
        self._rest = b""
        self._frames = 0
        self._state = _State.QUIET
        kept_s = Timing.room + Timing.before + Timing.drowned
        self._before: deque[bytes] = deque(maxlen=round(kept_s / FRAME_S))
        self._last_voice = -1e9
        self._last: Frame | None = None
        self._talk = 0.0
        self._own: deque[float] = deque(maxlen=20)
        self._called_until = -1e9
        self._utterance = _Utterance(0.0, 0.0, 0.0, Context.ROW)
        self.evidence: Evidence | None = None
        """What the last verdict was given on."""
        self._taken: Heard | None = None
        self._breath: tuple[Command | None, ...] = ()
        """All that was taken of the breath in which that was said."""

    @property
    def now_s(self) -> float:
        """Seconds of sound taken so far."""
        return self._frames * FRAME_S

    @property
    def level_db(self) -> float:
        """Loudness of the last frame, dB of full scale; -120 before any sound."""
        return self._last.level_db if self._last else -120.0

    @property
    def room_db(self) -> float:
        """Loudness of the room, as learned; -120 before any sound."""
        return self._last.room_db if self._last else -120.0

    @property
    def _own_level_db(self) -> float | None:
        return median(self._own) if len(self._own) >= _OWN_ENOUGH else None

    @property
    def clear_db(self) -> float:
        """How far the last utterance stood out of its room, as the guard counts it, dB."""
        now = self._utterance
        return clear_db(now.level_db, now.room_db, self._gate.spread_db)

    @property
    def quiet_s(self) -> float:
        """Seconds of sound since a voice was last heard."""
        return self.now_s - self._last_voice

    @property
    def hearing(self) -> bool:
        """An utterance is going on."""
        return self._state in (_State.HEARING, _State.TALK)

    @property
    def partial(self) -> str:
        """The running answer of the utterance now going on."""
        return self._utterance.partial if self._state is _State.HEARING else ""

    def feed(self, pcm: bytes, *, deaf: bool = False) -> list[Heard]:
        """Takes sound of any length; gives what was decided in it, oldest first.

        `deaf` marks sound in which our own loudspeaker speaks: time passes, nothing is heard.
        """
        self._rest += pcm
        heard: list[Heard] = []
        while len(self._rest) >= _BYTES:
            frame, self._rest = self._rest[:_BYTES], self._rest[_BYTES:]
            self._frames += 1
            self._talk *= 1 - FRAME_S / Timing.talk_fades
            heard += self._deaf_frame() if deaf else self._frame(frame)
        return heard

    def end(self) -> list[Heard]:
        """Ends the sound: what is still being heard is decided as if quiet followed."""
        heard = self._decide(in_time=False) if self._state is _State.HEARING else []
        self._to_quiet()
        return heard

    def _deaf_frame(self) -> list[Heard]:
        self._before.clear()
        if self._state is _State.DECIDED:
            self._utterance.sound.append(bytes(_BYTES))
            if self.now_s - self._utterance.end_s >= Timing.hold_last:
                self._to_quiet()
        elif self._state is not _State.QUIET:
            self._to_quiet()
        return []

    def _frame(self, pcm: bytes) -> list[Heard]:
        result = self._gate.feed(np.frombuffer(pcm, dtype="<i2"))
        self._last = result
        heard: list[Heard] = []
        if self._state is _State.QUIET:
            if result.voiced:
                self._begin(pcm, result)
            else:
                self._before.append(pcm)
        elif self._state is _State.HEARING:
            heard = self._hear(pcm, result)
        elif self._state is _State.DECIDED:
            heard = self._watch(pcm, result)
        elif result.voiced:
            self._talk += FRAME_S
        elif self.now_s - self._last_voice >= Timing.hold_last:
            self._to_quiet()
        if result.voiced:
            self._last_voice = self.now_s
        return heard

    def _begin(self, pcm: bytes, frame: Frame) -> None:
        start = self.now_s - FRAME_S
        context = self._situation().context
        self._utterance = _Utterance(start, start - self._last_voice, frame.room_db, context)
        self._utterance.talk_s = self._talk
        voice_db = self._own_level_db or _USUAL_VOICE_DB
        if voice_db - frame.room_db < _NOISY_DB:
            self._utterance.drowned = True
            self._utterance.cleaner = self._cleaner
        self._state = _State.HEARING
        kept = [*self._before, pcm]
        self._before.clear()
        soft_s = Timing.before + (Timing.drowned if self._utterance.drowned else 0.0)
        soft = round(soft_s / FRAME_S) + 1
        self._utterance.room = b"".join(kept[:-soft])
        self._utterance.sound = kept[-soft:]
        self._utterance.voice(self.now_s, frame)
        self._decode_anew()

    def _decode_anew(self) -> None:
        self._decoder.start(self._utterance.context)
        if self._utterance.cleaner:
            self._utterance.cleaner.start(self._utterance.room)
        self._decode(b"".join(self._utterance.sound))

    def _decode(self, pcm: bytes) -> None:
        cleaner = self._utterance.cleaner
        self._run(cleaner.clean(pcm) if cleaner else pcm)

    def _run(self, cleaned: bytes) -> None:
        text = self._decoder.feed(cleaned)
        if text != self._utterance.partial:
            self._utterance.partial = text
            self._utterance.partial_since = self.now_s

    def _hear(self, pcm: bytes, frame: Frame) -> list[Heard]:
        now = self._utterance
        if frame.voiced and self._parted():
            self._talk += now.end_s - now.start_s
            self._decoder.finish()
            kept = round(Timing.before / FRAME_S)
            self._before.extend(now.sound[-kept:])
            self._begin(pcm, frame)
            return []
        now.sound.append(pcm)
        if frame.voiced:
            now.voice(self.now_s, frame)
        self._decode(pcm)
        if self.now_s - now.start_s > Timing.longest:
            return self._give_up()
        if self.now_s - now.end_s >= self._wait():
            return self._decide()
        return []

    def _parted(self) -> bool:
        """Whether what begins now stands apart from unknown sounds before it."""
        now = self._utterance
        gap = self.now_s - FRAME_S - now.end_s
        if gap < Timing.parts or now.resumed_once:
            return False
        reading = self._read(now.partial)[0]
        return not now.partial or (reading.command is None and not reading.may_go_on)

    def _wait(self) -> float:
        """How much quiet this utterance needs before it is decided, seconds."""
        now = self._utterance
        if now.after_talk or self.now_s - now.partial_since < Timing.steady:
            return Timing.hold_last
        reading = self._read(now.partial)[0]
        if reading.command is None:
            return Timing.hold_last
        drowned = Timing.drowned_wait if now.drowned else 0.0
        if not reading.may_go_on:
            return Timing.hold + drowned
        if among_talk(self._gate.spread_db):
            return Timing.hold_open + Timing.talked_over
        return Timing.hold_open + drowned

    def _read(self, text: str) -> tuple[Reading, bool]:
        """What the text means, and whether the attention word (if one is asked for) was said."""
        said = tuple(text.lower().split())
        call = self._book.attention
        called = not self.attention or self.now_s < self._called_until
        if self.attention and said[: len(call)] == call:
            said, called = said[len(call) :], True
        return self._book.read(" ".join(said), self._utterance.context), called

    def _confidence(self, answer: Answer, reading: Reading) -> float:
        """Of the least sure word that the meaning hangs on: a recogniser torn between "one more
        row" and "one more rows" is in no doubt of what was meant.
        """
        said = [word.word for word in answer.words]
        if reading.command is None:
            return answer.confidence
        counted = []
        for place, word in enumerate(answer.words):
            others = (
                " ".join([*said[:place], other, *said[place + 1 :]])
                for other in self._book.other_endings(word.word)
            )
            if all(self._read(other)[0].command != reading.command for other in others):
                counted.append(word.confidence)
        return min(counted, default=answer.confidence)

    def _decide(self, *, in_time: bool = True) -> list[Heard]:
        now = self._utterance
        if now.cleaner:
            self._run(now.cleaner.flush())
        running = now.partial
        hypothesis = self._decoder.finish()
        self._state = _State.DECIDED if in_time else _State.QUIET
        text = hypothesis.text
        earlier, self._taken = self._taken, None
        if not text:
            return self._withdrawal(earlier)
        reading, called = self._read(text)
        called_alone = bool(self._book.attention) and text.lower().split() == [
            *self._book.attention
        ]
        if called_alone and now.context is not Context.ASLEEP:
            if self.attention:
                self._called_until = self.now_s + Timing.call_lasts
            return [*self._withdrawal(earlier), self._call(text, hypothesis.confidence)]
        if reading.command is None and now.context is Context.ASLEEP:
            return self._withdrawal(earlier)  # closed ears do not comment on talk
        confidence = self._confidence(hypothesis, reading)
        situation = self._situation()
        evidence = Evidence(
            text=text,
            confidence=confidence,
            reading=reading,
            agreed=running == text,
            quiet_before_s=now.quiet_before_s,
            talk_s=now.talk_s,
            phones=self._book.phones(text),
            voiced_s=now.end_s - now.start_s,
            hurried_s=self._hurried_s(hypothesis.words),
            level_db=now.level_db,
            room_db=now.room_db,
            room_spread_db=self._gate.spread_db,
            own_level_db=self._own_level_db,
            called=called,
        )
        self.evidence = evidence
        verdict = judge(evidence, situation, self.sensitivity)
        taken = verdict.outcome is Outcome.TAKEN
        heard = Heard(
            start_s=round(now.start_s, 3),
            end_s=round(now.end_s, 3),
            decided_s=round(self.now_s, 3),
            heard=text,
            confidence=round(confidence, 3),
            command=reading.command,
            taken=taken,
            reason=verdict.reason,
            asks=verdict.outcome is Outcome.ASK,
        )
        if taken or heard.asks:
            self._own.append(now.level_db)
            done, self._breath = self._breath, (reading.command, *reading.more)
            self._taken = heard
            if earlier is None or earlier.asks != heard.asks:
                return [*self._withdrawal(earlier), *self._each(heard, self._breath)]
            if done == self._breath[: len(done)]:
                return self._each(heard, self._breath, after=len(done))
            return [*self._withdrawal(earlier), *self._each(heard, self._breath)]
        elif reading.command is None:
            # A command that was refused is a try, not talk: the next one is no less welcome.
            self._talk += now.end_s - now.start_s
        return [*self._withdrawal(earlier), heard]

    def _each(self, heard: Heard, breath: Sequence[Command | None], after: int = 0) -> list[Heard]:
        """The commands of one breath, one by one, without those already given."""
        return [
            heard.model_copy(update={"command": command, "goes_on": place > 0})
            for place, command in enumerate(breath)
            if place >= after
        ]

    def _call(self, text: str, confidence: float) -> Heard:
        now = self._utterance
        return Heard(
            start_s=round(now.start_s, 3),
            end_s=round(now.end_s, 3),
            decided_s=round(self.now_s, 3),
            heard=text,
            confidence=round(confidence, 3),
            command=None,
            taken=False,
            called=True,
        )

    def _hurried_s(self, words: Sequence[TimedWord]) -> float | None:
        """Time per phone of the quickest word, but for the shortest ones."""
        told = [(w.end_s - w.start_s, self._book.phones(w.word)) for w in words]
        return min(
            (lasted / count for lasted, count in told if count > _SHORT_PHONES), default=None
        )

    def _withdrawal(self, earlier: Heard | None) -> list[Heard]:
        if earlier is None:
            return []
        return [
            earlier.model_copy(
                update={
                    "decided_s": round(self.now_s, 3),
                    "taken": False,
                    "asks": False,
                    "withdrawn": True,
                    "reason": "withdrawn: the voice went on",
                }
            )
        ]

    def _watch(self, pcm: bytes, frame: Frame) -> list[Heard]:
        """After a decision: is the speaker silent, or was this the middle of a sentence?"""
        now = self._utterance
        now.sound.append(pcm)
        if frame.voiced:
            now.resumed += 1
            now.heard_again_s = self.now_s
        if now.resumed * FRAME_S >= Timing.resumed:
            self._hear_anew()
        elif self.now_s - max(now.end_s, now.heard_again_s) >= self._watched():
            self._to_quiet()
        return []

    def _watched(self) -> float:
        """How much quiet ends the watch over a decision, seconds: after talk it may go on."""
        return Timing.hold_talk if self._utterance.after_talk else Timing.hold_last

    def _hear_anew(self) -> None:
        now = self._utterance
        self._state = _State.HEARING
        now.end_s = now.heard_again_s
        now.resumed, now.resumed_once = 0, True
        self._decode_anew()

    def _give_up(self) -> list[Heard]:
        now = self._utterance
        self._decoder.finish()
        self._talk += now.end_s - now.start_s
        earlier, self._taken = self._taken, None
        self._state = _State.TALK
        return self._withdrawal(earlier)

    def _to_quiet(self) -> None:
        self._state = _State.QUIET
        self._taken = None


class _Utterance:
    """What is known of the utterance now going on."""

    def __init__(
        self, start_s: float, quiet_before_s: float, room_db: float, context: Context
    ) -> None:
        self.start_s = start_s
        self.end_s = start_s
        self.quiet_before_s = quiet_before_s
        self.room_db = room_db
        self.context = context
        self.talk_s = 0.0
        self.cleaner: Cleaner | None = None
        self.drowned = False
        self.room = b""
        self.sound: list[bytes] = []
        self.partial = ""
        self.partial_since = start_s
        self.resumed = 0
        self.resumed_once = False
        self.heard_again_s = start_s
        self._levels: list[float] = []

    @property
    def after_talk(self) -> bool:
        """Whether people were talking before."""
        return self.talk_s >= TALK_COUNTS_S

    def voice(self, end_s: float, frame: Frame) -> None:
        """One more voiced frame, which ends at `end_s`."""
        self.end_s = end_s
        self._levels.append(frame.level_db)

    @property
    def level_db(self) -> float:
        """Loudness of the louder half of its voiced frames, dB of full scale."""
        louder = sorted(self._levels)[len(self._levels) // 2 :]
        return fmean(louder) if louder else -120.0
