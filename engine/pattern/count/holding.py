"""Loops put to rest and taken up again, before the row itself is worked."""

from collections.abc import Sequence

from engine.pattern.count.tally import Tally
from engine.pattern.count.worked import fix
from engine.pattern.text.tree import Hold, Item
from models.script import Operation


def hold(tally: Tally, items: Sequence[Item]) -> None:
    """Move what is put to rest or taken up, which happens before the row is worked."""
    for item in items:
        if not isinstance(item, Hold):
            continue
        places = [tally.setting.place(p) for p in item.places]
        if item.stitch == "rest":
            count = item.number.whole(tally.size) if item.number else tally.live
            if count > tally.live:
                tally.stop(
                    item.spot,
                    f"leaves {count} {tally.n(count)} resting, {tally.live} "
                    f"{'is' if tally.live == 1 else 'are'} there",
                    f"leave {tally.live}",
                    fixes=fix(item.number, tally.live),
                )
                continue
            tally.live -= count
            tally.rests[places[0]] = tally.rests.get(places[0], 0) + count
        else:
            count = _take_up(tally, item, places)
        if count:
            tally.done.operations.append(
                Operation(stitch=item.stitch, times=count, at="|".join(places))
            )


def _take_up(tally: Tally, item: Hold, places: list[str]) -> int:
    count = item.number.whole(tally.size) if item.number else tally.rests.get(places[0], 0)
    for place in places:
        there = tally.rests.get(place, 0)
        if there < count:
            waiting = ", ".join(f"{n} at {p}" for p, n in tally.rests.items() if n) or "none"
            tally.stop(
                item.spot,
                f"takes up {count} {tally.n(count)} from {place}, {there} "
                f"{'waits' if there == 1 else 'wait'} there",
                f"take up what waits: {waiting}",
                fixes=fix(item.number, min(tally.rests.get(p, 0) for p in places)),
            )
            return 0
    for place in places:
        tally.rests[place] -= count
        tally.live += count
    return count
