"""What an utterance meant and whether the guard lets it through: answers in, `Heard` out.

The listener knows when something was said; `Judging` knows the language, how careful to be, and
how this maker has spoken so far: how loud, how fast, what was doubted a moment ago.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from statistics import median

from engine.ears.answers import Said, confidence, hurried_s, rival
from engine.ears.decoding import Answer, Decoder
from engine.ears.evidence import Evidence
from engine.ears.fit import Fit
from engine.ears.guard import BOUNDS, NOT_HERS, Bounds, Outcome, Sensitivity, judge
from engine.ears.hers import Timbre
from engine.ears.hindrance import BACKGROUND_DB
from engine.ears.utterance import Part, Timing, Utterance
from engine.words.phrases import Reading, phrase_book
from models.command import Action, Command, Context, Heard, Situation

_OWN_ENOUGH = 5
"""Commands of the maker's own from which their loudness is known."""
_OWN_VOICE = 12
"""From so many of her first commands her voice is learnt, where no rehearsal told it."""


class Judging:
    """Reads what was decoded, has it judged, and remembers how the maker speaks."""

    def __init__(
        self,
        situation: Callable[[], Situation],
        *,
        language: str,
        sensitivity: Sensitivity | Bounds,
        attention: bool,
    ) -> None:
        """Raises FileNotFoundError for an unknown language, ValueError where `attention` is asked
        for and the language has no such word.
        """
        self.sensitivity: Sensitivity | Bounds = sensitivity
        """How careful the guard is, or the bounds that a rehearsal fitted."""
        self.book = phrase_book(language)
        if attention and not self.book.attention:
            raise ValueError(f"the word list {language!r} has no attention word")
        self.attention = attention
        """Whether the attention word is asked for; never true where the language has none."""
        self.evidence: Evidence | None = None
        """What the last verdict was given on."""
        self.breath: tuple[Command | None, ...] = ()
        """All that was taken of the breath in which the last command was said."""
        self.acted_s = self.refused_s = -1e9
        """When something was last taken or asked back; when what was last refused ended."""
        self._situation = situation
        self._own: deque[float] = deque(maxlen=20)
        self._own_pace: deque[float] = deque(maxlen=20)
        self._called_until = -1e9
        self._doubted: tuple[Command | None, float] = (None, 0.0)
        self._learnt = Timbre()
        """Hers, as the first commands had it, where no rehearsal did."""
        self._latest: tuple[Timbre, Utterance] | None = None
        """That of the last command that was taken, while it may still be withdrawn."""
        self._not_hers_until = -1e9
        self.voice: Timbre | None = None
        """Whose the last verdict was given on; None where nobody asks."""
        self.anybody = False
        """The attention word let everybody be heard, after what was not her voice."""

    @property
    def _bounds(self) -> Bounds:
        careful = self.sensitivity
        return careful if isinstance(careful, Bounds) else BOUNDS[careful]

    @property
    def context(self) -> Context:
        """What is listened for now."""
        return self._situation().context

    @property
    def own_level_db(self) -> float | None:
        """How loud this maker's taken commands were, dB; None until there are enough."""
        return median(self._own) if len(self._own) >= _OWN_ENOUGH else None

    @property
    def near(self) -> bool:
        """What the last verdict was given on was as loud as this maker is, or nearly so."""
        own = self.own_level_db
        return own is None or self.evidence is None or self.evidence.level_db > own - BACKGROUND_DB

    def read(self, text: str, now: Utterance, now_s: float) -> tuple[Reading, bool]:
        """What the text means, and whether the attention word (if one is asked for) was said."""
        said = tuple(text.lower().split())
        call = self.book.attention
        called = not self.attention or now_s < self._called_until
        if self.attention and said[: len(call)] == call:
            said, called = said[len(call) :], True
        return self.book.read(" ".join(said), now.context), called

    def said(
        self, answer: Answer, running: str, now: Utterance, now_s: float, part: Part | None = None
    ) -> Said:
        """What the decoder's answer to an utterance, or to a part of it, was taken for."""
        reading, called = self.read(answer.text, now, now_s)
        return Said(answer, running, reading, called, part)

    def is_call(self, said: Said) -> bool:
        """Whether the attention word was said, and nothing else."""
        words = said.text.lower().split()
        return bool(self.book.attention) and words == [*self.book.attention]

    def call(self, said: Said, now: Utterance, now_s: float) -> Heard:
        """The attention word alone: for a while no command needs it before it."""
        if self.attention:
            self._called_until = now_s + Timing.call_lasts
        if now_s < self._not_hers_until:
            self.anybody = True
        return Heard(
            start_s=round(now.start_s, 3),
            end_s=round(now.end_s, 3),
            decided_s=round(now_s, 3),
            heard=said.text,
            confidence=round(said.answer.confidence, 3),
            command=None,
            taken=False,
            called=True,
        )

    def judged(
        self,
        said: Said,
        now: Utterance,
        now_s: float,
        decoder: Decoder,
        spread_db: float,
        *,
        answered: bool = False,
    ) -> Heard:
        """The guard's answer, and what is learnt from it of how this maker speaks.

        `decoder` is the one that heard it; `spread_db` is how uneven the room is; `answered`,
        whether the same sound was refused before.
        """
        self._learn(said.reading.command, now)
        self.evidence = evidence = self._evidence(
            said, now, now_s, decoder, spread_db, answered=answered
        )
        verdict = judge(evidence, self._situation(), self.sensitivity)
        self._doubted = (said.reading.command, now_s) if verdict.doubted else (None, 0.0)
        if verdict.reason == NOT_HERS:
            self._not_hers_until = now_s + Timing.lifted_lasts
        heard = Heard(
            start_s=round(said.part.start_s if said.part else now.start_s, 3),
            end_s=round(now.end_s, 3),
            decided_s=round(now_s, 3),
            heard=said.text,
            confidence=round(evidence.confidence, 3),
            command=said.reading.command,
            taken=verdict.outcome is Outcome.TAKEN,
            reason=verdict.reason,
            asks=verdict.outcome is Outcome.ASK,
        )
        if heard.taken or heard.asks:
            self._own.append(evidence.level_db)
            self._own_pace.append(evidence.voiced_s / evidence.phones)
            self.breath = (said.reading.command, *said.reading.more)
            self._latest = (self.voice, now) if self.voice else None
            self.acted_s = now_s
        return heard

    def each(self, heard: Heard, after: int = 0) -> list[Heard]:
        """The commands of the breath that was judged last, one by one, from `after` on."""
        return [
            heard.model_copy(update={"command": command, "goes_on": place > 0})
            for place, command in enumerate(self.breath)
            if place >= after
        ]

    def withdrawal(self, earlier: Heard | None, now_s: float) -> list[Heard]:
        """What was decided earlier was no command: nothing is learnt of it."""
        if earlier is None:
            return []
        self._latest = None
        no_more = {"taken": False, "asks": False, "withdrawn": True}
        reason = "withdrawn: the voice went on"
        return [
            earlier.model_copy(update={**no_more, "decided_s": round(now_s, 3), "reason": reason})
        ]

    def _learn(self, following: Command | None, now: Utterance) -> None:
        """Her voice, from what was taken and neither withdrawn nor taken back."""
        latest, self._latest = self._latest, None
        wanted = self._bounds.voice
        if wanted is None:
            self._learnt, self.anybody = Timbre(), False
        elif latest and not wanted.known and self._learnt.words < _OWN_VOICE:
            voice, was = latest
            undone = following is not None and following.action in (Action.TAKE_BACK, Action.NO)
            if not undone and was is not now:
                self._learnt = self._learnt.and_also(voice)

    def _hers(self, voice: Timbre | None) -> float | None:
        """How much likelier a voice is hers than another's."""
        wanted = self._bounds.voice
        if voice is None or wanted is None or self.anybody:
            return None
        own = wanted if wanted.known else self._learnt
        if not own.known or len(own.linear) != len(voice.linear):
            return None
        from engine.ears.likeness import likeness

        return likeness().odds(own, voice)

    def _evidence(
        self,
        said: Said,
        now: Utterance,
        now_s: float,
        decoder: Decoder,
        spread_db: float,
        *,
        answered: bool,
    ) -> Evidence:
        def fits(text: str) -> Fit | None:
            """How well the phones fit, of a decoder that tells."""
            fit: Callable[[str], Fit | None] | None = getattr(decoder, "fit", None)
            return fit(text) if fit else None

        def meaning(text: str) -> Command | None:
            return self.read(text, now, now_s)[0].command

        part = said.part
        start_s = part.start_s if part else now.start_s
        is_command = said.reading.command is not None
        rises, falls = now.beside_db(start_s) if is_command else (0.0, 0.0)
        fit = fits(said.text) if is_command else None
        self.voice = self._voice_of(said.text, decoder) if fit else None
        return Evidence(
            text=said.text,
            confidence=confidence(said, self.book, meaning),
            reading=said.reading,
            agreed=said.running == said.text,
            quiet_before_s=part.quiet_s if part else now.quiet_before_s,
            talk_s=now.talk_s + (part.talk_s if part else 0.0),
            again=part is not None,
            passed_over=said.passed_over,
            phones=self.book.phones(said.text),
            voiced_s=now.end_s - start_s,
            hurried_s=hurried_s(said.answer.words, self.book),
            level_db=now.level_db(start_s),
            rises_db=rises,
            falls_db=falls,
            room_db=now.room_db,
            room_spread_db=spread_db,
            background_db=now.background_db,
            fit=fit,
            unlike=_unlike(said.text, decoder) if fit else None,
            rival=rival(said.text, fit, fits, self.book) if fit else None,
            own_phone_s=median(self._own_pace) if len(self._own_pace) >= _OWN_ENOUGH else None,
            own_level_db=self.own_level_db,
            hers=self._hers(self.voice),
            answered=answered,
            tried=self._tried(said.reading.command, now, now_s),
            called=said.called,
        )

    def _voice_of(self, text: str, decoder: Decoder) -> Timbre | None:
        """Who said it, of a decoder that tells; where nobody asks, it is not worked out."""
        if self._bounds.voice is None:
            return None
        voice: Callable[[str], Timbre | None] | None = getattr(decoder, "voice", None)
        return voice(text) if voice else None

    def _tried(self, command: Command | None, now: Utterance, now_s: float) -> bool:
        """Whether the same was doubted a moment ago, and not of the same sound."""
        doubted, at_s = self._doubted
        again = now.start_s > at_s - 0.1 and now_s - at_s < Timing.tried_lasts
        return command is not None and command == doubted and again


def _unlike(text: str, decoder: Decoder) -> float | None:
    """How far what sounds like the text is from it, of a decoder that tells."""
    unlike: Callable[[str], float | None] | None = getattr(decoder, "unlike", None)
    return unlike(text) if unlike else None
