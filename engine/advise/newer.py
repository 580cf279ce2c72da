"""A newer edition of a make's design: offered, never slipped in.

A make keeps the script it began with. Where the design as it is now works the same plan out
otherwise, the maker may go on as it is, have what is still to come worked out anew, or begin
another make. A re-plan (a tape, more rows) has to ask the design, so it would bring the newer
edition with it: it asks first.
"""

from engine.advise.replan import (
    after_ripping,
    difference,
    following,
    kept_tail,
    newer_edition,
)
from engine.base.refusal import Refusal
from engine.plan.planning import script_for
from engine.plan.written import hands, read
from models.advice import Change
from models.event import Event, Planning, Replanned
from models.frozen import Frozen
from models.script import RowScript
from models.state import MakeState

WHY = "worked out anew, as this release does it"
"""What the journal says of a renewal."""


class Newer(Frozen):
    """What a newer edition of the design would mean for a make."""

    fits: bool
    """What is worked can be gone on from; else only another make can follow it."""
    change: Change | None = None
    """What is still to come then, beside what is to come now."""


def of(state: MakeState) -> Newer | None:
    """What a newer edition would change in what is still to come; None where nothing."""
    if state.done or not newer_edition(state):
        return None
    try:
        script = following(state, script_for(state.plan))
    except Refusal:
        return Newer(fits=False)
    ours, theirs = (_to_come(each, state.at) for each in (state.script, script))
    if ours == theirs:
        return None
    return Newer(fits=True, change=difference(state, script))


def brings_in(state: MakeState, event: Event) -> bool:
    """Whether this event would let a newer edition decide what is still to come."""
    if not isinstance(event, Planning) or event.tail is None:
        return False
    if read(event.tail).edition == state.edition:
        return False
    if isinstance(event, Replanned) and event.rip_to_step is not None:
        state = after_ripping(state, event.rip_to_step)
    return of(state) is not None


def renewed(state: MakeState, now: float) -> Replanned:
    """The event that works out anew what is still to come. Raises Refusal where that cannot be.

    `now` in POSIX seconds.
    """
    if of(state) is None:
        raise Refusal("This make is worked out as it would be today: there is nothing to renew.")
    script = following(state, script_for(state.plan))
    return Replanned(at=now, why=WHY, tail=kept_tail(state, state.plan, script))


def _to_come(script: RowScript, worked: int) -> list[tuple[object, ...]]:
    return [hands(step) for step in script.steps[worked:]]
