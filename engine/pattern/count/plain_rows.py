"""Rows that say all there is: so many of this and so many of that, up to the end.

Most rows are such. They are worked here in one go; `engine.pattern.count.decide` would come to the
same, by way of readings, markers and resting places that such a row has none of. What does not
depend on the size or on the loops that are there is worked out once for a row, its plan.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from engine.pattern.count.tally import operation_of
from engine.pattern.count.worked import LOOPS_AT_MOST, Worked
from engine.pattern.text.numbers import Number, Spot
from engine.pattern.text.row_items import Claim, Group, Item, Row, Stitch, Toward, Until
from engine.pattern.text.shapes import KnownShape, LateRow
from models.script import Operation
from models.stitch import STITCHES, Role

_MAKES_ROW = {Role.WORKED, Role.DECREASE, Role.INCREASE, Role.CROSS}
_TIMES_AT_MOST = 100
"""Of a bracket that is written out here."""
_KEPT_AT_MOST = 20_000
"""Plans: as many as a pattern may have lines."""
_PLAIN: dict[str, tuple[int, int] | None] = {
    key: (entry.takes, entry.leaves) if entry.role in _MAKES_ROW and entry.leaves >= 0 else None
    for key, entry in STITCHES.items()
}
"""What a stitch takes and leaves; None for one that does more than that."""


class _Open(NamedTuple):
    """A stitch whose times hang on the size, or on the loops that are there."""

    place: int
    """Its place among the operations."""
    stitch: str
    takes: int
    leaves: int
    """Of one time."""
    before: int
    """Loops taken before it by what is no open stitch."""
    toward: bool
    """It goes on until so many loops are left; else it is worked so often."""
    number: Number | None
    each: int = 1
    """Times of one count."""


@dataclass
class Plan:
    """A plain row, as far as it is the same for every size and any number of loops."""

    operations: list[Operation | None] = field(default_factory=list)
    """None: an open stitch."""
    takes: int = 0
    leaves: int = 0
    stitches: int = 0
    """The same of all that is not open."""
    open: list[_Open] = field(default_factory=list)
    claims: list[Claim] = field(default_factory=list)
    claims_last: bool = True
    """Whether what it claims stands at its end, once."""

    def work(self, live: int, size: int, *, claimed: bool = True) -> Worked | None:
        """The row worked; None where it does not come out on `live` loops."""
        takes, leaves, stitches = self.takes, self.leaves, self.stitches
        operations, none = self.operations.copy(), False
        for one in self.open:
            said = one.number.whole(size) if one.number else 0
            if one.toward:
                said = live - one.before - (takes - self.takes) - said
                if said < 0 or said % one.takes:
                    return None
                times = said // one.takes
            else:
                times = said * one.each
            if times < 0 or times > LOOPS_AT_MOST:
                return None
            if times:
                operations[one.place] = operation_of(one.stitch, times, "")
                takes += one.takes * times
                leaves += one.leaves * times
                stitches += times
            else:
                none = True
        if takes != live or not live or leaves > LOOPS_AT_MOST:
            return None
        if claimed and self.claims and not (self.claims_last and self._kept(live, size, leaves)):
            return None
        return Worked(
            operations=[o for o in operations if o] if none else operations,  # type: ignore[arg-type]
            takes=takes,
            leaves=leaves,
            stitches=stitches,
            claims=[*self.claims] if claimed else [],
        )

    def _kept(self, live: int, size: int, leaves: int) -> bool:
        return self.claims[0].wanted(live, size) == leaves


class _BySize(Exception):
    """A bracket is worked another number of times in each size: so is the plan."""


class Plans:
    """The plans of a pattern's rows, each made when it is first wanted.

    A row is known by being the very same, or its items the very same tuple, kept with its plan.
    """

    def __init__(self) -> None:
        self._known: dict[int, tuple[Row | tuple[Item, ...], _General]] = {}

    def of(self, row: Row | tuple[Item, ...], size: int) -> Plan | None:
        """The plan of a row; None for one that is not plain."""
        found = self._known.get(id(row))
        if found is None:
            if len(self._known) >= _KEPT_AT_MOST:
                self._known.clear()
            found = self._known[id(row)] = (row, _for_all_sizes(row))
        plan = found[1]
        if not isinstance(plan, dict):
            return plan
        if size not in plan:
            plan[size] = planned(row.items if isinstance(row, Row) else row, size)
        return plan[size]


def plain_row(items: Sequence[Item], live: int, size: int) -> Worked | None:
    """The row worked on `live` loops; None where the long way is needed, or it comes not out."""
    plan = planned(items, size)
    return plan.work(live, size) if plan else None


_General = Plan | dict[int, Plan | None] | None
"""The plan of a row for all sizes, plans by size where each has its own, or none."""


def _for_all_sizes(row: Row | tuple[Item, ...]) -> _General:
    if isinstance(row, LateRow):
        kept = row.shape.kept
        if "plan" not in kept:
            kept["plan"] = _of_shape(row.shape)
        plan = kept["plan"]
        if not isinstance(plan, dict):
            return _numbered(plan, row.numbers) if plan else None
    try:
        return planned(row.items if isinstance(row, Row) else row, None)
    except _BySize:
        return {}


def _of_shape(shape: KnownShape) -> _General:
    """The plan of all rows of a shape, with open stitches wherever a number is its row's own.

    These numbers are known by their columns, which count from 0 here.
    """
    own = [Number((1.0, 1.0), Spot(0, place)) for place in range(shape.plain)]
    try:
        return planned(shape.row(own, lambda column: Spot(1, column)).items, None)
    except _BySize:
        return {}


def _numbered(plan: Plan, numbers: Sequence[Number]) -> Plan | None:
    """The plan of a shape with a row's own numbers: what is one for all sizes is open no more."""
    new = replace(plan, operations=plan.operations.copy(), open=[])
    fixed = 0
    for one in plan.open:
        number = one.number
        if number is not None and number.spot.line == 0:
            number = numbers[number.spot.column]
        if one.toward or number is None or len(number.values) > 1:
            new.open.append(one._replace(number=number, before=one.before + fixed))
            continue
        times = number.whole(0) * one.each
        if not 0 < times <= LOOPS_AT_MOST:
            return None
        new.operations[one.place] = operation_of(one.stitch, times, "")
        new.leaves += one.leaves * times
        new.stitches += times
        fixed += one.takes * times
    new.takes += fixed
    return new


def planned(items: Sequence[Item], size: int | None) -> Plan | None:
    """The plan of a row, for one size or for all; None for a row that is not plain.

    Raises _BySize where it is not the same for all.
    """
    plan, last = Plan(), len(items) - 1
    for index, item in enumerate(items):
        if isinstance(item, Claim):
            plan.claims.append(item)
            plan.claims_last = index == last and len(plan.claims) == 1
        elif isinstance(item, Stitch):
            if not _stitch(plan, item, size):
                return None
        elif isinstance(item, Toward):
            if not _toward(plan, item, items[index + 1 :]):
                return None
        elif not (isinstance(item, Group) and _again(plan, item, size)):
            return None
    return plan


def _stitch(plan: Plan, item: Stitch, size: int | None, *, bracket: bool = False) -> bool:
    """Add so many of a stitch; whether it is a plain one."""
    if item.doubt or item.bare or item.times or item.at or len(item.parts) != 1:
        return False
    ((stitch, times),) = item.parts
    each = _PLAIN.get(stitch)
    if each is None:
        return False
    count = item.count
    if count is not None:
        if size is None and len(count.values) > 1:
            if bracket:
                raise _BySize
            at = len(plan.operations)
            plan.open.append(_Open(at, stitch, *each, plan.takes, False, count, times))
            plan.operations.append(None)
            return True
        times *= count.whole(size or 0)
    if times < 0 or times > LOOPS_AT_MOST:
        return False
    if times:
        plan.takes += each[0] * times
        plan.leaves += each[1] * times
        plan.stitches += times
        plan.operations.append(operation_of(stitch, times, ""))
    return True


def _toward(plan: Plan, item: Toward, rest: Sequence[Item]) -> bool:
    """A stitch up to the end, or to some loops before it."""
    limit = item.limit
    if limit.until is not Until.LAST or len(item.parts) != 1:
        return False
    if limit.at_least_all and not all(isinstance(i, Claim) for i in rest):
        return False
    ((stitch, times),) = item.parts
    each = _PLAIN.get(stitch)
    if not each or not each[0] or times != 1:
        return False
    at = len(plan.operations)
    plan.open.append(_Open(at, stitch, *each, plan.takes, True, limit.short))
    plan.operations.append(None)
    return True


def _again(plan: Plan, group: Group, size: int | None) -> bool:
    """A bracket with its times said, or with none."""
    said = group.times
    if group.limit or group.into or group.starred or group.slips or (said and said.more):
        return False
    if size is None and said and len(said.number.values) > 1:
        raise _BySize
    times = said.number.whole(size or 0) if said else 1
    if len(group.items) < 2 or not 0 < times <= _TIMES_AT_MOST:
        return False
    return all(
        isinstance(i, Stitch) and _stitch(plan, i, size, bracket=True)
        for _ in range(times)
        for i in group.items
    )
