"""From a pattern's text to a plan, and from the plan to the script: as with a built-in design."""

from functools import lru_cache

from engine.base.heap import uncollected
from engine.base.refusal import Refusal
from engine.pattern.count.count import Counting
from engine.pattern.count.drafts import Counted, Draft
from engine.pattern.text.read import Pattern, read
from engine.pattern.text.signs import visible
from engine.script.builder import ScriptBuilder
from engine.script.explaining import for_the_other_hand
from models.gauge import Gauge
from models.pattern import Severity
from models.plan import WRITTEN, Plan
from models.script import ROW_KINDS, Craft, Hand, Operation, RowScript


def craft_of(pattern: Pattern) -> Craft:
    """The craft that a pattern is written for."""
    return Craft.NEEDLES if pattern.needles else Craft.LOOP


def gauge_of(pattern: Pattern) -> Gauge | None:
    """The gauge that a pattern states; None where it states none. Raises Refusal for nonsense."""
    heading = pattern.headings.get("gauge")
    if heading is None:
        return None
    loops, rows, over, unit = (n.real(0) for n in heading.numbers)
    length = over * unit
    try:
        if length == 10:  # no arithmetic, so that the number stays what was written
            return Gauge(loops_per_10cm=loops, rows_per_10cm=rows)
        return Gauge(loops_per_10cm=loops * 10 / length, rows_per_10cm=rows * 10 / length)
    except (ValueError, ZeroDivisionError):
        raise Refusal(
            f"The gauge in line {heading.spot.line} is not possible: write loops x rows per "
            "10 cm, as in 'Gauge: 5 x 3.75'."
        ) from None


def stated_gauge(text: str) -> Gauge | None:
    """The gauge that a pattern's text states, if any. Raises Refusal for one that cannot be."""
    return gauge_of(read(text))


def plan_from_text(
    text: str,
    name: str = "",
    *,
    size: str = "",
    gauge: Gauge | None = None,
    hand: Hand = Hand.RIGHT,
    ball_loops: int | None = None,
) -> Plan:
    """A plan for a written pattern. `name` is its title where the text has none.

    The size is the first where none is given; the gauge is the pattern's own unless given.
    Raises Refusal for a size it has not, a text without rows, or no gauge anywhere.
    """
    pattern = read(text)
    wanted = size or pattern.sizes[0]
    found = next((s for s in pattern.sizes if s.lower() == wanted.lower()), None)
    if found is None:
        raise Refusal(
            f"The pattern has no size {size!r}; its sizes are {', '.join(pattern.sizes)}."
        )
    chosen = gauge or gauge_of(pattern)
    if chosen is None:
        raise Refusal(
            "The pattern states no gauge: add a line such as 'Gauge: 20 x 26', or give yours."
        )
    ball = pattern.headings.get("ball")
    stated = ball.numbers[0].whole(0) if ball else 0
    return Plan(
        design=WRITTEN,
        title=pattern.title if "title" in pattern.headings or not name else name,
        size="" if found == "one size" else found,
        craft=craft_of(pattern),
        hand=hand,
        gauge=chosen,
        ball_loops=ball_loops or stated or None,
        pattern=visible(text),
    )


def size_index(pattern: Pattern, size: str) -> int:
    """The place of a size in the pattern's list. Raises Refusal for one it has not."""
    wanted = size or pattern.sizes[0]
    for index, name in enumerate(pattern.sizes):
        if name.lower() == wanted.lower():
            return index
    raise Refusal(f"The pattern has no size {size!r}; its sizes are {', '.join(pattern.sizes)}.")


def _wanted(counted: Counted, plan: Plan) -> dict[str, int]:
    """Rows that the plan decides, by part; a part decides for those level with it."""
    wanted = {part: rows for part, rows in plan.row_counts.items() if part in counted.rows}
    for group in counted.level:
        for part in group:
            for leader in group:
                if leader in plan.row_counts:
                    wanted.setdefault(part, plan.row_counts[leader])
    return wanted


def _changes(counted: Counted, plan: Plan) -> dict[int, int]:
    """Rows to add to stretches, so that parts come to the rows that the plan decides."""
    changes: dict[int, int] = {}
    for part, rows in _wanted(counted, plan).items():
        more = rows - counted.rows.get(part, 0)
        if not more:
            continue
        mine = [(i, s) for i, s in enumerate(counted.stretches) if s.part == part]
        mine = [pair for pair in mine if pair[1].open] or mine
        if not mine or mine[-1][1].rows + more < 0:
            raise Refusal(
                f"The {part} is written row by row for {counted.rows.get(part, 0)} rows and "
                f"cannot be worked in {rows}: change the pattern there."
            )
        changes[mine[-1][0]] = more
    return changes


@lru_cache(maxsize=12)
def counted_as_written(text: str, index: int, gauge: Gauge, craft: Craft) -> Counted:
    """A text counted for the size at that place, without what a tape decides.

    Kept, since a check and the script that follows it ask for the same; to be read only.
    """
    return Counting(read(text), index, gauge, craft).run(close=True)


def count(pattern: Pattern, plan: Plan) -> Counted:
    """The pattern counted for the plan's size, with the rows that the tape has decided."""
    index = size_index(pattern, plan.size)
    counted = counted_as_written(plan.pattern or "", index, plan.gauge, plan.craft)
    changes = _changes(counted, plan) if plan.row_counts else {}
    if changes:
        counted = Counting(pattern, index, plan.gauge, plan.craft, changes).run(close=True)
    return counted


def _rows(draft: Draft, counted: Counted, size: int) -> tuple[int | None, int | None]:
    """Rows of the part (None: open) and as planned."""
    if draft.kind not in ROW_KINDS:
        return None, None
    total = counted.rows[draft.part]
    length = draft.length
    if length is None:
        return (None if draft.part in counted.open_parts else total), total
    numbers = [n.whole(size) for n in length.numbers]
    if length.text == "open":
        return None, numbers[0] if numbers else total
    return numbers[0], numbers[-1]


def build(pattern: Pattern, plan: Plan, counted: Counted) -> RowScript:
    """The script of a size without faults, not yet audited."""
    builder = ScriptBuilder(plan)
    worked: dict[str, int] = {}
    size = size_index(pattern, plan.size)
    hand = str if plan.hand is Hand.RIGHT else for_the_other_hand
    for draft in counted.drafts:
        rows, planned = _rows(draft, counted, size)
        row = None
        if draft.kind in ROW_KINDS:
            row = worked[draft.part] = worked.get(draft.part, 0) + 1
        builder.step(
            draft.part,
            draft.kind,
            *draft.operations,
            row=row,
            rows=rows,
            planned=planned,
            direction=draft.direction,
            side=draft.side,
            target_cm=draft.target_cm,
            note=hand(draft.note),
        )
    script = builder.finish(
        level=counted.level,
        mirrored=counted.mirrored,
        finished_cm=_finished(pattern, plan, counted),
    )
    design = pattern.headings.get("design")
    return script.model_copy(update={"design": design.text}) if design else script


def _finished(pattern: Pattern, plan: Plan, counted: Counted) -> dict[str, float]:
    """Finished measurements at the plan's gauge; at another, those that say which way they lie."""
    own = gauge_of(pattern) or plan.gauge
    across = own.loops_per_10cm / plan.gauge.loops_per_10cm
    up = own.rows_per_10cm / plan.gauge.rows_per_10cm
    ratio = {"across": across, "up": up}
    if own != plan.gauge:
        return {n: cm * ratio[way] for n, (cm, way) in counted.finished.items() if way in ratio}
    return {name: cm for name, (cm, _) in counted.finished.items()}


def expanded_rows(text: str, loops: int) -> tuple[tuple[Operation, ...], ...]:
    """Rows written for needles, flat, worked on so many loops: what the hand does in each.

    Raises Refusal, with what is wrong, where they cannot be read or do not come out.
    """
    pattern = read(f"Craft: needles\nCast on {loops} sts.\n{text}\nBind off all sts.\n")
    if pattern.unread:
        raise Refusal(f"These rows cannot be read: {pattern.unread[0].what}.")
    ten = Gauge(loops_per_10cm=10, rows_per_10cm=10)
    counted = Counting(pattern, 0, ten, Craft.NEEDLES).run()
    if faults := [f for f in counted.faults if f.severity is Severity.FAULT]:
        raise Refusal(f"These rows do not come out on {loops} loops: line {faults[0].sentence()}")
    return tuple(tuple(d.operations) for d in counted.drafts if d.kind in ROW_KINDS)


@uncollected()
def script_of(plan: Plan) -> RowScript:
    """The script of a plan whose pattern is written; not yet audited.

    Raises Refusal with the first fault where it cannot be worked.
    """
    pattern = read(plan.pattern or "")
    if pattern.unread:
        first = pattern.unread[0]
        raise Refusal(
            f"Line {first.spot.line}, column {first.spot.column} of the pattern cannot be read: "
            f"{'; '.join(filter(None, (first.what, first.repair)))}."
        )
    counted = count(pattern, plan)
    for fault in counted.faults:
        if fault.severity is Severity.FAULT:
            raise Refusal(f"The pattern cannot be worked: line {fault.sentence()}")
    return build(pattern, plan, counted)
