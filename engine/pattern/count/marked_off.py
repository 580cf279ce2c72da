"""Loops put aside from one marker to the next: "K to marker, place sleeve sts on a holder".

How many they are is where the markers hang, which is known once the row is begun.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from engine.pattern.text.numbers import Number, number_of
from engine.pattern.text.row_items import Claim, Group, Hold, Item, Marker, Stitch, Toward, Until
from models.stitch import STITCHES

_TIMES_AT_MOST = 12
"""Of a repeat that puts loops aside: as many as a garment has parts."""


def marked_off(
    items: tuple[Item, ...], size: int, marks: Sequence[int], there: int
) -> tuple[Item, ...]:
    """The row with so many loops in place of those to the next marker; itself where none are so.

    What cannot be known before the row is worked keeps no number, and is asked about.
    """
    if not any(_holds(item) for item in items):
        return items
    # "Rep from * once" is once more or once in all: what comes out on the loops that are there
    ways = [_numbered(_written_out(items, size, more), size, marks, there) for more in (1, 0)]
    return next((row for row, reached in ways if reached == there), ways[0][0])


def _numbered(
    items: Iterable[Item], size: int, marks: Sequence[int], there: int
) -> tuple[tuple[Item, ...], int | None]:
    """The items with their numbers, and the loop that the hand comes to; None: not known."""
    stops, at, known = [*sorted(marks), there], 0, True
    out: list[Item] = []
    for item in items:
        if isinstance(item, Hold) and item.to_marker and known:
            stop = next((s for s in stops if s > at), at)
            item, at = replace(item, number=Number((float(stop - at),), item.spot)), stop  # noqa: PLW2901
        elif isinstance(item, Toward) and item.limit.until is Until.MARKER:
            short = number_of(item.limit.short, size, 0)
            at = next((s for s in stops if s > at), at) - short
        elif isinstance(item, Toward) and item.limit.until is Until.LAST:
            at = there - number_of(item.limit.short, size, 0)
        elif isinstance(item, Stitch) and item.count and len(item.parts) == 1 and not item.times:
            ((stitch, times),) = item.parts
            at += STITCHES[stitch].takes * times * item.count.whole(size)
        elif not isinstance(item, (Marker, Claim)):
            known = False
        out.append(item)
    return tuple(out), at if known else None


def _holds(item: Item) -> bool:
    if isinstance(item, Group):
        return any(_holds(i) for i in item.items)
    return isinstance(item, Hold) and item.to_marker


def _written_out(items: Iterable[Item], size: int, once_more: int) -> Iterator[Item]:
    """A repeat that puts loops aside as often as it is worked: each time they are others."""
    for item in items:
        times = item.times if isinstance(item, Group) else None
        if not isinstance(item, Group) or times is None or not _holds(item):
            yield item
            continue
        open_ = item.starred and not times.in_all
        often = times.number.whole(size) + (1 if times.more else once_more if open_ else 0)
        for _ in range(min(often, _TIMES_AT_MOST)):
            yield from _written_out(item.items, size, once_more)
