"""A make in the hands: its plan, its events, the talk about it.

The one door through which word, key and command line move a make. Events are handed to the
journal before anything else sees them, so what was shown was written.
"""

from collections.abc import Callable, Iterable, Sequence

from engine import progress
from engine.conversation import Conversation, hear
from models.command import Command, Context
from models.event import Event, Undone
from models.plan import Plan
from models.state import MakeState, Outcome, Tone

Journal = Callable[[Sequence[Event]], None]
"""Writes events down for good, or raises; it returns only when they are safe."""


class Making:
    """A make being worked on. Not thread-safe: one thread owns it."""

    def __init__(self, plan: Plan, events: Iterable[Event] = (), journal: Journal | None = None):
        self.plan = plan
        self.events = list(events)
        self.state: MakeState = progress.fold(plan, self.events)
        self.talk = Conversation()
        self._journal = journal or (lambda _events: None)

    def context(self, now: float) -> Context:
        """What the ears should expect at `now`, POSIX seconds."""
        return self.talk.context(self.state, now)

    def ask(self, command: Command, question: str, now: float) -> Outcome:
        """Let `command` wait for a yes."""
        self.talk = self.talk.asked(command, now)
        return Outcome(taken=True, say=question, tone=Tone.ASK, asks=command)

    def do(self, command: Command, now: float) -> Outcome:
        """Take a command at `now`, POSIX seconds. Whatever the journal raises goes through."""
        talk, outcome = hear(self.talk, self.state, command, now)
        takes_back = any(isinstance(event, Undone) for event in outcome.events)
        if takes_back and not progress.standing(self.events):
            outcome = progress.refused("There is nothing to take back.")
        if outcome.events:
            self._journal(outcome.events)
            self._record(outcome.events)
        self.talk = talk
        return outcome

    def _record(self, events: Sequence[Event]) -> None:
        self.events.extend(events)
        for event in events:
            if isinstance(event, Undone):
                self.state = progress.fold(self.plan, self.events)
            else:
                self.state = progress.evolve(self.state, event)
