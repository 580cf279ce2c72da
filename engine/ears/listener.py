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
from collections.abc import Callable
from enum import Enum, auto

import numpy as np

from engine.ears.answers import Said, known_words
from engine.ears.decoding import Answer, Cleaner, Decoder
from engine.ears.evidence import Evidence
from engine.ears.gate import FRAME, FRAME_S, Frame, Gate
from engine.ears.guard import Bounds, Sensitivity, among_talk, clear_db
from engine.ears.hers import Timbre
from engine.ears.hindrance import LASTS_S, USUAL_VOICE_DB, Tries, hindrance
from engine.ears.judging import Judging
from engine.ears.second_hearing import SecondHearing
from engine.ears.utterance import Part, Timing, Utterance
from engine.words.phrases import Reading
from models.command import Context, Heard, Situation

_BYTES = FRAME * 2


class _State(Enum):
    QUIET = auto()
    HEARING = auto()
    DECIDED = auto()
    TALK = auto()


_NOISY_DB = 28.0
"""A voice less than this above its room wants the cleaner. In a quieter room it only takes from
the speech: a clear voice is understood better without."""
_SILENT = Frame(voiced=False, level_db=-120.0, room_db=-120.0)
"""What stands in an utterance for sound that was not listened to."""
_LOOK_FRAMES = 3
"""So often it is looked for what stood out."""
_SILENT_S = 0.12
"""An utterance with so much quiet after it ends by itself, perhaps."""
_FAR_DB = 14.0
"""A voice so far under the one that was heard is another's, further away."""


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
        self._decoder = decoder
        self._judging = Judging(
            situation, language=language, sensitivity=sensitivity, attention=attention
        )
        self._cleaner = cleaner
        beside: Callable[[], Decoder] | None = getattr(decoder, "beside", None)
        self._beside = (
            SecondHearing(beside(), self._judging) if beside and hasattr(decoder, "fit") else None
        )
        """Without it nothing is heard of what stands out of sound that goes on."""
        self._gate = Gate()
        self._rest = b""
        self._frames = 0
        self._state = _State.QUIET
        kept_s = Timing.room + Timing.before + Timing.drowned
        self._before: deque[tuple[bytes, Frame]] = deque(maxlen=round(kept_s / FRAME_S))
        self._last_voice = -1e9
        self._last: Frame | None = None
        self._talk = 0.0
        self._hindered, self._hindered_s = "", 0.0
        self._tries = Tries()
        self._utterance = Utterance(0.0, 0.0, 0.0, Context.ROW)
        self._taken: Heard | None = None

    @property
    def sensitivity(self) -> Sensitivity | Bounds:
        """How careful the guard is, or the bounds that a rehearsal fitted."""
        return self._judging.sensitivity

    @sensitivity.setter
    def sensitivity(self, careful: Sensitivity | Bounds) -> None:
        self._judging.sensitivity = careful

    @property
    def attention(self) -> bool:
        """Whether the attention word is asked for; never true where the language has none."""
        return self._judging.attention

    @attention.setter
    def attention(self, asked: bool) -> None:
        self._judging.attention = asked

    @property
    def evidence(self) -> Evidence | None:
        """What the last verdict was given on."""
        return self._judging.evidence

    @property
    def voice(self) -> Timbre | None:
        """Whose voice that was, where the bounds ask for one."""
        return self._judging.voice

    @property
    def anybody(self) -> bool:
        """Whether the attention word let every voice count, though the bounds ask for hers."""
        return self._judging.anybody

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
    def hindrance(self) -> str:
        """What keeps commands from being understood in this room, and what helps, in one sentence;
        empty when nothing does, or not for long.
        """
        if self._hindered_s >= LASTS_S:
            return self._hindered
        return self._tries.told(self._judging.book.attention)

    def _look_round(self, frame: Frame) -> None:
        voice_db = self._judging.own_level_db or USUAL_VOICE_DB
        sounds_on_db, call = self._gate.sounds_on_db, self._judging.book.attention
        restless = among_talk(self._gate.spread_db)
        self._hindered = hindrance(voice_db, sounds_on_db, frame.room_db, call, restless=restless)
        self._hindered_s = self._hindered_s + FRAME_S if self._hindered else 0.0

    @property
    def clear_db(self) -> float:
        """How far the last utterance stood out of its room, as the guard counts it, dB."""
        now = self._utterance
        return clear_db(now.level_db(), now.room_db, self._gate.spread_db)

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
        for one in heard:
            self._tries.add(one, near=self._judging.near)
        return heard

    def end(self) -> list[Heard]:
        """Ends the sound: what is still being heard is decided as if quiet followed."""
        heard = self._decide(in_time=False) if self._state is _State.HEARING else []
        self._to_quiet()
        return heard

    def _deaf_frame(self) -> list[Heard]:
        self._before.clear()
        if self._beside:
            self._beside.clear()
        if self._state is _State.DECIDED:
            self._utterance.add(bytes(_BYTES), _SILENT)
            if self.now_s - self._utterance.end_s >= Timing.hold_last:
                self._to_quiet()
        elif self._state is not _State.QUIET:
            self._to_quiet()
        return []

    def _frame(self, pcm: bytes) -> list[Heard]:
        result = self._gate.feed(np.frombuffer(pcm, dtype="<i2"))
        self._last = result
        self._look_round(result)
        heard = self._beside.add(pcm, result, self.now_s) if self._beside else []
        if self._state is _State.QUIET:
            if result.voiced:
                self._begin(pcm, result)
            else:
                self._before.append((pcm, result))
        elif self._state is _State.HEARING:
            heard += self._hear(pcm, result)
        elif self._state is _State.DECIDED:
            heard += self._watch(pcm, result)
        else:
            self._talk_on(pcm, result)
        if result.voiced:
            self._last_voice = self.now_s
        if not heard and self._beside and self._frames % _LOOK_FRAMES == 0:
            heard = self._stands_out()
        return heard

    def _stands_out(self) -> list[Heard]:
        """What was said over something that goes on, if it is over; or what fell back into the
        room, where the gate saw too little of it.
        """
        beside, spread_db, heard = self._beside, self._gate.spread_db, []
        if beside is None:
            return []
        if self._state in (_State.HEARING, _State.TALK):
            if self.now_s - self._last_voice > _SILENT_S:
                return []  # the utterance will end by itself
            after_s = self._taken.end_s if self._taken else -1e9
            heard = beside.risen(self.now_s, after_s, spread_db)
        elif not self._taken:
            heard = beside.fallen(self.now_s, self._utterance, spread_db)
        if heard:
            self._decoder.finish()
            self._to_quiet()
        return heard

    def _talk_on(self, pcm: bytes, frame: Frame) -> None:
        """In talk that is not decoded: until it is quiet, or a voice comes after a short quiet."""
        quiet_s = self.now_s - FRAME_S - self._last_voice
        if not frame.voiced:
            self._before.append((pcm, frame))
            if quiet_s >= Timing.hold_last:
                self._to_quiet()
        elif quiet_s >= Timing.out_of_talk:
            self._begin(pcm, frame)
        else:
            self._before.clear()
            self._talk += FRAME_S

    def _begin(self, pcm: bytes, frame: Frame) -> None:
        start = self.now_s - FRAME_S
        context = self._judging.context
        self._utterance = Utterance(start, start - self._last_voice, frame.room_db, context)
        self._utterance.talk_s = self._talk
        self._utterance.background_db = frame.background_db
        voice_db = self._judging.own_level_db or USUAL_VOICE_DB
        if voice_db - frame.room_db < _NOISY_DB:
            self._utterance.drowned = True
            self._utterance.cleaner = self._cleaner
        self._state = _State.HEARING
        kept = list(self._before)
        self._before.clear()
        soft_s = Timing.before + (Timing.drowned if self._utterance.drowned else 0.0)
        soft = len(kept) - min(len(kept), round(soft_s / FRAME_S))
        self._utterance.room = b"".join(sound for sound, _ in kept[:soft])
        for sound, was in kept[soft:]:
            self._utterance.add(sound, was.model_copy(update={"voiced": False}))
        self._utterance.add(pcm, frame)
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
            self._before.extend(zip(now.sound[-kept:], now.frames[-kept:], strict=True))
            self._begin(pcm, frame)
            return []
        now.add(pcm, frame)
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
        reading = self._reading()
        return not now.partial or (reading.command is None and not reading.may_go_on)

    def _wait(self) -> float:
        """How much quiet this utterance needs before it is decided, seconds."""
        now = self._utterance
        if now.after_talk or self.now_s - now.partial_since < Timing.steady:
            return Timing.hold_last
        reading = self._reading()
        if reading.command is None:
            return Timing.hold_last
        drowned = Timing.drowned_wait if now.drowned else 0.0
        if not reading.may_go_on:
            return Timing.hold + drowned
        if among_talk(self._gate.spread_db):
            return Timing.hold_open + Timing.talked_over
        return Timing.hold_open + drowned

    def _reading(self) -> Reading:
        """What the running answer means."""
        return self._judging.read(self._utterance.partial, self._utterance, self.now_s)[0]

    def _decide(self, *, in_time: bool = True) -> list[Heard]:
        now = self._utterance
        if now.cleaner:
            self._run(now.cleaner.flush())
        running = now.partial
        said = self._said(self._decoder.finish(), running)
        self._state = _State.DECIDED if in_time else _State.QUIET
        earlier, self._taken = self._taken, None
        if not said.text:
            return self._withdrawal(earlier)
        if self._judging.is_call(said) and now.context is not Context.ASLEEP:
            return [*self._withdrawal(earlier), self._judging.call(said, now, self.now_s)]
        if said.reading.command is None:
            said = self._heard_again(said)
        if said.reading.command is None and now.context is Context.ASLEEP:
            return self._withdrawal(earlier)  # closed ears do not comment on talk
        done = self._judging.breath
        heard = self._judging.judged(said, now, self.now_s, self._decoder, self._gate.spread_db)
        if heard.taken or heard.asks:
            self._taken = heard
            if self._beside:
                self._beside.over_s = max(self._beside.over_s, now.end_s)
            if earlier is None or earlier.asks != heard.asks:
                return [*self._withdrawal(earlier), *self._judging.each(heard)]
            if done == self._judging.breath[: len(done)]:
                return self._judging.each(heard, after=len(done))
            return [*self._withdrawal(earlier), *self._judging.each(heard)]
        elif said.reading.command is None:
            # A command that was refused is a try, not talk: the next one is no less welcome.
            self._talk += now.end_s - now.start_s
        self._judging.refused_s = now.end_s
        return [*self._withdrawal(earlier), heard]

    def _withdrawal(self, earlier: Heard | None) -> list[Heard]:
        return self._judging.withdrawal(earlier, self.now_s)

    def _said(self, answer: Answer, running: str, part: Part | None = None) -> Said:
        return self._judging.said(answer, running, self._utterance, self.now_s, part)

    def _heard_again(self, whole: Said) -> Said:
        """The whole made no sense: the first of its parts that does; or the whole."""
        now = self._utterance
        if now.cleaner or not hasattr(self._decoder, "fit"):
            return whole  # without the fit of its phones nothing tells a part from a slip
        for part in now.parts():
            self._decoder.start(now.context)
            running = self._decoder.feed(part.sound)
            said = self._said(self._decoder.finish(), running, part)
            if said.reading.command is not None:
                return said._replace(passed_over=known_words(whole.text) - known_words(said.text))
        return whole

    def _watch(self, pcm: bytes, frame: Frame) -> list[Heard]:
        """After a decision: is the speaker silent, or was this the middle of a sentence?"""
        now = self._utterance
        now.add(pcm, frame)
        if frame.voiced and frame.level_db > now.level_db() - _FAR_DB:
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
