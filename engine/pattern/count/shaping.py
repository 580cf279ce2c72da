"""Rows that come again: repeats of rows written before, and shaping every so many rows."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile

from engine.pattern.count.described import called
from engine.pattern.count.drafts import Template
from engine.pattern.count.edges import edge_of
from engine.pattern.count.ledger import ROWS_AT_MOST, Ledger
from engine.pattern.count.meanwhile import Beside, left
from engine.pattern.count.one_row import emit
from engine.pattern.count.onward import go_onward
from engine.pattern.count.row_lines import fill_to, filler_for
from engine.pattern.count.same_rows import block_of
from engine.pattern.count.stretches import go_on, hold_to
from engine.pattern.count.travel import side_after
from engine.pattern.text.numbers import Number, Spot, number_of
from engine.pattern.text.row_items import (
    MARKER,
    MARKERS,
    Claim,
    Item,
    Limit,
    Shape,
    Stitch,
    Toward,
    Until,
)
from engine.pattern.text.statements import AtOnce, Even, Repeat, RowLine, ShapeRows, Span, Turns
from models.script import Craft


def repeat_rows(ledger: Ledger, repeat: Repeat) -> None:
    """Rows written before, worked again."""
    if repeat.kind == "onward":
        go_onward(ledger, repeat)
        return
    these = repeat.kind == "last" and repeat.number is None
    if these and repeat.span.kind in {"times", "once"} and _several_meant(ledger):
        ledger.fault(
            repeat.spot,
            "repeats these rows, and there are more than those of the line above it",
            "say how many they are, as in 'Repeat these 2 rows …'",
        )
        return
    templates = _meant(ledger, repeat)
    if not templates:
        known = ", ".join(str(n) for n in list(ledger.block)[:12]) or "none"
        ledger.fault(
            repeat.spot,
            "repeats rows that are not written",
            f"the rows written so far in this part are: {known}",
        )
        return
    span = repeat.span
    if span.kind == "times" and span.about and not repeat.turns:
        span = _as_many_rows(ledger, repeat, templates)
    here = ledger.history[-len(templates) :] == templates
    just_now = here and len(ledger.block) == len(templates)
    if repeat.afresh and span.kind == "times" and not span.more and not span.in_all and just_now:
        ledger.warn(
            repeat.spot,
            "works rows that stand just above it: their first time is counted in",
            "write 'more' or 'in all' after the times",
        )
        span = replace(span, in_all=True)
    if span.kind == "times" and span.in_all and not repeat.turns:
        span = _still_to_work(ledger, repeat, span, templates)
    if repeat.turns:
        turns = tuple(_once_done(t) if here else t for t in repeat.turns)
        _turns(ledger, turns, templates[0], change=0, claim=None, spot=repeat.spot)
    else:
        # "Row 1: rib. Repeat row 1 for 2 cm": its first time is one of those 2 cm.
        if span.kind == "once" and not repeat.last and _last_of_all(ledger):
            ledger.warn(
                repeat.spot,
                "repeats rows, and does not say how often: they are worked once more",
                "say how many times, or to what length",
            )
        done, but = len(templates) if here else 0, 1 if repeat.last else 0
        go_on(ledger, templates, span, repeat.spot, done=done, but=but)
        if repeat.last:
            shape_rows(ledger, repeat.last)


def _still_to_work(
    ledger: Ledger, repeat: Repeat, span: Span, templates: Sequence[Template]
) -> Span:
    """Times in all, less those that stand just above; none does of a stitch described elsewhere."""
    done = _times_done(ledger, templates)
    if not done and not (_described(ledger, repeat) and templates[0] not in ledger.history):
        done = 1  # they stand further up
    values = span.number.values if span.number else ()
    said = span.number.values[0] if span.number and len(values) == 1 else None
    if done == 1 or span.number is None:
        return span
    if said is not None and said < done:
        ledger.fault(
            repeat.spot,
            f"repeats rows {said:g} times in all, and they are worked {done} times already",
            "say how many times more",
        )
    left = tuple(None if n is None else max(0, n - done) for n in values)
    return replace(span, in_all=False, number=replace(span.number, values=left))


def _times_done(ledger: Ledger, templates: Sequence[Template]) -> int:
    """How often the rows were worked that came last."""
    history, each = ledger.history, len(templates)
    ends = range(len(history), each - 1, -each)
    return sum(takewhile(bool, (history[end - each : end] == list(templates) for end in ends)))


def _as_many_rows(ledger: Ledger, repeat: Repeat, templates: Sequence[Template]) -> Span:
    """`Five times (10 rows in all)`: the rows decide whether the first time is counted in."""
    span, each, done = repeat.span, len(templates), _times_done(ledger, templates)
    times, so_far = number_of(span.number, ledger.size, 1), ledger.rows_so_far
    said = number_of(span.about, ledger.size, 0)
    more, less = times * each, (times - done) * each
    own = ledger.out.rows.get(ledger.part, 0)  # "(36 rounds)" since the heading
    totals = {
        True: {(times + done) * each, so_far + more, own + more},
        False: {times * each, so_far + less, own + less},
    }
    if not span.about_all:
        totals[True].add(more)
    ways = [True] if span.more or not done else [False] if span.in_all else [True, False]
    fits = [way for way in ways if said in totals[way]]
    if len(fits) == 1:
        return replace(span, more=fits[0], in_all=not fits[0])
    if not fits:
        ledger.fault(
            repeat.spot,
            f"says that it comes to {said} rows, and {times} times {each} are {more}",
            f"write 'more' or 'in all' after the times, or {more} rows",
        )
    return span


def _last_of_all(ledger: Ledger) -> bool:
    """Whether nothing is worked after it."""
    works = (RowLine, Even, Repeat, ShapeRows)
    return not any(isinstance(s, works) for s in ledger.following)


def _once_done(turns: Turns) -> Turns:
    """`Repeat dec rnd every 8th rnd 11 times in all`: the one just worked is the first of them."""
    span = turns.span
    if span.kind != "times" or not span.in_all or span.number is None:
        return turns
    less = tuple(None if n is None else n - 1 for n in span.number.values)
    return replace(turns, span=replace(span, number=replace(span.number, values=less)))


def _meant(ledger: Ledger, repeat: Repeat) -> list[Template]:
    if repeat.kind == "named":
        named = [ledger.named.get(name) for name in repeat.name.split("|")]
        return [row for row in named if row] if all(named) else []
    if repeat.kind == "last":
        if repeat.number is None and not ledger.block:
            return _these(ledger)
        count = number_of(repeat.number, ledger.size, len(ledger.block) or 1)
        return ledger.history[-count:] if 0 < count <= len(ledger.history) else []
    described = _described(ledger, repeat)
    if described:
        return described
    found: list[Template] = []
    for rows in repeat.ranges:
        first, last = rows.first.whole(ledger.size), rows.last.whole(ledger.size)
        if (
            not repeat.part
            and last > ledger.last
            and all(
                filler_for(ledger, n)
                for n in range(ledger.last + 1, min(last, ledger.last + 3) + 1)
            )
        ):
            fill_to(ledger, last, repeat.spot, last)
        numbers = list(range(first, ledger.bounded(last - first + 1, repeat.spot) + first))
        block = block_of(ledger, repeat.part, numbers, repeat.spot)
        if not repeat.part and not block and not ledger.rounds and ledger.former:
            block = ledger.former  # "rows 1 and 2 of raglan shaping", which the back has
            ledger.warn(
                repeat.spot,
                "repeats rows that are written in an earlier part",
                "look whether those are meant",
            )
        for number in numbers:
            if number not in block:
                return []
            found.append(block[number])
    return [] if any(t.rounds for t in found) and not (ledger.block or repeat.part) else found


def _these(ledger: Ledger) -> list[Template]:
    """`These rows` where none has a number: those of the line above, or the row."""
    history = ledger.history
    if not history or history[-1].even is None:
        return history[-1:]
    line = history[-1].spot.line
    same = takewhile(lambda t: t.even is not None and t.spot.line == line, reversed(history))
    return history[-len(list(same)) :]


def _several_meant(ledger: Ledger) -> bool:
    """Whether `these rows` may be more than `_these` takes, or than the numbered ones."""
    history, block = ledger.history, ledger.block
    if block:
        return bool(history) and history[-1].even is not None
    taken = _these(ledger)
    before = history[: -len(taken)] if taken else []
    return bool(before) and len({t.spot for t in taken}) == 1


def _described(ledger: Ledger, repeat: Repeat) -> list[Template]:
    """Rows of a stitch that the pattern describes: the one named, or the only one there is."""
    if repeat.name:
        rows = called(ledger, repeat.name) or []
    elif not ledger.block and len(ledger.stitches) == 1:
        (rows,) = ledger.stitches.values()
    else:
        return []
    spans = [(r.first.whole(ledger.size), r.last.whole(ledger.size)) for r in repeat.ranges]
    if any(first < 1 or last > len(rows) for first, last in spans):
        return []
    found = [row for first, last in spans for row in rows[first - 1 : last]] if spans else rows
    return [replace(row, rounds=ledger.rounds or row.rounds) for row in found]


def shape_rows(ledger: Ledger, shape: ShapeRows) -> None:
    """A sentence that shapes every so many rows."""
    spot, count = shape.spot, shape.number or Number((1.0,), shape.spot)
    if shape.stitch in {"bo", "co"} and shape.where.endswith("edge"):
        shape = _to_edge(ledger, shape)
    ends = 2 if shape.where == "each end" else 1
    if shape.where in {MARKER, MARKERS}:
        ends = 2 * sum(1 for m in ledger.marks if 0 < m < ledger.live)
    each = ends * count.whole(ledger.size)
    items: tuple[Item, ...]
    if shape.stitch in {"bo", "co"}:
        worked = Stitch(((shape.stitch, 1),), spot, count)
        rest = Toward((("k", 1),), Limit(Until.LAST), spot)
        items = (worked, rest) if shape.where == "beginning" else (rest, worked)
        if shape.stitch == "bo" and shape.where == "end":
            items = (Toward((("k", 1),), Limit(Until.LAST, count), spot), worked)
    else:
        items = (Shape(shape.stitch, count, shape.where, spot),)
    template = Template(items, ledger.rounds, spot)
    change = each if shape.stitch in {"inc", "co"} else -each
    _turns(ledger, shape.turns, template, change=change, claim=shape.claim, spot=spot)


def shape_beside(ledger: Ledger, said: AtOnce) -> None:
    """The text comes to it: what is left of it is worked, with even rows between."""
    other = next((b for b in ledger.beside if b.said is said), None)
    if other is None:
        other = Beside.of(ledger, said)
        ledger.beside.append(other)
    even = Even("work", "", None, Span("once"), said.spot, ledger.rounds)
    rows = 0
    while ledger.out.sound and left(ledger, other):
        if not other.begun and not other.comes(ledger):
            break
        emit(ledger, Template((), ledger.rounds, said.spot, even), spot=said.spot)
        rows = ledger.bounded(rows + 1, said.spot)
    ledger.beside.remove(other)
    if said.said and said.said[-1].claim:
        hold_to(ledger, said.said[-1].claim)


def _to_edge(ledger: Ledger, shape: ShapeRows) -> ShapeRows:
    """Loops are bound off or laid on where a row begins: at an edge, in a row that begins there.

    Where the next row begins at the other one, a row is worked even before it.
    """
    side = side_after(ledger, 1)
    if edge_of(ledger.edge_part, shape.where, facing=side, going=None) == "end":
        even = Even("work", "", None, Span("once"), shape.spot, ledger.rounds)
        emit(ledger, Template((), ledger.rounds, shape.spot, even), spot=shape.spot)
    return replace(shape, where="beginning")


def _turns(
    ledger: Ledger,
    turns: Sequence[Turns],
    template: Template,
    *,
    change: int,
    claim: Claim | None,
    spot: Spot,
) -> None:
    """A row that comes every so many rows, with even rows between."""
    even = Template(
        (), template.rounds, spot, Even("work", "", None, Span("once"), spot, template.rounds)
    )
    said = claim.number.whole(ledger.size) if claim else None
    shaped = 0
    for index, turn in enumerate(turns):
        if turn.span.kind == "remain" and not change:
            _row_until(ledger, turn, template, even, spot)
            continue
        times = _turn_times(ledger, turn, change, spot)
        if turn.span.kind == "times" and turn.span.in_all:
            times = max(0, times - shaped)  # "next and every other row 3 times in all"
        last = index == len(turns) - 1
        if (
            said is not None
            and last
            and index
            and times > 1
            and not turn.span.more
            and ledger.live + change * times != said
            and ledger.live + change * (times - 1) == said
        ):
            times -= 1  # "next and every foll 4th row 6 times" counts the next one in
        shaped += times
        for _ in range(ledger.bounded(times, spot)):
            _wait(ledger, turn, even, spot)
            emit(ledger, template, spot=spot)
        wanted = number_of(turn.span.number, ledger.size, 0)
        if turn.span.kind == "remain" and ledger.out.sound and ledger.live != wanted:
            ledger.fault(
                spot,
                f"goes on until {ledger.n(wanted)} remain, and comes to {ledger.live} with what is "
                "shaped at the same time",
                "say how many times",
            )
    if turns and ledger.out.sound:
        _to_its_end(ledger, turns[-1].span, even, spot)
    if claim is not None:
        hold_to(ledger, claim)


def _row_until(ledger: Ledger, turn: Turns, template: Template, even: Template, spot: Spot) -> None:
    """`Repeat dec round every 8th round until 40 sts remain`: the row says what it changes."""
    wanted = number_of(turn.span.number, ledger.size, 0)
    while ledger.out.sound and ledger.live != wanted:
        before = ledger.live
        _wait(ledger, turn, even, spot)
        emit(ledger, template, spot=spot)
        passed = ledger.live > wanted if before < wanted else ledger.live < wanted
        if ledger.out.sound and (passed or abs(ledger.live - wanted) >= abs(before - wanted)):
            ledger.fault(
                spot,
                f"goes on until there are {ledger.n(wanted)}, and comes from {before} to "
                f"{ledger.live}",
                "say how many times",
            )


def _to_its_end(ledger: Ledger, span: Span, even: Template, spot: Spot) -> None:
    """`… until 30 sts remain, ending with a purl row`: one row even more, where that is needed."""
    side = span.end_side
    if span.end_stitch and ledger.craft is Craft.NEEDLES and not even.rounds:
        side = "RS" if span.end_stitch == "k" else "WS"
    if side and side_after(ledger, 0) != side:
        emit(ledger, even, spot=spot)


def _turn_times(ledger: Ledger, turn: Turns, change: int, spot: Spot) -> int:
    span = turn.span
    if span.kind == "once":
        return 1
    if span.kind == "times":
        return number_of(span.number, ledger.size, 1)
    if span.kind == "remain" and change:
        wanted = number_of(span.number, ledger.size, 0)
        times, over = divmod(wanted - ledger.live, change)
        if over or times < 0:
            ledger.fault(
                spot,
                f"goes on until {ledger.n(wanted)} remain, and from {ledger.live} in steps of "
                f"{abs(change)} it never comes to that",
                f"say until {ledger.live - (ledger.live - wanted) // abs(change) * abs(change)} "
                "remain",
            )
            return 0
        return times
    ledger.fault(spot, "does not say how many times", "add '6 times', or 'until 20 sts rem'")
    return 0


def _wait(ledger: Ledger, turn: Turns, even: Template, spot: Spot) -> None:
    if turn.first_now:
        return
    if turn.side:
        if side_after(ledger, 1) != turn.side:
            emit(ledger, even, spot=spot)
        return
    for _ in range(min(turn.every(ledger.size) - 1, ROWS_AT_MOST)):
        emit(ledger, even, spot=spot)
