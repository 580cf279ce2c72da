"""What stands out of sound that goes on and on: a word said over a television, or over music.

There the gate never closes, and an utterance has no end. But somebody at the microphone is louder
than what is further away: she rises out of it and falls back. So the last seconds are kept, and a
stretch of them that stands above all that is beside it is told, to be heard by itself.
"""

from __future__ import annotations

from collections import deque
from typing import NamedTuple

import numpy as np

from engine.ears.gate import FRAME_S, Frame
from engine.ears.utterance import Part, Timing, Utterance
from models.command import Context

_UNDER_DB = (12.0, 8.0)
"""Sound so far under the loudest moment is beside the voice, not of it; the second where somebody
who talks on comes nearer than the first."""
_KEPT_S = 8.0
_LOUD_S = 0.1
"""The loudest moment is so long: a click is none."""
_GAP_S = 0.24
"""A softer moment of a phrase lasts no longer."""
_BESIDE_S = 0.3
"""Sound of before and after that goes along."""
_LEAD_S, _TRAIL_S = 0.12, 0.14
"""Of that, what is heard: soft beginnings and ends."""
ENDED_S = 0.3
"""So long nothing came near it any more: then it is heard."""
OPEN_S = 0.5
"""The same, where more may follow."""


class Stretch(NamedTuple):
    """A stretch of sound that stood out. Times in seconds of the stream."""

    sound: list[tuple[bytes, Frame]]
    """With a little of what is beside it."""
    first: int
    last: int
    """The frames of that which stood out, the last one with it."""
    start_s: float
    end_s: float
    bar_db: float
    """What is louder than this comes from as near, dB of full scale."""
    quiet_s: float
    """Since the last such sound before it."""
    talk_s: float
    """How much such sound there was before, of the seconds that are kept."""

    def utterance(self, context: Context) -> tuple[Utterance, Part]:
        """The same as an utterance, and as the part of it that is heard."""
        room_db = self.sound[self.first][1].room_db
        found = Utterance(self.start_s, self.quiet_s, room_db, context)
        found.background_db = self.sound[self.first][1].background_db
        for place, (pcm, frame) in enumerate(self.sound):
            inside = self.first <= place <= self.last
            found.add(pcm, frame.model_copy(update={"voiced": inside}))
            if inside:
                found.voice(self.start_s + (place + 1 - self.first) * FRAME_S, frame)
        lead, trail = round(_LEAD_S / FRAME_S), round(_TRAIL_S / FRAME_S)
        heard = self.sound[max(0, self.first - lead) : self.last + 1 + trail]
        sound = b"".join(pcm for pcm, _ in heard)
        return found, Part(sound, self.start_s, self.quiet_s, self.talk_s)


class Standing:
    """Feed it frames; it tells what stood out and is over."""

    def __init__(self) -> None:
        self._kept: deque[tuple[bytes, Frame]] = deque(maxlen=round(_KEPT_S / FRAME_S))
        self._levels: deque[float] = deque(maxlen=self._kept.maxlen)

    def add(self, pcm: bytes, frame: Frame) -> None:
        """One more frame."""
        self._kept.append((pcm, frame))
        self._levels.append(frame.level_db)

    def clear(self) -> None:
        """Forgets all: something was not listened to."""
        self._kept.clear()
        self._levels.clear()

    def ended(self, now_s: float, *, whole: bool = True) -> Stretch | None:
        """The last stretch that stood out, if it is over and may be a phrase. One that is not
        `whole` need not have risen out of anything: its end is known by its fall, and what of it
        is looked at is no longer than a phrase.
        """
        for under_db in _UNDER_DB:
            if found := self._ended(now_s, under_db, whole=whole):
                return found
        return None

    def _ended(self, now_s: float, under_db: float, *, whole: bool) -> Stretch | None:
        levels = np.array(self._levels)
        window, loud = round(Timing.again / FRAME_S), round(_LOUD_S / FRAME_S)
        beside, quiet = round(_BESIDE_S / FRAME_S), round(ENDED_S / FRAME_S)
        if len(levels) < window:
            return None
        power = 10 ** (levels[-window - quiet :] / 10)
        bar = 10 * np.log10(np.convolve(power, np.full(loud, 1 / loud), "valid").max()) - under_db
        above = np.flatnonzero(levels > bar)
        last = int(above[-1])
        if len(levels) - 1 - last < quiet:
            return None
        gaps = np.flatnonzero(np.diff(above) > round(_GAP_S / FRAME_S))
        first = int(above[gaps[-1] + 1]) if len(gaps) else int(above[0])
        if not whole:
            first = max(first, last + 1 - window, beside)
        long_s = (last + 1 - first) * FRAME_S
        if first < beside or not Timing.word <= long_s <= Timing.again:
            return None
        before = above[: np.searchsorted(above, first)]
        kept = list(self._kept)
        from_, to = first - beside, min(len(levels), last + 1 + beside)
        return Stretch(
            sound=kept[from_:to],
            first=beside,
            last=beside + last - first,
            start_s=now_s - (len(levels) - first) * FRAME_S,
            end_s=now_s - (len(levels) - 1 - last) * FRAME_S,
            bar_db=float(bar),
            quiet_s=(first - 1 - int(before[-1])) * FRAME_S if len(before) else _KEPT_S,
            talk_s=len(before) * FRAME_S,
        )
