"""One reading of a row on a number of loops: what it takes, what it leaves, stitch by stitch.

The items are worked from the first to the last with the loops that are left; a stretch "to last
3" reaches as far as they allow. What does not come out even is not guessed at: it is a `Misfit`
with its arithmetic and the nearest repair, and the counting goes on. Which reading is meant is
decided in `decide`.
"""

from collections.abc import Sequence
from dataclasses import replace

from engine.base.plural import some
from engine.pattern.count.holding import hold, place_held
from engine.pattern.count.mending import remainder, uneven
from engine.pattern.count.placing import place_marker, shape
from engine.pattern.count.reach import count_of, loops_of, room_to, times_of
from engine.pattern.count.tally import Tally
from engine.pattern.count.worked import LOOPS_AT_MOST, TooMuch, Worked, takes_of
from engine.pattern.text.row_items import (
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
from models.script import Operation
from models.stitch import STITCHES, Role

DEPTH_AT_MOST = 30
"""Brackets within brackets, rows as other rows counted in."""
_NOT_WORKED = {"tail", "join", "fasten", "pm", "sm", "rm", "colour"}
_INTO_ONE = {"k", "p", "k tbl", "p tbl", "yo"}
_TO_END = Limit(Until.LAST, None, at_least_all=True)


def work(tally: Tally, items: Sequence[Item]) -> Worked:
    """Work a row and compare it with what is there. Raises TooMuch for one without end."""
    hold(tally, items)
    _items(tally, items, 0)
    tally.end()
    over = tally.live - tally.done.takes
    reach = over + (tally.setting.beyond if tally.done.turned else 0)
    must = tally.setting.strict and not tally.done.turned
    if (reach < 0 or (over and must)) and not tally.stalled:
        uneven(tally, items, over)
    if not tally.stalled and tally.done.sound:
        for claim in tally.done.claims:
            _hold_to(tally, claim)
    return tally.done


def _hold_to(tally: Tally, claim: Claim) -> None:
    """What the row says is there after it."""
    said = claim.wanted(tally.live + tally.setting.elsewhere, tally.size)
    left = tally.left_after()
    worked = tally.done.leaves
    if said == left or (tally.done.turned and said == worked != tally.done.takes):
        return  # "18 heel sts remain" counts what was worked, not what waits
    parted = any(o.stitch == "bo" for o in tally.done.operations[1:])
    if parted and 2 * said == left:
        return  # "56 sts each side" of what is bound off in the middle
    if parted and said == _since_bound_off(tally.done.operations):
        return  # "bo 2, rib to end (17)" counts what is worked after the buttonhole
    off = abs(said - left)
    repair = f"write {left}"
    written = left
    if claim.change:
        written = (left - tally.live) * claim.change
        repair = f"write {written}" if written >= 0 else f"write that there are {left}"
    change = "increase" if said > left else "decrease"
    tally.misfit(
        claim.spot,
        f"says {said} {tally.n(said)} after it, there are {left}",
        f"{repair}, or look for {some(off, change)} too few",
        fixes=((claim.number.spot, written),) if written >= 0 else (),
    )


def _since_bound_off(operations: Sequence[Operation]) -> int:
    """Loops that a row leaves after the last one it binds off."""
    last = max(at for at, one in enumerate(operations) if one.stitch == "bo")
    return sum(one.leaves for one in operations[last + 1 :])


def _items(tally: Tally, items: Sequence[Item], after: int | None) -> None:
    """Work items in order; `after` loops are taken by what follows them, None: not known."""
    tally.depth += 1
    if tally.depth > DEPTH_AT_MOST:
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
                shape(tally, item)
            case Marker():
                place_marker(tally, item)
            case Claim():
                tally.done.claims.append(item)
            case AsRow():
                tally.stop(item.spot, "is as a row that is not written", "write that row first")
            case Turn():
                _turn(tally, item, rest)
            case Hold():
                place_held(tally, item)
            case _:
                pass
    tally.depth -= 1


def _stitch(tally: Tally, item: Stitch, rest: Sequence[Item], after: int | None) -> None:
    if item.bare and not any(map(_works, rest)) and after is not None and tally.depth == 1:
        _toward(tally, Toward(item.parts, _TO_END, item.spot), (), after)
        return
    tally.work(item, count_of(tally, item))


def _works(item: Item) -> bool:
    """Whether an item handles loops (a claim or a lone word does not)."""
    if isinstance(item, Stitch):
        return item.parts[0][0] not in _NOT_WORKED
    return not isinstance(item, (Claim, Hold, Marker, Turn, Ending))


def _turn(tally: Tally, item: Turn, rest: Sequence[Item]) -> None:
    """Turn back: what lies ahead stays live and unworked. At the row's end it is no more than
    the word for what happens anyway.
    """
    left = tally.live - tally.done.takes
    if not tally.done.stitches:
        tally.stop(item.spot, "turns before a loop is worked", "say how far the row goes")
    elif any(map(_works, rest)):
        tally.stop(
            item.spot,
            "goes on after its turn",
            "write what follows the turn as a row of its own",
        )
    elif left > 0 or tally.setting.beyond:
        tally.done.turned = True
        tally.done.operations.append(Operation(stitch="w&t" if item.wraps else "turn", times=1))
    elif item.wraps:
        tally.stop(item.spot, "wraps the next one, and there is none", "turn before the row's end")


# ---------------------------------------------------------------- how far, and how often


def _toward(tally: Tally, item: Toward, rest: Sequence[Item], after: int | None) -> None:
    each = takes_of(item.parts)
    if each == 0:
        tally.stop(
            item.spot,
            "repeats a stitch that takes no loop, so it never gets there",
            "say how many times",
        )
        return
    room = room_to(tally, item.limit, item.spot, rest, after)
    if room is None:
        return
    times, over = divmod(room, each)
    if over and not tally.stalled:
        remainder(tally, item.spot, each, over, times=times, what="the stitch")
    tally.work(Stitch(item.parts, item.spot), times)


def _group(tally: Tally, group: Group, rest: Sequence[Item], after: int | None) -> None:
    if group.into:
        _into(tally, group)
        return
    if _turns(group.items):
        tally.stop(
            group.spot,
            "turns within a repeat, as entrelac does, and such a row is not counted",
            "write each short row as a row of its own",
        )
        return
    limit = group.limit
    if group.starred and not group.times and limit is None:
        limit = _TO_END
    if limit is None:
        _repeat(tally, group, times_of(tally, group))
        return
    body = loops_of(tally, group.items)
    if body is None and limit.until is Until.LAST and _by_places(group.items):
        _until_there(tally, group, limit, rest, after)
        return
    if not body:
        number = "no loop" if body == 0 else "a number of loops that is not fixed"
        tally.stop(group.spot, f"repeats something that takes {number}", "say how many times")
        return
    room = room_to(tally, limit, group.spot, rest, after)
    if room is None:
        return
    times, over = divmod(room, body)
    cut = _cut(tally, group, over) if over and group.ending else 0
    if over and group.ragged:
        _repeat(tally, group, times, fixed=True)
        _part_of(tally, group, over)
        return
    if over and not cut and not tally.stalled:
        remainder(tally, group.spot, body, over, times=times, what="the repeat")
    _repeat(tally, group, times, fixed=True)
    if cut:
        tally.misfit(
            group.spot,
            f"breaks off its last repeat {over} {tally.n(over)} into it",
            "write how far the repeat goes, and how the row ends",
            warning=True,
        )
        _items(tally, group.items[:cut], None)


def _turns(items: Sequence[Item]) -> bool:
    """Whether what is repeated goes to and fro within the row."""
    return any(isinstance(i, Turn) or (isinstance(i, Group) and _turns(i.items)) for i in items)


def _by_places(items: Sequence[Item]) -> bool:
    """Whether what is repeated goes from marker to marker: each time another number of loops."""
    return any(
        (isinstance(i, Toward) and i.limit.until in {Until.MARKER, Until.LAST_MARKER, Until.GAP})
        or (isinstance(i, Group) and _by_places(i.items))
        for i in items
    )


def _until_there(
    tally: Tally, group: Group, limit: Limit, rest: Sequence[Item], after: int | None
) -> None:
    """`*k to 2 sts before marker, k2tog, sm; rep from * to end`: as often as there are markers."""
    room = room_to(tally, limit, group.spot, rest, after)
    if room is None:
        return
    end = tally.done.takes + room
    while tally.done.takes < end and not tally.stalled:
        before = tally.done.takes
        _items(tally, group.items, None)
        if tally.done.takes == before:
            tally.stop(group.spot, "repeats something that takes no loop", "say how many times")
    over = tally.done.takes - end
    if over > 0:
        tally.stop(
            group.spot,
            f"comes {over} {tally.n(over)} beyond where its repeat ends",
            "place a marker before each repeat, or say how many times",
        )


def _repeat(tally: Tally, group: Group, times: int, *, fixed: bool = False) -> None:
    """Work a bracket; what takes a `fixed` number of loops goes on past a misfit."""
    if times > LOOPS_AT_MOST:
        raise TooMuch
    only = group.items[0] if len(group.items) == 1 else None
    if isinstance(only, Stitch) and len(only.parts) == 1:
        tally.work(only, count_of(tally, only) * times)
        return
    for _ in range(times):
        if tally.stalled and not fixed:
            return
        _items(tally, group.items, None)


def _part_of(tally: Tally, group: Group, loops: int) -> None:
    """The first stitches of a rib, as many as there are loops left."""
    for item in group.items:
        if isinstance(item, Stitch) and loops > 0:
            count = min(loops, count_of(tally, item))
            tally.work(replace(item, count=None), count)
            loops -= count


def _cut(tally: Tally, group: Group, over: int) -> int:
    """Items of the last repeat that take just the loops left over; a yarn over there is kept."""
    items = group.items
    fitting = [
        n
        for n in range(1, len(items))
        if loops_of(tally, items[:n]) == over and not _passes_next(items[n:])
    ]
    return max(fitting, default=0)


def _passes_next(items: Sequence[Item]) -> bool:
    """Whether a slipped loop that came before these items is passed over by one of them."""
    stitches = [i.parts[0][0] for i in items if isinstance(i, Stitch)]
    first = next((s for s in stitches if s == "psso" or STITCHES[s].role is Role.SLIP), "")
    return first == "psso"


def _into(tally: Tally, group: Group) -> None:
    made = _made(tally, group.items)
    if made is None or not 2 <= made <= 9:
        tally.stop(
            group.spot,
            "works into one what is not only knit, purl and yarn over"
            if made is None
            else f"works {made} {tally.n(made)} into one, and 2 to 9 can be",
            "write which stitches go into the one",
        )
        return
    times = group.times.number.whole(tally.size) if group.times else 1
    tally.take(f"1 into {made}", times)


def _made(tally: Tally, items: Sequence[Item]) -> int | None:
    """Loops that items make when all of them are worked into one; None where they cannot be."""
    total = 0
    for item in items:
        if isinstance(item, Stitch) and item.parts[0][0] in _INTO_ONE:
            total += count_of(tally, item)
        elif isinstance(item, Group) and not (item.limit or item.starred or item.into):
            inner = _made(tally, item.items)
            if inner is None:
                return None
            total += inner * times_of(tally, item)
        else:
            return None
    return total
