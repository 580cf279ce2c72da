"""What the maker can choose between, and what each costs."""

from models.event import Event
from models.fit import SEEN_CM
from models.frozen import Frozen


class Cost(Frozen):
    """What a change costs. Counts are loops as they pass through the hands."""

    rows: int = 0
    """Rows, rounds and other loop steps that are ripped back."""
    loops: int = 0
    """Loops that are worked a second time, or hooked up, on the way."""
    yarn: int = 0
    """Loops of yarn more (or, below nothing, fewer) than were planned for the whole make."""
    seconds: float = 0.0
    """Time more (or less) than now planned, undoing counted."""


class Choice(Frozen):
    """One way on. `event` is what taking it writes; None where the hands act and nothing moves."""

    number: int
    """What to say: "choice one"."""
    does: str
    """What is done, a short clause without a full stop."""
    cost: Cost
    event: Event | None = None
    confirm: bool = False
    """It rips work back, so it wants a yes."""
    then: str = ""
    """What to do or say next, a sentence."""


class Change(Frozen):
    """How a new plan's remaining work differs from the old one's."""

    rows: int
    yarn: int
    seconds: float


class Grown(Frozen):
    """How a part changes by a re-plan: its rows in all, and its loops where it is widest."""

    part: str
    rows: tuple[int, int]
    """Before and after."""
    loops: tuple[int, int]
    """Before and after, in what is still to come."""


class Resized(Frozen):
    """How a measurement of the garment changes by a re-plan. Lengths in cm."""

    name: str
    before: float
    after: float
    wanted: float | None = None
    """What is asked for now."""

    @property
    def off(self) -> bool:
        """Whether it is not what is asked for."""
        return self.wanted is not None and abs(self.after - self.wanted) > SEEN_CM


class Mending(Frozen):
    """One way to mend a dropped loop."""

    name: str
    """rip back, work up or tie down."""
    possible: bool
    why_not: str = ""
    """Why it is no longer possible, a sentence; empty where it is."""
    cost: Cost
    last_safe: int | None = None
    """Number of the last step before which it must be done; None where no step forbids it."""
    closes: str = ""
    """What that step makes impossible, a sentence."""


class Landing(Frozen):
    """Where the work will stand after ripping back."""

    step: int
    place: str
    """`the start of row 7 of the body`"""
    loops: int
    """Live loops there."""
    held: int
    freed: int
    """Loops of yarn that come free."""
    markers: tuple[str, ...]
    """Markers that stay in the work."""
    removed: tuple[str, ...]
    """Markers that come out."""
    ball: int
    """Ball in work, counted from 1."""
    ball_left: int | None
    """Loops left in it, where its size is known."""


class Repair(Frozen):
    """Everything there is to say about one dropped loop."""

    mark: int
    place: str
    ways: tuple[Mending, ...]
    best: str
    """Name of the way that costs least and leaves no trace, while there is one."""
    landing: Landing | None = None
    """Where ripping back to it would leave the work."""

    def way(self, name: str) -> Mending:
        """The way of that name. Raises KeyError for another."""
        for way in self.ways:
            if way.name == name:
                return way
        raise KeyError(name)
