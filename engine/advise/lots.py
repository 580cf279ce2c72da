"""What two dye lots in turn come to, in sentences."""

from collections.abc import Iterator, Sequence

from engine.advise.yarn import balls_for
from engine.base.plural import noun, some
from engine.plan.planning import script_for
from engine.script.lots import EVERY, LAID_OVER, Change, in_turn, reaches
from engine.script.wording import counted, row_word
from engine.script.yarns import by_colour
from models.plan import Plan
from models.script import RowScript


def may_be_two(plan: Plan) -> bool:
    """Whether it is worth asking for a second dye lot: the loops in a ball are known, one ball
    does not do, and the work is of one colour. Raises Refusal where no sound script comes of it.
    """
    if plan.ball_loops is None:
        return False
    script = script_for(plan.model_copy(update={"lots": None}))
    return script.yarn_loops > plan.ball_loops and len(by_colour(script)) < 2


def outlook(plan: Plan) -> tuple[str, ...]:
    """How far the two lots of a plan reach, a sentence each; none where it has one. Raises Refusal
    where no sound script comes of it."""
    if plan.lots is None or plan.ball_loops is None:
        return ()
    alone = script_for(plan.model_copy(update={"lots": None}))
    return tuple(reach(alone, plan.lots, plan.ball_loops))


def reach(script: RowScript, balls: Sequence[int], ball_loops: int) -> Iterator[str]:
    """How far two lots of so many balls reach, a sentence each. Raises Refusal like `in_turn`."""
    one, other = balls
    found = in_turn(script, reaches(other, ball_loops))
    first, second = found.loops
    yield (
        f"Two dye lots in turn, every {EVERY} rows: {counted(first, script.craft)} of the first "
        f"and {second} of the second; {found.ends} of these are for ends that one lot would not "
        "have."
    )
    need = balls_for(first, ball_loops)
    if need > one:
        yield f"{some(one, 'ball')} of the first do not reach: {need} are needed."
    if found.alone is not None:
        step = script.steps[found.alone - 1]
        yield (
            f"The second lot does not reach further: from {step.part} {row_word(step.kind)} "
            f"{step.row} on the first goes on alone."
        )


def told(script: RowScript, balls: Sequence[int], ball_loops: int) -> Iterator[str]:
    """What two lots of so many balls come to, a sentence each. Raises Refusal like `in_turn`."""
    yield from reach(script, balls, ball_loops)
    found = in_turn(script, reaches(balls[1], ball_loops))
    yield from _rows(found.changes)
    yield (
        f"Where they change {LAID_OVER}: it waits at that edge, in rounds at their beginning. "
        "Where the yarn is cut both are, each with its tail; where loops are picked up, or rounds "
        "and rows follow each other, cut the one that waits and join it again."
    )


def _rows(changes: Sequence[Change]) -> Iterator[str]:
    """Where each lot is taken up, part by part."""
    for part in dict.fromkeys(change.part for change in changes):
        mine = [change for change in changes if change.part == part]
        for lot, name in ((1, "second"), (0, "first")):
            rows = [change.row for change in mine if change.lot == lot]
            if rows:
                word = noun(len(rows), row_word(mine[0].kind))
                begin = noun(len(rows), "begins", "begin")
                yield f"{part}: {word} {', '.join(map(str, rows))} {begin} with the {name} lot."
