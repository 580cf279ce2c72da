"""Hears what stood out of sound that goes on, with a decoder of its own.

While the listener is in the midst of an utterance that does not end, a television's, a stretch that
stood out of it (`standing`) is heard by itself. So is what fell back into the room, where the gate
saw too little of it. What is taken of either is taken back, if the same voice goes on at once.
"""

from __future__ import annotations

from collections.abc import Callable

from engine.ears.decoding import Decoder
from engine.ears.fit import Fit
from engine.ears.gate import FRAME_S, Frame
from engine.ears.judging import Judging
from engine.ears.standing import OPEN_S, Standing, Stretch
from engine.ears.utterance import Part, Timing, Utterance
from models.command import Heard

_SEEN_S = 0.2
"""What stood out is what the gate saw, if it begins and ends no further away."""
_FELL_OPEN_S = 0.4
"""Quiet after a fall, where more may follow: a gain that rises does not leave much."""
_LATE_S = 0.3
"""A phrase that begins so long after what stood out did not begin with it."""


class SecondHearing:
    """Feed it every frame, and ask it now and then. Times in seconds of the stream."""

    def __init__(self, decoder: Decoder, judging: Judging) -> None:
        """`decoder` is one that tells how its words fit."""
        self._decoder = decoder
        self._judging = judging
        self._standing = Standing()
        self.over_s = -1e9
        """When the last that was heard ended; what began before is not looked at."""
        self._taken: tuple[Heard, float, float] | None = None
        """What was taken, what is louder than it may go on from, and for how long it did."""

    def clear(self) -> None:
        """Something was not listened to."""
        self._standing.clear()
        self._taken = None

    def add(self, pcm: bytes, frame: Frame, now_s: float) -> list[Heard]:
        """One more frame; what was taken is withdrawn where its voice goes on."""
        self._standing.add(pcm, frame)
        if self._taken is None:
            return []
        heard, bar_db, lasted_s = self._taken
        lasted_s += FRAME_S * (frame.level_db > bar_db)
        if lasted_s >= Timing.resumed:
            self._taken = None
            return self._judging.withdrawal(heard, now_s)
        over = now_s - heard.decided_s > Timing.hold_last
        self._taken = None if over else (heard, bar_db, lasted_s)
        return []

    def risen(self, now_s: float, after_s: float, spread_db: float) -> list[Heard]:
        """What was taken or is asked of the last stretch that stood out, and began after `after_s`,
        if it is over. `spread_db` is how uneven the room is.
        """
        stretch = self._standing.ended(now_s)
        if stretch is None or stretch.start_s < max(self.over_s, after_s):
            return []
        return self._hear(stretch, now_s, OPEN_S, spread_db)

    def fallen(self, now_s: float, seen: Utterance, spread_db: float) -> list[Heard]:
        """The same of what was said in sound as loud as itself, unless it is what was `seen`: an
        automatic gain brings a room up to her, and when she is silent the level falls.
        """
        stretch = self._standing.ended(now_s, whole=False)
        if stretch is None or stretch.end_s < self.over_s + _SEEN_S:
            return []
        apart = abs(seen.end_s - stretch.end_s), abs(seen.start_s - stretch.start_s)
        return [] if max(apart) < _SEEN_S else self._hear(stretch, now_s, _FELL_OPEN_S, spread_db)

    def _hear(self, stretch: Stretch, now_s: float, open_s: float, spread_db: float) -> list[Heard]:
        judging = self._judging
        whole, part = stretch.utterance(judging.context)
        self._decoder.start(whole.context)
        running = self._decoder.feed(part.sound)
        said = judging.said(self._decoder.finish(), running, whole, now_s, part)
        if said.reading.may_go_on and now_s - stretch.end_s < open_s:
            return []
        self.over_s = stretch.end_s
        if said.reading.command is None:
            return []
        self._begins(part, said.text)
        if part.start_s < judging.acted_s:
            return []
        answered = part.start_s < judging.refused_s
        heard = judging.judged(said, whole, now_s, self._decoder, spread_db, answered=answered)
        if not (heard.taken or heard.asks):
            return []
        self._taken = (heard, stretch.bar_db, 0.0)
        return judging.each(heard)

    def _begins(self, part: Part, text: str) -> None:
        """Where the network took the beginning of a part for silence, it begins later."""
        fit: Callable[[str], Fit | None] | None = getattr(self._decoder, "fit", None)
        found = fit(text) if fit else None
        if found is not None and found.start_s > _LATE_S:
            part.start_s += found.start_s - _LATE_S
            part.quiet_s, part.talk_s = found.start_s - _LATE_S, 0.0
