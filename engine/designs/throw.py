"""A throw: a plain rectangle, so that a beginner has something tonight."""

from engine.base.refusal import Refusal
from engine.designs.design import Design, scaled, spec
from engine.designs.fabric import bind_off, finish, foundation, look, way
from engine.script.builder import ScriptBuilder, op
from engine.script.wording import counted
from models.plan import DesignInfo, Plan
from models.script import Craft, Kind, RowScript

INFO = DesignInfo(
    name="throw",
    title="Throw",
    blurb="A plain rectangle. One foundation, one row over and over, one bind-off.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=(),
    measures=(
        spec("width", "Width", "From side to side; it decides how many loops you count.", 10, 400),
        spec(
            "height",
            "Height",
            "From the foundation to the bind-off; the tape decides it at the end.",
            10,
            400,
        ),
    ),
)


def defaults(_size: str) -> dict[str, float]:
    """A lap throw."""
    return {"width": 100.0, "height": 130.0}


def build(plan: Plan) -> RowScript:
    """The script of a throw. Raises Refusal for one narrower than two loops."""
    cm, gauge, craft = scaled(plan), plan.gauge, plan.craft
    loops = plan.counts.get("foundation", round(cm["width"] * gauge.loops_per_cm))
    if loops < 2:
        raise Refusal(
            f"A width of {cm['width']:g} cm is only {counted(loops, craft)} at this gauge: "
            "make the throw wider."
        )
    rows = max(1, plan.rows.get("throw", round(cm["height"] * gauge.rows_per_cm)))
    b = ScriptBuilder(plan)
    foundation(b, "throw", loops)
    for row in range(1, rows + 1):
        travel = way(craft, row)
        b.step(
            "throw",
            Kind.ROW,
            op("k", loops),
            row=row,
            planned=rows,
            direction=travel.direction,
            side=travel.side,
        )
        look(b, "throw", row, rows)
    b.step(
        "throw",
        Kind.MEASURE,
        target_cm=round(cm["height"], 1),
        note=f"Lay it flat and measure the height: {cm['height']:g} cm is wanted",
    )
    b.back_check("throw", "before the bind-off")
    bind_off(b, "throw")
    finish(b, "throw")
    return b.finish(
        finished_cm={"width": loops / gauge.loops_per_cm, "height": rows / gauge.rows_per_cm}
    )


DESIGN = Design(INFO, defaults, build)
