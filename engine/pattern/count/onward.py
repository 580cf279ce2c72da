"""Shaping that goes on as it began: "continue in this way, one stitch less between decreases"."""

from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass, replace
from itertools import islice, pairwise
from typing import Any

from engine.pattern.count.drafts import Draft, Template
from engine.pattern.count.ledger import Ledger
from engine.pattern.count.one_row import emit
from engine.pattern.count.reach import loops_of, shapes
from engine.pattern.count.tally import RowSetting, Tally
from engine.pattern.text.numbers import Number, Spot, number_of, numbers_in
from engine.pattern.text.row_items import Claim, Group, Item, Stitch, Turn
from engine.pattern.text.statements import Even, Repeat, Span, Turns
from models.script import ROW_KINDS

Changes = list[tuple[Number, Number]]


def go_onward(ledger: Ledger, repeat: Repeat) -> None:
    """The last two rows that differ in a number, and those after them by the same step.

    Where no two rows differ so, the last shaping is worked again as it was, at the pace that is
    said or that the rows above it show.
    """
    if len(repeat.turns) > 1:  # "every other round until 48 sts remain, then every round until 8"
        for turns in repeat.turns:
            if ledger.out.sound:
                go_onward(ledger, replace(repeat, turns=(turns,)))
        return
    every = repeat.turns[0] if repeat.turns else None
    span = every.span if every else repeat.span
    if span.kind == "all" and others_beside(ledger):
        ledger.fault(repeat.spot, OTHERS_BESIDE, OTHERS_TO_DO)
        return
    rows = _turning(ledger) or _rows(ledger, every) or _again(ledger, every)
    if rows is None:
        ledger.fault(
            repeat.spot,
            "goes on in a way that the rows above it do not show",
            "write out two rows that differ by one number, or each row",
        )
        return
    end = _End(ledger, span)
    for template, is_shaped in rows:
        if end.reached() or not ledger.out.sound:
            return
        before = end.distance()
        emit(ledger, template, spot=repeat.spot)
        if not is_shaped:
            continue
        end.shaped -= 1
        if before is not None and (end.distance() or 0) >= before:
            break
    if ledger.out.sound and not end.reached():
        ledger.fault(
            repeat.spot,
            f"goes on until {end.told()}, and comes to {ledger.live}",
            "write out its rows",
        )


OTHERS_BESIDE = (
    "goes on until all are worked, and loops lie beside the flap that was worked back and forth"
)
OTHERS_TO_DO = "say first that the others wait, as in 'Place remaining sts on a holder.'"


def others_beside(ledger: Ledger) -> bool:
    """Whether rows went to and fro over the same loops with others beside them: a heel's flap,
    whose turn ends where it ends, and not with the loops of the instep.
    """
    rows = [d for d in ledger.out.drafts if d.kind in ROW_KINDS]
    alike = 0
    for later, earlier in pairwise(reversed(rows)):
        takes, leaves = _moved(later)
        if takes >= later.before:
            return False
        alike = alike + 1 if takes == leaves == _moved(earlier)[0] else 0
        if alike == 3:  # a wedge goes there and back over as many, and then further
            return True
    return False


def _moved(row: Draft) -> tuple[int, int]:
    return sum(o.takes for o in row.operations), sum(o.leaves for o in row.operations)


class _End:
    """Where the shaping ends: at a count, between markers, when all are worked, or after times."""

    def __init__(self, ledger: Ledger, span: Span) -> None:
        self.ledger, self.kind = ledger, span.kind
        self.wanted = number_of(span.number, ledger.size, 0)
        self.shaped = number_of(span.number, ledger.size, 1)
        if self.kind == "between" and not ledger.marks:
            # "until there are 13 sts in the gusset. 48 sts": no marker tells, the count does
            claim = next(iter(ledger.following), None)
            if isinstance(claim, Claim) and not claim.change:
                self.kind, self.wanted = "remain", claim.number.whole(ledger.size)

    def reached(self) -> bool:
        if self.kind == "remain":
            return self.ledger.live == self.wanted
        if self.kind == "between":
            return self.wanted in self._between()
        if self.kind == "all":
            return self.ledger.standing is None and not self.ledger.gaps
        return self.shaped <= 0

    def distance(self) -> int | None:
        """How many loops there are still to go; None where that is not how it ends."""
        if self.kind == "remain":
            return abs(self.ledger.live - self.wanted)
        if self.kind == "between":
            return min((abs(n - self.wanted) for n in self._between()), default=0)
        return None

    def told(self) -> str:
        if self.kind == "all":
            return "all are worked"
        where = " between markers" if self.kind == "between" else ""
        return f"there are {self.ledger.n(self.wanted)}{where}"

    def _between(self) -> list[int]:
        return [b - a for a, b in pairwise(self.ledger.marks)]


def _turning(ledger: Ledger) -> Iterator[tuple[Template, bool]] | None:
    """A heel's turn: each row goes as much further than the one before it on its side."""
    history = ledger.history
    if len(history) < 3 or not any(isinstance(i, Turn) for i in history[-1].items):
        return None
    changes = _changes(_plain(history[-3]), _plain(history[-1]))
    if not changes or not _steady(ledger, changes):
        return None
    step = changes[0][1].whole(ledger.size) - changes[0][0].whole(ledger.size)
    mine = {b for _, b in changes}
    other = _changes(_plain(history[-4]), _plain(history[-2])) if len(history) > 3 else None
    theirs = {b for _, b in other} if other else _alike(history[-2], mine, ledger)
    if not theirs:
        return None
    return _further(ledger, (history[-2], theirs), (history[-1], mine), step)


def _alike(template: Template, numbers: set[Number], ledger: Ledger) -> set[Number]:
    """The one plain number of a row that has only one."""
    found = {n for n in numbers_in(_plain(template)) if n.whole(ledger.size) > 2}
    return found if len(found) == len(numbers) == 1 else set()


def _further(
    ledger: Ledger, one: tuple[Template, set[Number]], two: tuple[Template, set[Number]], step: int
) -> Iterator[tuple[Template, bool]]:
    added = 0
    while True:
        added += step
        for template, numbers in (one, two):
            for less in (0, 1):
                now = {n: n.whole(ledger.size) + added - less for n in numbers}
                items = _room(ledger, tuple(_with(i, now) for i in _plain(template)))
                if _needed(ledger, items) <= _ahead(ledger):
                    break  # else the row before had no loop left beyond its decrease
            yield replace(template, said=items), True


def _room(ledger: Ledger, items: tuple[Item, ...]) -> tuple[Item, ...]:
    """The last rows of a turn have no loop left for the one after the decrease."""
    last = [n for n, i in enumerate(items) if isinstance(i, Stitch)][-1:]
    if _needed(ledger, items) == _ahead(ledger) + 1 and last:
        stitch = items[last[0]]
        if isinstance(stitch, Stitch) and stitch.parts in ((("k", 1),), (("p", 1),)):
            return items[: last[0]] + items[last[0] + 1 :]
    return items


def _ahead(ledger: Ledger) -> int:
    return ledger.standing.ahead if ledger.standing else ledger.live


def _needed(ledger: Ledger, items: Sequence[Item]) -> int:
    tally = Tally(_ahead(ledger), ledger.size, RowSetting())
    return loops_of(tally, [i for i in items if not isinstance(i, Turn)]) or 0


def _again(ledger: Ledger, every: Turns | None) -> Iterator[tuple[Template, bool]] | None:
    """The last shaping once more, and what lies between two of them."""
    history = ledger.history
    last = next((n for n in range(len(history) - 1, -1, -1) if shapes(history[n].items)), None)
    if last is None or last < len(history) - 8:
        return None
    shaped, after = history[last], history[last + 1 :]
    earlier = next(
        (
            n
            for n in range(last - 1, max(-1, last - 9), -1)
            if _changes(_plain(history[n]), _plain(shaped)) == []
        ),
        None,
    )
    between = after if earlier is None else history[earlier + 1 : last]
    step = every.every(ledger.size) if every else 1
    if step > 1 and len(between) != step - 1:
        even = Even("work", "", None, Span("once"), shaped.spot, shaped.rounds)
        between = [Template((), shaped.rounds, shaped.spot, even)] * (step - 1)
    if every and step == 1 and every.side is None:
        return _cycle(ledger, shaped, [], waiting=0)
    if not between and earlier is None:
        return None
    return _cycle(ledger, shaped, between, waiting=len(between) - len(after))


def _cycle(
    ledger: Ledger, shaped: Template, between: Sequence[Template], waiting: int
) -> Iterator[tuple[Template, bool]]:
    yield from ((row, False) for row in between[len(between) - max(0, waiting) :])
    while True:
        yield replace(shaped, said=_fitted(ledger, _plain(shaped))), True
        yield from ((row, False) for row in between)


def _fitted(ledger: Ledger, items: tuple[Item, ...]) -> tuple[Item, ...]:
    """A row on fewer or more loops: its longest plain stretches give way, if that comes out."""
    tally = Tally(ledger.live, ledger.size, RowSetting())
    if loops_of(tally, items) in {None, ledger.live}:
        return items
    plain = [n for n in _plain_numbers(items) if n.whole(ledger.size) > 1]
    longest = max((n.whole(ledger.size) for n in plain), default=0)
    giving = [n for n in plain if n.whole(ledger.size) == longest]
    for count in (n for d in range(1, longest + 1) for n in (longest - d, longest + d)):
        other = tuple(_with(i, dict.fromkeys(giving, count)) for i in items)
        if loops_of(tally, other) == ledger.live:
            return other
    return items


def _plain_numbers(items: Sequence[Item]) -> Iterator[Number]:
    for item in items:
        if isinstance(item, Stitch) and item.count and item.parts in ((("k", 1),), (("p", 1),)):
            yield item.count
        elif isinstance(item, Group):
            yield from _plain_numbers(item.items)


def _rows(ledger: Ledger, every: Turns | None) -> Iterator[tuple[Template, bool]] | None:
    """The rows that come next, each with whether it shapes; None where none follow."""
    history = ledger.history
    for last in range(len(history) - 1, max(-1, len(history) - 7), -1):
        for first in range(last - 1, max(-1, last - 9), -1):
            one, two = _plain(history[first]), _plain(history[last])
            changes = _changes(one, two)
            if changes and _steady(ledger, changes):
                between = history[first + 1 : last]
                if every and every.every(ledger.size) == 1 and every.side is None:
                    between = []
                return _onward(ledger, between, last, changes)
    return None


def _onward(
    ledger: Ledger, between: Sequence[Template], last: int, changes: Changes
) -> Iterator[tuple[Template, bool]]:
    template = ledger.history[last]
    steps = {
        new: new.whole(ledger.size) - old.whole(ledger.size) for old, new in changes if old != new
    }
    now = {number: number.whole(ledger.size) for number in steps}
    waiting = len(between) - (len(ledger.history) - 1 - last)
    yield from ((row, False) for row in islice(between, len(between) - max(0, waiting), None))
    while all(now[n] + steps[n] >= 0 for n in now):
        now = {n: now[n] + steps[n] for n in now}
        items = tuple(_with(item, now) for item in _plain(template) if not _none(item, now))
        yield replace(template, said=items), True
        yield from ((row, False) for row in between)


def _plain(template: Template) -> tuple[Item, ...]:
    return tuple(i for i in template.items if not isinstance(i, Claim))


def _steady(ledger: Ledger, changes: Changes) -> bool:
    """Whether each number that differs differs by the same, and not by nothing."""
    steps = [b.whole(ledger.size) - a.whole(ledger.size) for a, b in changes]
    return bool(steps) and steps[0] != 0 and all(a == b for a, b in pairwise(steps))


def _changes(one: Any, two: Any) -> Changes | None:
    """The numbers in which two things differ; None where they differ in more than numbers."""
    if isinstance(one, Number) and isinstance(two, Number):
        return [] if one.values == two.values else [(one, two)]
    if isinstance(one, Spot) or (isinstance(one, str) and isinstance(two, str) and one == two):
        return []
    if isinstance(one, tuple) and isinstance(two, tuple):
        if len(one) != len(two):
            return None
        return _all(zip(one, two, strict=True))
    if is_dataclass(one) and type(one) is type(two):
        names = [f.name for f in fields(one) if f.name not in {"spot", "said", "slips"}]
        return _all((getattr(one, n), getattr(two, n)) for n in names)
    return [] if one == two else None


def _all(pairs: Any) -> Changes | None:
    found: Changes = []
    for one, two in pairs:
        changes = _changes(one, two)
        if changes is None:
            return None
        found += changes
    return found


def _none(item: Any, now: dict[Number, int]) -> bool:
    """A stitch that comes to none: `k0`."""
    return isinstance(item, Stitch) and item.count in now and now[item.count] == 0


def _with(value: Any, now: dict[Number, int]) -> Any:
    """The same with other numbers."""
    if isinstance(value, Number):
        return replace(value, values=(float(now[value]),)) if value in now else value
    if isinstance(value, tuple):
        return tuple(_with(v, now) for v in value if not _none(v, now))
    if is_dataclass(value) and not isinstance(value, (type, Spot)):
        return replace(value, **{f.name: _with(getattr(value, f.name), now) for f in fields(value)})
    return value
