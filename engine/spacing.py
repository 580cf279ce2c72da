"""Spreading things evenly: decreases over a round, increases over rows."""

from itertools import pairwise


def shares(total: int, parts: int) -> list[int]:
    """`total` cut into `parts` whole shares that differ by at most one and are well mixed.

    Share i ends at the whole number below (i + 1)·total/parts (Bresenham's line).
    Raises ValueError for fewer than one part.
    """
    if parts < 1:
        raise ValueError("there is at least one part")
    ends = [i * total // parts for i in range(parts + 1)]
    return [after - before for before, after in pairwise(ends)]


def due(step: int, changes: int, steps: int) -> int:
    """How many of `changes` fall in step `step` (from 1) when spread evenly over `steps`.

    It goes on at the same pace beyond the last step, so that adding steps moves none.
    """
    return step * changes // steps - (step - 1) * changes // steps
