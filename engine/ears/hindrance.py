"""What keeps the ears from understanding her in this room, and what helps; in one sentence.

The bounds are those under which fewer than seven in ten commands were taken on the tuning part of
the hearing bench: talk or music whose peaks come within ten decibels of her voice, and steady noise
that she stands no further out of.
"""

from __future__ import annotations

from collections.abc import Sequence

USUAL_VOICE_DB = -26.0
"""How loud a voice is taken to be, dB of full scale, until the maker's own commands tell."""
_NEAR_DB = 10.0
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
    if (loud and restless) or (background_db is not None and own_db - background_db < _NEAR_DB):
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
