"""The nearest repair of a row that does not come out even, as words and as numbers to write."""

from collections.abc import Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any

from engine.base.plural import noun
from engine.pattern.count.reach import loops_of
from engine.pattern.count.tally import RowSetting, Tally
from engine.pattern.count.worked import Mend, fix, takes_of
from engine.pattern.text.numbers import Number, Spot, number_of
from engine.pattern.text.row_items import Group, Item, Limit, Stitch, Toward, Until

_PLAIN = {"k", "p", "work"}


LOOK = "look for a number that is wrong, in this row or in the one before"
"""Where nothing that is near comes out."""


def uneven(tally: Tally, items: Sequence[Item], over: int) -> None:
    """A row that takes more or fewer loops than are there, `over` of them left."""
    takes = tally.done.takes
    what = f"needs {takes} {tally.n(takes)}, {tally.live} {noun(tally.live, 'is', 'are')} there"
    plain = [
        i
        for i in items
        if isinstance(i, Stitch)
        and i.count
        and i.count.said
        and i.parts[0][0] in _PLAIN
        and i.count.whole(tally.size) + over > 0
    ]
    ways: list[Mend] = []
    if plain:
        last = plain[-1]
        assert last.count is not None  # filtered above
        was = last.count.whole(tally.size)
        hand = last.parts[0][0]
        told = f"write {hand}{was + over} for {hand}{was} (column {last.spot.column})"
        ways.append(Mend(told, number=(last.count.spot, was + over)))
    if over > 0:
        ways.append(Mend(f"end the row with k{over}", over=over))
    ways.append(_before(tally, -over))
    first = items[0] if items else None
    spot = plain[-1].spot if plain else getattr(first, "spot", Spot(1, 1))
    tally.misfit(spot, what, LOOK, fixes=_fixes(tally, items, over), ways=tuple(ways))


def _before(tally: Tally, more: int) -> Mend:
    """So many loops more, or fewer, when the row is begun."""
    count = abs(more)
    which = "more" if more > 0 else "fewer"
    return Mend(f"have {count} {which} {tally.n(count)} in the row before", more)


def changed(way: Mend, items: Sequence[Item], size: int) -> tuple[Item, ...] | None:
    """The row with a repair in it; None where it has no such place."""
    if way.number:
        return tuple(_renumbered(i, *way.number) for i in items)
    if not way.over:
        return tuple(items)
    spot = getattr(items[-1], "spot", Spot(1, 1)) if items else Spot(1, 1)
    plain = Stitch((("k", 1),), spot, Number((float(way.over),), spot))
    if way.stops is None:
        return (*items, plain)
    for index, item in enumerate(items):
        if isinstance(item, (Group, Toward)) and item.spot == way.stops and _to_end(item):
            short = _left_for(items[index + 1 :], size)
            if item.limit and not item.limit.at_least_all:
                short = number_of(item.limit.short, size, 0)
            if short is None:
                return None
            limit = Limit(Until.LAST, Number((float(short + way.over),), spot))
            return (*items[:index], replace(item, limit=limit), plain, *items[index + 1 :])
    return None


def _left_for(items: Sequence[Item], size: int) -> int | None:
    """Loops that what follows takes; None where that is open."""
    return loops_of(Tally(0, size, RowSetting()), items)


def _renumbered(value: Any, spot: Spot, number: int) -> Any:
    """The same with another number at a place."""
    if isinstance(value, Number):
        return replace(value, values=(float(number),)) if value.spot == spot else value
    if isinstance(value, tuple):
        return tuple(_renumbered(v, spot, number) for v in value)
    if is_dataclass(value) and not isinstance(value, (type, Spot)):
        parts = {f.name: _renumbered(getattr(value, f.name), spot, number) for f in fields(value)}
        return replace(value, **parts)
    return value


def _to_end(item: Group | Toward) -> bool:
    """Whether it goes on to the row's end, or to so many before it, and says no more."""
    if isinstance(item, Group) and item.times:
        return False
    return item.limit is None or item.limit.until is Until.LAST


def offered(tally: Tally, ways: Sequence[Mend]) -> str:
    """The repairs in a sentence: a number to write alone, else what else may be done."""
    if ways[0].told.startswith("write "):
        return ways[0].told
    told: list[str] = []
    for index, way in enumerate(ways):
        if way.more < 0 and index and ways[index - 1].more > 0:
            more, fewer = ways[index - 1].more, -way.more
            told[-1] = f"have {more} more or {fewer} fewer {tally.n(fewer)} in the row before"
        else:
            told.append(way.told)
    return ", or ".join(told)


def remainder(tally: Tally, spot: Spot, each: int, over: int, *, times: int, what: str) -> None:
    """A repeat that leaves loops over: the row as it stands fits some other numbers."""
    more = each - over
    up = tally.live + more
    needs = up if more <= over or not times else tally.live - over
    ways = [_before(tally, more), *([_before(tally, -over)] if tally.live > over else [])]
    ways.append(Mend(f"stop {over} before where it stops and k{over}", over=over, stops=spot))
    tally.stalled = True
    tally.misfit(
        spot,
        f"needs {needs} {tally.n(needs)}, {tally.live} {noun(tally.live, 'is', 'are')} "
        f"there: {what} of {each} leaves {over} over",
        LOOK,
        ways=tuple(ways),
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
