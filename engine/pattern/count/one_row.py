"""One row of a pattern, worked on the loops that are there: its stitches, side and direction."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial

from engine.pattern.count.decide import work_row
from engine.pattern.count.described import called
from engine.pattern.count.drafts import Template
from engine.pattern.count.edges import edge_of
from engine.pattern.count.fabric import established, patterned
from engine.pattern.count.ledger import Ledger
from engine.pattern.count.marked_off import marked_off
from engine.pattern.count.meanwhile import with_others
from engine.pattern.count.over_gaps import over_gaps
from engine.pattern.count.plain_rows import planned
from engine.pattern.count.reach import loops_of
from engine.pattern.count.same_rows import block_of
from engine.pattern.count.sides import OTHERS, Split
from engine.pattern.count.standing import Standing, back_again, from_there, turned
from engine.pattern.count.tally import RowSetting, Tally
from engine.pattern.count.travel import Way, travel
from engine.pattern.count.worked import Worked
from engine.pattern.text.numbers import Number, Spot, number_of
from engine.pattern.text.row_items import (
    DROPPING,
    AsRow,
    Claim,
    Group,
    Hold,
    Item,
    Limit,
    Marker,
    Stitch,
    Toward,
    Turn,
    Until,
)
from models.script import ROW_KINDS, Direction, Kind, Operation
from models.stitch import STITCHES

ON_NONE = "is worked on"
"""How it is told that a row stands where no loop is."""


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
    _put_instep_aside(ledger, template, where)
    stood = ledger.standing
    ring = stood.ring if stood else template.rounds or ledger.rounds
    if stood and ring:
        template = replace(template, rounds=not stood.back)
    way = travel(ledger, template.rounds, side, direction, where)
    if ledger.beside and not stood:
        template = with_others(ledger, template, way, where)
    ahead = stood.ahead if stood else ledger.live
    items: tuple[Item, ...] = ()
    if template.even is not None:
        operations = _even_operations(ledger, template, ahead, way.side, way.direction)
        items = _as_items(operations, where)
    if not (stood or ledger.pending or ledger.marks or ledger.gaps or ledger.rests):
        plan = planned(items, ledger.size) if items else ledger.plans.of(template.said, ledger.size)
        plain = plan.work(ledger.live, ledger.size, claimed=claimed) if plan else None
        if plain is not None:
            ledger.spend(plain, where)
            before, ledger.live, ledger.holes = ledger.live, plain.leaves, []
            _made(ledger, template, plain, way, where, before=before, after=plain.leaves)
            return
    if template.even is None:
        items = template.items
        if not claimed:
            items = tuple(i for i in items if not isinstance(i, Claim))
    items = _to_the_end(items, ahead, ledger.size)
    behind = stood.behind if stood else 0
    items = marked_off(items, ledger.size, from_there(ledger.marks, behind), ahead)
    items = over_gaps(items, from_there(ledger.holes, behind, here=False))
    turns = any(isinstance(i, Turn) for i in items)
    here = stood or Standing(ahead, 0, back=False, ring=ring)
    worked, reach, left = _work(
        ledger,
        items,
        where,
        RowSetting(
            in_round=ring,
            beyond=here.behind if ring and turns else 0,
            elsewhere=here.behind,
            marks=from_there(ledger.marks, here.behind),
            gaps=from_there(ledger.gaps, here.behind, here=False),
            holes=from_there(ledger.holes, here.behind, here=False),
            instep=ledger.instep,
            edge=partial(edge_of, ledger.edge_part, facing=way.side, going=way.direction),
        ),
        here.ahead,
    )
    before, after = reach + here.behind, left + here.behind
    ledger.live = after
    idle = not any(STITCHES[o.stitch].takes for o in worked.operations)
    if idle and before and worked.fits:
        ledger.fault(where, "works no loop of the row", "write what is done with them")
    elif not before and not after:
        ledger.fault(where, f"{ON_NONE} {ledger.n(0)}", "cast on before it")
    _made(ledger, template, worked, way, where, before=before, after=after)
    _turn_over(ledger, replace(here, ahead=reach), worked)
    if ledger.described:
        _chart_on(ledger, items)


def _to_the_end(items: tuple[Item, ...], there: int, size: int) -> tuple[Item, ...]:
    """`(k2tog, k3, p1). 30 sts`, on 36: all of a row, in brackets, is worked to its end."""
    told = [i for i in items if not isinstance(i, Claim)]
    group = told[0] if len(told) == 1 else None
    if not isinstance(group, Group) or group.times or group.limit or group.into or group.starred:
        return items
    once = loops_of(Tally(there, size, RowSetting()), group.items)
    if not once or once == there or there % once:
        return items
    again = replace(group, limit=Limit(Until.LAST, at_least_all=True))
    return tuple(again if i is group else i for i in items)


def _made(
    ledger: Ledger,
    template: Template,
    worked: Worked,
    way: Way,
    spot: Spot,
    *,
    before: int,
    after: int,
) -> None:
    """Write the row down."""
    ledger.draft(
        Kind.ROUND if template.rounds else Kind.ROW,
        worked.operations,
        spot,
        before=before,
        after=after,
        direction=way.direction,
        side=way.side,
    )
    ledger.history.append(template)


def _chart_on(ledger: Ledger, items: Sequence[Item]) -> None:
    """A chart that is worked within the row goes on with its next row."""
    for item in items:
        if isinstance(item, Group):
            _chart_on(ledger, item.items)
        elif isinstance(item, AsRow) and item.of:
            at = ledger.charted.get(item.of, 0)
            said = item.rows[0][0].whole(ledger.size) if item.rows else at + 1
            ledger.charted[item.of] = said


def _put_instep_aside(ledger: Ledger, template: Template, spot: Spot) -> None:
    """In a tube, "Knit 18, turn. Row 1: sl 1, p17. Row 2: k to end" goes on over those 18, and
    "K9, turn. Sl 1, p17, turn. Row 1: k to end" over the 18 between its turns.
    """
    if _between_turns(ledger, template):
        others = ledger.live - sum(o.leaves for o in ledger.out.drafts[-1].operations)
        ledger.split = Split("RS", None, [], in_round=True, rows=ledger.rows_so_far)
        ledger.split_done = ledger.in_round = False
        ledger.standing, ledger.marks, ledger.gaps = None, [], []
        ledger.pending.append(Hold("rest", Number((float(others),), spot), (OTHERS,), spot))
        return
    if (
        not ledger.in_round
        or template.rounds
        or template.even is not None
        or ledger.standing
        or ledger.split
        or len(ledger.gaps) != 1
    ):
        return
    others = ledger.live - ledger.gaps[0]
    if others > 0:
        going = ledger.next_direction
        ledger.split = Split("RS", going, [], in_round=True, rows=ledger.rows_so_far)
        ledger.split_done = ledger.in_round = False
        ledger.gaps = []
        ledger.pending.append(Hold("rest", Number((float(others),), spot), (OTHERS,), spot))


def _between_turns(ledger: Ledger, template: Template) -> bool:
    """Whether a flat row goes to the end of a heel that two rows have turned in a tube, the second
    of them over the beginning of the round.
    """
    stood, last = ledger.standing, ledger.out.drafts[-2:]
    if stood is None or not stood.ring or stood.back or template.rounds or len(last) < 2:
        return False
    turned = [
        d for d in ledger.out.drafts[-3:] if d.operations and d.operations[-1].stitch == "turn"
    ]
    first, second = last
    return (
        template.even is None
        and ledger.in_round
        and turned == [first, second]
        and sum(o.takes for o in second.operations) > sum(o.leaves for o in first.operations)
        and any(_to_its_end(i) for i in template.items)
    )


def _to_its_end(item: Item) -> bool:
    """Whether an item goes on to the row's end, whatever it counts."""
    if isinstance(item, Stitch):
        return item.bare
    if isinstance(item, Group) and item.starred and not item.times and item.limit is None:
        return True
    limit = item.limit if isinstance(item, (Group, Toward)) else None
    return limit is not None and limit.until is Until.LAST


def _turn_over(ledger: Ledger, here: Standing, worked: Worked) -> None:
    """Markers and gaps as the next row finds them, and where the hand begins it."""
    around = here.ring and not worked.turned and not here.back
    if around:
        ledger.marks, ledger.gaps = sorted(worked.marks), sorted(worked.gaps)
        ledger.holes = sorted(worked.holes)
    else:
        turn = partial(back_again, behind=here.behind, total=ledger.live)
        ledger.marks = turn(ledger.marks, made=worked.marks)
        ledger.gaps = sorted({*turn(ledger.gaps, made=worked.gaps, here=False)})
        ledger.holes = turn((), made=worked.holes)
    stood = turned(here, worked) if worked.turned else None
    if stood and stood.ring and not (stood.behind or stood.back):
        stood = None  # back at the round's beginning, whether or not it says "turn" there
        ledger.gaps = [gap for gap in ledger.gaps if 0 < gap < ledger.live]
    ledger.standing = stood


def work_step(ledger: Ledger, items: Sequence[Item], spot: Spot) -> tuple[Worked, int, int]:
    """A step that is no row, with the loops before and after it; the counters move on."""
    setting = RowSetting(strict=False, in_round=ledger.in_round, marks=tuple(ledger.marks))
    ledger.standing, ledger.gaps, ledger.holes = None, [], []
    worked, before, ledger.live = _work(ledger, items, spot, setting, ledger.live)
    return worked, before, ledger.live


def _work(
    ledger: Ledger, items: Sequence[Item], spot: Spot, setting: RowSetting, live: int
) -> tuple[Worked, int, int]:
    """Work items on `live` loops; those that were there for it, and those there are after it."""
    whole = (*ledger.pending, *_with_others(ledger, items, live))
    ledger.pending = []
    worked, before, ledger.rests = work_row(
        whole,
        live,
        ledger.size,
        replace(
            setting,
            word=ledger.word,
            as_row=partial(_find, ledger),
            rests=ledger.rests,
            place=ledger.place,
        ),
    )
    for found in worked.misfits:
        ledger.misfit(found)
    ledger.spend(worked, spot)
    _rows_from_there(ledger, worked, live)
    after = before + worked.leaves - worked.takes
    if not worked.fits:
        # What the pattern says it leaves is the likelier count to go on with.
        claims = worked.claims[-1:]
        after = claims[0].wanted(before, ledger.size) if claims else max(0, after)
    return worked, before, after


def _rows_from_there(ledger: Ledger, worked: Worked, live: int) -> None:
    """Loops that wait keep the rows that there were when they were put aside: the front begins
    where the back did.
    """
    for done in worked.operations:
        if done.stitch.startswith("rest"):
            ledger.aside_at[done.at] = ledger.rows_so_far
        elif done.stitch == "resume" and not live and done.at in ledger.aside_at:
            now, then = ledger.rows_so_far, ledger.aside_at[done.at]
            if then >= now:
                continue  # a piece of its own
            ledger.rows_before -= now - then
            begun = {name: then for name, rows in ledger.sections.items() if rows == now}
            ledger.sections.update(begun)


def _with_others(ledger: Ledger, items: Sequence[Item], live: int) -> Sequence[Item]:
    """`K32 across instep`, while those 32 wait: they are taken up where they are worked."""
    waiting = ledger.rests.get(OTHERS, 0)
    if not waiting or any(isinstance(i, Hold) for i in (*ledger.pending, *items)):
        return items
    for index, item in enumerate(items):
        if isinstance(item, Toward) and item.limit.until is Until.WAITING:
            number = Number((float(waiting),), item.spot)
            over = Stitch(item.parts, item.spot, number)
            return (*items[:index], _instep(ledger, number, item.spot), over, *items[index + 1 :])
        count = item.count if isinstance(item, Stitch) else None
        if isinstance(item, Toward) and item.limit.until is Until.OVER:
            count = item.limit.short  # "knit across 20 instep sts"
        if (
            isinstance(item, (Stitch, Toward))
            and item.parts[0][0] in {"k", "p", "work"}
            and count
            and count.whole(ledger.size) == waiting
            and _more_than(items, live, ledger.size)
        ):
            number = Number((float(waiting),), item.spot)
            return (*items[:index], _instep(ledger, number, item.spot), *items[index:])
    return items


def _instep(ledger: Ledger, waiting: Number, spot: Spot) -> Hold:
    """What waited is taken up, and from there on it is round again, where it was."""
    if ledger.split:
        ledger.in_round = ledger.split.in_round
    ledger.instep = waiting.whole(ledger.size)
    return Hold("resume", waiting, (OTHERS,), spot)


def _more_than(items: Sequence[Item], live: int, size: int) -> bool:
    items = [
        Stitch(i.parts, i.spot, i.limit.short)
        if isinstance(i, Toward) and i.limit.until is Until.OVER
        else i
        for i in items
        if not isinstance(i, Marker)
    ]
    needs = loops_of(Tally(live, size, RowSetting()), items)
    return needs is not None and needs > live


def _find(ledger: Ledger, wanted: AsRow) -> tuple[Item, ...] | None:
    if wanted.name.startswith(DROPPING):
        return _overs_dropped(ledger, wanted)
    if wanted.name:
        named = ledger.named.get(wanted.name)
        return named.items if named else None
    number = wanted.rows[0][0].whole(ledger.size) if wanted.rows else 0
    if wanted.of:
        rows = called(ledger, wanted.of) or []
        at = number - 1 if number else ledger.charted.get(wanted.of, 0) % max(1, len(rows))
        return rows[at].items if 0 <= at < len(rows) else None
    template = block_of(ledger, wanted.part, [number], wanted.spot).get(number)
    return template.items if template else None


def _overs_dropped(ledger: Ledger, wanted: AsRow) -> tuple[Item, ...] | None:
    """`Knit across, dropping the yo's`: those of the row below fall, its other loops are worked."""
    below = next((d for d in reversed(ledger.out.drafts) if d.kind in ROW_KINDS), None)
    if below is None or below.part != ledger.part:
        return None
    if not any(o.stitch == "yo" for o in below.operations):
        return None
    operations = below.operations[::-1] if below.kind is Kind.ROW else below.operations
    stitch = wanted.name.removeprefix(DROPPING)
    done = (
        Operation(stitch="drop", times=o.times)
        if o.stitch == "yo"
        else Operation(stitch=stitch, times=o.times * STITCHES[o.stitch].leaves)
        for o in operations
        if STITCHES[o.stitch].leaves
    )
    return _as_items(done, wanted.spot)


def _even_operations(
    ledger: Ledger,
    template: Template,
    count: int,
    side: str | None,
    going: Direction | None,
) -> list[Operation]:
    even = template.even
    assert even is not None  # only called for one
    for item in ledger.pending:
        if isinstance(item, Hold):
            held = number_of(item.number, ledger.size, 0)
            count += -held if item.stitch == "rest" else held * len(item.places)
    row = ledger.out.rows.get(ledger.part, 0) - ledger.even_from
    back = side == "WS" or going is Direction.LEFT_TO_RIGHT
    known = ledger.fabric
    if known and known.style and not even.style and not even.patterned and even.stitch == "work":
        even = replace(even, style=known.style, rib=known.rib)
    if even.style or even.stitch != "work":
        rib = even.rib
        border = number_of(even.border, ledger.size, 0)
        edge = [Operation(stitch="k", times=border)] if 0 < 2 * border < count else []
        inside = patterned(
            even.style or even.stitch,
            count - 2 * border if edge else count,
            row,
            rib=(rib[0].whole(ledger.size), rib[1].whole(ledger.size)) if rib else (1, 1),
            back=back,
            turned=side is not None,
            rounds=template.rounds,
        )
        return [*edge, *inside, *edge]
    before = ledger.last_rows.get(side)
    return established(before.operations if before else None, count, purl=side == "WS")


def _as_items(operations: Iterable[Operation], spot: Spot) -> tuple[Item, ...]:
    return tuple(
        Stitch(((o.stitch, 1),), spot, Number((float(o.times),), spot), at=o.at) for o in operations
    )
