"""What the hands have made so far: every live loop, where it lies, and what else can be taken up.

A loop is a number, counted as the loops are made. Loops side by side are kept as ranges, so that a
row of two hundred is as quick to work as one of two. `hands.work` works a step on the fabric; the
audit proves a script on it, a repair follows a loop's column through it, a chart and a picture are
drawn from it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import chain
from typing import NamedTuple

from engine.script.rim import Live, Node, Run
from models.script import Direction, Hand, Operation, Step

Loop = int
"""A loop of the fabric, by the order in which it was made."""


class Unworkable(Exception):
    """The hands cannot do what the step says."""


class Pull(NamedTuple):
    """One loop's making: which loops it went through, and what became of them.

    A slipped loop is made of itself. What ends is used and makes nothing.
    """

    operation: Operation
    used: tuple[Loop, ...]
    made: tuple[Loop, ...]


class Pulls(NamedTuple):
    """An operation as it was worked: its loops in the order of the hand."""

    operation: Operation
    used: tuple[range, ...]
    made: tuple[range, ...]
    rightward: bool
    """The hand went from the left to the right, as the maker sees it."""

    def each(self) -> Iterator[Pull]:
        """Every time it was worked by itself; a crossing loop by loop."""
        o, entry = self.operation, self.operation.entry
        if entry.through:
            yield from self._crossed(entry.through)
            return
        if entry.plain:
            for used, made in zip(chain(*self.used), chain(*self.made), strict=True):
                yield Pull(o, (used,), (made,))
            return
        if entry.takes == 0 and entry.leaves < 0:
            for used in chain(*self.used):
                yield Pull(o, (used,), ())
            return
        used_up, new = chain(*self.used), chain(*self.made)
        for _ in range(o.times if entry.takes or entry.leaves else 0):
            yield Pull(
                o,
                tuple(next(used_up) for _ in range(entry.takes)),
                tuple(next(new) for _ in range(entry.leaves)),
            )

    def _crossed(self, through: tuple[int, ...]) -> Iterator[Pull]:
        size = len(through)
        if self.rightward:
            through = tuple(size - 1 - i for i in reversed(through))
        used, made = list(chain(*self.used)), list(chain(*self.made))
        for first in range(0, len(made), size):
            for place, source in enumerate(through):
                yield Pull(self.operation, (used[first + source],), (made[first + place],))


class Stand(NamedTuple):
    """Where the hand stands within a row that was turned before its end."""

    right: int
    """Live loops at its right."""
    leftward: bool
    """The way it went before it turned."""


@dataclass
class Fabric:
    """The live loops, those at rest, and every edge."""

    hand: Hand = Hand.RIGHT
    nodes: list[Live] = field(default_factory=list)
    """The working row from the right to the left; neighbours here may lie apart on the rim."""
    rests: dict[str, list[Live]] = field(default_factory=dict)
    edges: list[Node] = field(default_factory=list)
    """Every edge that has been made; one that is worked into says so (`gone`)."""
    parts: set[str] = field(default_factory=set)
    rows: dict[str, int] = field(default_factory=dict)
    """Rows or rounds of each part so far."""
    stand: Stand | None = None
    at_left: bool | None = None
    """The end of the working row at which the hand is; None where it is at neither."""
    seams: set[Live] = field(default_factory=set)
    """Loops that lie against each other, front and back in turn."""
    taken_up: dict[str, set[Loop]] = field(default_factory=dict)
    """Loops that were taken up from each resting place and are not worked yet."""
    wrapped: set[Loop] = field(default_factory=set)
    doubled: set[Loop] = field(default_factory=set)
    sources: list[tuple[range, str]] = field(default_factory=list)
    """Loops that were picked up, and along which edge, as the script names it."""
    made: int = 0
    """Loops made so far."""

    @property
    def count(self) -> int:
        """Loops in work."""
        if len(self.nodes) == 1:
            return self.nodes[0].count
        return sum(node.count for node in self.nodes)

    @property
    def held(self) -> int:
        """Loops at rest."""
        if not self.rests:
            return 0
        return sum(node.count for nodes in self.rests.values() for node in nodes)

    @property
    def live(self) -> Iterator[Loop]:
        """The loops in work, from the right to the left."""
        return chain.from_iterable(run.ids for node in self.nodes for run in node.runs)

    @property
    def runs(self) -> Iterator[Run]:
        """The same in ranges."""
        return chain.from_iterable(node.runs for node in self.nodes)

    def put_aside(self, name: str, nodes: list[Live], *, leftward: bool) -> None:
        """Lay loops at a resting place; they come in the order of the hand, which left them there.

        What a hand on its way to the left leaves lies to the right of what it left there before.
        """
        rest = self.rests.setdefault(name, [])
        if leftward:
            rest[:0] = nodes
        else:
            rest.extend(reversed(nodes))

    def source(self, loop: Loop) -> str:
        """The edge along which a loop was picked up, as the script names it; empty for none."""
        return next((at for loops, at in self.sources if loop in loops), "")


def leftward(step: Step, hand: Hand) -> bool:
    """Whether the hand starts at the first of the live loops, at the right as laid out here."""
    if step.side is not None:
        # Turned work: the right side is worked from the right end, the wrong side back.
        return step.side == "RS"
    backward = Direction.LEFT_TO_RIGHT if hand is Hand.RIGHT else Direction.RIGHT_TO_LEFT
    return step.direction is not backward


def rightward_seen(step: Step, hand: Hand) -> bool:
    """Whether the maker's hand goes from her left to her right."""
    if step.side is None and step.direction in {Direction.LEFT_TO_RIGHT, Direction.RIGHT_TO_LEFT}:
        return step.direction is Direction.LEFT_TO_RIGHT
    return hand is Hand.LEFT
