"""What a phrase places along the row: shaping at its ends or spread evenly, and markers."""

from engine.base.plural import noun, some
from engine.base.refusal import Refusal
from engine.craft.spacing import decrease_evenly, gaps, increase_evenly
from engine.pattern.count.tally import Tally
from engine.pattern.text.row_items import MARKER, MARKERS, NEEDLES, Marker, Shape
from models.stitch import STITCHES


def shape(tally: Tally, item: Shape) -> None:
    """Work the rest of the row with its increases or decreases where the phrase puts them."""
    count = item.count.whole(tally.size) if item.count else 1
    if item.stitch not in STITCHES:
        tally.stop(item.spot, "places what is no increase or decrease", "say which stitch")
    elif item.where == "evenly":
        _evenly(tally, item, count)
    elif item.where in {MARKER, MARKERS}:
        _beside_markers(tally, item, count)
    else:
        _at_ends(tally, item, count)


def _evenly(tally: Tally, item: Shape, said: int) -> None:
    left, closed = tally.live - tally.done.takes, tally.setting.in_round
    # An increase that is spread is made between two loops, where it does not say how.
    change = "m1" if item.stitch == "inc" else item.stitch
    each = STITCHES[change].takes
    count: int | None = said
    if item.target is not None:
        count = _to_target(tally, item, said if item.count else None, change)
    if count is None:
        return
    try:
        plain = _gaps(left, count, each, closed)
    except Refusal:
        tally.stop(
            item.spot,
            f"spreads {count} over {left} {tally.n(left)}, and they do not fit",
            f"spread at most {left // each if each else left}",
        )
        return
    for index, gap in enumerate(plain):
        tally.take(item.plain, gap)
        tally.take(change, 1 if index < count else 0)


def _to_target(tally: Tally, item: Shape, said: int | None, change: str) -> int | None:
    """How often to shape so that there are as many as it says."""
    assert item.target is not None  # only called for one
    wanted = item.target.whole(tally.size)
    there = tally.live - tally.done.takes + tally.done.leaves
    each = STITCHES[change].leaves - STITCHES[change].takes
    count, over = divmod(wanted - there, each) if each else (0, 1)
    if over or count < 0 or (said is not None and said != count):
        tally.stop(
            item.spot,
            f"goes evenly to {wanted} {tally.n(wanted)} from {there}, and "
            + ("that is no such shaping" if over or count < 0 else f"{count} do that, not {said}"),
            f"write how many {'increases' if each > 0 else 'decreases'}",
        )
        return None
    return count


def _gaps(loops: int, count: int, each: int, closed: bool) -> tuple[int, ...]:
    """Plain loops before each of `count` stitches that take `each`, and after the last."""
    if each == 0:
        return increase_evenly(loops, count, closed=closed).plain
    if each == 2:
        return decrease_evenly(loops, count, closed=closed).plain
    if count < 1 or each * count > loops:
        raise Refusal(f"{count} stitches of {each} loops do not fit on {loops}.")
    return gaps(loops - each * count, count if closed else count + 1)


def _at_ends(tally: Tally, item: Shape, count: int) -> None:
    left = tally.live - tally.done.takes
    where = tally.setting.edge(item.where) if item.where.endswith("edge") else item.where
    ends = 2 if where == "each end" else 1
    over = left - ends * STITCHES[item.stitch].takes * count
    if over < 0:
        tally.stop(
            item.spot,
            f"shapes {ends * count} times, and {left} {tally.n(left)} "
            f"{noun(left, 'is', 'are')} too few for it",
            "shape fewer times",
        )
        return
    if where != "end":
        tally.take(item.stitch, count)
    tally.take(item.plain, over)
    if where != "beginning":
        tally.take(item.stitch, count)


def _beside_markers(tally: Tally, item: Shape, count: int) -> None:
    inside = [m for m in tally.ahead if tally.done.takes < m < tally.live]
    if not inside or (item.where == MARKER and len(inside) > 1):
        told = f"there are {len(inside)}" if inside else "there is none within the row"
        tally.stop(
            item.spot,
            f"shapes on each side of the marker, and {told}",
            "write 'each side of each marker'" if inside else "place one before it",
        )
        return
    takes = STITCHES[item.stitch].takes * count
    for marker in inside:
        plain = marker - tally.done.takes - takes
        if plain < 0 or marker + takes > tally.live:
            tally.stop(
                item.spot,
                f"shapes {some(count, 'time', 'times')} on each side of a marker, and too few lie "
                "there",
                "shape fewer times",
            )
            return
        tally.take(item.plain, plain)
        tally.take(item.stitch, count)
        tally.take(item.stitch, count)
    tally.take(item.plain, tally.live - tally.done.takes)


def _needles(tally: Tally, item: Marker) -> None:
    """Where needles end: as the last such round left them, or by how a sock lies on them."""
    count = item.number.whole(tally.size) if item.number else 2
    inside = [m for m in tally.ahead if 0 < m < tally.live]
    if len(inside) == count - 1:
        return
    ends = needle_ends(tally.live, count, tally.setting.instep)
    if ends is None:
        tally.stop(
            item.spot,
            f"goes needle by needle, and how {tally.live} {tally.n(tally.live)} lie on {count} is "
            "not said",
            "write the round with markers: k to 3 sts before marker",
        )
        return
    tally.ahead = list(ends)


def needle_ends(live: int, count: int, instep: int | None) -> tuple[int, ...] | None:
    """How many loops there are before each needle's end but the last; None where it is open.

    Of three, the instep's is the middle one, half of them where no gusset says otherwise; two or
    four hold as many each (common practice, no source).
    """
    if count == 3:
        middle = instep or live // 2
        if (live - middle) % 2 or (instep is None and live % 4):
            return None
        return (live - middle) // 2, (live + middle) // 2
    if live % count:
        return None
    return tuple(live // count * n for n in range(1, count))


def place_marker(tally: Tally, item: Marker) -> None:
    """Put a marker here, or so many loops from here or before the end; or take all off."""
    if item.off:
        tally.markers_off()
        return
    if item.at == NEEDLES:
        _needles(tally, item)
        return
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
