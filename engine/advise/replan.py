"""Planning anew what is not yet worked, and never touching what is.

Every re-plan goes through `replanned`: it builds the new plan's script and admits it only when
the steps already worked are the same in it, stitch for stitch. So a worked row cannot change,
whichever design or measurement asked for it. What is written down of it is what follows the
worked steps (`kept_tail`), so that folding the journal needs no design.

What the worked steps have decided is pinned each time: the foundation and how it is parted among
panels, the rows of parts that are begun, the rounds of a taper.
"""

from collections import Counter, deque
from collections.abc import Iterable, Mapping, Sequence
from typing import TypedDict, Unpack

from pydantic import ValidationError

from engine.advise import pace
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.designs import design
from engine.plan.planning import script_for
from engine.plan.written import edition_of, joined, write
from models.advice import Change, Landing
from models.frozen import Frozen
from models.gauge import Gauge
from models.plan import Plan
from models.script import RowScript, Step
from models.state import MakeState


def level_group(script: RowScript, part: str) -> tuple[str, ...]:
    """The parts that must be as high as `part`, itself included, in the order of the work."""
    return next((group for group in script.level if part in group), (part,))


def lead_of(script: RowScript, part: str) -> str:
    """The part whose row count decides that of `part`: the first of its level group, or itself."""
    return level_group(script, part)[0]


def rows_of(script: RowScript, part: str) -> int:
    """Rows of a part as planned."""
    return sum(step.counts_row for step in script.steps if step.part == part)


def rows_done(state: MakeState, part: str) -> int:
    """Rows of a part that are worked."""
    return sum(step.counts_row for step in state.script.steps[: state.at] if step.part == part)


class Wishes(TypedDict, total=False):
    """What a re-plan may change; what is missing or None stays."""

    rows: Mapping[str, int] | None
    """By leading part."""
    measures: Mapping[str, float] | None
    """In cm, by name."""
    counts: Mapping[str, int] | None
    """By name."""
    gauge: tuple[float, float] | None
    """Loops and rows per 10 cm."""
    size: str | None


def replanned(state: MakeState, **wishes: Unpack[Wishes]) -> tuple[Plan, RowScript]:
    """The plan with these changes and its script.

    Raises Refusal where no sound script comes of it or a worked step would change.
    """
    plan = planned(state, **wishes)
    now = state.plan
    if plan.model_copy(update={"worked": now.worked, "worked_rows": now.worked_rows}) == now:
        return now, state.script
    return plan, following(state, script_for(plan))


def planned(state: MakeState, **wishes: Unpack[Wishes]) -> Plan:
    """The plan with these changes, and nothing worked out of it.

    What the worked steps have decided stands in it, found anew each time.
    """
    plan, gauge, size = _pinned(state), wishes.get("gauge"), wishes.get("size")
    update: dict[str, object] = {
        "rows": {**plan.rows, **(wishes.get("rows") or {})},
        "measures": {**plan.measures, **(wishes.get("measures") or {})},
        "counts": {**plan.counts, **(wishes.get("counts") or {})},
    }
    if gauge:
        update["gauge"] = Gauge(loops_per_10cm=gauge[0], rows_per_10cm=gauge[1])
    if size is not None:
        update["size"] = size
    return plan.model_copy(update=update)


def following(state: MakeState, script: RowScript) -> RowScript:
    """What is worked, as it was worked, and then what `script` has after it. Raises Refusal.

    The worked steps must be the same in `script`. Where it comes of another edition of the design
    it is enough that as many loops were worked in every row, and rest in the same places: the rows
    may be told otherwise, and looks and measurements may have come or gone among them.
    """
    worked = state.script.steps[: state.at]
    odd = next(
        (o for o, new in zip(worked, script.steps, strict=False) if _work(o) != _work(new)), None
    )
    if odd is None and len(script.steps) >= len(worked):
        rest = script.model_copy(update={"steps": script.steps[state.at :]})
        return joined(state.script, state.at, rest)
    if newer_edition(state):
        place = _place_after(worked, script.steps)
        if place is not None and _resting(worked) == _resting(script.steps[:place]):
            rest = script.model_copy(update={"steps": script.steps[place:]})
            return joined(state.script, state.at, rest)
        raise Refusal(
            "This release works the design out differently from when the make was begun, and what "
            "is already worked does not fit that: go on row by row as it stands, or begin anew."
        )
    if odd is None:
        raise Refusal("More is already worked than that leaves: rip back first.")
    row = f", row {odd.row}" if odd.row else ""
    raise Refusal(
        f"The {odd.part}{row} is already worked and would have to change: rip back to it first."
    )


def newer_edition(state: MakeState) -> bool:
    """Whether the design as it is now works the make's plan out otherwise than was done."""
    try:
        return edition_of(script_for(state.plan)) != state.edition
    except Refusal:
        return True


def kept_tail(state: MakeState, plan: Plan, script: RowScript) -> str:
    """What a re-plan writes down: the steps of `script` after those worked in `state`."""
    edition = state.edition if script is state.script else edition_of(script_for(plan))
    return write(script, edition, state.at)


def _work(step: Step) -> tuple[object, ...]:
    return (
        step.part,
        step.kind,
        step.row,
        [(o.stitch, o.times, o.at) for o in step.operations],
        step.loops_before,
        step.loops_after,
    )


def _counts(step: Step) -> tuple[object, ...]:
    return (step.part, step.kind, step.row, step.loops_before, step.loops_after, step.held)


def _place_after(worked: Sequence[Step], steps: Sequence[Step]) -> int | None:
    """How many of `steps` are done where `worked` is; None where other loops were worked."""
    loops = deque(_counts(step) for step in worked if step.operations)
    looks = Counter((step.part, step.kind) for step in worked if not step.operations)
    for place, step in enumerate(steps):
        if step.operations:
            if not loops:
                return place
            if _counts(step) != loops.popleft():
                return None
        elif not loops and looks[step.part, step.kind] < 1:
            return place
        else:
            looks[step.part, step.kind] -= 1
    return None if loops else len(steps)


def _resting(steps: Iterable[Step]) -> dict[str, int]:
    """Loops that rest after these steps, by the name of their place."""
    rests: Counter[str] = Counter()
    for step in steps:
        for operation in step.operations:
            for place in operation.at.split("|") if operation.moves else ():
                rests[place] += operation.times if operation.moves < 0 else -operation.times
    return {place: count for place, count in rests.items() if count}


def _pinned(state: MakeState) -> Plan:
    """The plan, with what the worked steps have decided: rows of begun parts, and counts."""
    plan, script = state.plan, state.script
    begun = {step.part for step in script.steps[: state.at]}
    leads = {lead_of(script, part) for part in begun if rows_of(script, part)}
    try:
        worked = design(plan.design).pins(script, state.at)
    except Refusal:  # a design that this release does not know any more
        worked = {}
    return plan.model_copy(
        update={
            "worked": worked,
            "worked_rows": {lead: rows_of(script, lead) for lead in leads},
        }
    )


TAPE_CM = 0.5
"""What a tape on soft work can tell, cm (common practice, no source)."""


BELIEVABLE = 2.0
"""A length further off than by this factor was misread or misheard (common practice, no source)."""


def believable(planned_cm: float) -> str:
    """What a tape may say where the plan says `planned_cm`."""
    low, high = planned_cm / BELIEVABLE, planned_cm * BELIEVABLE
    return f"Measure again: {low:.1f} cm to {high:.1f} cm is taken here."


class Tape(Frozen):
    """What a tape measurement of the part in work comes to."""

    lead: str
    rows: int
    """Rows that the leading part should have in all."""
    rows_per_cm: float
    """The hands' true row gauge."""
    target_cm: float
    """What the tape should say at the end of the part, by the true gauge where it is adopted."""
    done: int
    """Rows that the tape lies along."""
    adopted: bool
    """Whether all that is to come is planned by the true gauge."""
    plan: Plan
    script: RowScript


def measured(state: MakeState, cm: float, *, row_in_work: bool = False) -> Tape:
    """What a tape measurement of the part in work means for its rows and for what follows.

    `cm` is what the tape says from the part's beginning to its live loops. The rows done over cm
    are the hands' true row gauge; with `row_in_work` the row in work is done, too, and only not
    told yet. What is to come is planned by it, unless it is the plan's own
    within what a tape can tell, or something already worked (a pick-up, say) rests on the old
    one; then the length alone is corrected. Where the design can only end after certain rows (an
    even number, say) the nearest count is taken.
    Raises Refusal where there is no length to measure, or none that can be believed.
    """
    step = state.step
    if step is None or _target(state.script, state.at, step.part) is None:
        lead = lead_of(state.script, step.part) if step else ""
        if step is None or lead in {"", step.part} or not rows_done(state, lead):
            raise Refusal("There is no length to measure in this part.")
        rows = rows_of(state.script, lead)
        raise Refusal(
            f"The {step.part} gets as many rows as the {lead}, which has {rows}: lay it on that "
            "one instead of measuring it."
        )
    row_in_work = row_in_work and step.counts_row
    done = rows_done(state, step.part) + row_in_work
    if done == 0:
        raise Refusal("Work some rows before you measure them.")
    rows_per_cm = done / cm
    planned = state.plan.gauge.rows_per_cm
    if not planned / BELIEVABLE <= rows_per_cm <= planned * BELIEVABLE:
        raise Refusal(
            f"{cm:g} cm after {some(done, 'row')} cannot be: by the plan it "
            f"is about {done / planned:.0f} cm. {believable(done / planned)}"
        )
    lead = lead_of(state.script, step.part)
    gauge = (state.plan.gauge.loops_per_10cm, rows_per_cm * 10)
    same = abs(rows_per_cm / state.plan.gauge.rows_per_cm - 1) * cm <= TAPE_CM
    for tried in (None,) if same else (gauge, None):
        try:
            _, script = replanned(state, gauge=tried)
        except (Refusal, ValidationError):  # refused, or no gauge at all
            continue
        target = _target(script, state.at, step.part)
        if target is None:
            continue
        wanted = target * rows_per_cm
        found = _nearest(state, lead, wanted, max(done, round(wanted)), tried, least=done)
        if found and not (row_in_work and _work(found[1].steps[state.at]) != _work(step)):
            plan, script = found
            return Tape(
                lead=lead,
                rows=rows_of(script, lead),
                rows_per_cm=rows_per_cm,
                target_cm=target,
                done=done,
                adopted=tried is not None,
                plan=plan,
                script=script,
            )
    if row_in_work:
        return measured(state, cm)
    raise Refusal("No number of rows makes this length with what is worked: rip back first.")


def _target(script: RowScript, at: int, part: str) -> float | None:
    return next((s.target_cm for s in script.steps[at:] if s.part == part and s.target_cm), None)


def _nearest(
    state: MakeState,
    lead: str,
    wanted: float,
    near: int,
    gauge: tuple[float, float] | None = None,
    *,
    least: int,
) -> tuple[Plan, RowScript] | None:
    """The plan and script with the rows nearest to `wanted`, looking about `near`."""
    found = []
    for rows in range(max(1, least, near - 1), near + 2):
        try:
            found.append(replanned(state, rows={lead: rows}, gauge=gauge))
        except Refusal:
            continue
    return min(found, default=None, key=lambda pair: abs(rows_of(pair[1], lead) - wanted))


def shorter(state: MakeState) -> tuple[int, int] | None:
    """Where to rip back to when the tape says that the part in work is too long.

    The step's number and the rows that the part then has; None where fewer rows come no nearer.
    Goes by the last measurement of the step in work.
    """
    step = state.step
    if step is None or state.measured is None or state.measured[0] != step.number:
        return None
    done, cm = rows_done(state, step.part), state.measured[1]
    target = _target(state.script, state.at, step.part)
    if target is None or done == 0:
        return None
    wanted, lead = target * done / cm, lead_of(state.script, step.part)
    best: tuple[float, int, int] | None = None
    for rows in range(max(1, round(wanted) - 1), done):
        last = next((s for s in state.script.steps if s.part == step.part and s.row == rows), None)
        if last is None:
            continue
        # Back to right after that row: what followed it there may not follow the last one.
        at = last.number + 1
        try:
            _, script = replanned(after_ripping(state, at), rows={lead: rows})
        except Refusal:
            continue
        off = abs(rows_of(script, lead) - wanted)
        if rows_of(script, lead) == rows and off < (best[0] if best else abs(done - wanted)):
            best = (off, at, rows)
    return best and (best[1], best[2])


def ripped(state: MakeState, number: int) -> dict[str, object]:
    """What changes in the state when the work is ripped back to the beginning of a step.

    Balls joined in what is ripped come off again: the work hangs on the ball before, as far used
    as it was then; the ends of a join that is undone are loops again.
    """
    steps, joins, cursor = state.script.steps, list(state.joins), state.at
    used, size, balls = state.ball_used, state.ball_size, state.balls
    while joins and joins[-1].step >= number:
        join = joins.pop()
        cursor = join.step - 1
        used, size, balls = join.ball_used, join.ball_size, balls - 1
    freed = sum(step.yarn_loops for step in steps[number - 1 : cursor])
    return {
        "at": number - 1,
        "ball_used": max(0, used - freed),
        "ball_size": size,
        "balls": balls,
        "joins": tuple(joins),
        "marks": tuple(mark for mark in state.marks if mark.step < number),
        "verdicts": {n: verdict for n, verdict in state.verdicts.items() if n < number},
        "measured": None,
        "closed": False,
    }


def after_ripping(state: MakeState, number: int) -> MakeState:
    """The state once the work is ripped back to the beginning of step `number`."""
    return state.model_copy(update=ripped(state, number))


def before_looks(state: MakeState) -> MakeState:
    """The state right after the last step that moved loops: looks since then are looked again."""
    at = state.at
    while at and not state.script.steps[at - 1].operations:
        at -= 1
    return state if at == state.at else after_ripping(state, at + 1)


def landing(state: MakeState, number: int, place: str) -> Landing:
    """Where the work will stand after ripping back to the beginning of a step.

    `place` is that step in words. Raises Refusal for a step that is not worked.
    """
    if not 1 <= number <= state.at:
        raise Refusal("That step is not worked yet, so there is nothing to rip back to.")
    then = after_ripping(state, number)
    kept = _markers(state.script.steps[: number - 1])
    return Landing(
        step=number,
        place=place,
        loops=state.script.steps[number - 2].loops_after if number > 1 else 0,
        held=state.script.steps[number - 2].held if number > 1 else 0,
        freed=state.yarn_taken - then.yarn_taken,
        markers=kept,
        removed=tuple(m for m in _markers(state.script.steps[: state.at]) if m not in kept),
        ball=then.balls,
        ball_left=then.ball_left,
    )


def _markers(steps: tuple[Step, ...]) -> tuple[str, ...]:
    """Markers in the work after these steps, each named by its part and place.

    One may be taken out in another part than it was hung in: an armhole takes out the body's.
    """
    found: list[tuple[str, str]] = []
    for step in steps:
        for operation in step.operations:
            if operation.stitch == "pm":
                found.append((step.part, operation.at))
            elif operation.stitch == "rm":
                there = [marker for marker in found if marker[1] == operation.at]
                own = [marker for marker in there if marker[0] == step.part]
                for marker in (own or there)[-1:]:
                    found.remove(marker)
    return tuple(f"{part}, {at or 'marker'}" for part, at in dict.fromkeys(found))


def difference(state: MakeState, script: RowScript, at: int | None = None) -> Change:
    """How the work still to come differs in `script`, of which `at` steps are worked.

    Without `at` as many as now are. Rows and yarn are counted, the seconds are at her own pace.
    """
    worked = state.at if at is None else at
    speed = pace.seconds_per_loop(state)
    before, after = state.script.steps[state.at :], script.steps[worked:]
    return Change(
        rows=sum(s.counts_row for s in after) - sum(s.counts_row for s in before),
        yarn=sum(s.yarn_loops for s in after) - sum(s.yarn_loops for s in before),
        seconds=pace.seconds_for(after, speed) - pace.seconds_for(before, speed),
    )
