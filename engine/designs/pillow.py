"""A pillow: front and back in one tube, closed above and below by a chain."""

from engine.base.refusal import Refusal
from engine.designs.cautions import SAFE_SLEEP
from engine.designs.design import Design, scaled, spec, told_of
from engine.designs.fabric import finish, foundation
from engine.designs.shapes import (
    PULL,
    Colours,
    close_flat,
    close_foundation,
    cover_for,
    loops_for,
    measured,
    rows_for,
    tube,
)
from engine.script.builder import ScriptBuilder
from engine.script.wording import counted
from models.plan import DesignInfo, Plan
from models.script import Craft, RowScript

INFO = DesignInfo(
    name="pillow",
    title="Pillow",
    blurb="Front and back in one tube, chained together above, filled, and chained below.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=(),
    measures=(
        spec(
            "width", "Width", "Of the cushion inside, or a little less: it then sits firm.", 15, 100
        ),
        spec(
            "height", "Height", "Of the cushion inside; the tape decides it as you work.", 15, 100
        ),
    ),
    stitches=True,
    stripes=True,
)


def defaults(_size: str) -> dict[str, float]:
    """A cushion as it is sold (common practice, no source)."""
    return {"width": 40.0, "height": 40.0}


def build(plan: Plan) -> RowScript:
    """The script of a pillow. Raises Refusal for one too narrow to be closed."""
    cm, gauge = scaled(plan), plan.gauge
    half = loops_for(plan, 2 * cm["width"] * gauge.loops_per_cm, 2) // 2
    if half < 3:
        raise Refusal(
            f"A width of {cm['width']:g} cm is only {counted(half, plan.craft)} a side at this "
            "gauge: make the pillow wider."
        )
    rounds = rows_for(plan, "pillow", cm["height"] * gauge.rows_per_cm)
    b = ScriptBuilder(plan)
    colours = Colours(b, 2 * half, around=True)
    foundation(b, "pillow", 2 * half, in_the_round=True, laid=colours.foundation())
    cover = cover_for(plan, 2 * half, rounds=True)
    tube(b, "pillow", rounds, cover=cover, open_end=True, colours=colours)
    measured(b, "pillow", cm["height"], "Lay it flat and measure from the foundation")
    b.back_check("pillow", "before it is closed")
    pull = PULL[plan.craft]
    close_flat(b, "top", half, "front", "back", note=f"Turn it inside out first. {pull}")
    close_foundation(
        b,
        "bottom",
        "pillow",
        half,
        first="Turn it right side out. ",
        note=f"Put the cushion in. {pull}",
    )
    finish(b, "bottom", SAFE_SLEEP)
    return b.finish(
        finished_cm={"width": half / gauge.loops_per_cm, "height": rounds / gauge.rows_per_cm}
    )


_TOLD = told_of(across={"width": lambda cm: cm["width"]}, up={"height": lambda cm: cm["height"]})
DESIGN = Design(INFO, defaults, build, told=_TOLD)
