"""The rim of the fabric: all at which it can be taken up again, in the order in which it lies.

Whoever walks along the rim with the fabric on the left comes past live loops from right to left,
then down a left edge, along a foundation from left to right, and up a right edge. So each rim is a
ring, and a hole in the fabric (an armhole, a buttonhole) has one of its own. Two loops lie side by
side where nothing lies between them on the rim, whatever the script says of them.

A stretch of one kind is one node. Nothing here knows of hands or steps.
"""

from collections.abc import Iterator
from typing import NamedTuple

ELSEWHERE = 1_000_000


class Run(NamedTuple):
    """Loops side by side, in the order in which they are kept."""

    ids: range
    part: str
    level: int
    """Rows from end to end between the foundation and these loops; from `ELSEWHERE` on where they
    stand on an edge, at a height that is not known."""

    def reversed(self) -> "Run":
        """The same from the other end."""
        return Run(self.ids[::-1], self.part, self.level)

    def cut(self, first: int, last: int | None = None) -> "Run":
        """The loops from `first` on, up to `last`, counted as they are kept."""
        return Run(self.ids[first:last], self.part, self.level)

    def with_next(self, other: "Run") -> "Run | None":
        """Both as one, where the other goes on with what this one began."""
        ids, more = self.ids, other.ids
        if ids.stop != more.start or ids.step != more.step or self[1:] != other[1:]:
            return None
        return Run(range(ids.start, more.stop, ids.step), self.part, self.level)

    def without(self, gone: set[int]) -> list["Run"]:
        """What is left of it when some loops are gone."""
        out: list[Run] = []
        start = 0
        for index, loop in enumerate(self.ids):
            if loop in gone:
                out.append(self.cut(start, index))
                start = index + 1
        out.append(self.cut(start))
        return [run for run in out if run.ids]


class Node:
    """A stretch of the rim. Alone it is a ring of its own."""

    __slots__ = ("gone", "next", "part", "prev")

    def __init__(self, part: str) -> None:
        self.part = part
        self.gone = False
        """Worked into, and no longer part of any rim."""
        self.prev: Node = self
        self.next: Node = self


class Live(Node):
    """Live loops side by side, right to left: in work or at rest."""

    __slots__ = ("runs",)

    def __init__(self, part: str, runs: list[Run]) -> None:
        super().__init__(part)
        self.runs = runs

    @property
    def count(self) -> int:
        """Loops."""
        if len(self.runs) == 1:
            return len(self.runs[0].ids)
        return sum(len(run.ids) for run in self.runs)


class Side(Node):
    """Where rows of a part end: at its right (`first`) or at its left."""

    __slots__ = ("first", "rows")

    def __init__(self, part: str, first: bool, rows: list[int]) -> None:
        super().__init__(part)
        self.first = first
        self.rows = rows
        """In the order of the walk: upward at a right edge, downward at a left one."""


class Strands(Node):
    """Loops no longer live that can be picked up through: a foundation or a bound-off edge."""

    __slots__ = ("foundation", "loops")

    def __init__(self, part: str, loops: int, *, foundation: bool) -> None:
        super().__init__(part)
        self.loops = loops
        self.foundation = foundation


def link(one: Node, other: Node) -> None:
    """Let `other` follow `one`."""
    one.next, other.prev = other, one


def join(one: Node, other: Node) -> None:
    """Bring `other` to lie behind `one`; what lay between them closes to a rim of its own.

    The same step makes one rim of two, where the nodes lie on different ones.
    """
    after, before = one.next, other.prev
    if after is not other:
        link(before, after)
        link(one, other)


def insert(one: Node, new: Node) -> None:
    """Put a node that lies nowhere yet behind another."""
    link(new, one.next)
    link(one, new)


def remove(node: Node) -> None:
    """Take a node out of its rim."""
    link(node.prev, node.next)
    link(node, node)
    node.gone = True


def replace(first: Node, last: Node, new: Node) -> None:
    """Put a node where the stretch from `first` to `last` lay."""
    before, after = first.prev, last.next
    at = first
    while True:
        at.gone = True
        if at is last:
            break
        at = at.next
    if before is last:  # the whole ring
        link(new, new)
    else:
        link(before, new)
        link(new, after)


def absorb(edge: Strands) -> None:
    """Make one edge of a bound-off edge and those of its part on either side."""
    for other in (edge.prev, edge.next):
        alike = isinstance(other, Strands) and other is not edge and not other.foundation
        if alike and isinstance(other, Strands) and other.part == edge.part and not edge.gone:
            edge.loops += other.loops
            remove(other)


def around(node: Node) -> Iterator[Node]:
    """The nodes of a node's rim, itself first."""
    yield node
    at = node.next
    while at is not node:
        yield at
        at = at.next


def split(node: Live, loops: int) -> Live:
    """Cut a stretch of live loops behind its first `loops`; the rest is the new node."""
    runs, kept = node.runs, []
    while loops:
        run = runs[0]
        if len(run.ids) <= loops:
            kept.append(runs.pop(0))
            loops -= len(run.ids)
        else:
            kept.append(run.cut(0, loops))
            runs[0] = run.cut(loops)
            loops = 0
    node.runs = kept
    rest = Live(node.part, runs)
    insert(node, rest)
    return rest


def split_first(node: Live, loops: int) -> Live:
    """Cut off the first `loops` of a stretch of live loops; they are the new node."""
    tail = split(node, loops)
    remove(tail)
    first, node.runs = node.runs, tail.runs
    head = Live(node.part, first)
    insert(node.prev, head)
    return head


def split_side(node: Side, rows: range) -> Side | None:
    """The stretch of an edge that has only these rows, cut out of it; None where it has none."""
    inside = [i for i, row in enumerate(node.rows) if row in rows]
    if not inside:
        return None
    low, high = inside[0], inside[-1] + 1
    if high < len(node.rows):
        insert(node, Side(node.part, node.first, node.rows[high:]))
    found = node
    if low:
        found = Side(node.part, node.first, node.rows[low:high])
        insert(node, found)
        node.rows = node.rows[:low]
    else:
        node.rows = node.rows[:high]
    return found


def split_strands(node: Strands, loops: int, *, at_end: bool) -> Strands:
    """So many loops of an edge, cut from its beginning or from its end."""
    if loops >= node.loops:
        return node
    head = node.loops - loops if at_end else loops
    tail = Strands(node.part, node.loops - head, foundation=node.foundation)
    insert(node, tail)
    node.loops = head
    return tail if at_end else node
