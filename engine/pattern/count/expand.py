"""One written row on a number of loops: what it takes, what it leaves, stitch by stitch.

The items are worked from the first to the last with the loops that are left; a stretch "to last
3" reaches as far as they allow. What does not come out even is not guessed at: it is a `Misfit`
with its arithmetic and the nearest repair, and the counting goes on.
"""

from collections.abc import Sequence

from engine.base.refusal import Refusal
from engine.craft.spacing import decrease_evenly, increase_evenly
from engine.pattern.count.holding import hold
from engine.pattern.count.mending import remainder, uneven
from engine.pattern.count.reach import loops_of, room_to, times_of
from engine.pattern.count.tally import RowSetting, Tally
from engine.pattern.count.worked import LOOPS_AT_MOST, Misfit, TooMuch, Worked, leaves_of, takes_of
from engine.pattern.text.tree import (
    AsRow,
    Claim,
    Ending,
    Group,
    Hold,
    Item,
    Limit,
    Marker,
    Shape,
    Stitch,
    Toward,
    Turn,
    Until,
)
from models.stitch import STITCHES, Role

_AS_AT_MOST = 50
"""Rows that are as rows that are as rows."""
_END = {"tail", "join", "fasten", "pm", "sm", "rm"}
_PLAIN_ROW = RowSetting()


def work_row(
    items: Sequence[Item], live: int, size: int, setting: RowSetting = _PLAIN_ROW
) -> tuple[Worked, int, dict[str, int]]:
    """The row worked, the loops that were there for it, and what rests after it.

    "Rep from * 3 times" is said for three more times and for three in all: the first is tried
    first, and the second where only it comes out. Raises TooMuch for a row without end.
    """
    told: tuple[Worked, int, dict[str, int]] | None = None
    for in_all in (False, True):
        tally = Tally(live, size, setting, repeats_in_all=in_all)
        done = _work(tally, items)
        if told is None:
            told = (done, tally.live, tally.rests)
            if done.sound or not tally.loose:
                break
        elif done.sound:
            first = next(i for i in items if isinstance(i, Group) and i.starred)
            done.misfits.append(
                Misfit(
                    first.spot,
                    "its repeat only comes out if its times count the first one in",
                    "write how many times more",
                    warning=True,
                )
            )
            return done, tally.live, tally.rests
    assert told is not None  # the loop runs at least once
    return told


def _work(tally: Tally, items: Sequence[Item]) -> Worked:
    """Work the row and compare it with what is there. Raises TooMuch for one without end."""
    hold(tally, items)
    _items(tally, items, 0)
    done = tally.done
    for mark in tally.ahead:
        done.marks.append(done.leaves + max(0, mark - done.takes))
    over = tally.live - done.takes
    if (over < 0 or (over and tally.setting.strict)) and not tally.stalled:
        uneven(tally, items, over)
    if done.claim and not tally.stalled and done.sound:
        said = done.claim.number.whole(tally.size)
        left = done.leaves + (0 if tally.setting.strict else max(0, over))
        if said != left:
            tally.misfit(
                done.claim.spot,
                f"says {said} {tally.n(said)} after it, there are {left}",
                f"write {left}, or look for {abs(said - left)} "
                f"{'increase' if said > left else 'decrease'}"
                f"{'' if abs(said - left) == 1 else 's'} too few",
                fixes=((done.claim.number.spot, left),),
            )
    return done


def _items(tally: Tally, items: Sequence[Item], after: int | None) -> None:
    """Work items in order; `after` loops are taken by what follows them, None: not known."""
    tally.depth += 1
    if tally.depth > 30:
        raise TooMuch
    for index, item in enumerate(items):
        rest = items[index + 1 :]
        match item:
            case Stitch():
                _stitch(tally, item, rest, after)
            case Toward():
                _toward(tally, item, rest, after)
            case Group():
                _group(tally, item, rest, after)
            case Shape():
                _shape(tally, item)
            case Marker():
                _marker(tally, item)
            case Claim():
                tally.done.claim = item
            case AsRow():
                _as_row(tally, item)
            case Turn():
                left = tally.live - tally.done.takes
                if left > 0 and tally.setting.strict:
                    tally.misfit(
                        item.spot,
                        f"turns with {left} {tally.n(left)} unworked, and short rows are not "
                        "counted here",
                        f"leave {left} {tally.n(left)} resting, and take them up later",
                    )
                    tally.stalled = True
            case _:
                pass  # what is held was moved before the row began
    tally.depth -= 1


def _stitch(tally: Tally, item: Stitch, rest: Sequence[Item], after: int | None) -> None:
    if item.bare and not any(map(_works, rest)) and after is not None and tally.depth == 1:
        _toward(
            tally,
            Toward(item.parts, Limit(Until.LAST, None, at_least_all=True), item.spot),
            (),
            after,
        )
        return
    times = item.count.whole(tally.size) if item.count else 1
    if item.times:
        times *= item.times.number.whole(tally.size)
    tally.work(item.parts, times, tally.setting.place(item.at))


def _toward(tally: Tally, item: Toward, rest: Sequence[Item], after: int | None) -> None:
    each = takes_of(item.parts)
    if each == 0:
        tally.misfit(
            item.spot,
            "repeats a stitch that takes no loop, so it never gets there",
            "say how many times",
        )
        tally.stalled = True
        return
    room = room_to(tally, item.limit, item.spot, rest, after)
    if room is None:
        return
    times, over = divmod(room, each)
    if over and not tally.stalled:
        remainder(tally, item.spot, each, over, times=times, what="the stitch")
    tally.work(item.parts, times)


def _into(tally: Tally, group: Group) -> None:
    made = 0
    for item in group.items:
        if isinstance(item, Stitch):
            times = item.count.whole(tally.size) if item.count else 1
            made += max(0, leaves_of(item.parts)) * times
    if not 2 <= made <= 9:
        tally.stop(
            group.spot,
            f"works {made} {tally.n(made)} into one, and 2 to 9 can be",
            "write which stitches go into the one",
        )
        return
    times = group.times.number.whole(tally.size) if group.times else 1
    tally.take(f"1 into {made}", times)


def _group(tally: Tally, group: Group, rest: Sequence[Item], after: int | None) -> None:
    if group.into:
        _into(tally, group)
        return
    only = group.items[0] if len(group.items) == 1 else None
    body = loops_of(tally, group.items)
    limit = group.limit
    if group.starred and not group.times and limit is None:
        limit = Limit(Until.LAST, None, at_least_all=True)
    if limit is None:
        _repeat(tally, group, only, times_of(tally, group), body)
        return
    if body is None or body == 0:
        tally.stop(
            group.spot,
            "repeats something that takes "
            + ("no loop" if body == 0 else "a number of loops that is not fixed"),
            "say how many times",
        )
        return
    room = room_to(tally, limit, group.spot, rest, after)
    if room is None:
        return
    times, over = divmod(room, body)
    if over and group.ending and _cut_short(tally, group, times, over):
        return
    if over and not tally.stalled:
        remainder(tally, group.spot, body, over, times=times, what="the repeat")
    _repeat(tally, group, only, times, body)


def _repeat(tally: Tally, group: Group, only: Item | None, times: int, body: int | None) -> None:
    if times > LOOPS_AT_MOST:
        raise TooMuch
    if isinstance(only, Stitch) and len(only.parts) == 1:
        each = only.count.whole(tally.size) if only.count else 1
        each *= only.times.number.whole(tally.size) if only.times else 1
        tally.work(only.parts, each * times, tally.setting.place(only.at))
        return
    for _ in range(times):
        if tally.stalled and body is None:
            return
        _items(tally, group.items, None)


def _cut_short(tally: Tally, group: Group, times: int, over: int) -> bool:
    """Whether the last repeat, broken off, leaves just the loops of the ending."""
    for index in range(1, len(group.items)):
        if loops_of(tally, group.items[:index]) == over:
            _repeat(tally, group, None, times, 0)
            _items(tally, group.items[:index], None)
            return True
    return False


def _shape(tally: Tally, item: Shape) -> None:
    left = tally.live - tally.done.takes
    count = item.count.whole(tally.size) if item.count else 1
    decreasing = item.stitch in STITCHES and STITCHES[item.stitch].role is Role.DECREASE
    if item.where == "evenly":
        spread = decrease_evenly if decreasing else increase_evenly
        try:
            plain = spread(left, count, closed=tally.setting.in_round).plain
        except Refusal:
            tally.stop(
                item.spot,
                f"spreads {count} over {left} {tally.n(left)}, and they do not fit",
                f"spread at most {left // 2 if decreasing else left}",
            )
            return
        change = item.stitch if decreasing or item.stitch != "inc" else "m1"
        for index, gap in enumerate(plain):
            tally.take("k", gap)
            tally.take(change, 1 if index < count else 0)
        return
    ends = 2 if item.where == "each end" else 1
    each = STITCHES[item.stitch].takes if item.stitch in STITCHES else 1
    over = left - ends * each * count
    if over < 0 or item.stitch not in STITCHES:
        tally.stop(
            item.spot,
            f"shapes {ends * count} times, and {left} {tally.n(left)} "
            f"{'is' if left == 1 else 'are'} too few for it",
            "shape fewer times",
        )
        return
    if item.where != "end":
        tally.take(item.stitch, count)
    tally.take("k", over)
    if item.where != "beginning":
        tally.take(item.stitch, count)


def _marker(tally: Tally, item: Marker) -> None:
    at = tally.setting.place(item.at)
    place = tally.done.leaves
    if item.number is not None:
        count = item.number.whole(tally.size)
        left = tally.live - tally.done.takes
        place += left - count if item.before_end else count
        at = at or (
            f"{count} {tally.words} before the end"
            if item.before_end
            else f"after {count} {tally.words}"
        )
    tally.done.marks.append(place)
    tally.place_marker(at)


def _as_row(tally: Tally, item: AsRow) -> None:
    items = tally.setting.as_row(item)
    if items is None:
        tally.stop(item.spot, "is as a row that is not written", "write that row first")
        return
    depth, tally.depth = tally.depth, 0
    tally.as_depth += 1
    if tally.as_depth > _AS_AT_MOST:
        raise TooMuch
    _items(tally, items, 0)
    tally.as_depth -= 1
    tally.depth = depth


def _works(item: Item) -> bool:
    """Whether an item handles loops (a claim or a lone word does not)."""
    if isinstance(item, Stitch):
        return item.parts[0][0] not in _END
    return not isinstance(item, (Claim, Hold, Marker, Turn, Ending))
