"""What the app says back: a tone for every command, and words where the maker wants them.

The libraries for sound take a moment to load, and a sound server may take longer: `open` is for a
thread of its own, and until it is done there is silence.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from counter.shared.settings import Readback, Reader, Settings
from counter.shared.telling import said
from models.state import Reply, Tone

if TYPE_CHECKING:
    from counter.sound.speech import Speaker
    from counter.sound.tones import Loudspeaker


SAID_AHEAD = 4
"""Steps whose sentences are prepared while the one before is worked."""
_OWN_S = 2.0
"""Seconds after our own sound in which what is no word may have been that."""


class Voice:
    """Tones and speech through one loudspeaker; or silence."""

    def __init__(self, *, quiet: bool = False) -> None:
        self._quiet = quiet
        self._loudspeaker: Loudspeaker | None = None
        self._speaker: Speaker | None = None
        self._settings = Settings()
        self.busy: Callable[[], bool] = lambda: False
        """Whether she is speaking, so that an answer waits for the end of her breath."""

    def open(self) -> None:
        """Find the loudspeaker. Silent, and no error, where there is none."""
        if self._quiet:
            return
        from counter.sound.speech import Speaker
        from counter.sound.tones import Loudspeaker

        loudspeaker = Loudspeaker()
        loudspeaker.hold = self._is_busy
        if loudspeaker.open():
            self._speaker = Speaker(loudspeaker)
            self._loudspeaker = loudspeaker
            self.use(self._settings)

    @property
    def speaking(self) -> bool:
        """Something of ours is in the air."""
        return self._loudspeaker is not None and self._loudspeaker.sounding

    def _is_busy(self) -> bool:
        return self.busy()

    def without_ours(self, pcm: bytes, at_s: float) -> list[tuple[bytes, bool]]:
        """What the ears get for what the microphone gave, its first sample at `at_s` of the
        monotonic clock: pieces, and whether each is not to be heard, since it may be our own.
        """
        if self._loudspeaker is None:
            return [(pcm, False)]
        return self._loudspeaker.apart.heard(pcm, at_s)

    def hello(self) -> None:
        """Once the ears hear: the tone by which our own way back to them is measured."""
        if self._loudspeaker is not None:
            from counter.sound.tones import rising_sound

            self._loudspeaker.play(rising_sound())

    @property
    def trouble(self) -> str:
        """Why nothing is read out, in one sentence; empty when it is, or was never asked for."""
        return self._speaker.trouble if self._speaker is not None else ""

    def around(self, act: Callable[[], None]) -> None:
        """Do `act` while the loudspeaker is closed: the sound library begins anew."""
        if self._loudspeaker is None:
            act()
        else:
            self._loudspeaker.around(act)

    def answer(self, outcome: Reply, said: str, *, heard_nothing: bool = False) -> None:
        """The tone of an outcome, then `said`, if anything.

        What was none of the words (`heard_nothing`) just after we sounded gets no answer: it may
        have been the sound itself, and the answer would be heard the same way.
        """
        if self._loudspeaker is None or self._speaker is None:
            return
        if heard_nothing and self._loudspeaker.silent_for_s < _OWN_S:
            return
        from counter.sound.tones import ToneShape

        if said:
            self._speaker.say(said)  # it silences what still sounds, so it goes before the tone
        if outcome.tone is not Tone.ANSWER:
            self._loudspeaker.tone(ToneShape[outcome.tone.name])

    def play(self, pcm: bytes, rate: int) -> bool:
        """Play sound that was kept, 16-bit mono, in place of what is being said.

        Whether it can be heard at all.
        """
        if self._loudspeaker is None or self._speaker is None or self._loudspeaker.trouble:
            return False
        import numpy as np

        self._speaker.hush()
        sound = np.frombuffer(pcm, "<i2").astype(np.float32) / np.float32(32768)
        self._loudspeaker.play(sound, rate)
        return True

    def use(self, settings: Settings) -> None:
        """Speak as it is set: by which voice, how quickly, how loudly."""
        self._settings = settings
        if self._speaker is None or self._loudspeaker is None:
            return
        from counter.sound.speech import Manner

        natural = settings.speaker is Reader.NATURAL and settings.readback is not Readback.OFF
        self._loudspeaker.gain = settings.loudness.gain
        self._speaker.use(Manner(natural=natural, pace=settings.pace.times))

    def prepare(self, texts: Iterable[str]) -> None:
        """What will be said next; the natural voice has it ready by then."""
        if self._speaker is not None:
            self._speaker.prepare(texts)

    def close(self) -> None:
        """Fall silent."""
        if self._speaker is not None:
            self._speaker.close()
        if self._loudspeaker is not None:
            self._loudspeaker.close()


def words_of(
    outcome: Reply,
    full: str,
    readback: Readback,
    *,
    asked: bool,
    heard_nothing: bool = False,
    language: str = "en",
) -> str:
    """What is read out after a command; "" for nothing.

    `full` is the whole instruction now shown. A question of the maker's own (`asked`) is answered
    aloud in any case, that is what it is for. Where nothing was understood (`heard_nothing`)
    nothing is read out: it may have been our own voice, and would be again.
    """
    if heard_nothing:
        return ""
    if asked or readback is Readback.SHORT:
        return said(outcome, language)
    if readback is Readback.OFF:
        return ""
    return full if outcome.tone is Tone.ADVANCE else said(outcome, language)
