"""Where a make stands: the fold of its events over its script."""

from enum import StrEnum

from models.command import Command
from models.event import Event
from models.frozen import Frozen
from models.plan import Plan
from models.script import RowScript, Step
from models.text import Words

SETTLED = frozenset({"fits", "as it is"})
"""Verdicts that leave no choice open."""

TOO_FEW = "too few balls"
"""The verdict of who has only so many: it leaves a try-on at the same step to be done."""


class Mark(Frozen):
    """A dropped or missed loop."""

    number: int
    step: int
    part: Words
    row: int | None
    loop: int | None
    open: bool = True


class Note(Frozen):
    """A note at a step."""

    step: int
    """Its number; the last one's where the make was done."""
    at: float
    """When it was made, POSIX seconds."""
    text: Words
    """What she typed; empty where she spoke it."""
    seconds: float = 0.0
    """How long it is, where she spoke it."""


class Join(Frozen):
    """Where a new ball was joined, and how the old one stood at the beginning of that step."""

    step: int
    ball_used: int
    ball_size: int | None
    pulled: int
    """Loops of that step that the old ball still gave."""
    ends: int
    """Loops that the join's two ends took."""


class MakeState(Frozen):
    """Everything the screen shows of a make, and everything a command is decided on."""

    plan: Plan
    script: RowScript
    edition: str = ""
    """Which edition of the design worked out what is still to come (`engine.plan.written`)."""
    at: int = 0
    """Index of the step in work; the number of steps when all are done."""
    marks: tuple[Mark, ...] = ()
    ball_used: int = 0
    """Loops pulled from the ball in work."""
    ball_size: int | None = None
    balls: int = 1
    joins: tuple[Join, ...] = ()
    """Where each ball after the first was joined, in order."""
    paused: bool = False
    closed: bool = False
    """Finished early by the maker."""
    elapsed: float = 0.0
    """Seconds in the hands, pauses left out."""
    step_began: float | None = None
    """When the step in work began, POSIX seconds."""
    step_began_at: float = 0.0
    """`elapsed` when the step in work began."""
    step_paces: tuple[float, ...] = ()
    """Seconds per loop of the last steps worked, oldest first."""
    rested_at: float = 0.0
    """`elapsed` when the hands last had a rest."""
    last_at: float | None = None
    verdicts: dict[int, str] = {}
    """Fit verdicts by step number; "too long" where a tape said so, "as it is" where she
    goes on all the same."""
    measured: tuple[int, float] | None = None
    """The last tape measurement: number of the step it was taken in, and cm."""
    balls_had: int | None = None
    """Balls that there are in all, where she said that there are no more."""
    notes: tuple[Note, ...] = ()
    """In the order in which they were made."""

    @property
    def step(self) -> Step | None:
        """The step in work; None when the make is done."""
        return self.script.steps[self.at] if self.at < len(self.script.steps) else None

    @property
    def open_verdict(self) -> str:
        """The verdict at the step in work that still waits for a choice; empty without one."""
        verdict = self.verdicts.get(self.step.number, "") if self.step else ""
        return "" if verdict in SETTLED else verdict

    @property
    def done(self) -> bool:
        """Nothing is left to work."""
        return self.closed or self.at >= len(self.script.steps)

    @property
    def yarn_used(self) -> int:
        """Loops of yarn in the steps done, as the script counts them."""
        return sum(step.yarn_loops for step in self.script.steps[: self.at])

    @property
    def yarn_taken(self) -> int:
        """Loops that came off the balls: those in the steps, and the ends of the joins."""
        return self.yarn_used + sum(join.ends for join in self.joins)

    @property
    def open_marks(self) -> tuple[Mark, ...]:
        """Marks neither repaired nor accepted."""
        return tuple(mark for mark in self.marks if mark.open)

    @property
    def several_yarns(self) -> bool:
        """Whether it is worked from yarns that take turns: colours, or dye lots."""
        return bool(self.script.steps and self.script.steps[0].colour)

    @property
    def ball_left(self) -> int | None:
        """Loops left in the ball in work, where its size is known; of several yarns nobody counts
        each one's balls."""
        if self.ball_size is None or self.several_yarns:
            return None
        return self.ball_size - self.ball_used


class Tone(StrEnum):
    """The sound that answers a command."""

    ADVANCE = "advance"
    TAKE_BACK = "take back"
    MARK = "mark"
    ANSWER = "answer"
    ASK = "ask"
    REFUSED = "refused"
    LISTENS = "listens"
    """The attention word was heard."""


class Reply(Frozen):
    """What a command comes to: events to write, or why it was refused, and what to say."""

    taken: bool
    say: str
    """One sentence: the answer, the question or the reason of the refusal."""
    tone: Tone
    events: tuple[Event, ...] = ()
    asks: Command | None = None
    """The command that waits for a yes."""
