"""One side of a piece and then the other: a divided neck, a heel's flap, "complete to match".

The side that is worked first begins where the other's loops are put aside. What is said from there
until those are taken up again is its own, and is what "to match first side" works once more,
as its mirror image where shaping lies at the neck or armhole edge.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from engine.pattern.text.numbers import Number, Spot
from engine.pattern.text.row_items import Claim, Hold, Limit, Row, Toward, Until
from engine.pattern.text.statements import (
    AsPart,
    Both,
    Heading,
    RowLine,
    ShapeRows,
    Span,
    Statement,
    Turns,
    YarnLine,
)
from models.script import Direction

if TYPE_CHECKING:
    from engine.pattern.count.ledger import Ledger

Say = Callable[[Statement, Sequence[Statement]], None]
OTHERS = "the other stitches"


@dataclass
class Split:
    """Where a piece was divided: how the side that is left would be begun, and what was said."""

    side: str | None
    direction: Direction | None
    said: list[Statement]
    in_round: bool = False
    rows: int = 0
    """Rows of the piece there were."""


def keep_sides(ledger: Ledger, statement: Statement) -> None:
    """Note what is said of the side that is worked first."""
    holds = _holds(statement)
    if any(within_round(ledger, h) for h in holds):
        return
    if any(h.keep for h in holds):
        side, going, around = ledger.next_side, ledger.next_direction, ledger.in_round
        ledger.split = Split(side, going, [], around, ledger.rows_so_far)
        ledger.split_done = ledger.in_round = False
    elif ledger.in_round and any(h.stitch == "rest" for h in holds) and _flat(statement):
        ledger.split = Split("RS", None, [], in_round=True, rows=ledger.rows_so_far)
        ledger.split_done = ledger.in_round = False
    elif isinstance(statement, RowLine) and not ledger.in_round and _leaves_rest(statement):
        # "K16, place remaining sts on a holder": the other side begins with that row
        spot = statement.spot
        across = Row((Toward((("k", 1),), Limit(Until.LAST, at_least_all=True), spot),), spot)
        first = RowLine("next", False, across, spot)
        side, going = ledger.next_side or "RS", ledger.next_direction
        ledger.split = Split(side, going, [first], rows=ledger.rows_so_far)
        ledger.split_done = False
    elif ledger.split and holds and not ledger.live:
        ledger.split_done = True
        ledger.in_round = ledger.split.in_round or ledger.in_round
    elif ledger.split and any(h.stitch == "resume" for h in holds):
        ledger.split_done = True
        ledger.in_round = ledger.split.in_round
    elif ledger.split and not ledger.split_done and not isinstance(statement, (AsPart, Heading)):
        ledger.split.said.append(statement)


def within_round(ledger: Ledger, item: Hold) -> bool:
    """Whether what is to be put aside lies beyond both turns of a heel that reaches back over the
    beginning of its round: it is out of reach there without a holder.

    `K10, turn. Sl 1, p19, turn. Leave the other 20 sts on hold` on 40.
    """
    stood = ledger.standing
    if stood is None or not stood.ring or item.stitch != "rest" or item.next or not item.number:
        return False
    said = item.number.whole(ledger.size)
    if item.keep:
        return said > stood.ahead
    last = ledger.out.drafts[-1:]
    return ledger.live - said == sum(o.takes for d in last for o in d.operations)


def apart(ledger: Ledger, line: RowLine) -> RowLine:
    """The row, with a place of its own for what it leaves where others wait on the holder."""
    last = line.row.items[-1] if line.row.items else None
    if not (isinstance(last, Hold) and _leaves_rest(line) and ledger.rests.get(last.places[0])):
        return line
    aside = replace(last, places=(OTHERS,))
    return replace(line, row=replace(line.row, items=(*line.row.items[:-1], aside)))


def _leaves_rest(line: RowLine) -> bool:
    """Whether a row ends with what it leaves on a holder."""
    items = [i for i in line.row.items if not isinstance(i, Claim)]
    last = items[-1] if len(items) > 1 else None
    return isinstance(last, Hold) and last.stitch == "rest" and not last.next


def _flat(statement: Statement) -> bool:
    """Whether it is a row, and not a round."""
    return isinstance(statement, RowLine) and statement.rounds is False


def _holds(statement: Statement) -> list[Hold]:
    items: Sequence[object] = ()
    if isinstance(statement, YarnLine):
        items = statement.items
    elif isinstance(statement, RowLine):
        items = statement.row.items
    return [i for i in items if isinstance(i, Hold)]


def first_side(ledger: Ledger, said: AsPart) -> Sequence[Statement] | None:
    """What was said of the side that was worked first; the hand is put where that one began."""
    split = ledger.split
    if split is None or not split.said:
        ledger.fault(said.spot, "is as the first side, and none was worked alone", "write its rows")
        return None
    if not ledger.split_done and ledger.rests.get(OTHERS):
        waiting = Number((float(ledger.rests[OTHERS]),), said.spot)
        ledger.pending.append(Hold("resume", waiting, (OTHERS,), said.spot))
    ledger.split_done = True
    ledger.next_side, ledger.next_direction = split.side, split.direction
    ledger.rows_before -= ledger.rows_so_far - split.rows
    return split.said


def both_sides(ledger: Ledger, said: Both, following: Sequence[Statement], say: Say) -> int:
    """Work one side of a neck and then the other; how many statements that took."""
    mine: list[Statement] = []
    for statement in following:
        if isinstance(statement, Heading) and statement.kind == "part":
            break
        mine.append(_of_one_side(statement, said.spot))
    spot = said.spot
    aside = Hold("rest", None, (OTHERS,), spot, keep=True)
    say(YarnLine((aside,), spot), mine)
    for index, statement in enumerate(mine):
        say(statement, mine[index + 1 :])
    say(YarnLine((Hold("resume", None, (OTHERS,), spot),), spot), ())
    say(AsPart("first side", spot, reversed=True), ())
    return len(mine)


def _of_one_side(statement: Statement, spot: Spot) -> Statement:
    """`BO 7 sts at beg of next 4 rows` is two times for each shoulder."""
    if not (
        isinstance(statement, ShapeRows)
        and statement.stitch == "bo"
        and statement.where == "beginning"
        and len(statement.turns) == 1
    ):
        return statement
    (turn,) = statement.turns
    number = turn.span.number
    if turn.span.kind != "times" or number is None or not turn.first_now:
        return statement
    half = replace(number, values=tuple(None if v is None else v // 2 for v in number.values))
    others = replace(half, values=tuple(None if v is None else v - 1 for v in half.values))
    first, later = Turns(1, True, Span("once")), Turns(2, False, Span("times", others))
    return replace(statement, where="armhole edge", turns=(first, later), claim=None)
