"""What came of the last words and keys, as signs that stay long enough to be seen.

Hands are in the work and eyes come up late. So a row that was moved keeps its sign for some
seconds, whatever follows: one who reads only "not taken" says it again, and counts it twice. And a
refusal that comes twice in the same words says so, or it would look as if nothing was heard.
"""

from counter.shared.settings import Unit
from counter.shared.telling import in_unit
from engine.script import places
from engine.words.phrases import UNKNOWN
from models.command import Action, Command, Heard
from models.frozen import Frozen
from models.state import MakeState, Reply, Tone

STAYS_S = 6.0
"""Seconds in which the sign of a move stays beside whatever follows."""


class Sign(Frozen):
    """One answer: its loud part, and what goes on more quietly."""

    loud: str
    quiet: str = ""
    moved: bool = False
    """Something was written: it must not be said again."""


class Signs(Frozen):
    """The last sign, and the last one of a move."""

    last: Sign = Sign(loud="")
    times: int = 1
    """How often the last one came in a row."""
    moved: Sign | None = None
    moved_at: float = 0.0
    """POSIX seconds."""

    def then(self, sign: Sign, now: float) -> "Signs":
        """With one more, at `now` in POSIX seconds."""
        if sign.moved:
            return Signs(last=sign, moved=sign, moved_at=now)
        times = self.times + 1 if sign == self.last else 1
        return self.model_copy(update={"last": sign, "times": times})

    @property
    def again(self) -> Sign:
        """The last one, which says how often it came."""
        if self.times == 1:
            return self.last
        often = "once more" if self.times == 2 else f"{self.times} times"
        return self.last.model_copy(update={"quiet": f"{self.last.quiet} · {often}".strip()})

    def shown(self, now: float) -> tuple[Sign, ...]:
        """What is to be seen at `now`: a move of the last seconds first."""
        if self.moved is None or self.last.moved or not 0 <= now - self.moved_at <= STAYS_S:
            return (self.again,)
        return (self.moved, self.again)


def sign_of(
    outcome: Reply,
    before: MakeState | None,
    command: Command | None,
    heard: Heard | None,
    unit: Unit = Unit.CM,
) -> Sign:
    """The sign of an outcome; `before` is the state that the command met, if any."""
    said = f"heard “{legible(heard.heard)}”: " if heard is not None else ""
    if heard is not None and heard.called:
        return Sign(loud=f"• {said}", quiet=outcome.say)
    if heard is not None and not heard.taken and not heard.asks:
        undone = heard.withdrawn and outcome.taken
        verb = "taken back" if undone else "not taken"
        return Sign(loud=f"✗ {said}{verb}", quiet=f"({heard.reason})", moved=undone)
    if outcome.tone is Tone.REFUSED:
        return Sign(loud=f"✗ {said}not done.", quiet=in_unit(outcome.say, unit))
    if outcome.asks is not None:
        return Sign(loud=f"? {said}", quiet="waiting for yes or no")
    moved = bool(outcome.events)
    if outcome.tone is Tone.ADVANCE and before is not None and before.step is not None:
        over = "; the break is over" if before.paused else ""
        if (rows := len(outcome.events)) > 1:
            last = before.script.steps[before.at + rows - 1]
            done = f"{rows} rows done, to {places.part_place(last)}{over}"
            return Sign(loud=f"✓ {said}", quiet=done, moved=True)
        return Sign(
            loud=f"✓ {said}", quiet=f"{places.part_place(before.step)} done{over}", moved=moved
        )
    taken_back = command is not None and command.action is Action.TAKE_BACK
    say = "taken back" if taken_back and not outcome.say else outcome.say
    return Sign(loud=f"✓ {said}", quiet=in_unit(say, unit), moved=moved)


def legible(heard: str) -> str:
    """What was heard, with a gap for what was none of the words."""
    return heard.replace(UNKNOWN, "…")
