"""Shaping that goes on as it began: "continue in this way, one stitch less between decreases"."""

from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass, replace
from itertools import islice, pairwise
from typing import Any

from engine.pattern.count.drafts import Template
from engine.pattern.count.ledger import Ledger
from engine.pattern.count.one_row import emit
from engine.pattern.text.tree import Claim, Item, Number, Repeat, Spot, Stitch, number_of

Changes = list[tuple[Number, Number]]


def go_onward(ledger: Ledger, repeat: Repeat) -> None:
    """The last two rows that differ in a number, and those after them by the same step."""
    span = repeat.span
    rows = _rows(ledger)
    if rows is None:
        ledger.fault(
            repeat.spot,
            "goes on in a way that the rows above it do not show",
            "write out two rows that differ by one number, or each row",
        )
        return
    if span.kind != "remain":
        shaped, wanted = number_of(span.number, ledger.size, 1), None
    else:
        shaped, wanted = ledger.live, number_of(span.number, ledger.size, 0)
    for template, is_shaped in rows:
        if (wanted is None and not shaped) or ledger.live == wanted or not ledger.out.sound:
            return
        before = ledger.live
        emit(ledger, template, spot=repeat.spot)
        if not is_shaped:
            continue
        shaped -= 1
        if wanted is not None and abs(ledger.live - wanted) >= abs(before - wanted):
            break
    if wanted is not None and ledger.live != wanted and ledger.out.sound:
        ledger.fault(
            repeat.spot,
            f"goes on until there are {ledger.n(wanted)}, and comes to {ledger.live}",
            "write out its rows",
        )


def _rows(ledger: Ledger) -> Iterator[tuple[Template, bool]] | None:
    """The rows that come next, each with whether it shapes; None where none follow."""
    history = ledger.history
    for last in range(len(history) - 1, max(-1, len(history) - 7), -1):
        for first in range(last - 1, max(-1, last - 9), -1):
            one, two = _plain(history[first]), _plain(history[last])
            changes = _changes(one, two)
            if changes and _steady(ledger, changes):
                return _onward(ledger, history[first + 1 : last], last, changes)
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
        yield replace(template, items=items), True
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
