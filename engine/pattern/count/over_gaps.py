"""Loops cast on over those that were bound off: "rib, casting on 2 sts over each gap".

How many gaps there are is where the row before was bound off: each of them gets its loops.
"""

from collections.abc import Sequence
from dataclasses import replace

from engine.pattern.text.row_items import Claim, Item, Limit, Stitch, Toward, Until


def over_gaps(items: tuple[Item, ...], gaps: Sequence[int]) -> tuple[Item, ...]:
    """The row from gap to gap; itself where it says no such thing. Without a gap it goes to one,
    and is asked about."""
    plain, laid = _parted([i for i in items if not isinstance(i, Claim)])
    if plain is None or laid is None:
        return items
    to_gap = Toward(plain, Limit(Until.GAP), laid.spot)
    each = (to_gap, replace(laid, gaps=False))
    rest = Toward(plain, Limit(Until.LAST, at_least_all=True), laid.spot)
    claims = tuple(i for i in items if isinstance(i, Claim))
    return (*each * max(1, len(gaps)), rest, *claims)


def _parted(
    items: Sequence[Item],
) -> tuple[tuple[tuple[str, int], ...] | None, Stitch | None]:
    """What is worked up to the gaps, and what is laid on there."""
    match items:
        case [Toward(parts=parts, limit=Limit(until=Until.LAST, short=None)), Stitch() as laid]:
            pass
        case [Stitch(parts=parts, bare=True), Stitch() as laid]:
            pass
        case _:
            return None, None
    return (parts, laid) if laid.gaps else (None, None)
