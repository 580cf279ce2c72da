"""Questions and answers: what loses work waits for a yes, and not for long.

Sans-I/O like the rest: a conversation is a value, and hearing a command makes the next one.
Word and key go through here alike.
"""

from engine.make import answers
from engine.make.decisions import decide
from engine.make.decisions.replies import answered, refused
from models.command import Action, By, Command, Context
from models.frozen import Frozen
from models.script import Kind
from models.state import MakeState, Reply, Tone

ANSWER_WITHIN = 8.0
"""Seconds in which a word can answer a question: a later yes was meant for someone else."""


class Conversation(Frozen):
    """What stands open between the maker and her counter."""

    pending: Command | None = None
    doubted: bool = False
    """What waits is whether `pending` was said at all, not whether it shall be done."""
    question: str = ""
    """What was asked, a sentence."""
    until: float = 0.0
    """When the time of a word runs out, POSIX seconds."""
    stays: bool = False
    """It was asked at the keyboard, and waits there for as long as it takes."""
    listening: bool = True

    def asked(
        self,
        command: Command,
        now: float,
        question: str = "",
        *,
        by: By = By.WORD,
        doubted: bool = False,
    ) -> "Conversation":
        """The conversation once `command` waits for a yes."""
        return self.model_copy(
            update={
                "pending": command,
                "question": question,
                "doubted": doubted,
                "until": now + ANSWER_WITHIN,
                "stays": by is By.KEY,
            }
        )

    def still_asked(self, now: float) -> "Conversation":
        """The conversation while its question is being read out: the time begins at its end."""
        if self.pending is None or self.left(now) == 0:
            return self
        return self.model_copy(update={"until": now + ANSWER_WITHIN})

    def left(self, now: float) -> float:
        """Seconds in which a word can still answer; 0 when the clock jumped either way."""
        within = self.pending is not None and 0 <= self.until - now <= ANSWER_WITHIN
        return self.until - now if within else 0.0

    def open_at(self, now: float, by: By = By.KEY) -> Command | None:
        """The command that still waits for a yes given by a key, or by a word."""
        return self.pending if self.left(now) > 0 or (self.stays and by is By.KEY) else None

    def context(self, state: MakeState, now: float) -> Context:
        """What the ears should expect."""
        if not self.listening:
            return Context.ASLEEP
        if self.open_at(now, By.WORD):
            return Context.YES_NO
        if state.step and state.step.kind is Kind.MEASURE:
            return Context.NUMBER
        return Context.ROW


_YES_MEANS = {Kind.BACK_CHECK: Action.ADVANCE, Kind.FIT_CHECK: Action.FITS}
"""What a plain yes is at a step that asks: "Is the back clean?" "Yes"."""


def hear(
    talk: Conversation, state: MakeState, command: Command, now: float, by: By = By.WORD
) -> tuple[Conversation, Reply]:
    """The conversation and the outcome after a command, at `now` in POSIX seconds."""
    pending = talk.open_at(now, by)
    settled = talk.model_copy(update={"pending": None})
    match command.action:
        case Action.YES if pending and talk.doubted:
            return hear(settled, state, pending, now, by)  # which may ask on its own account
        case Action.YES if pending:
            return settled, decide(state, pending, now, confirmed=True)
        case Action.YES if talk.open_at(now):
            return talk, refused("That yes came late: say it again after the question, or type it.")
        case Action.YES:
            return settled, _plain_yes(state, now)
        case Action.NO if talk.open_at(now):
            return settled, Reply(taken=True, say="Left as it was.", tone=Tone.ANSWER)
        case Action.NO:
            return settled, refused("Nothing was asked.")
        case Action.ADVANCE if talk.open_at(now):
            return talk, refused(f"First a yes or a no: {talk.question}")
        case Action.STOP_LISTENING:
            asleep = settled.model_copy(update={"listening": False})
            return asleep, answered("I stop listening. Say 'start listening' to go on.")
        case Action.START_LISTENING:
            return settled.model_copy(update={"listening": True}), answered("I am listening.")
        case _:
            outcome = decide(state, command, now)
    if outcome.asks:
        return settled.asked(outcome.asks, now, outcome.say, by=by), outcome
    return settled, outcome


def _plain_yes(state: MakeState, now: float) -> Reply:
    """A yes to no question of ours: a look and a try-on ask, too, until they are answered."""
    step = state.step
    if step is None or state.done or state.open_verdict:
        return refused("Nothing was asked.")
    if step.kind is Kind.MEASURE:
        return refused(f"{answers.wanted(step)} Say what the tape shows.")
    if step.kind not in _YES_MEANS:
        return refused("Nothing was asked.")
    return decide(state, Command(action=_YES_MEANS[step.kind]), now)
