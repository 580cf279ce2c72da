"""Her spoken notes, played from the last one back."""

from __future__ import annotations

from datetime import datetime

from counter.shared.work import Work
from counter.sound.voice import Voice
from engine.base.refusal import Refusal
from engine.keep.notes import RATE


class PlayedNotes:
    """Which note was played last, and until when it sounds."""

    def __init__(self, work: Work) -> None:
        self._work = work
        self._played, self._until = 0, 0.0

    def play(self, voice: Voice, now: float) -> str:
        """Play the last note; once more, while it sounds, the one before it.

        Gives the sentence that tells of it; `now` in POSIX seconds. Raises Refusal where there is
        none to play.
        """
        before = self._played + 1 if 0 <= now < self._until else 0
        try:
            pcm, event = self._work.note(before)
        except Refusal:
            if not before:
                raise
            before = 0
            pcm, event = self._work.note()
        if not voice.play(pcm, RATE):
            raise Refusal("There is no loudspeaker to play the note with: see to the sound.")
        self._played, self._until = before, now + event.seconds
        when = datetime.fromtimestamp(event.at)
        return f"Your note of {when:%d %B, %H:%M}, {event.seconds:.0f} s."
