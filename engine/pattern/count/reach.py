"""How many loops written items take, and how many there are up to where a stretch stops."""

from collections.abc import Sequence

from engine.base.plural import noun
from engine.pattern.count.tally import Tally
from engine.pattern.count.worked import Mend, leaves_of, takes_of
from engine.pattern.text.numbers import Spot
from engine.pattern.text.row_items import (
    Across,
    AsRow,
    Group,
    Hold,
    Item,
    Limit,
    Shape,
    Stitch,
    Toward,
    Until,
)


def loops_of(tally: Tally, items: Sequence[Item]) -> int | None:
    """Loops that items take whatever is there; None where that depends on what is there."""
    total = 0
    for item in items:
        match item:
            case Stitch(bare=True) if tally.depth == 1 and item is items[-1]:
                return None
            case Stitch():
                total += takes_of(item.parts) * count_of(tally, item)
            case Toward() | Across() | Shape() | AsRow():
                return None
            case Group():
                inner = loops_of(tally, item.items)
                if inner is None or item.limit or (item.starred and not item.times):
                    return None
                total += 1 if item.into else inner * times_of(tally, item)
            case _:
                pass
    return total


def times_of(tally: Tally, group: Group) -> int:
    """How often a group is worked, where it says so; `readings` has settled what it says."""
    if group.times is None:
        return 1
    said = group.times.number.whole(tally.size)
    again = group.starred or group.times.more
    return said + (1 if again and not group.times.in_all else 0)


def count_of(tally: Tally, item: Stitch) -> int:
    """How often a stitch is worked."""
    count = item.count.whole(tally.size) if item.count else 1
    return count * (item.times.number.whole(tally.size) if item.times else 1)


def room_to(
    tally: Tally, limit: Limit, spot: Spot, rest: Sequence[Item], after: int | None
) -> int | None:
    """Loops from here to where the limit is; None with a misfit where it cannot be reached."""
    left = tally.live - tally.done.takes
    short = limit.short.whole(tally.size) if limit.short else 0
    if limit.until is Until.OVER:
        return short
    if limit.until is Until.WAITING:
        tally.stop(spot, "goes over stitches that wait, and none do", "say how many it works")
        return None
    if limit.until is Until.MIDDLE:
        if tally.live % 2 == 0:
            tally.stop(
                spot,
                f"goes to the {tally.n(1)} in the middle, and of {tally.live} none is",
                "have one more or one fewer in the row before, or say how far",
            )
            return None
        left = tally.live // 2 - tally.done.takes
    elif limit.until in {Until.MARKER, Until.LAST_MARKER}:
        ahead = [m for m in tally.ahead if m > tally.done.takes]
        if ahead:
            far = ahead[-1] if limit.until is Until.LAST_MARKER else ahead[0]
            left = far - tally.done.takes
        elif not tally.setting.in_round:
            tally.stop(spot, "goes to a marker, and there is none ahead", "place one before it")
            return None
    elif limit.until is Until.GAP:
        gaps = [g for g in tally.gaps if g > tally.done.takes]
        gaps = gaps or [g for g in tally.holes if tally.done.takes < g < tally.live]
        if not gaps:
            tally.stop(
                spot,
                "goes to where it was turned, or to a gap, and that lies not ahead",
                "say how far",
            )
            return None
        left = gaps[0] - tally.done.takes
    elif limit.at_least_all:
        follows = loops_of(tally, rest)
        if follows is None:
            tally.stop(
                spot,
                "two stretches of one row both go to the end",
                "say for the first where it ends: to last 3, or a number",
            )
            return None
        short = follows + (after or 0)
    elif (
        limit.until is Until.LAST
        and (put_aside := _put_aside(tally, rest))
        and loops_of(tally, rest) == short - put_aside
    ):
        # "To last 20, place 10 on a holder, k10": those lie there, too, when it is worked.
        short -= put_aside
    if left < short:
        there = max(0, left)
        tally.stop(
            spot,
            f"stops {short} {tally.n(short)} before the end, and only {there} "
            f"{noun(there, 'is', 'are')} left there",
            "look for a number that is wrong, in this row or in the one before",
            ways=(Mend(_more(tally, short - left), short - left),),
        )
        return None
    return left - short


def _put_aside(tally: Tally, rest: Sequence[Item]) -> int:
    """Loops that are put to rest in what follows; they were taken off what is there before."""
    holds = [i for i in rest if isinstance(i, Hold) and i.stitch == "rest" and i.number]
    return sum(hold.number.whole(tally.size) for hold in holds if hold.number)


def _more(tally: Tally, count: int) -> str:
    return f"have {count} more {tally.n(count)} in the row before"


def shapes(items: Sequence[Item]) -> bool:
    """Whether a row changes how many loops there are, as far as its stitches tell."""
    return bool(_change(items)) or any(isinstance(i, Shape) for i in items)


def _change(items: Sequence[Item]) -> int:
    total = 0
    for item in items:
        if isinstance(item, (Stitch, Toward)):
            total += leaves_of(item.parts) - takes_of(item.parts)
        elif isinstance(item, (Group, Across)):
            total += _change(item.items)
    return total
