"""The edging up the fronts and round the neck, and how it ends.

In loop yarn the hem is picked up as well and one chain closes the whole ring. On needles the
cast-on edge is finished as it is, so the edging is bound off by itself.
"""

from typing import NamedTuple

from engine.craft.pickup import edge_words, slope_loops, straight_loops
from engine.designs.fabric import bind_off, finish, way
from engine.designs.openfront.garment import Garment
from engine.script.builder import op
from engine.script.edges import rows_told
from engine.script.wording import loop_word
from models.script import Direction, Kind

_CORNER = 1
"""Loops picked up at a lower corner for each edging row (common practice, no source)."""


class _Stretch(NamedTuple):
    """Rows of one part along a front edge, and the loops that are picked up from them."""

    part: str
    told: str
    """In the words of the pick-up's note."""
    rows: int
    loops: int
    which: str = ""
    """`, rows 1 to 8` where it is not the whole edge of its part."""

    def at(self, side: str, front: str) -> str:
        """The edge in the words that the audit reads."""
        return f"the {side} edge of the {front if self.part == 'front' else self.part}{self.which}"


def _stretches(g: Garment) -> list[_Stretch]:
    """A front edge from its lower corner to the shoulder."""
    n, gauge, across = g.n, g.plan.gauge, g.across
    slope = min(2 * across.decreases, n.armhole_rows)
    plain = n.armhole_rows - slope
    hem = straight_loops(n.hem_rows, gauge)
    # A fit check may have asked for a looser or a tighter edge.
    body = straight_loops(n.hem_rows + n.body_rows, gauge) - hem
    body = max(1, body + g.plan.counts.get("edging ease", 0))
    found = [
        _Stretch("hem", "up the hem", n.hem_rows, hem),
        _Stretch("body", "up the straight edge", n.body_rows, body),
        _Stretch("front", "up the slope", slope, slope_loops(slope, gauge), rows_told(1, slope)),
        _Stretch(
            "front",
            "on to the shoulder",
            plain,
            straight_loops(plain, gauge),
            rows_told(slope + 1, n.armhole_rows),
        ),
    ]
    return [stretch for stretch in found if stretch.loops]


def work_edging(g: Garment) -> None:
    """Pick up along both fronts and the back neck, and work the edging's rows."""
    b, part, across = g.b, "edging", g.across
    right, left = g.named("right front"), g.named("left front")
    stretches = _stretches(g)
    along = "; ".join(f"{s.told} {edge_words(s.loops, s.rows)}" for s in stretches)
    b.step(
        part,
        Kind.PICK_UP,
        op("join"),
        *[op("pick up", s.loops, s.at("right", right)) for s in stretches],
        op("pick up", across.neck, "the bound-off edge of the shoulders and neck"),
        *[op("pick up", s.loops, s.at("left", left)) for s in reversed(stretches)],
        direction=Direction.RIGHT_TO_LEFT,
        side="RS" if g.needles else None,
        note=f"Begin at the lower {g.named('right')} corner, the right side towards you, drawing "
        f"each {loop_word(g.craft, 1)} through one strand: {along}; one for one along the "
        f"back neck; down the {left} the same in reverse",
    )
    for row in range(1, across.edging_rows + 1):
        # The pick-up went right to left, so the first row comes back.
        travel = way(g.craft, row, first_back=True)
        b.step(
            part,
            Kind.ROW,
            op("k", b.live),
            row=row,
            rows=across.edging_rows,
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
    across, b = g.across, g.b
    if g.needles:
        bind_off(
            b, "ring", note="Bind off loosely, from one lower corner over the neck to the other"
        )
        finish(b, "ring", caution)
        return
    corner = _CORNER * across.edging_rows
    # After an odd number of edging rows the yarn hangs where they began, else at the other end.
    at_start = across.edging_rows % 2 == 1
    here, there = ("right", "left") if at_start else ("left", "right")
    rows = across.edging_rows
    per_row = "one for the edging row there" if rows == 1 else "one for each edging row there"
    b.step(
        "hem",
        Kind.PICK_UP,
        op("pick up", corner, f"the {here} edge of the edging"),
        op("pick up", across.foundation, "the foundation"),
        op("pick up", corner, f"the {there} edge of the edging"),
        direction=Direction.RIGHT_TO_LEFT if at_start else Direction.LEFT_TO_RIGHT,
        note=f"Go on round the lower {g.named(here)} corner: {per_row}, "
        f"one for each foundation loop, and the same at the other corner",
    )
    ring = b.live
    b.step(
        "ring",
        Kind.BIND_OFF,
        op("bo", ring - 1),
        op("fasten"),
        op("tail"),
        direction=Direction.AROUND,
        note=f"One chain on from where the pick-up ends, around it all, back to its start: about "
        f"{ring / g.plan.gauge.loops_per_cm:.0f} cm of edge",
    )
    finish(b, "ring", caution)
