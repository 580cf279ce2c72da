"""`k5 (8)` in a pattern of one size is five knit and a count of eight, not a list by size."""

from dataclasses import replace

from engine.pattern.text.numbers import Number, Spot, numbers_in
from engine.pattern.text.row_items import Claim, Group, Row, Stitch
from engine.pattern.text.statements import RowLine, Statement


def without_lists(row: Row) -> Row:
    """The row of a pattern that has one size: a number in brackets at its end is its count."""
    last = row.items[-1] if row.items else None
    if not isinstance(last, (Stitch, Group)):
        return row
    if last.times is not None:
        times, claim = _parted(last.times.number)
        ending: Stitch | Group = replace(last, times=replace(last.times, number=times))
    elif isinstance(last, Stitch) and last.count is not None:
        count, claim = _parted(last.count)
        ending = replace(last, count=count)
    else:
        return row
    return row if claim is None else replace(row, items=(*row.items[:-1], ending, claim))


def of_one_size(said: Statement) -> Statement:
    """The same for a whole statement."""
    if isinstance(said, RowLine) and any(len(n.values) == 2 for n in numbers_in(said.row)):
        return replace(said, row=without_lists(said.row))
    return said


def _parted(number: Number) -> tuple[Number, Claim | None]:
    """`5 (8)`: 5, and a count of 8."""
    at = next((i for i, sign in enumerate(number.said) if sign in "(["), None)
    if len(number.values) != 2 or None in number.values or at is None:
        return number, None
    own, left = number.values
    inside = number.said[at + 1 :].lstrip()
    spot = Spot(number.spot.line, number.spot.column + len(number.said) - len(inside))
    claim = Claim(Number((left,), spot, inside.rstrip(" )]")), spot)
    return Number((own,), number.spot, number.said[:at].rstrip()), claim
