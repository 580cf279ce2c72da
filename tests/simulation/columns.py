"""The columns of a part on the graph, row by row, and where it narrows and grows."""

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from itertools import pairwise

LIFTED = {"m1", "m1l", "m1r", "yo"}
DOUBLED = {"inc", "kfb", "pfb"}
PLAIN = {"k", "p", "work", "k tbl", "p tbl"}
SIDES = "right", "left"
SEVERAL = 3
"""Shapings of one kind in a round from which on they are spread, and no pair at a place."""


@dataclass
class Shaping:
    """A place where a row narrows or grows."""

    stitch: str
    step: object
    row: int
    right: object
    """The column beside it, or none at an edge."""
    left: object
    beyond: tuple
    """The columns that lie one further, to the right and to the left."""
    at: int
    """Loops of the row to its right, but for shapings."""
    rest: int = 0
    """And to its left."""
    line: int = 0
    """What it takes in where it goes on from another; its own where it begins one."""
    role: int | None = None
    """Which of its loops that is, from the right."""
    roles: list = field(default_factory=list)
    """The role in which it is taken in by the next of its line."""

    @property
    def taken(self):
        """The roles in which it takes in and is taken in."""
        return [*([] if self.role is None else [self.role]), *self.roles]


class Columns:
    """The columns of one part, row by row, and what shapes it."""

    def __init__(self, reading, rows):
        self.reading = reading
        self.column = {}  # by loop
        self.beside = defaultdict(set)  # by column: those that lay next to it
        self.lines = {}  # by line: the shaping that made it last
        self.found = []
        self.names = 0
        self.unequal = set()  # rows that are spread as evenly as their count allows, not quite
        gaps = [between(reading, row) for row in rows]
        usual = Counter(len(one) for one in gaps if one).most_common(1)
        for index, row in enumerate(rows):
            # What brings the count to whole wedges is spread by itself.
            self.apart = bool(usual) and len(gaps[index]) != usual[0][0]
            self.lay(row, index)
            if len({*gaps[index]}) > 1:
                self.unequal.add(index)

    def new(self):
        self.names += 1
        return self.names

    def over(self, loop):
        """The columns that end below a loop, from the right."""
        below = self.reading.under.get(loop, ())
        for knot in below:
            if knot not in self.column:
                self.column[knot] = self.new()
        order = sorted(below, key=self.place)
        return [self.column[knot] for knot in order]

    def place(self, knot):
        return self.places.get(knot, knot)

    def lay(self, row, index):
        loops = row.loops
        self.places = getattr(self, "here", {})
        seen = Counter(k for loop in loops for k in self.reading.under.get(loop, ()))
        done, shaped = set(), []
        for at, loop in enumerate(loops):
            if loop in self.column:
                continue  # slipped
            below = self.reading.under.get(loop, ())
            stitch = self.reading.stitch_of.get(loop, "")
            columns = self.over(loop)
            doubled = len(below) == 1 and seen[below[0]] > 1
            if len(below) == 1 and not (doubled and below[0] in done):
                self.column[loop] = columns[0]
            else:
                self.column[loop] = self.new()
            done |= set(below)
            if self.apart:
                continue
            if len(below) > 1 or stitch in LIFTED or (doubled and stitch in DOUBLED):
                shaped.append((at, loop, stitch, columns, doubled))
        self.here = {loop: at for at, loop in enumerate(loops)}
        names = [self.column[loop] for loop in loops]
        for one, other in pairwise(names):
            self.beside[one].add(other)
            self.beside[other].add(one)
        plain = 0
        upto = []
        skip = {at for at, *_ in shaped}
        for at in range(len(loops)):
            upto.append(plain)
            plain += at not in skip
        before = None
        for at, loop, stitch, columns, doubled in shaped:
            if doubled and before == (at - 1, self.reading.under[loop]):
                before = None
                continue  # the other half of the same increase
            before = (at, self.reading.under.get(loop, ())) if doubled else None
            wide = 2 if doubled else 1
            right, left = self.neighbours(names, at, wide, row.ring)
            beyond = self.neighbours(names, at - 1, wide + 2, row.ring)
            one = Shaping(stitch, row.step, index, right, left, beyond, upto[at], plain - upto[at])
            self.follow(one, loop, columns)
            self.found.append(one)

    def neighbours(self, names, at, wide, ring):
        size = len(names)
        right = names[at - 1] if at > 0 or ring else "edge"
        left = names[(at + wide) % size] if at + wide < size or ring else "edge"
        return right, left

    def follow(self, one, loop, columns):
        """Whether it takes in an earlier shaping of its kind."""
        for role, column in enumerate(columns):
            below = self.lines.get(column) if len(columns) > 1 else None
            if below and below.stitch == one.stitch:
                one.line, one.role = below.line, role
                below.roles.append(role)
                break
        else:
            one.line = self.new()
        if len(columns) > 1:
            self.lines[self.column[loop]] = one


def between(reading, row):
    """Plain loops between the decreases of a round that has several, all of one kind."""
    gap, gaps, kinds = 0, [], set()
    for loop in row.loops:
        if len(reading.under.get(loop, ())) > 1:
            gaps.append(gap)
            kinds.add(reading.stitch_of[loop])
            gap = 0
        elif reading.stitch_of.get(loop) in PLAIN:
            gap += 1
        else:
            kinds.add("other")
    if not row.ring or len(gaps) < SEVERAL or len(kinds) > 1:
        return []
    return [gaps[0] + gap, *gaps[1:]]
