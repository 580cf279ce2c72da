"""What she changes midway: the gauge, the size or a measurement, for all that is still to come.

What is worked stays. A part that is begun and not done gets as many rows as the change gives it,
though never fewer than are worked; rows that she or a tape had added to it stay added.
"""

from collections.abc import Iterator, Mapping
from itertools import product
from typing import Unpack

from engine.advise.choices import decided
from engine.advise.fitting import GOES_BY, SAME_CM, lines
from engine.advise.replan import (
    Wishes,
    difference,
    kept_tail,
    level_group,
    planned,
    replanned,
    rows_done,
    rows_of,
)
from engine.base.numbers import span
from engine.base.refusal import Refusal
from engine.designs import design
from engine.plan.planning import script_for
from models.advice import Change, Grown, Resized
from models.event import Replanned
from models.fit import SEEN_CM
from models.frozen import Frozen
from models.plan import Plan
from models.script import RowScript
from models.state import MakeState

_NEAR = (0, 1, -1, 2)
"""Rows off from what is wanted that are tried: some designs end only after certain rows."""
_TRIES = 12
"""Scripts that are worked out at most, the nearest rows first."""


class Midway(Frozen):
    """What a change comes to."""

    plan: Plan
    script: RowScript
    change: Change
    """What is still to come then, beside what is to come now."""
    grown: tuple[Grown, ...]
    """Parts whose rows or loops change."""
    resized: tuple[Resized, ...]
    """Measurements that change, or stay though something else is asked."""
    event: Replanned


def of(state: MakeState, why: str, now: float = 0.0, **wishes: Unpack[Wishes]) -> Midway:
    """What another gauge, size or measurement means from here on. `now` in POSIX seconds.

    Raises Refusal where nothing would change, or no sound script keeps what is worked.
    """
    if state.done:
        raise Refusal("The make is done: nothing is left to change.")
    if state.open_verdict:
        raise Refusal("A choice is open here: take it, or take it back, and then change the make.")
    plan, script = _planned(state, wishes)
    if plan.size == state.plan.size and plan.gauge == state.plan.gauge and script == state.script:
        raise Refusal("Nothing that is still to come would change by that.")
    event = decided(state.plan, plan, now, why).model_copy(
        update={"tail": kept_tail(state, plan, script)}
    )
    return Midway(
        plan=plan,
        script=script,
        change=difference(state, script),
        grown=tuple(_grown(state, script)),
        resized=resized(state, plan, script),
        event=event,
    )


def sized(plan: Plan, size: str) -> dict[str, float]:
    """The measurements in cm that change with a size; those that she gave herself stay.

    The one that a size goes by is the new size's. Raises Refusal for a size that is none.
    """
    chosen = design(plan.design)
    if not chosen.info.sizes and plan.pattern is None:
        raise Refusal(f"The {plan.design} has no sizes: change a measurement instead.")
    if plan.pattern is not None or not plan.size:
        old: Mapping[str, float] = {}
    else:
        old = chosen.measures(plan.size, plan.craft)
    new = {} if plan.pattern is not None else chosen.measures(size, plan.craft)
    return {
        name: cm
        for name, cm in new.items()
        if name in GOES_BY or abs(plan.measures.get(name, cm) - old.get(name, cm)) <= SAME_CM
    }


def sizes(plan: Plan) -> tuple[str, ...]:
    """The sizes that a make can be changed to; none for a design without."""
    if plan.pattern is not None:
        from engine.pattern.text.read import read  # slow to load

        return read(plan.pattern).sizes
    return design(plan.design).info.sizes


def bounded(plan: Plan, name: str, cm: float) -> dict[str, float]:
    """One measurement in cm, as a re-plan takes it. Raises Refusal where it is out of bounds."""
    spec = next((s for s in design(plan.design).info.measures if s.name == name), None)
    if spec is None:
        there = ", ".join(s.name for s in design(plan.design).info.measures)
        raise Refusal(f"There is no measurement {name!r} here; there are: {there or 'none'}.")
    if not spec.low <= cm <= spec.high:
        raise Refusal(
            f"{spec.label} of {cm:g} cm is out of bounds: give {span(spec.low, spec.high)}."
        )
    return {name: cm}


def _planned(state: MakeState, wishes: Wishes) -> tuple[Plan, RowScript]:
    """The plan and script with the rows that the change gives to what is begun or was added to."""
    rows = _rows(state, wishes)
    refusal: Refusal | None = None
    tries = [
        dict(zip(rows, each, strict=True)) for each in product(*(_about(n) for n in rows.values()))
    ]
    for each in sorted(tries, key=lambda t: sum(abs(t[k] - rows[k][0]) for k in t))[:_TRIES]:
        try:
            return replanned(state, **(wishes | {"rows": each}))
        except Refusal as why:
            refusal = refusal or why
    try:
        return replanned(state, **wishes)
    except Refusal:
        raise refusal or Refusal("Nothing that is still to come would change by that.") from None


def _about(rows: tuple[int, int]) -> tuple[int, ...]:
    wanted, least = rows
    return tuple(dict.fromkeys(max(least, wanted + off) for off in _NEAR))


def _rows(state: MakeState, wishes: Wishes) -> dict[str, tuple[int, int]]:
    """Rows of every part that is begun or was decided, by its lead: wanted, and the least."""
    try:
        before, after = (_free(state, each) for each in (Wishes(), wishes))
    except Refusal:
        return {}
    found = {}
    for lead in dict.fromkeys([*state.plan.row_counts, *planned(state).worked_rows]):
        group = level_group(state.script, lead)
        if not all(any(s.part == p for s in state.script.steps[state.at :]) for p in group):
            continue  # one of them is done, and the others are to be as high
        now = rows_of(state.script, lead)
        usual, new = rows_of(before, lead), rows_of(after, lead)
        least = max(rows_done(state, part) for part in group)
        least += bool(state.step and state.step.part in group and state.step.counts_row)
        by_gauge = wishes.get("gauge") is not None
        found[lead] = (max(least, new if by_gauge else now + new - usual), max(1, least))
    return found


def _free(state: MakeState, wishes: Wishes) -> RowScript:
    """The script of the plan with these changes, were no rows of it decided."""
    plan = planned(state, **wishes)
    return script_for(plan.model_copy(update={"rows": {}, "worked_rows": {}}))


def _grown(state: MakeState, script: RowScript) -> Iterator[Grown]:
    for part in dict.fromkeys(s.part for s in (*state.script.steps, *script.steps)):
        rows = rows_of(state.script, part), rows_of(script, part)
        loops = _widest(state.script, part, state.at), _widest(script, part, state.at)
        if rows[0] != rows[1] or loops[0] != loops[1]:
            yield Grown(part=part, rows=rows, loops=loops)


def _widest(script: RowScript, part: str, at: int) -> int:
    return max((s.loops_after for s in script.steps[at:] if s.part == part), default=0)


def resized(state: MakeState, plan: Plan, script: RowScript) -> tuple[Resized, ...]:
    """Measurements that differ in a new plan's script, or stay though something else is asked."""
    return tuple(_resized(state, plan, script))


def _resized(state: MakeState, plan: Plan, script: RowScript) -> Iterator[Resized]:
    before = {line.name: line for line in lines(state.plan, state.script)}
    for line in lines(plan, script):
        old = before.get(line.name)
        if old is None:
            continue
        asked = line.wanted != old.wanted and line.off
        if asked or abs(line.garment - old.garment) > SEEN_CM:
            yield Resized(
                name=line.name, before=old.garment, after=line.garment, wanted=line.wanted
            )
