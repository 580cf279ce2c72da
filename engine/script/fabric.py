"""What the hands have made so far: every live loop, and how a step works on them.

A loop is an object with an origin. A step is worked on the loops in the direction of the hand;
what it takes is gone, what it makes is live. The audit proves a script on it, a repair follows a
loop's column through it, a chart and a picture are drawn from it.
"""

from collections import deque
from dataclasses import dataclass, field
from typing import NamedTuple

from models.script import Direction, Hand, Operation, Step


@dataclass(eq=False, slots=True)
class Loop:
    """One loop of the fabric; two are never equal."""

    part: str
    height: int
    """Rows or rounds of its part below it."""


@dataclass
class Fabric:
    """The live loops, right to left, and those at rest."""

    live: deque[Loop] = field(default_factory=deque)
    rests: dict[str, deque[Loop]] = field(default_factory=dict)
    spent: set[Loop] = field(default_factory=set)

    @property
    def held(self) -> int:
        """Loops at rest."""
        return sum(map(len, self.rests.values()))


class Pull(NamedTuple):
    """What one operation, worked once, made of which loops."""

    operation: Operation
    used: tuple[Loop, ...]
    made: tuple[Loop, ...]


class Unworkable(Exception):
    """The hands cannot do what the step says."""


def leftward(step: Step, hand: Hand) -> bool:
    """Whether the hand starts at the first of the live loops, at the right as laid out here."""
    if step.side is not None:
        # Turned work: the right side is worked from the right end, the wrong side back.
        return step.side == "RS"
    backward = Direction.LEFT_TO_RIGHT if hand is Hand.RIGHT else Direction.RIGHT_TO_LEFT
    return step.direction is not backward


def _take(loops: deque[Loop], count: int, what: str, *, first: bool = True) -> list[Loop]:
    if len(loops) < count:
        raise Unworkable(f"{what} needs {count} loops, {len(loops)} are there")
    return [loops.popleft() if first else loops.pop() for _ in range(count)]


def _move(fabric: Fabric, operation: Operation, from_first: bool) -> None:
    names = operation.at.split("|")
    if operation.stitch == "rest":
        # What rests is what the hand does not reach: the far end of the row.
        moved = _take(fabric.live, operation.times, "resting", first=not from_first)
        rest = fabric.rests.setdefault(operation.at, deque())
        rest.extendleft(moved) if from_first else rest.extend(moved)
        return
    for name in names:
        if name not in fabric.rests:
            raise Unworkable(f"nothing rests at {name!r}")
    if operation.stitch == "resume":
        fabric.live.extend(_take(fabric.rests[names[0]], operation.times, f"taking up {names[0]}"))
        return
    # Right sides together: the front lies mirrored on the back, its far end first.
    fronts = _take(fabric.rests[names[0]], operation.times, f"pairing {names[0]}", first=False)
    backs = _take(fabric.rests[names[1]], operation.times, f"pairing {names[1]}")
    for front, back in zip(fronts, backs, strict=True):
        if front.height != back.height:
            raise Unworkable(
                f"{names[0]} is {front.height} rows high and {names[1]} is {back.height}"
            )
        fabric.live.extend((front, back))


def regroup(fabric: Fabric, step: Step, hand: Hand) -> None:
    """Move loops between the working row and the resting places. Raises Unworkable."""
    from_first = leftward(step, hand)
    for operation in step.operations:
        if operation.entry.regroups:
            _move(fabric, operation, from_first)


def work(fabric: Fabric, step: Step, height: int, hand: Hand) -> list[Pull]:
    """Work a step, once regrouped, on the fabric; its pulls in the order of the hand.

    `height` is the rows of the part below the loops it makes. Raises Unworkable.
    """
    from_first = leftward(step, hand)
    left = deque(fabric.live if from_first else reversed(fabric.live))
    made: deque[Loop] = deque()
    pulls: list[Pull] = []
    for operation in step.operations:
        entry = operation.entry
        if entry.regroups:
            continue
        takes, leaves = entry.takes, max(0, entry.leaves)
        used = _take(left, operation.takes, entry.name)
        if not fabric.spent.isdisjoint(used):
            raise Unworkable("a loop would be used twice")
        fabric.spent.update(used)
        if entry.leaves < 0:
            fabric.spent.update(_take(made, -operation.leaves, entry.name, first=False))
        new = [Loop(step.part, height) for _ in range(leaves * operation.times)]
        made.extend(new)
        pulls.extend(
            Pull(
                operation,
                tuple(used[i * takes : (i + 1) * takes]),
                tuple(new[i * leaves : (i + 1) * leaves]),
            )
            for i in range(operation.times)
        )
    if step.counts_row and left:
        raise Unworkable(f"{len(left)} loops of the row are left unworked")
    # A bind-off leaves its last loop live, and it goes on in front of what was not reached.
    made.extend(left)
    fabric.live = deque(made if from_first else reversed(made))
    return pulls
