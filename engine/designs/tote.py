"""A tote bag: a tube with its handles in it, closed below by a chain.

A handle begins where loops are bound off for the hand's opening; in the next round as many are laid
on over the gap as the handle is long, so that it belongs to the bag and is sewn to nothing.
"""

from engine.base.refusal import Refusal
from engine.designs.design import Design, scaled, spec, told_of
from engine.designs.fabric import JOIN, bind_off, finish, foundation
from engine.designs.shapes import (
    PULL,
    Colours,
    a_round,
    close_foundation,
    cover_for,
    loops_for,
    measured,
    rows_for,
    tube,
)
from engine.script.builder import ScriptBuilder, op
from engine.script.wording import counted
from models.plan import DesignInfo, Plan
from models.script import Craft, RowScript

_EDGE_CM = 3.0
"""Height of the handles and of the edge between them (common practice, no source)."""

INFO = DesignInfo(
    name="tote",
    title="Tote bag",
    blurb="A tube with its two handles worked in, closed below by a chain.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=(),
    measures=(
        spec("width", "Width", "Of the bag as it lies flat.", 20, 80),
        spec("height", "Height", "From its bottom to where the handles begin.", 15, 80),
        spec("opening", "Opening", "Of the edge below a handle: where the handle parts.", 8, 40),
        spec("handle", "Handle", "Its length; it gives with the weight.", 20, 120),
    ),
    stitches=True,
    stripes=True,
)


def defaults(_size: str) -> dict[str, float]:
    """A bag for the shopping (common practice, no source)."""
    return {"width": 40.0, "height": 38.0, "opening": 16.0, "handle": 45.0}


def build(plan: Plan) -> RowScript:
    """The bag's script. Raises Refusal where the handles find no room."""
    cm, gauge = scaled(plan), plan.gauge
    across = gauge.loops_per_cm
    half = loops_for(plan, 2 * cm["width"] * across, 2) // 2
    gap, handle = round(cm["opening"] * across), round(cm["handle"] * across)
    beside = (half - gap) // 2
    if gap < 2 or beside < 2:
        raise Refusal(
            f"An opening of {cm['opening']:g} cm in a bag {cm['width']:g} cm wide is "
            f"{counted(max(0, gap), plan.craft)} of {half}: make the bag wider or the opening "
            "narrower."
        )
    if handle <= gap:
        raise Refusal(
            f"A handle of {cm['handle']:g} cm is no longer than its opening of "
            f"{cm['opening']:g} cm: make the handle longer."
        )
    rounds = rows_for(plan, "bag", cm["height"] * gauge.rows_per_cm)
    edge = rows_for(plan, "handles", _EDGE_CM * gauge.rows_per_cm, least=3)
    b = ScriptBuilder(plan)
    colours = Colours(b, 2 * half, around=True)
    foundation(b, "bag", 2 * half, in_the_round=True, laid=colours.foundation())
    cover = cover_for(plan, 2 * half, rounds=True)
    tube(b, "bag", rounds, cover=cover, open_end=True, colours=colours)
    measured(b, "bag", cm["height"], "Measure from the foundation")
    b.back_check("bag", "before the handles")
    other = half - gap - beside
    side = (op("k", beside), op("bo", gap), op("k", other))
    a_round(b, "handles", 1, *side, *side, rows=edge, note="The openings below the handles")
    laid_on = (op("k", beside), op("co", handle), op("k", other))
    over = "Over each gap lay on the loops of a handle"
    a_round(b, "handles", 2, *laid_on, *laid_on, rows=edge, note=over)
    for row in range(3, edge + 1):
        a_round(b, "handles", row, op("p" if row % 2 else "k", b.live), rows=edge)
    bind_off(b, "handles", note="Bind off firmly, so that the handles do not stretch", marker=JOIN)
    close_foundation(b, "bottom", "bag", half, note=f"Turn it inside out. {PULL[plan.craft]}")
    finish(b, "bottom")
    return b.finish(
        regular=["handles"],
        finished_cm={
            "width": half / across,
            "height": rounds / gauge.rows_per_cm,
            "handle": handle / across,
        },
    )


_TOLD = told_of(
    across={"width": lambda cm: cm["width"], "handle": lambda cm: cm["handle"]},
    up={"height": lambda cm: cm["height"]},
)
DESIGN = Design(INFO, defaults, build, told=_TOLD)
