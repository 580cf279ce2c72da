"""Whole parts: panels, tubes, ribbing, edges, tapers, and what is but one rectangle."""

from engine.base.refusal import Refusal
from engine.designs.design import scaled
from engine.designs.fabric import bind_off, finish, foundation, look, smooth, way
from engine.designs.shapes.colours import Colours
from engine.designs.shapes.cover import Cover, cover_for
from engine.designs.shapes.rows import (
    a_round,
    flat_row,
    lean,
    loops_for,
    rows_for,
)
from engine.script.builder import ScriptBuilder, op
from engine.script.wording import counted
from models.plan import Plan
from models.script import Craft, Kind, RowScript


def panel(
    b: ScriptBuilder,
    part: str,
    rows: int,
    *,
    cover: Cover | None = None,
    open_end: bool = False,
    after: int = 0,
    colours: Colours | None = None,
    sleek: bool = False,
    note: str = "",
) -> None:
    """Rows over all live loops: in a stitch pattern, knit, or `sleek`, smooth on the right side.

    `after` rows were worked before on the same loops: the first goes on from there.
    """
    for row in range(1, rows + 1):
        clock = after + row
        stitch = smooth(b.plan.craft, way(b.plan.craft, clock)) if sleek else "k"
        flat_row(
            b,
            part,
            row,
            op(stitch, b.live),
            rows=None if open_end else rows,
            planned=rows,
            clock=clock,
            cover=cover,
            colours=colours,
            note=note if row == 1 else "",
        )
        look(b, part, row, rows)


def tube(
    b: ScriptBuilder,
    part: str,
    rounds: int,
    *,
    cover: Cover | None = None,
    open_end: bool = False,
    colours: Colours | None = None,
    first: int = 1,
    note: str = "",
) -> None:
    """Rounds over all live loops, knit or in a stitch pattern; from round `first` on."""
    for row in range(first, rounds + 1):
        a_round(
            b,
            part,
            row,
            op("k", b.live),
            rows=None if open_end else rounds,
            planned=rounds,
            cover=cover,
            colours=colours,
            note=note if row == 1 else "",
        )
        look(b, part, row, rounds)


def ribbing(b: ScriptBuilder, part: str, rounds: int, knit: int = 1, purl: int = 1) -> None:
    """Rounds of rib over all live loops, which come in whole ribs."""
    b.regular.append(part)
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


def edged(b: ScriptBuilder, part: str, rounds: int, *, ribbed: bool) -> None:
    """An edge in the round that does not curl, a rib or ridges; nothing where it has no rounds."""
    if rounds and ribbed:
        ribbing(b, part, rounds)
    elif rounds:
        ridges(b, part, rounds, around=True)


def taper(
    b: ScriptBuilder,
    part: str,
    rounds: int,
    changes: dict[int, int],
    *,
    open_end: bool = False,
    first: int = 1,
    cover: Cover | None = None,
    note: str = "",
) -> None:
    """Rounds narrowed at their beginning: `changes` loops in each round that it names.

    An odd one is taken at the beginning; a pair lies on either side of it. From round `first` on.
    """
    told: set[bool] = set()
    loop_yarn = b.plan.craft is Craft.LOOP
    for row in range(first, rounds + 1):
        lost = changes.get(row, 0)
        left, right = lean(b.plan.craft, left=True), lean(b.plan.craft, left=False)
        before, after = (lost + 1) // 2, lost // 2
        plain = b.live - 2 * lost
        new = lost > 0 and (lost > 1) not in told
        told |= {lost > 1} if lost else set()
        a_round(
            b,
            part,
            row,
            *([op(right, before)] if before else []),
            op("k", plain),
            *([op(left, after)] if after else []),
            rows=None if open_end else rounds,
            planned=rounds,
            cover=cover,
            note=_stacked(lost) if new and loop_yarn else note if row == 1 else "",
        )
        look(b, part, row, rounds)


def _stacked(lost: int) -> str:
    """Which loop lies on which where a loop yarn round narrows at its beginning."""
    said = "Lay the round's first loop on its neighbour and pull one loop through both"
    return f"{said}; the same with its last loop on the one before it" if lost > 1 else said


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
    colours = Colours(b, loops)
    foundation(b, part, loops, laid=colours.foundation())
    panel(b, part, rows, cover=cover_for(plan, loops), open_end=True, colours=colours)
    measured(b, part, cm[long], f"Lay it flat and measure the {long}")
    b.back_check(part, "before the bind-off")
    colours.last(part, rows)
    bind_off(b, part)
    finish(b, part, caution)
    return b.finish(
        finished_cm={"width": loops / gauge.loops_per_cm, long: rows / gauge.rows_per_cm}
    )
