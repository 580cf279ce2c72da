"""Only so many balls are to be had: how much shorter each part must be for them to reach."""

from collections.abc import Iterator

from engine.advise.yarn import balls_for
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.plan.planning import script_for
from models.frozen import Frozen
from models.plan import Plan
from models.script import RowScript

_MOST = 0.5
"""Share of a part's rows that may be left out (common practice, no source)."""


class Shorter(Frozen):
    """One way to make do."""

    does: str
    rows: int
    """Rows of the part that are left."""
    cm: float
    """By how much the part is shorter."""
    loops: int
    """Of yarn, in all."""


def reaches(script: RowScript, balls: int, ball_loops: int) -> bool:
    """Whether so many balls reach, the ends of every join counted. Raises Refusal."""
    return balls_for(script.yarn_loops, ball_loops) <= balls


def shorter(plan: Plan, script: RowScript, balls: int) -> tuple[Shorter, ...]:
    """Each part that the tape decides, as long as `balls` balls of `plan.ball_loops` allow.

    Empty where they reach anyway, or where no part alone can give so much.
    """
    if plan.ball_loops is None or reaches(script, balls, plan.ball_loops):
        return ()
    return tuple(_each(plan, script, balls, plan.ball_loops))


def _each(plan: Plan, script: RowScript, balls: int, ball_loops: int) -> Iterator[Shorter]:
    open_parts = dict.fromkeys(s.part for s in script.steps if s.counts_row and s.rows is None)
    for part in open_parts:
        rows = sum(s.counts_row for s in script.steps if s.part == part)
        found = _longest(plan, part, rows, balls, ball_loops)
        if found is None:
            continue
        left = sum(s.counts_row for s in found.steps if s.part == part)
        group = next((g for g in script.level if part in g), (part,))
        cm = (rows - left) / plan.gauge.rows_per_cm
        names = " and ".join((", ".join(group[:-1]), group[-1])) if len(group) > 1 else part
        yield Shorter(
            does=f"work the {names} {some(rows - left, 'row')} shorter",
            rows=left,
            cm=round(cm, 1),
            loops=found.yarn_loops,
        )


def _longest(plan: Plan, part: str, rows: int, balls: int, ball_loops: int) -> RowScript | None:
    """The script with most rows of the part for which the balls reach, by halving."""
    low, high = max(1, round(rows * (1 - _MOST))), rows - 1
    best = None
    while low <= high:
        middle = (low + high + 1) // 2
        try:
            script = script_for(plan.model_copy(update={"rows": {**plan.rows, part: middle}}))
        except Refusal:
            low = middle + 1
            continue
        got = sum(s.counts_row for s in script.steps if s.part == part)
        if got < rows and reaches(script, balls, ball_loops):
            best, low = script, middle + 1
        else:
            high = middle - 1
    return best
