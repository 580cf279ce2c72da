"""The edging up the fronts and round the neck, and how it ends.

In loop yarn the hem is picked up as well and one chain closes the whole ring. On needles the
cast-on edge is finished as it is, so the edging is bound off by itself.
"""

from engine.craft.pickup import slope_loops, straight_loops
from engine.designs.fabric import bind_off, finish, way
from engine.designs.openfront.garment import Garment, per
from engine.script.builder import op
from models.script import Direction, Kind

_CORNER = 1
"""Loops picked up at a lower corner for each edging row (common practice, no source)."""


def work_edging(g: Garment) -> None:
    """Pick up along both fronts and the back neck, and work the edging's rows."""
    n, b, gauge, part = g.n, g.b, g.plan.gauge, "edging"
    slope_rows = min(2 * n.decreases, n.armhole_rows)
    plain_rows = n.armhole_rows - slope_rows
    # A fit check may have asked for a looser or a tighter edge.
    body = straight_loops(n.body_rows, gauge) + g.plan.counts.get("edging ease", 0)
    slope = slope_loops(slope_rows, gauge)
    plain = straight_loops(plain_rows, gauge)
    one_side = body + slope + plain
    along = f"up the straight edge {per(body, n.body_rows)}; "
    along += f"up the slope {per(slope, slope_rows)}; "
    if plain:
        along += f"on to the shoulder {per(plain, plain_rows)}; "
    b.step(
        part,
        Kind.PICK_UP,
        op("join"),
        op("pick up", one_side, "the right front edge"),
        op("pick up", n.neck, "the back neck"),
        op("pick up", one_side, "the left front edge"),
        direction=Direction.RIGHT_TO_LEFT,
        side="RS" if g.needles else None,
        note=f"Begin at the lower right corner, through one strand: {along}"
        f"one for one along the back neck; down the left front the same in reverse",
    )
    for row in range(1, n.edging_rows + 1):
        # The pick-up went right to left, so the first row comes back.
        travel = way(g.craft, row, first_back=True)
        b.step(
            part,
            Kind.ROW,
            op("k", b.live),
            row=row,
            rows=n.edging_rows,
            direction=travel.direction,
            side=travel.side,
        )
    b.back_check(part, "before it is bound off" if g.needles else "before the hem")
    b.step(
        part,
        Kind.FIT_CHECK,
        note="Try it on: the fronts hang straight, the edging neither ruffles nor pulls",
    )


def work_hem_and_ring(g: Garment, caution: str = "") -> None:
    """The hem, the last ring of bind-off, and the ends."""
    n, b = g.n, g.b
    if g.needles:
        bind_off(b, "ring", note="Loosely, from one lower corner over the neck to the other")
        finish(b, "ring", caution)
        return
    corner = _CORNER * n.edging_rows
    # After an odd number of edging rows the yarn hangs at the right corner, else at the left.
    at_right = n.edging_rows % 2 == 1
    here, there = ("right", "left") if at_right else ("left", "right")
    b.step(
        "hem",
        Kind.PICK_UP,
        op("pick up", corner, f"the {here} corner"),
        op("pick up", n.foundation, "the foundation"),
        op("pick up", corner, f"the {there} corner"),
        direction=Direction.RIGHT_TO_LEFT if at_right else Direction.LEFT_TO_RIGHT,
        note=f"One for each of the {n.edging_rows} edging rows at either corner, one for each "
        "foundation loop between",
    )
    ring = b.live
    b.step(
        "ring",
        Kind.BIND_OFF,
        op("bo", ring - 1),
        op("fasten"),
        op("tail"),
        direction=Direction.AROUND,
        note=f"One chain around it all, back to its start: about "
        f"{ring / g.plan.gauge.loops_per_cm:.0f} cm of edge",
    )
    finish(b, "ring", caution)
