"""What a tape says, and rows that are wanted on top."""

from engine.advise import choices
from engine.advise.choices import decided
from engine.advise.fitting import loops_across, loops_around
from engine.advise.midway import resized
from engine.advise.pace import least_step, too_quick
from engine.advise.replan import (
    BELIEVABLE,
    before_looks,
    believable,
    difference,
    kept_tail,
    lead_of,
    level_group,
    replanned,
    rows_done,
    rows_of,
)
from engine.advise.replan import measured as by_the_tape
from engine.base.plural import noun, some
from engine.base.refusal import Refusal
from engine.make import answers, progress
from engine.make.decisions.replies import asked, refused, whole, written
from engine.script import wording
from models.command import Command
from models.event import Measured, MoreRows
from models.script import Kind
from models.state import MakeState, Reply

NEAR_ENOUGH_ROWS = 1.0
"""A tape within one row of the target is as near as rows can come."""
MUCH = 0.2
"""Rows that add more than this share of the make's yarn are asked about: a number may be misheard
(common practice, no source)."""


def measured(state: MakeState, command: Command, now: float, _confirmed: bool) -> Reply:
    """A tape on the part in work: its rows, or at a fit check its loops."""
    step, cm = state.step, command.value
    if cm is None or not 0 < cm < 1000:
        return refused("Say what the tape shows, as in 'measured thirty one'.")
    if step is None or state.done:
        return refused("The make is done.")
    if step.kind is Kind.FIT_CHECK and (loops := loops_around(state)):
        return _across(state, cm, loops, now)
    tape = by_the_tape(state, cm, row_in_work=_worked(state, now))
    numbers = decided(state.plan, tape.plan, now, "")
    event = Measured(
        at=now,
        step=step.number,
        cm=cm,
        lead=tape.lead,
        rows=tape.rows,
        rows_per_10cm=tape.rows_per_cm * 10 if tape.adopted else None,
        kept={part: count for part, count in numbers.rows.items() if part != tape.lead},
        counts=numbers.counts,
        tail=kept_tail(state, tape.plan, tape.script),
    )
    missed = answers.missed_of(resized(state, tape.plan, tape.script))
    changed = f"{missed}{answers.changed(difference(state, tape.script), state)}"
    if step.kind is not Kind.MEASURE:
        along = f" over {some(tape.done, 'row')}"
        if tape.done > rows_done(state, step.part):
            along += ", the one in work among them"
        return written(
            f"{cm:g} cm{along}: {tape.rows} rows in all at your {tape.rows_per_cm * 10:.1f} rows "
            f"per 10 cm. {changed}",
            event,
        )
    more = tape.rows - rows_of(state.script, tape.lead)
    over = (cm - tape.target_cm) * tape.rows_per_cm
    if more > 0:
        say = f"{cm:g} cm: work {more} more {noun(more, 'row')}. {changed}"
    elif over > NEAR_ENOUGH_ROWS:
        event = event.model_copy(update={"too_long": True})
        there = choices.of(progress.evolve(state, event), now)
        say = f"{cm:g} cm is {over:.1f} rows too long. {answers.choices(there, state)}"
    else:
        event = event.model_copy(update={"done": True})
        after = answers.next_step(state)
        say = f"{cm:g} cm is right. {answers.told(after, state)}".strip()
    return written(say, event)


def _worked(state: MakeState, now: float) -> bool:
    """Whether the row in work can be under the tape: it was begun long enough ago to be done."""
    return not too_quick(state, now, least_step(state))


def across(state: MakeState, command: Command, now: float, _confirmed: bool) -> Reply:
    """A tape across the last rows, wherever the work stands: the true loop gauge."""
    cm = command.value
    if cm is None or not 0 < cm < 1000:
        return refused("Say how wide the last rows are, as in 'across forty two'.")
    if state.step is None or state.done:
        return refused("The make is done.")
    loops = loops_across(state) or loops_around(state)
    if not loops:
        return refused(
            "There are no two rows alike here to lay the tape across: measure where two rows with "
            "the same number of loops lie one over the other."
        )
    return _across(state, cm, loops, now)


def _across(state: MakeState, cm: float, loops: int, now: float) -> Reply:
    """A tape across all loops at a fit check: the true loop gauge, for all that is to come."""
    planned = loops / state.plan.gauge.loops_per_cm
    if not planned / BELIEVABLE <= cm <= planned * BELIEVABLE:
        return refused(
            f"{cm:g} cm across {wording.counted(loops, state.plan.craft)} cannot be: by the plan "
            f"it is about {planned:.0f} cm. {believable(planned)}"
        )
    gauge = (loops * 10 / cm, state.plan.gauge.rows_per_10cm)
    plan, script = replanned(state, gauge=gauge)
    return written(
        f"{cm:g} cm across {wording.counted(loops, plan.craft)}: {gauge[0]:.1f} per 10 cm. "
        f"{answers.measures(plan, script)} {answers.changed(difference(state, script), state)}",
        decided(state.plan, plan, now, f"{cm:g} cm across").model_copy(
            update={"tail": kept_tail(state, plan, script)}
        ),
    )


def more_rows(state: MakeState, command: Command, now: float, confirmed: bool) -> Reply:
    """So many rows more than planned, in all parts that must be level; many ask first."""
    more, step = whole(command), state.step
    if step is None or rows_of(state.script, step.part) == 0:
        return refused("This part has no rows to add to.")
    lead = lead_of(state.script, step.part)
    before = rows_of(state.script, lead)
    wanted, base = {lead: before + more}, state
    try:
        plan, script = replanned(base, rows=wanted)
    except Refusal:
        # Only looks may lie between the last row and here: they come again after the new ones.
        base = before_looks(state)
        if base is state:
            raise
        plan, script = replanned(base, rows=wanted)
    rows = rows_of(script, lead)
    group = answers.listed(level_group(state.script, step.part))
    say = (
        f"{answers.other_rows(more, rows - before)}{rows} rows in all in the {group}. "
        f"{answers.changed(difference(state, script, base.at), state)}"
    )
    much = script.yarn_loops - state.script.yarn_loops > MUCH * state.script.yarn_loops
    if much and not confirmed:
        return asked(f"{say} Do it?", command)
    tail = kept_tail(base, plan, script)
    if base is state:
        return written(say, MoreRows(at=now, lead=lead, rows=rows, tail=tail))
    event = decided(state.plan, plan, now, f"{rows} rows in the {group}").model_copy(
        update={"rip_to_step": base.at + 1, "tail": tail}
    )
    return written(f"{say} {answers.say(progress.evolve(state, event))}", event)
