"""A stitch pattern's rows, stitch by stitch: read and counted as any written pattern is."""

from functools import lru_cache

from engine.base.refusal import Refusal
from engine.stitches.library import StitchPattern
from models.script import Operation

Rows = tuple[tuple[Operation, ...], ...]


@lru_cache(maxsize=128)
def flat(pattern: StitchPattern, repeats: int) -> Rows:
    """The rows over so many repeats (1 or more), flat on needles, in the order of the hand.

    Odd rows are on the right side. Raises Refusal where a row does not come out.
    """
    from engine.pattern.make import expanded_rows  # slow to load, and few pieces have a pattern

    loops = pattern.extra + pattern.multiple * repeats
    rows = expanded_rows(pattern.text, loops)
    if any(
        sum(o.leaves for o in row) != loops or sum(o.takes for o in row) != loops for row in rows
    ):
        raise Refusal(f"{pattern.title} does not keep its {loops} loops in every row.")
    if len(rows) % 2:
        raise Refusal(
            f"{pattern.title} has an odd number of rows, {len(rows)}, and would change sides: "
            "write them twice."
        )
    return rows


def stitches(row: tuple[Operation, ...]) -> list[Operation]:
    """One operation a stitch."""
    return [o.model_copy(update={"times": 1}) for o in row for _ in range(o.times)]


def from_behind(row: list[Operation]) -> list[Operation]:
    """What a row looks like from the other side, in the same order."""
    return [o.model_copy(update={"stitch": o.entry.behind or o.stitch}) for o in row]


@lru_cache(maxsize=128)
def around(pattern: StitchPattern, repeats: int) -> Rows:
    """The rows as rounds over whole repeats: all on the right side, the edge's loops left out.

    Raises Refusal for a pattern that has no such repeat.
    """
    loops = pattern.multiple * repeats
    found = []
    for number, row in enumerate(flat(pattern, repeats), 1):
        seen = stitches(row)
        if number % 2 == 0:
            seen = from_behind(seen)[::-1]
        taken, kept = 0, []
        for one in seen:
            if taken == loops and one.entry.takes:
                break
            taken += one.entry.takes
            kept.append(one)
        if taken != loops or sum(o.leaves for o in kept) != loops:
            raise Refusal(f"{pattern.title} has no repeat that closes in a round: work it flat.")
        found.append(tuple(kept))
    return tuple(found)
