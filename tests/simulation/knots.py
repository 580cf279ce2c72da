"""Loops as knots, each tied to what lies beside it."""

from collections import deque


class Knots:
    """The graph."""

    def __init__(self):
        self.beside = []

    def new(self):
        self.beside.append(set())
        return len(self.beside) - 1

    def tie(self, one, other):
        if one is not None and other is not None and one != other:
            self.beside[one].add(other)
            self.beside[other].add(one)

    def far(self, one, other, most):
        """Steps between two knots; more than `most` where it is further."""
        seen, edge = {one}, deque([(one, 0)])
        while edge:
            knot, steps = edge.popleft()
            if knot == other:
                return steps
            if steps < most:
                for near in self.beside[knot] - seen:
                    seen.add(near)
                    edge.append((near, steps + 1))
        return most + 1
