"""Where a chain of lines stands, in words; nothing of it need be sound."""

import json

from pydantic import ValidationError

from engine.base.refusal import Refusal
from engine.keep.journal import chain
from engine.keep.journal.chain import Chain
from engine.make import progress
from engine.script import places
from models.event import EVENT, Event
from models.plan import Begun, Plan
from models.state import MakeState


def state_of(made: Chain) -> MakeState | None:
    """The state that a chain folds to; None where it cannot be read, or holds no script yet."""
    head = chain.read_head(made.head)
    if head is None or head.script is None:
        return None
    try:
        begun = Begun(plan=Plan.model_validate_json(head.plan), script=head.script)
        events: list[Event] = [EVENT.validate_json(body) for body in made.bodies]
        return progress.fold(begun, events)
    except (ValidationError, Refusal):
        return None


def standing(made: Chain) -> str:
    """`row 6 of the throw`, `done`; empty where that cannot be told."""
    state = state_of(made)
    if state is None:
        return ""
    return "done" if state.step is None or state.closed else places.part_place(state.step)


def last_at(made: Chain) -> float | None:
    """When its last action was, POSIX seconds; None where that cannot be told."""
    try:
        at = json.loads(made.bodies[-1])["at"]
    except (ValueError, LookupError, TypeError):
        return None
    return float(at) if isinstance(at, int | float) else None
