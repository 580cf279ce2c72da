"""Picking loops up along an edge: how many, and in which rhythm.

Straight edge: loops per row = L/R, the loops that lie along one row's height.
Slope that loses `lost` loops over `rows` rows: it is √((rows/R)² + (lost/L)²) long and takes L
loops per cm of that. One loop lost every two rows makes it ½·√((2L/R)² + 1) loops per row.
Curve: the same, piece by piece. All are plane geometry of the loop's width 1/L and height 1/R.
"""

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from engine.base.plural import some
from engine.base.refusal import Refusal
from models.gauge import Gauge
from models.pickup import Armhole, PickUp

_TIMES = {1: "once", 2: "twice"}
LONGEST = 8
"""Rows of the longest repeat a maker can keep in her head (common practice, no source)."""


_ROWS_AT_MOST = 20_000
"""Rows of an edge; more is a slip of the keyboard."""


def _believed(rows: int) -> int:
    """That many rows. Raises Refusal for more than an edge can have."""
    if rows > _ROWS_AT_MOST:
        raise Refusal(f"An edge of so many rows is no garment's: give at most {_ROWS_AT_MOST}.")
    return rows


def straight_loops(rows: int, gauge: Gauge) -> int:
    """Loops to pick up along `rows` rows of a straight edge, to the nearest loop.

    Raises Refusal for more rows than an edge can have.
    """
    return round(_believed(rows) * gauge.loops_per_row)


def slope_loops(rows: int, gauge: Gauge) -> int:
    """Loops to pick up along `rows` rows of an edge that loses one loop every other row."""
    return sloped_loops(rows, rows / 2, gauge)


def sloped_loops(rows: int, lost: float, gauge: Gauge) -> int:
    """Loops to pick up along `rows` rows of an edge that loses `lost` loops evenly over them.

    Raises Refusal for more rows than an edge can have.
    """
    return round(math.hypot(_believed(rows) * gauge.loops_per_row, lost))


def curved_loops(widths: Sequence[float], gauge: Gauge) -> int:
    """Loops to pick up along a curve, given the row's loops at each row, from the first on.

    The curve is taken as the straight pieces between those points, one row high each.
    Raises ValueError for fewer than two rows.
    """
    if len(widths) < 2:
        raise ValueError("a curve has at least two rows")
    per_row = gauge.loops_per_row
    pieces = pairwise(widths)
    return round(sum(math.hypot(per_row, after - before) for before, after in pieces))


def rhythm(loops: int, rows: int, longest: int = LONGEST) -> tuple[int, int]:
    """The shortest repeat `(loops, rows)` that keeps within half a loop of the whole edge.

    Falls back on the nearest repeat of at most `longest` rows where none is that near.
    Raises ValueError for an edge without rows.
    """
    if rows < 1:
        raise ValueError("an edge has at least one row")
    repeats = [(round(Fraction(loops * d, rows)), d) for d in range(1, longest + 1)]
    near = (repeat for repeat in repeats if abs(_error(repeat, loops, rows)) <= Fraction(1, 2))
    return next(near, min(repeats, key=lambda repeat: abs(_error(repeat, loops, rows))))


def _error(repeat: tuple[int, int], loops: int, rows: int) -> Fraction:
    return Fraction(repeat[0] * rows, repeat[1]) - loops


def pick_up(loops: int, rows: int, longest: int = LONGEST) -> PickUp:
    """How to pick up exactly `loops` loops along `rows` rows, in groups one can count.

    The rhythm is worked as often as it fits; the rows that are left take the loops that are
    left, so that the sum is exact. Where the rhythm would leave an impossible rest (fewer than
    none, or more than two a row), it is worked fewer times. `extras` says which rows take two
    loops, or none, instead of one: within each group as late as they can come.
    Raises Refusal for an edge without rows or loops, or for more than two loops a row.
    """
    if rows < 1 or loops < 1:
        raise Refusal("An edge has at least one row, and takes at least one loop.")
    _believed(rows)
    if loops > 2 * rows:
        raise Refusal(
            f"{loops} loops from {rows} rows is more than two from each row: the edge would "
            "ruffle, so check the gauge."
        )
    repeat = rhythm(loops, rows, min(longest, rows))
    times = rows // repeat[1]
    while times and not _fits(loops - times * repeat[0], rows - times * repeat[1]):
        times -= 1
    rest = (loops - times * repeat[0], rows - times * repeat[1])
    per_row = _by_row(*repeat) * times + _by_row(*rest)
    return PickUp(
        loops=loops,
        rows=rows,
        repeat=repeat,
        times=times,
        rest=rest,
        error=float(_error(repeat, loops, rows)),
        extras=tuple(row for row, count in enumerate(per_row, 1) if count != 1),
        adds=loops > rows,
    )


def rhythm_words(found: PickUp) -> str:
    """A pick-up in groups that one can count: `3 from every 2 rows, 4 times, then 1 from the last
    row`. Their sum is exact."""
    picked, of = found.repeat
    said = ""
    if found.times:
        if picked == of:
            said = "one from every row"
        elif picked == of - 1:
            said = f"pick up {picked}, skip 1"
        else:
            said = f"{picked} from every {'row' if of == 1 else f'{of} rows'}"
        if found.times == 1 and not found.rest[1]:
            said = f"{picked} from the one row" if of == 1 else f"{picked} from the {of} rows"
        elif picked != of:
            said += f", {_TIMES.get(found.times, f'{found.times} times')}"
        elif found.rest[1]:
            said = f"one from each of the first {found.times * of} rows"
    loops, rows = found.rest
    if rows:
        last = "row" if rows == 1 else f"{rows} rows"
        said += f", then {loops or 'none'}" if said else str(loops or "none")
        said += f" from the last {last}"
    return said


def edge_words(loops: int, rows: int) -> str:
    """How an edge is picked up: how many loops over how many rows, and in which groups."""
    said = f"{loops} over {some(rows, 'row')}"
    if not 0 < loops <= 2 * rows:
        return said
    return f"{said}: {rhythm_words(pick_up(loops, rows))}"


def _by_row(loops: int, rows: int) -> list[int]:
    """Loops from each row of one group, spread evenly, what is added or left out coming late."""
    ends = [row * loops // rows for row in range(rows + 1)] if rows else []
    counts = [after - before for before, after in pairwise(ends)]
    return counts if loops > rows else counts[::-1]


def _fits(loops: int, rows: int) -> bool:
    return 0 <= loops <= 2 * rows


def armhole(front_rows: int, back_rows: int, underarm: int, gauge: Gauge) -> Armhole:
    """Loops round an armhole, from its lowest point: underarm, then front and back balanced.

    Both sides take the same loops, so that the sleeve hangs straight; where their rows differ,
    the mean is taken. Raises Refusal for a side without rows.
    """
    if min(front_rows, back_rows) < 1:
        raise Refusal("An armhole has at least one row at the front and at the back.")
    side = max(1, round((_believed(front_rows) + _believed(back_rows)) / 2 * gauge.loops_per_row))
    return Armhole(
        underarm=underarm,
        front=pick_up(side, front_rows),
        back=pick_up(side, back_rows),
    )
