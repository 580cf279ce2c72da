"""What the app says back: a tone for every command, and words where the maker wants them."""

from __future__ import annotations

from counter.settings import Readback
from counter.tones import Loudspeaker
from counter.tones import Tone as Sound
from models.state import MakeState, Outcome, Tone

_SOUNDS = {
    Tone.ADVANCE: Sound.ADVANCE,
    Tone.TAKE_BACK: Sound.TAKE_BACK,
    Tone.MARK: Sound.MARK,
    Tone.ASK: Sound.ASK,
    Tone.REFUSED: Sound.REFUSED,
}


class Voice:
    """Tones and speech through one loudspeaker; or silence."""

    def __init__(self, loudspeaker: Loudspeaker | None) -> None:
        self._loudspeaker = loudspeaker

    @classmethod
    def silent(cls) -> Voice:
        """For `--quiet`, and for tests."""
        return cls(None)

    @property
    def sounding(self) -> bool:
        """Something of ours is in the air: the ears must be deaf."""
        return self._loudspeaker is not None and self._loudspeaker.sounding

    def answer(
        self, outcome: Outcome, state: MakeState, readback: Readback, *, asked: bool
    ) -> None:
        """Answer a command. `asked` is for questions: they are answered aloud in any case."""
        if self._loudspeaker is None:
            return
        if outcome.tone in _SOUNDS:
            self._loudspeaker.tone(_SOUNDS[outcome.tone])

    def close(self) -> None:
        """Close the loudspeaker."""
        if self._loudspeaker is not None:
            self._loudspeaker.close()
