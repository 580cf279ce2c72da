"""Works a step on the fabric, stitch by stitch, in the direction of the hand.

The operations come in their order. What lies ahead of the hand is taken, what it makes lies behind
it; `rest` puts aside what the hand will not reach, the far end of the row, and `rest next` the
loops that come next. Loops taken up lie at the far end of what is ahead. Once the step is done the
rim is laid anew: bound-off loops become an edge, rows end in edges, loops that the yarn passes
without working them keep a rim of their own.
"""

from collections import deque
from collections.abc import Iterator, Sequence
from functools import cache
from typing import overload

from engine.script.fabric import Fabric, Pulls, Unworkable, leftward, rightward_seen
from engine.script.hand import HandAtWork
from engine.script.laying import row_ends
from engine.script.rim import Run, join
from models.script import Hand, Kind, Step
from models.stitch import STITCHES, Role

_STRAIGHT = {Role.WORKED, Role.DECREASE, Role.INCREASE, Role.CROSS}
"""What makes new loops of those that come next, and of no others."""
_NO_LOOPS = {Role.YARN_END, Role.MARKER, Role.COLOUR}
_LEVEL = {(0, 0), (1, 1)}
"""What a plain stitch takes and leaves, and what is none."""


def work(fabric: Fabric, step: Step) -> Sequence[Pulls]:
    """Work a step on the fabric; its pulls in the order of the hand. Raises Unworkable."""
    if step.counts_row:
        fabric.rows[step.part] = fabric.rows.get(step.part, 0) + 1
    fabric.parts.add(step.part)
    if not step.operations:
        if step.counts_row and fabric.nodes:
            raise Unworkable(f"{fabric.count} loops of the row are left unworked")
        return ()
    if step.counts_row and (pulls := _straight_up(fabric, step)) is not None:
        return pulls
    hand = HandAtWork(fabric, step)
    for operation in step.operations:
        hand.work(operation)
    hand.done()
    return hand.pulls


@cache
def _each(stitch: str) -> tuple[int, int] | None:
    """What a stitch that goes straight up takes and leaves each time; None for any other."""
    entry = STITCHES[stitch]
    if entry.role in _NO_LOOPS:
        return 0, 0
    if entry.role not in _STRAIGHT or entry.needs or entry.leaves < 0:
        return None
    return entry.takes, entry.leaves


class StraightUp(Sequence[Pulls]):
    """The pulls of a row that makes new loops of every loop of one stretch.

    Each is told when they are first looked at: that they come out, the audit knows without.
    """

    __slots__ = ("_before", "_hand", "_new", "_step", "_told")

    def __init__(self, step: Step, hand: Hand, before: Sequence[Run], new: range) -> None:
        self._step, self._hand, self._before, self._new = step, hand, before, new
        self._told: list[Pulls] | None = None

    @property
    def plain(self) -> bool:
        """Whether each loop is made of one, where that stood."""
        return all(_each(o.stitch) in _LEVEL for o in self._step.operations)

    def _all(self) -> list[Pulls]:
        if self._told is None:
            self._told = _pulls(self._step, self._hand, self._before, self._new)
        return self._told

    def __len__(self) -> int:
        return len(self._all())

    def __iter__(self) -> Iterator[Pulls]:
        return iter(self._all())

    @overload
    def __getitem__(self, index: int) -> Pulls: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Pulls]: ...
    def __getitem__(self, index: int | slice) -> Pulls | Sequence[Pulls]:
        return self._all()[index]


def _straight_up(fabric: Fabric, step: Step) -> StraightUp | None:
    """Work a row that makes new loops of every loop of one stretch, as most rows do.

    None, with nothing done, for any other: the long way would come to the same.
    """
    if fabric.stand is not None or len(fabric.nodes) != 1:
        return None
    takes = leaves = 0
    for operation in step.operations:
        each, times = _each(operation.stitch), operation.times
        if each is None or times < 1:
            return None
        if operation.at and (each[0] or each[1]):
            return None
        takes += each[0] * times
        leaves += each[1] * times
    node = fabric.nodes[0]
    before = node.runs
    if takes != node.count or not leaves:
        return None
    to_left = leftward(step, fabric.hand)
    level = (before[0].level if len(before) == 1 else max(run.level for run in before)) + 1
    new = range(fabric.made, fabric.made + leaves)
    fabric.made += leaves
    node.runs = [Run(new if to_left else new[::-1], step.part, level)]
    if step.kind is Kind.ROUND:
        join(node, node)
    else:
        row_ends(fabric, node, step.part, first=True)
        row_ends(fabric, node, step.part, first=False)
    fabric.at_left = None if node.next is node else to_left
    return StraightUp(step, fabric.hand, before, new)


def _pulls(step: Step, hand: Hand, before: Sequence[Run], new: range) -> list[Pulls]:
    """Which loop goes through which in a row that was worked straight up."""
    to_left, seen = leftward(step, hand), rightward_seen(step, hand)
    runs = deque(before if to_left else [run.reversed() for run in reversed(before)])
    pulls: list[Pulls] = []
    done = 0
    for operation in step.operations:
        if operation.entry.role in _NO_LOOPS:
            continue
        used: list[range] = []
        left = operation.takes
        while left:
            run = runs.popleft()
            if len(run.ids) > left:
                runs.appendleft(run.cut(left))
                run = run.cut(0, left)
            used.append(run.ids)
            left -= len(run.ids)
        made = new[done : done + operation.leaves]
        done += len(made)
        pulls.append(Pulls(operation, tuple(used), (made,), seen))
    return pulls
