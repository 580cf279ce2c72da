"""Stitches in the middle of a turned row that are worked alone: a flat mitten's thumb.

`K27, turn. P10, turn. Working on these 10 sts only, …` leaves stitches waiting on both sides. Those
ahead are taken up by the first row after the thumb is closed, those behind by the row after it.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from engine.pattern.text.numbers import Number, Spot
from engine.pattern.text.row_items import Claim, Hold, Item, Stitch, Turn, uncounted
from engine.pattern.text.shapes import LateRow
from engine.pattern.text.statements import (
    AsPart,
    Even,
    Heading,
    Note,
    Repeat,
    RowLine,
    ShapeRows,
    Statement,
    StepLine,
    Talk,
    YarnLine,
)

AHEAD = "the stitches beyond the thumb"
BEHIND = "the stitches before the thumb"
_WORK = (RowLine, Even, Repeat, ShapeRows, StepLine, YarnLine, AsPart)
_BY_THE_WAY = (Talk, Note, Claim)
_Counts = tuple[float, ...]
"""One number, or one for each size."""


def with_middle(said: Sequence[Statement]) -> list[Statement]:
    """The statements, where two turns leave the middle: with what is put aside and taken up."""
    out = list(said)
    at = 0
    while at < len(out):
        found = _middle(out, at) if _may_turn(out[at]) else None
        if found:
            out[at:] = found
        at += 1
    return out


def _middle(said: Sequence[Statement], at: int) -> list[Statement] | None:
    """The statements from the first of two such rows on; None where these are no two such rows."""
    works = [n for n in range(at, len(said)) if not isinstance(said[n], _BY_THE_WAY)]
    if len(works) < 5 or works[0] != at:
        return None
    there, back = said[at], said[works[1]]
    if not isinstance(there, RowLine) or not isinstance(back, RowLine) or there.rounds:
        return None
    far, near = _turned(there), _turned(back)
    if far is None or near is None or not _alone(said, works[2], _sum(near.worked, near.laid)):
        return None
    behind = _sum(_sum(far.worked, near.worked, -1), far.laid)
    closes = next((n for n in works[2:] if _closes(said[n])), None)
    if min(behind) <= 0 or closes is None or any(_ends(s) for s in said[at:closes]):
        return None
    after = [n for n in works if n > closes]
    while after and (_takes_up(said[after[0]]) or _joins(said[after[0]])):
        after = after[1:]  # "rejoin yarn to remaining sts"
    if len(after) < 2 or not all(isinstance(said[n], _WORK) for n in after[:2]):
        return None
    first, second = after[:2]
    rest, claims = _uncounted(said[first:second])
    skipped = 1 if isinstance(said[works[2]], YarnLine) else 0
    return [
        _left(there, far, AHEAD),
        *said[at + 1 : works[1]],
        _left(back, near, BEHIND),
        *said[works[1] + 1 : works[2]],
        *said[works[2] + skipped : closes + 1],
        *(s for s in said[closes + 1 : first] if not _takes_up(s)),
        *_with_ahead(rest, back.spot),
        _up(BEHIND, Number(behind, there.spot), back.spot),
        *claims,
        *said[second:],
    ]


def _may_turn(statement: Statement) -> bool:
    """Whether it is a row that turns; of a row that is not built yet, those alike tell."""
    if not isinstance(statement, RowLine) or statement.rounds:
        return False
    row = statement.row
    items = (row.shape.like if isinstance(row, LateRow) else row).items
    return any(isinstance(i, Turn) for i in items)


class _Turned(NamedTuple):
    """A row that turns: its stitches by size, and those laid on at the turn."""

    plain: Stitch
    worked: _Counts
    laid: _Counts
    cast_on: tuple[Item, ...] = ()


def _turned(row: RowLine) -> _Turned | None:
    """A plain row that turns, and perhaps casts on there; None for any other."""
    items = [i for i in row.row.items if not isinstance(i, Claim)]
    if len(items) not in {2, 3} or not isinstance(items[1], Turn) or items[1].wraps:
        return None
    plain, laid = items[0], items[2] if len(items) == 3 else None
    if not isinstance(plain, Stitch) or plain.parts not in ((("k", 1),), (("p", 1),)):
        return None
    if plain.count is None or plain.times or plain.at:
        return None
    if laid is None:
        return _Turned(plain, _of(plain.count), (0.0,))
    if not isinstance(laid, Stitch) or laid.parts != (("co", 1),) or laid.count is None:
        return None
    return _Turned(plain, _of(plain.count), _of(laid.count), (laid,))


def _sum(one: _Counts, other: _Counts, sign: int = 1) -> _Counts:
    """Both by size."""
    length = max(len(one), len(other))
    pairs = zip((one * length)[:length], (other * length)[:length], strict=True)
    return tuple(a + sign * b for a, b in pairs)


def _of(number: Number) -> _Counts:
    """By size; one that has none has nothing."""
    return tuple(value or 0.0 for value in number.values)


def _alone(said: Sequence[Statement], at: int, number: _Counts) -> bool:
    """Whether what follows is worked on so many alone."""
    first, after = said[at], said[at + 1] if at + 1 < len(said) else None
    told: Number | None = None
    if isinstance(first, YarnLine):
        hold = first.items[0] if len(first.items) == 1 else None
        told = hold.number if isinstance(hold, Hold) and hold.keep else None
    elif isinstance(first, Even) and isinstance(after, Claim) and not after.change:
        told = after.number
    return told is not None and not any(_sum(_of(told), number, -1))


def _closes(statement: Statement) -> bool:
    return isinstance(statement, StepLine) and statement.kind == "bind off" and statement.whole


def _ends(statement: Statement) -> bool:
    return isinstance(statement, Heading) and statement.kind == "part"


def _takes_up(statement: Statement) -> bool:
    return isinstance(statement, YarnLine) and all(
        isinstance(i, Hold) and i.stitch == "resume" for i in statement.items
    )


def _joins(statement: Statement) -> bool:
    return isinstance(statement, YarnLine) and all(isinstance(i, Stitch) for i in statement.items)


def _left(line: RowLine, turned: _Turned, place: str) -> RowLine:
    """The row with what it does not work put aside, and what is laid on at its end."""
    aside = Hold("rest", None, (place,), line.spot)
    return replace(line, row=replace(line.row, items=(turned.plain, aside, *turned.cast_on)))


def _up(place: str, number: Number | None, spot: Spot) -> YarnLine:
    return YarnLine((Hold("resume", number, (place,), spot),), spot)


def _with_ahead(said: Sequence[Statement], spot: Spot) -> list[Statement]:
    """Statements that begin with what waits ahead; what is picked up before it comes first."""
    first, *others = said
    up = _up(AHEAD, None, spot)
    if isinstance(first, RowLine) and any(isinstance(i, Hold) for i in first.row.items):
        kept = (i for i in first.row.items if not isinstance(i, Hold))
        return [replace(first, row=replace(first.row, items=(*up.items, *kept))), *others]
    if isinstance(first, StepLine) and first.kind == "pick up" and first.row:
        picked, *rest = first.row.items
        return [replace(first, row=replace(first.row, items=(picked, *up.items, *rest))), *others]
    return [up, *said]


def _uncounted(
    said: Sequence[Statement],
) -> tuple[list[Statement], list[Statement]]:
    """Statements without the counts after them, which are of all stitches; and those counts."""
    kept: list[Statement] = []
    claims: list[Statement] = []
    for statement in said:
        if isinstance(statement, Claim):
            claims.append(statement)
        elif isinstance(statement, (RowLine, StepLine)) and (row := statement.row):
            claims += [i for i in row.items if isinstance(i, Claim) and not i.change]
            kept.append(replace(statement, row=uncounted(row)))
        else:
            kept.append(statement)
    return kept, claims
