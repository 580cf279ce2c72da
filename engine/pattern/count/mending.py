"""The nearest repair of a row that does not come out even, as words and as numbers to write."""

from collections.abc import Sequence

from engine.base.plural import noun
from engine.pattern.count.reach import loops_of
from engine.pattern.count.tally import Tally
from engine.pattern.count.worked import fix, takes_of
from engine.pattern.text.tree import Group, Item, Spot, Stitch

_PLAIN = {"k", "p", "work"}


def uneven(tally: Tally, items: Sequence[Item], over: int) -> None:
    """A row that takes more or fewer loops than are there, `over` of them left."""
    takes = tally.done.takes
    what = f"needs {takes} {tally.n(takes)}, {tally.live} {noun(tally.live, 'is', 'are')} there"
    plain = [
        i
        for i in items
        if isinstance(i, Stitch)
        and i.count
        and i.parts[0][0] in _PLAIN
        and i.count.whole(tally.size) + over >= 0
    ]
    if plain:
        last = plain[-1]
        assert last.count is not None  # filtered above
        was = last.count.whole(tally.size)
        hand = last.parts[0][0]
        repair = f"write {hand}{was + over} for {hand}{was} (column {last.spot.column})"
    elif over > 0:
        repair = f"end the row with k{over}, or have {over} fewer {tally.n(over)} in the row before"
    else:
        repair = f"have {-over} more {tally.n(-over)} in the row before"
    first = items[0] if items else None
    spot = plain[-1].spot if plain else getattr(first, "spot", Spot(1, 1))
    tally.misfit(spot, what, repair, fixes=_fixes(tally, items, over))


def remainder(tally: Tally, spot: Spot, each: int, over: int, *, times: int, what: str) -> None:
    """A repeat that leaves loops over: the row as it stands fits some other numbers."""
    more = each - over
    up = tally.live + more
    needs = up if more <= over or not times else tally.live - over
    tally.stalled = True
    tally.misfit(
        spot,
        f"needs {needs} {tally.n(needs)}, {tally.live} {noun(tally.live, 'is', 'are')} "
        f"there: {what} of {each} leaves {over} over",
        f"have {more} more or {over} fewer {tally.n(over)} in the row before, "
        f"or stop {over} before where it stops and k{over}",
    )


Fixes = tuple[tuple[Spot, int], ...]


def _fixes(tally: Tally, items: Sequence[Item], over: int) -> Fixes:
    """Numbers that make the row come out: how often it repeats, what is plain or bound off."""
    plain = [
        (item.count.whole(tally.size), item.count.spot)
        for item in items
        if isinstance(item, Stitch) and item.count and item.parts[0][0] in _PLAIN
    ]
    repeats = _more_repeats(tally, items, over)
    if repeats:
        return repeats
    return _other_plain(plain, over) if plain else _fewer_closed(tally, items, over)


def _more_repeats(tally: Tally, items: Sequence[Item], over: int) -> Fixes:
    """A bracket that is worked more or fewer times, where its loops go into what is over."""
    for item in items:
        if not isinstance(item, Group) or item.times is None or item.limit:
            continue
        body, times = loops_of(tally, item.items), item.times.number
        if not body or over % body or not over or not times.said:
            continue
        now = times.whole(tally.size) + over // body
        if now > 0:
            return ((times.spot, now),)
    return ()


def _other_plain(plain: Sequence[tuple[int, Spot]], over: int) -> Fixes:
    """The widest plain count takes what is over; two equal ones share it, as the edges do."""
    most = max(count for count, _ in plain)
    widest = [(count, spot) for count, spot in plain if count == most]
    if len(widest) > 1 and over % 2 == 0:
        shares = [(widest[0], over // 2), (widest[-1], over // 2)]
    else:
        shares = [(widest[len(widest) // 2], over)]
    if any(count + share < 0 for (count, _), share in shares):
        return ()
    return tuple((spot, count + share) for (count, spot), share in shares)


def _fewer_closed(tally: Tally, items: Sequence[Item], over: int) -> Fixes:
    """The count of a bind-off or seam that takes as many as there are."""
    for item in reversed(items):
        if isinstance(item, Stitch) and item.parts[0][0] in {"bo", "seam", "3nbo", "graft"}:
            number = item.times.number if item.times else item.count
            more, left = divmod(over, takes_of(item.parts))
            if number is not None and not left:
                return fix(number, number.whole(tally.size) + more)
    return ()
