"""A hat with a ribbed brim, and a crown of seven to ten wedges.

Counts are chosen so that brim and crown both come out: whole ribs, equal wedges.
"""

from itertools import pairwise

from engine.base.refusal import Refusal
from engine.craft.shaping import WEDGES
from engine.craft.shaping import crown as wedged
from engine.craft.sizes import HEAD_CM
from engine.designs.design import Design, scaled, spec, told_of
from engine.designs.fabric import finish, foundation
from engine.designs.shapes import (
    cover_for,
    crown,
    draw_together,
    loops_for,
    measured,
    ribbing,
    rows_for,
    tube,
)
from engine.script.builder import ScriptBuilder
from models.plan import DesignInfo, Plan
from models.script import Craft, Kind, RowScript

_RIB = 2
"""Stitches knit and purled in turn at the brim."""

INFO = DesignInfo(
    name="hat",
    title="Hat",
    blurb="A ribbed brim, a body in any stitch pattern, a crown in wedges.",
    crafts=(Craft.NEEDLES,),
    sizes=tuple(HEAD_CM),
    measures=(
        spec("head", "Head", "Around, just above the ears; men's are M to XL.", 30, 75),
        spec("ease", "Ease", "Wider than the head; less than nothing makes it hold.", -12, 20),
        spec("height", "Height", "From the edge over the crown to its middle.", 12, 45),
        spec("brim", "Brim", "Of the height; to fold it up add as much to brim and height.", 2, 20),
    ),
    stitches=True,
)


def defaults(size: str) -> dict[str, float]:
    """Measurements in cm; all but the head are common practice, no source."""
    head = HEAD_CM[size]
    return {"head": head, "ease": -5.0, "height": round(head * 0.42, 1), "brim": 6.0}


def loops_of(wanted: float) -> int:
    """The count nearest to `wanted` in whole ribs and in 7 to 10 equal wedges of two or more."""
    ribs = range(2 * _RIB, 2 * round(wanted) + 64, 2 * _RIB)
    fits = [n for n in ribs if any(n % w == 0 and n // w > 1 for w in WEDGES)]
    return min(fits, key=lambda n: (abs(n - wanted), n))


def build(plan: Plan) -> RowScript:
    """The hat's script. Raises Refusal where no sound one exists."""
    cm, gauge = scaled(plan), plan.gauge
    around = cm["head"] + cm["ease"]
    loops = loops_of(loops_for(plan, loops_of(around * gauge.loops_per_cm)))
    if around * gauge.loops_per_cm < 2 * WEDGES[0]:
        raise Refusal(
            f"A head of {cm['head']:g} cm with {cm['ease']:g} cm of ease is too few stitches for a "
            f"crown of {WEDGES[0]} wedges at this gauge: give a larger head or ease, or work a "
            "finer gauge."
        )
    top = wedged(loops)
    losses = [before - after for before, after in pairwise((loops, *top.rounds))]
    brim = rows_for(plan, "brim", cm["brim"] * gauge.rows_per_cm)
    wanted = cm["height"] - (brim + len(losses)) / gauge.rows_per_cm
    rounds = rows_for(plan, "hat", wanted * gauge.rows_per_cm, least=-1)
    if rounds < 1:
        raise Refusal(
            f"A height of {cm['height']:g} cm is taken up by the brim ({brim} rounds) and the "
            f"crown ({len(losses)} rounds): make the hat higher or the brim narrower."
        )
    b = ScriptBuilder(plan)
    foundation(b, "brim", loops, in_the_round=True)
    ribbing(b, "brim", brim, _RIB, _RIB)
    tube(b, "hat", rounds, cover=cover_for(plan, loops, rounds=True), open_end=True)
    measured(b, "hat", wanted, "Measure from the brim up, before the crown")
    b.step("hat", Kind.FIT_CHECK, note="Try it on: it holds, and the crown is still to come")
    crown(b, "crown", losses)
    b.back_check("crown", "before it is closed")
    draw_together(b, "crown")
    finish(b, "crown")
    return b.finish(
        finished_cm={
            "around": loops / gauge.loops_per_cm,
            "height": (brim + rounds + len(losses)) / gauge.rows_per_cm,
        }
    )


_TOLD = told_of(
    across={"around": lambda cm: cm["head"] + cm["ease"]}, up={"height": lambda cm: cm["height"]}
)
DESIGN = Design(INFO, defaults, build, told=_TOLD, usual="M")
