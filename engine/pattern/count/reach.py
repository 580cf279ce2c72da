"""How many loops written items take, and how many there are up to where a stretch stops."""

from collections.abc import Sequence

from engine.pattern.count.tally import Tally
from engine.pattern.count.worked import takes_of
from engine.pattern.text.tree import AsRow, Group, Item, Limit, Shape, Spot, Stitch, Toward, Until


def loops_of(tally: Tally, items: Sequence[Item]) -> int | None:
    """Loops that items take whatever is there; None where that depends on what is there."""
    total = 0
    for item in items:
        match item:
            case Stitch(bare=True) if tally.depth == 1 and item is items[-1]:
                return None
            case Stitch():
                times = item.count.whole(tally.size) if item.count else 1
                times *= item.times.number.whole(tally.size) if item.times else 1
                total += takes_of(item.parts) * times
            case Toward() | Shape() | AsRow():
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
    """How often a group is worked, where it says so."""
    if group.times is None:
        return 1
    said = group.times.number.whole(tally.size)
    if not group.starred:
        return said + (1 if group.times.more else 0)
    if not group.times.more:
        tally.loose = True
        if tally.repeats_in_all:
            return said
    return said + 1


def room_to(
    tally: Tally, limit: Limit, spot: Spot, rest: Sequence[Item], after: int | None
) -> int | None:
    """Loops from here to where the limit is; None with a misfit where it cannot be reached."""
    left = tally.live - tally.done.takes
    short = limit.short.whole(tally.size) if limit.short else 0
    if limit.until is Until.MARKER:
        ahead = [m for m in tally.ahead if m > tally.done.takes]
        if ahead:
            left = ahead[0] - tally.done.takes
        elif not tally.setting.in_round:
            tally.stop(spot, "goes to a marker, and there is none ahead", "place one before it")
            return None
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
    if left < short:
        there = max(0, left)
        tally.stop(
            spot,
            f"stops {short} {tally.n(short)} before the end, and only {there} "
            f"{'is' if there == 1 else 'are'} left there",
            f"have {short - there} more {tally.n(short - there)} in the row before",
        )
        return None
    return left - short
