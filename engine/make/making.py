"""A make in the hands: its plan, its events, the talk about it.

The one door through which word, key and command line move a make. Events are handed to the
journal before anything else sees them, so what was shown was written.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import Unpack

from engine.advise.pace import too_quick
from engine.advise.replan import Wishes
from engine.make import progress
from engine.make.answers import in_hand
from engine.make.conversation import Conversation, hear
from engine.make.decisions import change, decide, renew
from engine.make.decisions.replies import refused
from engine.make.history import sentence
from engine.plan.planning import begun
from engine.script import places
from models.command import FAR_TOO_QUICK, Action, By, Command, Context, Heard, Situation
from models.event import Event, Undone
from models.plan import Begun, Plan
from models.script import CHECK_KINDS
from models.state import MakeState, Reply, Tone

Journal = Callable[[Sequence[Event]], None]
"""Writes events down for good, or raises; it returns only when they are safe."""
Pace = Callable[[MakeState, Sequence[Event]], float]
"""The least seconds in which this maker works the step in hand; 0 where that is not known."""


_LENGTHS = frozenset({Action.MEASURED, Action.ACROSS})
"""Actions whose number is a length."""
CATCHING_UP = 30.0
"""Seconds after a yes to "is it done already?" in which as quick an advance is believed: she counts
rows that she worked before."""


class Making:
    """A make being worked on. Not thread-safe: one thread owns it."""

    def __init__(
        self,
        make: Plan | Begun,
        events: Iterable[Event] = (),
        journal: Journal | None = None,
        *,
        unit_cm: float = 1.0,
        pace: Pace | None = None,
    ) -> None:
        """How a make began, or the plan of one that begins now.

        `unit_cm` is the length of the unit in which measurements are said, in cm. Without a `pace`
        no advance is too quick. Raises Refusal for a plan without a sound script.
        """
        self.begun = begun(make) if isinstance(make, Plan) else make
        self.events = list(events)
        self.state: MakeState = progress.fold(self.begun, self.events)
        self.talk = Conversation()
        self._journal = journal or (lambda _events: None)
        self.unit_cm = unit_cm
        self._pace = pace
        self._heard_from: int | None = None
        self._believed_until = 0.0
        self._breath_began: float | None = None
        self._breath_least = 0.0

    def context(self, now: float) -> Context:
        """What the ears should expect at `now`, POSIX seconds."""
        return self.talk.context(self.state, now)

    def situation(self, now: float) -> Situation:
        """What the guard has to know of the make at `now`, POSIX seconds."""
        step, began = self.state.step, self.state.step_began
        checks = step is not None and step.kind in CHECK_KINDS
        return Situation(
            context=self.context(now),
            question_open=checks or self.talk.open_at(now, By.WORD) is not None,
            step_age_s=None if began is None else max(0.0, now - began),
            least_step_s=self._pace(self.state, self.events) if self._pace else 0.0,
        )

    def do(self, command: Command, now: float, *, by: By = By.WORD) -> Reply:
        """Take a command at `now`, POSIX seconds. Whatever the journal raises goes through.

        A word was judged before it comes here; of a key it is asked here whether it can be meant.
        """
        self._heard_from = None
        if by is By.KEY and command.action is Action.ADVANCE and self._doubts(now):
            return self._ask_whether_done(command, now)
        catches_up = by is By.KEY and command.action is Action.YES and self._doubted(now)
        talk, outcome = hear(self.talk, self.state, self._in_cm(command), now, by)
        undone: Event | None = None
        if any(isinstance(event, Undone) for event in outcome.events):
            undone = next(reversed(progress.standing(self.events)), None)
            if undone is None:
                outcome = refused("There is nothing to take back.")
        self._write(outcome.events)
        self.talk = talk
        if catches_up:
            self._believed_until = now + CATCHING_UP
        if undone is not None:
            say = f"Taken back: {sentence(undone, self.state)}.{in_hand(self.state.step)}"
            return outcome.model_copy(update={"say": say})
        return outcome

    def still_asking(self, now: float) -> None:
        """The question in the air is being read out: nobody can answer it yet."""
        self.talk = self.talk.still_asked(now)

    def refuses(self, command: Command, now: float) -> str:
        """Why the command would be refused now, a sentence; empty where it would not."""
        outcome = decide(self.state, self._in_cm(command), now)
        return outcome.say if outcome.tone is Tone.REFUSED else ""

    def renew(self, now: float) -> Reply:
        """Work out anew what is still to come, as the design is now; `now` in POSIX seconds."""
        outcome = renew(self.state, now, confirmed=True)
        self._write(outcome.events)
        return outcome

    def change(self, why: str, now: float, **wishes: Unpack[Wishes]) -> Reply:
        """Plan what is still to come by another gauge, size or measurement; `why` says which."""
        outcome = change(self.state, why, now, confirmed=True, **wishes)
        self._write(outcome.events)
        return outcome

    def _doubts(self, now: float) -> bool:
        """Whether an advance by key comes far too soon, and she is not catching up."""
        if self._pace is None or self.talk.open_at(now) is not None:
            return False
        if not too_quick(self.state, now, self._pace(self.state, self.events)):
            return False
        if 0 <= self._believed_until - now <= CATCHING_UP:
            self._believed_until = now + CATCHING_UP
            return False
        return True

    def _doubted(self, now: float) -> bool:
        """Whether the open question is if a row was done at all."""
        pending = self.talk.open_at(now)
        return pending is not None and self.talk.doubted and pending.action is Action.ADVANCE

    def _ask_whether_done(self, command: Command, now: float, by: By = By.KEY) -> Reply:
        assert self.state.step is not None
        place = places.part_place(self.state.step)
        say = f"That was quick: is {place}, done already?"
        self.talk = self.talk.asked(command, now, say, by=by, doubted=True)
        return Reply(taken=False, say=say, tone=Tone.ASK, asks=command)

    def heard(self, heard: Heard, now: float) -> Reply:
        """Take an utterance as the guard left it, at `now` in POSIX seconds."""
        if heard.withdrawn:
            return self._withdraw(heard, now)
        if heard.command is not None and heard.asks:
            say = heard.reason[:1].upper() + heard.reason[1:]
            self.talk = self.talk.asked(self._in_cm(heard.command), now, say, doubted=True)
            return Reply(taken=False, say=say, tone=Tone.ASK, asks=heard.command)
        if heard.called:
            return Reply(taken=True, say="Listening.", tone=Tone.LISTENS)
        if heard.command is None or not heard.taken:
            return refused(heard.reason)
        since = self._heard_from if heard.goes_on else len(self.events)
        if heard.command.action is Action.ADVANCE and self._breath_too_short(heard, now):
            return self._ask_whether_done(heard.command, now, By.WORD)
        outcome = self.do(heard.command, now)
        self._heard_from = since
        return outcome

    def _breath_too_short(self, heard: Heard, now: float) -> bool:
        """Whether the rows said in one breath cannot all have been worked since the last one."""
        if not heard.goes_on:
            self._breath_began, self._breath_least = self.state.step_began, 0.0
        if self._pace is not None:
            self._breath_least += self._pace(self.state, self.events)
        began = self._breath_began
        quick = began is not None and now - began < FAR_TOO_QUICK * self._breath_least
        return quick and heard.goes_on  # a row said alone was judged before it came here

    def _in_cm(self, command: Command) -> Command:
        if command.action not in _LENGTHS or command.value is None:
            return command
        return command.model_copy(update={"value": command.value * self.unit_cm})

    def _withdraw(self, heard: Heard, now: float) -> Reply:
        """Take back what the utterance just before did, if nothing else has happened since."""
        since, self._heard_from = self._heard_from, None
        self.talk = self.talk.model_copy(update={"pending": None})
        done = [] if since is None else self.events[since:]
        if any(isinstance(event, Undone) for event in done):
            # Taking a taking-back back would be guessing; the screen says what happened.
            done = []
        events = tuple(Undone(at=now) for _ in done)
        self._write(events)
        return Reply(taken=bool(events), say=heard.reason, tone=Tone.TAKE_BACK, events=events)

    def _write(self, events: Sequence[Event]) -> None:
        if not events:
            return
        self._journal(events)
        self.events.extend(events)
        for event in events:
            if isinstance(event, Undone):
                self.state = progress.fold(self.begun, self.events)
            else:
                self.state = progress.evolve(self.state, event)
