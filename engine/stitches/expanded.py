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
    if pattern.as_rounds:
        return tuple(_turned(row) if index % 2 else row for index, row in enumerate(rows))
    # One that begins on the wrong side is taken up a row later, and its first row comes last.
    return (*rows[1:], rows[0]) if pattern.wrong_side_first else rows


def _turned(row: tuple[Operation, ...]) -> tuple[Operation, ...]:
    """A row of the right side as it is worked on the wrong side, where the work was turned."""
    return tuple(from_behind(list(row))[::-1])


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
    seen = [
        from_behind(stitches(row))[::-1] if index % 2 else stitches(row)
        for index, row in enumerate(flat(pattern, repeats))
    ]
    loops = pattern.multiple * repeats
    for edge in range(pattern.extra + 1):  # how many of the edge's loops lie before a repeat
        found = tuple(_within(row, edge, loops) for row in seen)
        if all(sum(o.takes for o in row) == sum(o.leaves for o in row) == loops for row in found):
            return found
    raise Refusal(f"{pattern.title} has no repeat that closes in a round: work it flat.")


def _within(row: list[Operation], edge: int, loops: int) -> tuple[Operation, ...]:
    """What is worked over `loops` loops after the first `edge`; too few or many where a stitch of
    several loops reaches over an end."""
    taken, kept = 0, []
    for one in row:
        if taken >= edge + loops and one.takes:
            break
        if taken >= edge:
            kept.append(one)
        taken += one.takes
    return tuple(kept)
