"""Loops put to rest and taken up again.

They are counted before the row is worked. In a row they also come first, since what is taken up
lies at its far end; in a step that is no row they keep their place, as between two pick-ups.
"""

from collections.abc import Sequence

from engine.base.plural import noun
from engine.pattern.count.reach import loops_of
from engine.pattern.count.tally import Tally
from engine.pattern.count.worked import fix
from engine.pattern.text.row_items import Claim, Ending, Hold, Item, Marker, Turn
from models.script import Operation


def hold(tally: Tally, items: Sequence[Item]) -> None:
    """Count what is put to rest or taken up, before the row is worked."""
    for index, item in enumerate(items):
        if not isinstance(item, Hold):
            continue
        places = [tally.setting.place(p) for p in item.places]
        here = False
        if item.stitch == "rest":
            count = _resting(tally, item, items)
            # "K15, place 10 sts on a holder, k15": those that come next, not the far ones.
            worked = [any(map(_works, part)) for part in (items[:index], items[index + 1 :])]
            here = all(worked) if not tally.setting.strict else item.next or all(worked)
            here = here and (item.next or tally.setting.strict)
            if count > tally.live:
                tally.stop(
                    item.spot,
                    f"leaves {count} {tally.n(count)} resting, {tally.live} "
                    f"{noun(tally.live, 'is', 'are')} there",
                    f"leave {tally.live}",
                    fixes=fix(item.number, tally.live),
                )
                continue
            tally.live -= count
            tally.rests[places[0]] = tally.rests.get(places[0], 0) + count
        else:
            count = _take_up(tally, item, places)
        if not count:
            continue
        stitch = "rest next" if here else item.stitch
        operation = Operation(stitch=stitch, times=count, at="|".join(places))
        if tally.setting.strict and not here:
            tally.done.operations.append(operation)
        else:
            tally.held[id(item)] = operation


def _works(item: Item) -> bool:
    return not isinstance(item, (Hold, Claim, Marker, Turn, Ending))


def _resting(tally: Tally, item: Hold, items: Sequence[Item]) -> int:
    """How many are put to rest: as many as it says, or what the row does not work."""
    if item.number:
        return item.number.whole(tally.size)
    others = loops_of(tally, [i for i in items if i is not item])
    if others is None:
        tally.stop(
            item.spot, "leaves the others resting, and does not say which", "say how many rest"
        )
        return 0
    return max(0, tally.live - others)


def place_held(tally: Tally, item: Hold) -> None:
    """What was counted before, where it stands."""
    if operation := tally.held.pop(id(item), None):
        tally.done.operations.append(operation)
        if operation.stitch == "rest next":
            here, count = tally.done.takes, operation.times
            tally.ahead = [m if m <= here else max(here, m - count) for m in tally.ahead]


def _take_up(tally: Tally, item: Hold, places: list[str]) -> int:
    resting = [place for place, n in tally.rests.items() if n]
    if len(places) == 1 and places[0] not in resting and len(resting) == 1:
        places[:] = resting  # "the remaining sts": there is one place where some are
    elif places == [""] and resting:
        places[:] = resting[-1:]
    if not resting and item.number is None:
        tally.stop(
            item.spot, "takes up what rests, and nothing does", "say above it what is put aside"
        )
        return 0
    count = item.number.whole(tally.size) if item.number else tally.rests.get(places[0], 0)
    if len(places) == 1 and tally.rests.get(places[0], 0) < count:
        as_many = [place for place in resting if tally.rests[place] == count]
        places[:] = as_many if len(as_many) == 1 else places
    for place in places:
        there = tally.rests.get(place, 0)
        if there < count:
            waiting = ", ".join(f"{n} at {p}" for p, n in tally.rests.items() if n) or "none"
            tally.stop(
                item.spot,
                f"takes up {count} {tally.n(count)} from {place}, {there} "
                f"{noun(there, 'waits', 'wait')} there",
                f"take up what waits: {waiting}",
                fixes=fix(item.number, min(tally.rests.get(p, 0) for p in places)),
            )
            return 0
    for place in places:
        tally.rests[place] -= count
        tally.live += count
    return count
