"""One row or round, in either craft, and the counts that may have been decided for it."""

import re
from collections.abc import Sequence

from engine.craft.stripes import Stripe, colour_of, read_stripes
from engine.designs.design import decided, handed
from engine.designs.fabric import way
from engine.script.builder import ScriptBuilder, op
from engine.stitches import Cloth
from models.plan import Plan
from models.script import Craft, Direction, Hand, Kind, Operation, RowScript

_EDGE = re.compile(r"(the (?:right|left) edge of the )(.+)")


def loops_for(plan: Plan, wanted: float, multiple: int = 1) -> int:
    """Loops of the foundation, a multiple of so many: nearest to those decided, else wanted."""
    return multiple * round((plan.count("foundation") or wanted) / multiple)


def rows_for(plan: Plan, part: str, wanted: float, least: int = 1) -> int:
    """Rows of a part: those that were decided, else the nearest to those wanted."""
    said = decided(plan, part)
    return max(least, round(wanted) if said is None else said)


def cloth_for(plan: Plan, wide: int, *, rounds: bool = False) -> Cloth | None:
    """The plan's stitch pattern over a width; None where it is plain. Raises Refusal."""
    return Cloth.of(plan.stitch, wide, plan.craft, rounds=rounds) if plan.stitch else None


def taken_out(b: ScriptBuilder) -> list[Operation]:
    """The markers that are still in, taken out."""
    left: dict[str, int] = {}
    for step in b.steps:
        for o in step.operations:
            if o.stitch in {"pm", "rm"}:
                left[o.at] = left.get(o.at, 0) + (o.times if o.stitch == "pm" else -o.times)
    return [op("rm", count, at) for at, count in left.items() if count > 0]


def worn(script: RowScript, hand: Hand) -> RowScript:
    """The right and left of parts as they are worn: a left-handed maker works them in turn.

    Edges are mirrored by the builder; of these only the part's name is another.
    """
    if hand is Hand.RIGHT:
        return script

    def place(words: str) -> str:
        edge = _EDGE.fullmatch(words)
        return edge[1] + handed(hand, edge[2]) if edge else handed(hand, words)

    steps = tuple(
        step.model_copy(
            update={
                "part": handed(hand, step.part),
                "operations": tuple(
                    o.model_copy(update={"at": place(o.at)}) for o in step.operations
                ),
            }
        )
        for step in script.steps
    )
    level = tuple(tuple(handed(hand, part) for part in group) for group in script.level)
    return script.model_copy(update={"steps": steps, "level": level})


def flat_row(
    b: ScriptBuilder,
    part: str,
    row: int,
    *operations: Operation,
    rows: int | None = None,
    planned: int | None = None,
    clock: int | None = None,
    note: str = "",
) -> None:
    """Row `row` of a part, to and fro. `clock` is its number where it is not the part's own, so
    that odd ones go right to left, on the right side."""
    travel = way(b.plan.craft, row if clock is None else clock)
    b.step(
        part,
        Kind.ROW,
        *operations,
        row=row,
        rows=rows,
        planned=planned,
        direction=travel.direction,
        side=travel.side,
        note=note,
    )


def a_round(
    b: ScriptBuilder,
    part: str,
    row: int,
    *operations: Operation,
    rows: int | None = None,
    planned: int | None = None,
    note: str = "",
) -> None:
    """Round `row` of a part."""
    b.step(
        part,
        Kind.ROUND,
        *operations,
        row=row,
        rows=rows,
        planned=planned,
        direction=Direction.AROUND,
        note=note,
    )


def lean(craft: Craft, *, left: bool) -> str:
    """One decrease: on needles it leans, in loop yarn one loop lies on its neighbour."""
    if craft is Craft.LOOP:
        return "dec"
    return "ssk" if left else "k2tog"


def begin_stripes(b: ScriptBuilder) -> tuple[Stripe, ...]:
    """The plan's stripes, the first one's colour in work. Raises Refusal where they make none."""
    stripes = read_stripes(b.plan.stripes)
    b.colour = colour_of(stripes, 1)
    return stripes


def changed_colour(
    b: ScriptBuilder, stripes: tuple[Stripe, ...], row: int
) -> tuple[Sequence[Operation], str]:
    """What comes before a row where its colour is another than that in work."""
    colour = colour_of(stripes, row)
    if not colour or colour == b.colour:
        return (), ""
    b.colour = colour
    return (op("tail"), op("join")), f"Change to {colour} here, at the end of the row"
