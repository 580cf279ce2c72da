"""One utterance while it goes on: its sound, which frames of it are voiced, and where it may begin.

A command does not always begin where the voice does: an "um", a cough, somebody's talk or music
that reached over the background goes before it, and the recogniser reads all of it as one. So an
utterance knows the breaks in it, from which it may be heard once more.
"""

from __future__ import annotations

from math import log10
from statistics import fmean

from engine.ears.decoding import Cleaner
from engine.ears.gate import FRAME_S, Frame
from engine.ears.guard import TALK_COUNTS_S
from models.command import Context


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
    out_of_talk = 0.26
    """Quiet in such talk, after which a voice begins an utterance of its own."""
    talk_fades = 6.0
    """Seconds in which the memory of talk falls to a third."""
    call_lasts = 6.0
    """How long the attention word, said alone, keeps the ears open."""
    lifted_lasts = 20.0
    """How long after what was not her voice the attention word lets everybody be heard."""
    tried_lasts = 6.0
    """How long a phrase that was doubted is heard more willingly when it is said again."""
    break_s = 0.1
    """Quiet within an utterance, from which it is heard again when the whole makes no sense."""
    lead = 0.1
    """Sound from before such a beginning, and after the end."""
    word = 0.16
    """A part with less voice than this is no word."""
    again = 3.0
    """No longer stretch is heard again: no phrase is."""


_MOST_AGAIN = 2
"""So many beginnings are tried."""
_BESIDE_S = 0.2
"""Seconds at each end whose loudness is held against the utterance's own."""


class Part:
    """A stretch of an utterance that is heard again by itself. Times in seconds of the stream."""

    def __init__(self, sound: bytes, start_s: float, quiet_s: float, talk_s: float) -> None:
        self.sound = sound
        self.start_s = start_s
        self.quiet_s = quiet_s
        """Quiet before it."""
        self.talk_s = talk_s
        """How long somebody spoke before that, since the utterance began."""


class Utterance:
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
        """Frames, from a little before the start."""
        self.frames: list[Frame] = []
        """What the gate said of each."""
        self.partial = ""
        self.partial_since = start_s
        self.resumed = 0
        self.resumed_once = False
        self.background_db = -120.0
        self.heard_again_s = start_s
        self._levels: list[tuple[float, float]] = []

    @property
    def after_talk(self) -> bool:
        """Whether people were talking before."""
        return self.talk_s >= TALK_COUNTS_S

    def add(self, pcm: bytes, frame: Frame) -> None:
        """One more frame of sound."""
        self.sound.append(pcm)
        self.frames.append(frame)

    def voice(self, end_s: float, frame: Frame) -> None:
        """One more voiced frame, which ends at `end_s`."""
        self.end_s = end_s
        self._levels.append((end_s, frame.level_db))

    def level_db(self, start_s: float | None = None) -> float:
        """Loudness of the louder half of its voiced frames (since `start_s`), dB of full scale."""
        since = self.start_s if start_s is None else start_s
        levels = sorted(level for end_s, level in self._levels if end_s > since)
        return fmean(levels[len(levels) // 2 :]) if levels else -120.0

    def _first_s(self) -> float:
        """When the sound begins."""
        return self.start_s - FRAME_S * [f.voiced for f in self.frames].index(True)

    def runs(self) -> list[tuple[int, int]]:
        """The voiced stretches, as frames of the sound, parted by breaks."""
        found: list[tuple[int, int]] = []
        for place, frame in enumerate(self.frames):
            if not frame.voiced:
                continue
            if found and (place - found[-1][1]) * FRAME_S < Timing.break_s:
                found[-1] = (found[-1][0], place + 1)
            else:
                found.append((place, place + 1))
        return found

    def parts(self) -> list[Part]:
        """What may be heard again by itself, the likeliest first: from each break on, and all of it
        without what is beside it.
        """
        runs = self.runs()
        if not runs:
            return []
        lead = round(Timing.lead / FRAME_S)
        end = runs[-1][1]
        first_s = self._first_s()
        found: list[Part] = []
        for place in range(len(runs) - 1, -1, -1):
            start = runs[place][0]
            said = sum(after - before for before, after in runs[place:]) * FRAME_S
            if (end - start) * FRAME_S > Timing.again or len(found) > _MOST_AGAIN:
                break
            if said < Timing.word:
                continue
            quiet = (start - runs[place - 1][1]) * FRAME_S if place else self.quiet_before_s
            talk = sum(after - before for before, after in runs[:place]) * FRAME_S
            sound = b"".join(self.sound[max(0, start - lead) : end + lead])
            found.append(Part(sound, first_s + start * FRAME_S, quiet, talk))
        return found

    def beside_db(self, start_s: float) -> tuple[float, float]:
        """How far the first and last moments from `start_s` on stand over what is beside them, dB:
        a voice at the microphone rises out of the room and falls back into it.
        """
        levels = [frame.level_db for frame in self.frames]
        start = max(0, round((start_s - self._first_s()) / FRAME_S))
        end = max(place for place, frame in enumerate(self.frames) if frame.voiced) + 1
        beside = round(_BESIDE_S / FRAME_S)
        own = _mean_db(levels[start:end])
        before, after = levels[max(0, start - beside) : start], levels[end : end + beside]
        return own - _mean_db(before), own - _mean_db(after)


def _mean_db(levels: list[float]) -> float:
    """The mean power of some frames, dB; of none, that of silence."""
    return 10 * log10(fmean(10 ** (level / 10) for level in levels)) if levels else -100.0
