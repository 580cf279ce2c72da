"""Questions and answers: what loses work waits for a yes, and not for long.

Sans-I/O like the rest: a conversation is a value, and hearing a command makes the next one.
Word and key go through here alike.
"""

from engine.make.decisions import decide
from engine.make.decisions.outcomes import answered, refused
from models.command import Action, Command, Context
from models.frozen import Frozen
from models.script import CHECK_KINDS, Kind
from models.state import MakeState, Outcome, Tone

ANSWER_WITHIN = 8.0
"""Seconds in which a question can be answered: a later yes was meant for someone else."""


class Conversation(Frozen):
    """What stands open between the maker and her counter."""

    pending: Command | None = None
    doubted: bool = False
    """What waits is whether `pending` was said at all, not whether it shall be done."""
    until: float = 0.0
    listening: bool = True

    def asked(self, command: Command, now: float, *, doubted: bool = False) -> "Conversation":
        """The conversation once `command` waits for a yes."""
        return self.model_copy(
            update={"pending": command, "doubted": doubted, "until": now + ANSWER_WITHIN}
        )

    def open_at(self, now: float) -> Command | None:
        """The command that still waits for a yes; none when the clock jumped either way."""
        return self.pending if self.until - ANSWER_WITHIN <= now <= self.until else None

    def context(self, state: MakeState, now: float) -> Context:
        """What the ears should expect."""
        if not self.listening:
            return Context.ASLEEP
        if self.open_at(now):
            return Context.YES_NO
        if state.step and state.step.kind is Kind.MEASURE:
            return Context.NUMBER
        return Context.ROW


def _said_no(state: MakeState) -> bool:
    """Whether the check in work was already answered with something other than a yes."""
    return state.step is not None and state.verdicts.get(state.step.number, "fits") != "fits"


def hear(
    talk: Conversation, state: MakeState, command: Command, now: float
) -> tuple[Conversation, Outcome]:
    """The conversation and the outcome after a command, at `now` in POSIX seconds."""
    pending = talk.open_at(now)
    settled = talk.model_copy(update={"pending": None})
    match command.action:
        case Action.YES:
            if pending and talk.doubted:
                return hear(settled, state, pending, now)  # which may ask on its own account
            if pending:
                return settled, decide(state, pending, now, confirmed=True)
            if state.step and state.step.kind in CHECK_KINDS and not _said_no(state):
                # "Is the back clean?" "Yes": a check is a question too, until it was answered.
                return settled, decide(state, Command(action=Action.ADVANCE), now)
            return settled, refused("Nothing was asked.")
        case Action.NO:
            if pending:
                return settled, Outcome(taken=True, say="Left as it was.", tone=Tone.ANSWER)
            return settled, refused("Nothing was asked.")
        case Action.STOP_LISTENING:
            asleep = settled.model_copy(update={"listening": False})
            return asleep, answered("I stop listening. Say 'start listening' to go on.")
        case Action.START_LISTENING:
            return settled.model_copy(update={"listening": True}), answered("I am listening.")
        case _:
            outcome = decide(state, command, now)
    if outcome.asks:
        return settled.asked(outcome.asks, now), outcome
    return settled, outcome
