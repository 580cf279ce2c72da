"""Rows that say all there is: so many of this and so many of that, up to the end.

Most rows are such. They are worked here in one go; `engine.pattern.count.decide` would come to the
same, by way of readings, markers and resting places that such a row has none of.
"""

from collections.abc import Sequence

from engine.pattern.count.tally import operation_of
from engine.pattern.count.worked import LOOPS_AT_MOST, Worked
from engine.pattern.text.tree import Claim, Group, Item, Stitch, Toward, Until
from models.stitch import STITCHES, Role

_MAKES_ROW = {Role.WORKED, Role.DECREASE, Role.INCREASE, Role.CROSS}
_TIMES_AT_MOST = 100
"""Of a bracket that is written out here."""
_PLAIN: dict[str, tuple[int, int] | None] = {
    key: (entry.takes, entry.leaves) if entry.role in _MAKES_ROW and entry.leaves >= 0 else None
    for key, entry in STITCHES.items()
}
"""What a stitch takes and leaves; None for one that does more than that."""


def plain_row(items: Sequence[Item], live: int, size: int) -> Worked | None:
    """The row worked on `live` loops; None where the long way is needed, or it comes not out."""
    done = Worked()
    if not _worked(done, items, live, size):
        return None
    if done.takes != live or not live or done.leaves > LOOPS_AT_MOST:
        return None
    for claim in done.claims:
        if claim.wanted(live, size) != done.leaves:
            return None
    return done


def _worked(done: Worked, items: Sequence[Item], live: int, size: int) -> bool:
    """Whether all of it is plain; `done` goes on as far as it is."""
    last = len(items) - 1
    for index, item in enumerate(items):
        if isinstance(item, Stitch):
            parts, count = item.parts, item.count
            if item.doubt or item.bare or item.times or item.at or len(parts) != 1:
                return False
            stitch, times = parts[0]
            if count is not None:
                times *= count.whole(size)
        elif isinstance(item, Toward):
            limit, rest = item.limit, items[index + 1 :]
            if limit.until is not Until.LAST or len(item.parts) != 1:
                return False
            if limit.at_least_all and not all(isinstance(i, Claim) for i in rest):
                return False
            ((stitch, each),) = item.parts
            short = limit.short.whole(size) if limit.short else 0
            plain = _PLAIN.get(stitch)
            room = live - done.takes - short
            if not plain or not plain[0] or each != 1 or room < 0 or room % plain[0]:
                return False
            times = room // plain[0]
        elif isinstance(item, Group):
            if not _again(done, item, live, size):
                return False
            continue
        elif isinstance(item, Claim) and index == last:
            done.claims.append(item)
            continue
        else:
            return False
        plain = _PLAIN.get(stitch)
        if plain is None or times < 0 or times > LOOPS_AT_MOST:
            return False
        if times:
            done.takes += plain[0] * times
            done.leaves += plain[1] * times
            done.stitches += times
            done.operations.append(operation_of(stitch, times, ""))
    return True


def _again(done: Worked, group: Group, live: int, size: int) -> bool:
    """A bracket with its times said, or with none."""
    said = group.times
    if group.limit or group.into or group.starred or group.slips or (said and said.more):
        return False
    times = said.number.whole(size) if said else 1
    if len(group.items) < 2 or not 0 < times <= _TIMES_AT_MOST:
        return False
    if any(not isinstance(i, Stitch) for i in group.items):
        return False
    return all(_worked(done, group.items, live, size) for _ in range(times))
