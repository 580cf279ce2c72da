"""What pieces are made of, in either craft: panels, tubes, tapers, crowns, gussets, edgings.

A design says how many loops and rows; these put them into steps, with the way and side of every
row, the looks at the back in between, a stitch pattern over them, and their stripes.
"""

from collections.abc import Sequence

from engine.base.refusal import Refusal
from engine.craft.spacing import gaps
from engine.craft.stripes import Stripe, colour_of, read_stripes
from engine.designs.design import scaled
from engine.designs.fabric import bind_off, finish, foundation, look, smooth, way
from engine.script.builder import ScriptBuilder, op
from engine.script.wording import counted
from engine.stitches import Cloth
from models.plan import Plan
from models.script import Craft, Direction, Kind, Operation, RowScript

Ops = Sequence[Operation]


# --- counts that may have been decided -------------------------------------------------------


def loops_for(plan: Plan, wanted: float) -> int:
    """Loops of the foundation: those that were decided, else the nearest to those wanted."""
    return plan.count("foundation") or round(wanted)


def rows_for(plan: Plan, part: str, wanted: float, least: int = 1) -> int:
    """Rows of a part: those that were decided, else the nearest to those wanted."""
    return max(least, plan.row_counts.get(part, round(wanted)))


def cloth_for(plan: Plan, wide: int, *, rounds: bool = False) -> Cloth | None:
    """The plan's stitch pattern over a width; None where it is plain. Raises Refusal."""
    return Cloth.of(plan.stitch, wide, plan.craft, rounds=rounds) if plan.stitch else None


# --- one row ---------------------------------------------------------------------------------


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


def begin_stripes(b: ScriptBuilder) -> tuple[Stripe, ...]:
    """The plan's stripes, the first one's colour in work. Raises Refusal where they make none."""
    stripes = read_stripes(b.plan.stripes)
    b.colour = colour_of(stripes, 1)
    return stripes


def _coloured(b: ScriptBuilder, stripes: tuple[Stripe, ...], row: int) -> tuple[Ops, str]:
    """What comes before a row where its colour is another than that in work."""
    colour = colour_of(stripes, row)
    if not colour or colour == b.colour:
        return (), ""
    b.colour = colour
    return (op("tail"), op("join")), f"Change to {colour} here, at the end of the row"


# --- whole parts -----------------------------------------------------------------------------


def panel(
    b: ScriptBuilder,
    part: str,
    rows: int,
    *,
    cloth: Cloth | None = None,
    open_end: bool = False,
    after: int = 0,
    stripes: tuple[Stripe, ...] = (),
    sleek: bool = False,
    note: str = "",
) -> None:
    """Rows over all live loops: in a stitch pattern, knit, or `sleek`, smooth on the right side.

    `after` rows were worked before on the same loops: the first goes on from there.
    """
    for row in range(1, rows + 1):
        clock = after + row
        first, said = _coloured(b, stripes, clock)
        stitch = smooth(b.plan.craft, way(b.plan.craft, clock)) if sleek else "k"
        worked = cloth.row(clock) if cloth else (op(stitch, b.live),)
        flat_row(
            b,
            part,
            row,
            *first,
            *worked,
            rows=None if open_end else rows,
            planned=rows,
            clock=clock,
            note=said or (note if row == 1 else ""),
        )
        look(b, part, row, rows)


def tube(
    b: ScriptBuilder,
    part: str,
    rounds: int,
    *,
    cloth: Cloth | None = None,
    open_end: bool = False,
    stripes: tuple[Stripe, ...] = (),
    note: str = "",
) -> None:
    """Rounds over all live loops, knit or in a stitch pattern."""
    for row in range(1, rounds + 1):
        first, said = _coloured(b, stripes, row)
        worked = cloth.row(row) if cloth else (op("k", b.live),)
        a_round(
            b,
            part,
            row,
            *first,
            *worked,
            rows=None if open_end else rounds,
            planned=rounds,
            note=said or (note if row == 1 else ""),
        )
        look(b, part, row, rounds)


def ribbing(b: ScriptBuilder, part: str, rounds: int, knit: int = 1, purl: int = 1) -> None:
    """Rounds of rib over all live loops, which come in whole ribs."""
    for row in range(1, rounds + 1):
        ribs = [op("k", knit), op("p", purl)] * (b.live // (knit + purl))
        a_round(b, part, row, *ribs, rows=rounds)
        look(b, part, row, rounds)


def ridges(b: ScriptBuilder, part: str, rows: int, *, around: bool, after: int = 0) -> None:
    """An edge that does not curl: around it purls and knits in turn; flat it is knit, and in loop
    yarn, which is not turned, knit and purled in turn."""
    for row in range(1, rows + 1):
        if around:
            a_round(b, part, row, op("p" if row % 2 else "k", b.live), rows=rows)
            continue
        purled = b.plan.craft is Craft.LOOP and (after + row) % 2 == 0
        worked = op("p" if purled else "k", b.live)
        flat_row(b, part, row, worked, rows=rows, clock=after + row)


def taper(
    b: ScriptBuilder,
    part: str,
    rounds: int,
    changes: dict[int, int],
    *,
    open_end: bool = False,
    note: str = "",
) -> None:
    """Rounds narrowed at their beginning: `changes` loops in each round that it names.

    An odd one is taken at the beginning; a pair lies on either side of it.
    """
    for row in range(1, rounds + 1):
        lost = changes.get(row, 0)
        left, right = lean(b.plan.craft, left=True), lean(b.plan.craft, left=False)
        before, after = (lost + 1) // 2, lost // 2
        plain = b.live - 2 * lost
        a_round(
            b,
            part,
            row,
            *([op(right, before)] if before else []),
            op("k", plain),
            *([op(left, after)] if after else []),
            rows=None if open_end else rounds,
            planned=rounds,
            note=note if row == 1 else "",
        )
        look(b, part, row, rounds)


def spread(b: ScriptBuilder, lost: int) -> list[Operation]:
    """A round over all live loops with `lost` decreases, evenly."""
    decrease = lean(b.plan.craft, left=False)
    plain = gaps(b.live - 2 * lost, lost)
    return [o for before in plain for o in (op("k", before), op(decrease))]


def crown(b: ScriptBuilder, part: str, losses: Sequence[int]) -> None:
    """Rounds that lose so many loops each, evenly; 0 is a plain one."""
    for row, lost in enumerate(losses, 1):
        worked = spread(b, lost) if lost else [op("k", b.live)]
        a_round(b, part, row, *worked, rows=len(losses))


def draw_together(b: ScriptBuilder, part: str) -> None:
    """Cut the yarn and draw it through all that is live."""
    b.step(
        part,
        Kind.BIND_OFF,
        op("tail"),
        op("fasten", b.live),
        note="Pull it tight and fasten on the wrong side",
    )


def lean(craft: Craft, *, left: bool) -> str:
    """One decrease: on needles it leans, in loop yarn one loop lies on its neighbour."""
    if craft is Craft.LOOP:
        return "dec"
    return "ssk" if left else "k2tog"


def close_flat(
    b: ScriptBuilder, part: str, loops: int, front: str, back: str, *, note: str
) -> None:
    """Close all that is live, 2 x `loops`, by a chain: the first half is laid on the second."""
    needles = b.plan.craft is Craft.NEEDLES
    b.step(
        part,
        Kind.SEAM,
        op("rest", loops, back),
        op("rest", loops, front),
        op("pair", loops, f"{front}|{back}"),
        *([op("3nbo", loops - 1), op("k2tog")] if needles else [op("seam", 2 * loops - 1)]),
        note=note,
    )
    b.step(part, Kind.BIND_OFF, op("fasten"), op("tail"))


def close_foundation(b: ScriptBuilder, part: str, of: str, loops: int, *, note: str) -> None:
    """Close the foundation of a tube of 2 x `loops`: picked up around, and chained together."""
    b.step(
        part,
        Kind.PICK_UP,
        op("join"),
        op("pick up", 2 * loops, f"the foundation of the {of}"),
        direction=Direction.AROUND,
        note="One for one along the foundation, beginning at the tail",
    )
    close_flat(b, part, loops, f"{of}, lower front", f"{of}, lower back", note=note)


PULL = {
    Craft.LOOP: "Chain a front loop, a back loop, each through the one before",
    Craft.NEEDLES: "Knit a front and a back stitch as one, binding off as you go",
}
"""How two halves are chained together."""


def measured(b: ScriptBuilder, part: str, cm: float, how: str) -> None:
    """The tape decides how long a part becomes."""
    wanted = max(0.1, round(cm, 1))
    b.step(part, Kind.MEASURE, target_cm=wanted, note=f"{how}: {wanted:g} cm is wanted")


def rectangle(plan: Plan, part: str, *, long: str = "height", caution: str = "") -> RowScript:
    """A flat piece of `width` and `long`, as the plan measures them, with what is laid over it.

    Raises Refusal for one narrower than two loops, or than its stitch pattern.
    """
    cm, gauge = scaled(plan), plan.gauge
    loops = loops_for(plan, cm["width"] * gauge.loops_per_cm)
    if loops < 2:
        raise Refusal(
            f"A width of {cm['width']:g} cm is only {counted(loops, plan.craft)} at this gauge: "
            f"make the {part} wider."
        )
    rows = rows_for(plan, part, cm[long] * gauge.rows_per_cm)
    b = ScriptBuilder(plan)
    stripes = begin_stripes(b)
    foundation(b, part, loops)
    panel(b, part, rows, cloth=cloth_for(plan, loops), open_end=True, stripes=stripes)
    measured(b, part, cm[long], f"Lay it flat and measure the {long}")
    b.back_check(part, "before the bind-off")
    bind_off(b, part)
    finish(b, part, caution)
    return b.finish(
        finished_cm={"width": loops / gauge.loops_per_cm, long: rows / gauge.rows_per_cm}
    )
