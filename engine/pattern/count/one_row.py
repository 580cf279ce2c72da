"""One row of a pattern, worked on the loops that are there: its stitches, side and direction."""

from collections.abc import Iterable, Sequence
from functools import partial

from engine.pattern.count.decide import work_row
from engine.pattern.count.drafts import Template
from engine.pattern.count.fabric import established, patterned
from engine.pattern.count.ledger import Ledger
from engine.pattern.count.tally import RowSetting
from engine.pattern.count.worked import Worked
from engine.pattern.text.tree import AsRow, Claim, Hold, Item, Number, Spot, Stitch, number_of
from models.script import Craft, Direction, Kind, Operation
from models.stitch import STITCHES

FLIP = {"RS": "WS", "WS": "RS"}


def emit(
    ledger: Ledger,
    template: Template,
    *,
    side: str | None = None,
    direction: str | None = None,
    spot: Spot | None = None,
    claimed: bool = False,
) -> None:
    """Work one row of a template. A count said after it holds only where it is `claimed`."""
    where = spot or template.spot
    going, facing = _travel(ledger, template.rounds, side, direction, where)
    if template.even is not None:
        operations = _even_operations(ledger, template, facing, going)
        items: tuple[Item, ...] = _as_items(operations, where)
    else:
        items = template.items
        if not claimed:
            items = tuple(i for i in items if not isinstance(i, Claim))
    worked, before, after = work_items(ledger, items, where, strict=True, rounds=template.rounds)
    kind = Kind.ROUND if template.rounds else Kind.ROW
    if not any(STITCHES[o.stitch].takes for o in worked.operations) and before:
        ledger.fault(where, "works no loop of the row", "write what is done with them")
    ledger.draft(
        kind,
        worked.operations,
        where,
        before=before,
        after=after,
        direction=going,
        side=facing,
    )
    if template.rounds:
        ledger.marks = sorted(worked.marks)
    else:
        ledger.marks = sorted(max(0, after - m) for m in worked.marks)
    ledger.history.append(template)


def work_items(
    ledger: Ledger, items: Sequence[Item], spot: Spot, *, strict: bool, rounds: bool
) -> tuple[Worked, int, int]:
    """The worked row with the loops before and after it; the counters move on."""
    whole = (*ledger.pending, *items)
    ledger.pending = []
    worked, before, ledger.rests = work_row(
        whole,
        ledger.live,
        ledger.size,
        RowSetting(
            word=ledger.word,
            marks=tuple(ledger.marks),
            as_row=partial(_find, ledger),
            strict=strict,
            in_round=rounds,
            rests=ledger.rests,
            place=ledger.place,
        ),
    )
    for found in worked.misfits:
        ledger.misfit(found)
    ledger.spend(worked, spot)
    after = before + worked.leaves - worked.takes
    if not worked.fits:
        # What the pattern says it leaves is the likelier count to go on with.
        claims = worked.claims[-1:]
        after = claims[0].wanted(before, ledger.size) if claims else max(0, after)
    ledger.live = after
    return worked, before, after


def _find(ledger: Ledger, wanted: AsRow) -> tuple[Item, ...] | None:
    if wanted.name:
        named = ledger.named.get(wanted.name)
        return named.items if named else None
    number = wanted.rows[0][0].whole(ledger.size) if wanted.rows else 0
    template = ledger.block.get(number)
    return template.items if template else None


def _travel(
    ledger: Ledger, rounds: bool, side: str | None, direction: str | None, spot: Spot
) -> tuple[Direction | None, str | None]:
    """Direction and side of the next row, and what the row after it will have."""
    told = None if not direction else Direction(direction)
    if rounds:
        return (None if direction == "" else told or Direction.AROUND), None
    if ledger.craft is Craft.NEEDLES:
        expected = ledger.next_side or "RS"
        if side and ledger.next_side and side != expected:
            _wrong_side(ledger, side, expected, spot)
        now = None if side == "" else side or expected
        ledger.next_side = FLIP[now] if now else None
        return (None if direction == "" else told or Direction.RIGHT_TO_LEFT), now
    if told is None and side and ledger.next_direction is None:
        told = Direction.RIGHT_TO_LEFT if side == "RS" else Direction.LEFT_TO_RIGHT
    going = told or ledger.next_direction or Direction.RIGHT_TO_LEFT
    if side and direction is None and (side == "RS") != (going is Direction.RIGHT_TO_LEFT):
        _wrong_side(ledger, side, FLIP[side], spot)
    ledger.next_direction = going.back
    return (None if direction == "" else going), None


def _wrong_side(ledger: Ledger, said: str, comes: str, spot: Spot) -> None:
    ledger.warn(
        spot,
        f"is marked {said}, and comes as a {comes} row",
        "work one row more or fewer before it, or mark it so",
    )


def _even_operations(
    ledger: Ledger, template: Template, side: str | None, going: Direction | None
) -> list[Operation]:
    even = template.even
    assert even is not None  # only called for one
    count = ledger.live
    for item in ledger.pending:
        if isinstance(item, Hold):
            held = number_of(item.number, ledger.size, 0)
            count += -held if item.stitch == "rest" else held * len(item.places)
    row = ledger.out.rows.get(ledger.part, 0) - ledger.even_from
    back = side == "WS" or going is Direction.LEFT_TO_RIGHT
    if even.style or even.stitch != "work":
        rib = even.rib
        return patterned(
            even.style or even.stitch,
            count,
            row,
            rib=(rib[0].whole(ledger.size), rib[1].whole(ledger.size)) if rib else (1, 1),
            back=back,
            turned=side is not None,
            rounds=template.rounds,
        )
    before = ledger.last_rows.get(side)
    return established(before.operations if before else None, count, purl=side == "WS")


def side_after(ledger: Ledger, rows: int) -> str:
    """Side of the last of so many rows from here."""
    if ledger.craft is Craft.NEEDLES:
        first = ledger.next_side or "RS"
    else:
        going = ledger.next_direction or Direction.RIGHT_TO_LEFT
        first = "RS" if going is Direction.RIGHT_TO_LEFT else "WS"
    return first if rows % 2 else FLIP[first]


def _as_items(operations: Iterable[Operation], spot: Spot) -> tuple[Item, ...]:
    return tuple(
        Stitch(((o.stitch, 1),), spot, Number((float(o.times),), spot), at=o.at) for o in operations
    )
