"""Picking loops up along an edge: how many, and in which rhythm.

Straight edge: loops per row = L/R, the loops that lie along one row's height.
Slope that loses one loop every two rows: over two rows it is √((2/R)² + (1/L)²) long, so it
takes ½·√((2L/R)² + 1) loops per row. Both are plane geometry of the loop's width 1/L and
height 1/R.
"""

import math
from fractions import Fraction

from models.gauge import Gauge


def straight_loops(rows: int, gauge: Gauge) -> int:
    """Loops to pick up along `rows` rows of a straight edge, to the nearest loop."""
    return round(rows * gauge.loops_per_row)


def slope_loops(rows: int, gauge: Gauge) -> int:
    """Loops to pick up along `rows` rows of an edge that loses one loop every other row."""
    return round(rows * math.sqrt((2 * gauge.loops_per_row) ** 2 + 1) / 2)


def rhythm(loops: int, rows: int, longest: int = 8) -> tuple[int, int]:
    """The shortest repeat `(loops, rows)` that keeps within half a loop of the whole edge.

    Falls back on the nearest repeat of at most `longest` rows where none is that near.
    Raises ValueError for an edge without rows.
    """
    if rows < 1:
        raise ValueError("an edge has at least one row")
    repeats = [(round(Fraction(loops * d, rows)), d) for d in range(1, longest + 1)]

    def error(repeat: tuple[int, int]) -> Fraction:
        return abs(Fraction(repeat[0] * rows, repeat[1]) - loops)

    near = (repeat for repeat in repeats if error(repeat) <= Fraction(1, 2))
    return next(near, min(repeats, key=error))
