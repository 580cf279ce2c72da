"""A make folded event by event, with the states to go back to: few of them are kept."""

from engine.make import progress
from models.event import Event
from models.plan import Begun
from models.state import MakeState

NEAR = 1_000
"""States kept of the last events, and how far apart those before them are."""


class Trail:
    """Where a make stands, and where it stood. Raises what `progress.evolve` raises."""

    def __init__(self, begun: Begun) -> None:
        """At the beginning. Raises Refusal where its script cannot be read."""
        self._states: list[MakeState | None] = [progress.begin(begun)]
        self._standing: list[Event] = []

    @property
    def state(self) -> MakeState:
        """Where it stands now."""
        last = self._states[-1]
        assert last is not None
        return last

    def __len__(self) -> int:
        """How many events stand."""
        return len(self._standing)

    def go(self, event: Event) -> MakeState:
        """One event more; `Undone` is `back`."""
        after = progress.evolve(self.state, event)
        self._states.append(after)
        self._standing.append(event)
        old = len(self._states) - 1 - NEAR
        if old > 0 and old % NEAR:
            self._states[old] = None
        return after

    def back(self) -> MakeState:
        """The last event that stands taken back; nothing where none does."""
        if self._standing:
            self._standing.pop()
            self._states.pop()
            if self._states[-1] is None:
                self._fold_again()
        return self.state

    def _fold_again(self) -> None:
        last = len(self._states) - 1
        near = next(n for n in range(last, -1, -1) if self._states[n] is not None)
        for number in range(near, last):
            state = self._states[number]
            assert state is not None
            self._states[number + 1] = progress.evolve(state, self._standing[number])
