"""Spreading things evenly: along a row, over a round, over the rows of a slope.

Everything rests on `gaps`, Bresenham's line in whole numbers. Pure whole-number arithmetic, no
rounding of fractions.
"""

from itertools import pairwise

from engine.base.refusal import Refusal
from models.spacing import Spread


def gaps(total: int, parts: int) -> tuple[int, ...]:
    """`total` cut into `parts` whole shares that differ by at most one and are well mixed.

    Share i ends at the whole number nearest to (i + 1)·total/parts (Bresenham's line), so that
    larger and smaller ones lie alike on both sides of the middle.
    Raises ValueError for fewer than one part.
    """
    if parts < 1:
        raise ValueError("there is at least one part")
    ends = [(2 * i * total + parts) // (2 * parts) for i in range(parts + 1)]
    return tuple(after - before for before, after in pairwise(ends))


def _in_row(loops: int, changes: int, takes: int, what: str, closed: bool) -> Spread:
    if changes < 1:
        raise Refusal(f"There is nothing to {what}: give 1 or more.")
    plain = loops - takes * changes
    if plain < 0 or changes > loops:
        raise Refusal(
            f"{loops} loops are too few to {what} {changes} evenly in one row: spread them over "
            "more rows."
        )
    if closed:
        shared = gaps(plain, changes)
    elif not takes and changes == loops:
        shared = (*gaps(plain, changes), 0)  # one beside every loop, never two in one place
    else:
        # The changes sit where one of the even gaps meets the next, half a change in either.
        half = takes // 2
        between = [gap - takes for gap in gaps(loops, changes + 1)]
        between[0], between[-1] = between[0] + half, between[-1] + half
        shared = tuple(between) if min(between) >= 0 else gaps(plain, changes + 1)
    return Spread(loops=loops, changes=changes, takes=takes, plain=shared)


def increase_evenly(loops: int, add: int, *, closed: bool = False) -> Spread:
    """Where to make `add` loops among `loops`, each between two loops of the row.

    `plain` holds the loops worked before each increase and those after the last. With `closed`
    none follow the last, as in the round, or where "every 8th loop" is to be said.
    Raises Refusal for more increases than loops.
    """
    return _in_row(loops, add, 0, "increase", closed)


def decrease_evenly(loops: int, take: int, *, closed: bool = False) -> Spread:
    """Where to take `take` loops out of `loops`, two becoming one each time.

    `plain` and `closed` as for `increase_evenly`. Raises Refusal where there are not two loops
    for each decrease.
    """
    return _in_row(loops, take, 2, "decrease", closed)


def over_rows(rows: int, changes: int, every: int = 1) -> tuple[int, ...]:
    """Rows from one change to the next, the first counted from the beginning; they sum to `rows`.

    `every` = 2 keeps the changes on every other row, as turned work does: then what is left of
    `rows` comes after the last change and the sum is the largest multiple within `rows`.
    Raises Refusal where there are more changes than rows for them.
    """
    slots = rows // every
    if changes < 1 or changes > slots:
        raise Refusal(
            f"{changes} changes do not fit into {rows} rows, one every {every} at most: lengthen "
            "the piece, or change fewer loops."
        )
    return tuple(gap * every for gap in gaps(slots, changes))
