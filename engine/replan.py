"""Planning anew what is not yet worked, and never touching what is.

Every re-plan goes through `replanned`: it builds the new plan's script and admits it only when
the steps already worked are the same in it, stitch for stitch. So a worked row cannot change,
whichever design or measurement asked for it.
"""

from collections.abc import Mapping

from engine.planning import script_for
from engine.refusal import Refusal
from models.plan import Plan
from models.script import RowScript, Step
from models.state import MakeState


def lead_of(script: RowScript, part: str) -> str:
    """The part whose row count decides that of `part`: the first of its level group, or itself."""
    return next((group[0] for group in script.level if part in group), part)


def rows_of(script: RowScript, part: str) -> int:
    """Rows of a part as planned."""
    return sum(step.counts_row for step in script.steps if step.part == part)


def rows_done(state: MakeState, part: str) -> int:
    """Rows of a part that are worked."""
    return sum(step.counts_row for step in state.script.steps[: state.at] if step.part == part)


def _same_work(one: Step, other: Step) -> bool:
    return (one.part, one.kind, one.row, one.operations, one.loops_before, one.loops_after) == (
        other.part,
        other.kind,
        other.row,
        other.operations,
        other.loops_before,
        other.loops_after,
    )


def replanned(
    state: MakeState,
    *,
    rows: Mapping[str, int] | None = None,
    measures: Mapping[str, float] | None = None,
    counts: Mapping[str, int] | None = None,
    gauge: tuple[float, float] | None = None,
) -> tuple[Plan, RowScript]:
    """The plan with these changes and its script.

    `rows` by leading part, `measures` in cm, `counts` by name, `gauge` in loops and rows per
    10 cm. Raises Refusal where no sound script comes of it or a worked step would change.
    """
    plan = state.plan.model_copy(
        update={
            "rows": {**state.plan.rows, **(rows or {})},
            "measures": {**state.plan.measures, **(measures or {})},
            "counts": {**state.plan.counts, **(counts or {})},
            "gauge": state.plan.gauge.model_copy(
                update={"loops_per_10cm": gauge[0], "rows_per_10cm": gauge[1]}
            )
            if gauge
            else state.plan.gauge,
        }
    )
    script = script_for(plan)
    worked = state.script.steps[: state.at]
    for old, new in zip(worked, script.steps, strict=False):
        if not _same_work(old, new):
            row = f", row {old.row}" if old.row else ""
            raise Refusal(
                f"The {old.part}{row} is already worked and would have to change: rip back to it "
                "first."
            )
    if len(script.steps) < len(worked):
        raise Refusal("More is already worked than that leaves: rip back first.")
    return plan, script


def rows_for_length(state: MakeState, cm: float) -> tuple[str, int, float]:
    """What a tape measurement of the part in work means for its rows.

    `cm` is what the tape says from the part's beginning to its live loops. The rows done over cm
    are the part's true row gauge; the rest follows by proportion. Returns the leading part, the
    rows it should have in all, and the true gauge in rows per cm. Where the design can only end
    after certain rows (an even one, say) the nearest possible count is taken.
    Raises Refusal where there is no length to measure.
    """
    step = state.step
    to_come = state.script.steps[state.at :]
    targets = [s.target_cm for s in to_come if step and s.part == step.part and s.target_cm]
    if step is None or not targets:
        raise Refusal("There is no length to measure in this part.")
    done = rows_done(state, step.part)
    if done == 0:
        raise Refusal("Work some rows before you measure them.")
    lead = lead_of(state.script, step.part)
    true_gauge = done / cm
    wanted = targets[0] * true_gauge
    possible = {done, *_possible(state, lead, max(done, round(wanted)))}
    return lead, min(possible, key=lambda rows: (abs(rows - wanted), rows)), true_gauge


def _possible(state: MakeState, lead: str, rows: int) -> list[int]:
    """Row counts near `rows` that the design can end on."""
    found = []
    for candidate in (rows - 1, rows, rows + 1):
        try:
            _, script = replanned(state, rows={lead: candidate})
        except Refusal:
            continue
        found.append(rows_of(script, lead))
    return found
