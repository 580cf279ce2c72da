"""What keeps the ears from understanding her in this room, and what helps; in one sentence.

What can be told by loudness is told before she has tried (`hindrance`); of rain, an echo or a
telephone's line only her own tries tell (`Tries`). The bounds of loudness are those under which
fewer than seven in ten commands were taken on the tuning part of the hearing bench: talk or music
whose peaks come within ten decibels of her voice, and steady noise that she stands no further out
of.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

from models.command import Heard

USUAL_VOICE_DB = -26.0
"""How loud a voice is taken to be, dB of full scale, until the maker's own commands tell."""
BACKGROUND_DB = 10.0
"""What is so far under her is the room, and not said by her."""
_CLEAR_DB = 12.0
LASTS_S = 8.0
"""It is told when it has gone on for so long: a phone that rings once is no room."""


def hindrance(
    own_db: float,
    background_db: float | None,
    room_db: float,
    attention: Sequence[str] = (),
    *,
    restless: bool = False,
) -> str:
    """The sentence; empty where she can be understood. Levels in dB of full scale.

    `background_db` is what the loudness of something goes up to that sounds on and on, None where
    nothing does; `attention` the words that call the ears, where the language has any. A room that
    is `restless` is one of talk or music, though it has gone on for so long as to be the room.
    """
    loud = own_db - room_db < _CLEAR_DB
    beside = background_db is not None and own_db - background_db < BACKGROUND_DB
    if beside or (loud and restless):
        call = f", or let “{' '.join(attention)}” come first (Call first in the settings)"
        return (
            "Music or talk in the room is nearly as loud as you, and some commands will not be "
            f"understood: come nearer to the microphone{call if attention else ''}."
        )
    if loud:
        return (
            "The room is nearly as loud as you, and some commands will not be understood: come "
            "nearer to the microphone, or speak up."
        )
    return ""


class Tries:
    """How many of her last tries were understood.

    What was refused a moment before something was taken was a try at it: she says it again. Talk
    that nobody follows up is none. Nothing is known of a room in which she has given up.
    """

    AGAIN_S = 5.0
    """Seconds from a refusal to the next answer in which she says it again; what a maker takes to
    see or hear that she was not understood, and to try once more.
    """
    _REMEMBERED = 12
    _ENOUGH = 10
    """Tries before anything is said of them: three of ten may be missed by chance once."""
    _FEW = 0.7
    """As many as this should be understood."""

    def __init__(self) -> None:
        self._last: deque[bool] = deque(maxlen=self._REMEMBERED)
        self._refused: list[float] = []
        """When it was decided, of each refusal in the run that goes on."""

    def add(self, heard: Heard, *, near: bool = True) -> None:
        """One more answer of the ears; what is refused and was not `near` her loudness is music."""
        if heard.called or heard.goes_on:
            return
        if heard.withdrawn:
            if self._last and self._last[-1]:
                self._last.pop()
            return
        if self._refused and heard.start_s - self._refused[-1] > self.AGAIN_S:
            self._refused.clear()
        if heard.taken or heard.asks:
            self._last.extend(False for _ in self._refused)
            self._last.append(True)
            self._refused.clear()
        elif near:
            self._refused.append(heard.decided_s)

    @property
    def few(self) -> bool:
        """Fewer than seven in ten of her last tries were understood."""
        return len(self._last) >= self._ENOUGH and sum(self._last) < self._FEW * len(self._last)

    def told(self, attention: Sequence[str] = ()) -> str:
        """The sentence, with the words that call the ears; empty while enough is understood."""
        if not self.few:
            return ""
        call = f", or let “{' '.join(attention)}” come first (Call first in the settings)"
        return (
            f"Of your last {len(self._last)} tries {sum(self._last)} were understood: come nearer "
            f"to the microphone, shut out what sounds in the room{call if attention else ''}."
        )
