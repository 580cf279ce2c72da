"""Steps that are no rows: foundation, bind off, measurement, checks and the yarn's ends."""

from collections.abc import Sequence
from dataclasses import replace

from engine.pattern.count.halves import close_halves
from engine.pattern.count.ledger import Ledger
from engine.pattern.count.one_row import work_step
from engine.pattern.count.sides import OTHERS, within_round
from engine.pattern.count.worked import Worked
from engine.pattern.text.numbers import Number, Spot, number_of
from engine.pattern.text.read import WEAVE_IN
from engine.pattern.text.row_items import Claim, Hold, Item, Stitch
from engine.pattern.text.statements import Note, RowLine, StepLine, Talk, YarnLine
from models.script import LOOP_KINDS, ROW_KINDS, Craft, Direction, Kind, Operation

_LOOK_NOTES = {
    Kind.BACK_CHECK: "Look at the back before going on: a missed loop sticks out there",
    Kind.FIT_CHECK: "Try it on before going on",
    Kind.FINISH: WEAVE_IN,
}


def step_line(ledger: Ledger, step: StepLine) -> None:
    """A step that is no row."""
    spot = step.spot
    if step.kind in {"graft", "three-needle"}:
        close_halves(ledger, step)
        return
    kind = Kind.FINISH if step.kind == "weave in" else Kind(step.kind)
    if kind is Kind.MEASURE:
        cm = step.target.real(ledger.size) * step.unit if step.target else None
        note = f"Lay it flat and measure: {cm:g} cm is wanted" if cm else "Lay it flat and measure"
        ledger.draft(kind, [], spot, target_cm=cm, before=ledger.live, after=ledger.live, note=note)
        return
    items: Sequence[Item] = step.row.items if step.row else ()
    if _gathers(items) and step.said_all and not ledger.live and ledger.out.drafts:
        return  # "pull the tail through" where all is bound off fastens the last loop again
    if step.row:
        ledger.slips(step.row)
    if step.whole:
        items = _all_off(ledger, step, list(items))
    if kind is Kind.PICK_UP:
        items = [_one_of_two(ledger, i) if isinstance(i, Hold) else i for i in items]
    flat = not ledger.in_round
    worked, before, after = _moves(ledger, items, spot, kind)
    direction = Direction.LEFT_TO_RIGHT if kind is Kind.FOUNDATION else None
    if kind is Kind.PICK_UP and flat and ledger.in_round:
        direction = Direction.AROUND  # the instep is taken up again, and it is a tube once more
    if step.marks and step.marks.direction is not None:
        direction = Direction(step.marks.direction) if step.marks.direction else None
    side = (step.marks.side or None) if step.marks and ledger.craft is Craft.NEEDLES else None
    if kind in LOOP_KINDS and not worked.operations:
        ledger.fault(spot, f"says {kind.value} and nothing to do", "write how many, and where")
    ledger.draft(
        kind,
        worked.operations,
        spot,
        before=before,
        after=after,
        direction=direction,
        side=side,
        note=_LOOK_NOTES.get(kind, ""),
    )
    if kind is Kind.PICK_UP and not ledger.in_round:
        ledger.next_side = _marked_next(ledger) or ledger.next_side
    # what a round that is picked up leaves unworked comes first in the next one
    first = ledger.live - worked.leaves if kind is Kind.PICK_UP and ledger.in_round else 0
    ledger.marks = sorted(m + max(0, first) for m in worked.marks)


def _marked_next(ledger: Ledger) -> str | None:
    """The side that is marked on the row after a pick-up: only the text knows which side faced."""
    said = (s for s in ledger.following if not isinstance(s, (Claim, Note, Talk)))
    row = next(said, None)
    return (row.marks.side or None) if isinstance(row, RowLine) and row.marks else None


def _gathers(items: Sequence[Item]) -> bool:
    first = items[0] if items else None
    return isinstance(first, Stitch) and first.parts[0][0] == "fasten" and first.count is None


def _moves(
    ledger: Ledger, items: Sequence[Item], spot: Spot, kind: Kind
) -> tuple[Worked, int, int]:
    if kind in LOOP_KINDS or items:
        return work_step(ledger, items, spot)
    return Worked(marks=ledger.marks), ledger.live, ledger.live


def _all_off(ledger: Ledger, step: StepLine, items: list[Item]) -> list[Item]:
    """`Bind off all` fastens the last loop; a smaller number leaves the others as they are."""
    first = items[0]
    assert isinstance(first, Stitch)  # the bind-off itself, put there by the reader
    said = first.count.whole(ledger.size) if first.count else ledger.live
    gathers = first.parts[0][0] == "fasten"
    if step.said_all and said != ledger.live:
        ledger.fault(
            step.spot,
            f"{'closes' if gathers else 'binds off'} {said} as all there are, {ledger.live} are "
            "there",
            f"write {ledger.live}",
        )
    if said < ledger.live and not step.said_all:
        return items
    one = Number((1.0,), step.spot)
    if gathers:
        drawn = Stitch((("fasten", 1),), first.spot, Number((float(ledger.live),), step.spot))
        cut = [] if _yarn_is_cut(ledger) else [Stitch((("tail", 1),), step.spot, one)]
        return [*cut, drawn]
    close: list[Item] = [
        Stitch((("bo", 1),), first.spot, Number((float(max(0, ledger.live - 1)),), step.spot))
    ]
    rest = items[1:]
    if said > ledger.live:
        return items
    told = {i.parts[0][0] for i in rest if isinstance(i, Stitch)}
    if not ledger.pending and _yarn_is_cut(ledger):
        told.add("tail")
    for stitch in ("fasten", "tail"):
        if stitch not in told:
            close.append(Stitch(((stitch, 1),), step.spot, one))
    return close + rest


def _yarn_is_cut(ledger: Ledger) -> bool:
    """Whether the last thing done with the yarn was to cut it: it is not cut again."""
    ends = [
        o.stitch
        for d in ledger.out.drafts[-1:]
        for o in d.operations
        if o.stitch in {"tail", "join"}
    ]
    return ends[-1:] == ["tail"]


def yarn_line(ledger: Ledger, line: YarnLine) -> None:
    """A line about the yarn's ends: it goes with the step before or after."""
    for item in line.items:
        if isinstance(item, Stitch) and item.parts[0][0] in {"tail", "fasten"}:
            _end_of_yarn(ledger, item.parts[0][0])
        elif isinstance(item, Hold):
            if not within_round(ledger, item):
                ledger.pending += _counted(ledger, item)
        else:
            ledger.pending.append(item)


def _counted(ledger: Ledger, item: Hold) -> list[Item]:
    """Loops put aside or taken up in a line of its own: how many, where the text does not say."""
    waiting = [i for i in ledger.pending if isinstance(i, Hold)]
    there = ledger.live + sum(
        number_of(i.number, ledger.size, 0) * (-1 if i.stitch == "rest" else 1) for i in waiting
    )
    if item.stitch == "rest" and item.next and not there:
        # "Slip centre 12 sts onto a holder", of those that wait: they are taken up for it
        waits = [(place, n) for place, n in ledger.rests.items() if n]
        waits = [w for w in waits if w[0] == OTHERS] or waits
        if len(waits) == 1 and number_of(item.number, ledger.size, 0) < waits[0][1]:
            all_up = Hold("resume", _number(waits[0][1], item.spot), (waits[0][0],), item.spot)
            return [all_up, replace(item, places=("centre",))]
    last = waiting[-1] if waiting else None
    if item.stitch == "rest" and not item.keep and last and last.places == (OTHERS,):
        size = ledger.size
        if item.number and number_of(item.number, size, 0) == number_of(last.number, size, -1):
            return []  # "over the first 28 sts; leave the remaining 28 sts on hold": said twice
    if item.keep:
        if item.number:
            count = there - item.number.whole(ledger.size)
        elif ledger.holes:
            count = there - ledger.holes[0]
        else:
            count = there // 2 if there % 2 == 0 else 0
        return [replace(item, number=_number(count, item.spot), keep=False)]
    if item.stitch == "resume" and len(item.places) == 1:
        rests = dict(ledger.rests)
        for hold in waiting:
            place = hold.places[0]
            by = number_of(hold.number, ledger.size, 0) * (1 if hold.stitch == "rest" else -1)
            rests[place] = rests.get(place, 0) + by
        places = [p for p, n in rests.items() if n]
        if there and not item.places[0]:
            return []  # "rejoin yarn to the remaining sts": those are in work already
        if item.places[0] not in places and places and (len(places) == 1 or not item.places[0]):
            item = replace(item, places=(places[-1],))
        item = item if waiting else _one_of_two(ledger, item)
        there_now = rests.get(item.places[0])
        if item.number is None and there_now:
            return [replace(item, number=_number(there_now, item.spot))]
    return [item]


def _one_of_two(ledger: Ledger, item: Hold) -> Hold:
    """`Sleeves: place held sts on needles`: of two lots as large, one and then the other.

    Only where the part is told once for two; else all that wait at the place are taken up.
    """
    waiting = [(place, n) for place, n in ledger.rests.items() if n]
    if item.stitch != "resume" or item.number or len(waiting) != 1:
        return item
    ((place, there),) = waiting
    left = ledger.left_at(place, there)
    if not ledger.part.lower().endswith("s") or len(left) != 2 or left[0] != left[1]:
        return item
    return replace(item, number=_number(left[0], item.spot))


def _number(count: int, spot: Spot) -> Number:
    return Number((float(max(0, count)),), spot)


def _end_of_yarn(ledger: Ledger, stitch: str) -> None:
    """The yarn's end belongs to the step before; a loop fastened twice is fastened once."""
    moved = [d for d in ledger.out.drafts[-1:] if d.kind in LOOP_KINDS]
    if not moved:
        return
    draft = moved[0]
    if stitch == "fasten":
        if not ledger.live:
            return
        if draft.kind in ROW_KINDS:
            last = [Operation(stitch="fasten", times=ledger.live)]
            if ledger.live == 1:
                ledger.draft(Kind.BIND_OFF, last, draft.spot, before=1, after=0)
                ledger.live = 0
            return
        ledger.live -= 1
        draft.after -= 1
    elif any(o.stitch == "tail" for o in draft.operations):
        return
    draft.operations.append(Operation(stitch=stitch, times=1))
