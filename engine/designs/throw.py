"""A throw: a plain rectangle, so that a beginner has something tonight."""

from engine.builder import ScriptBuilder, op
from engine.designs.design import Design, scaled
from engine.refusal import Refusal
from engine.wording import counted
from models.plan import DesignInfo, MeasureSpec, Plan
from models.script import Craft, Direction, Kind, RowScript
from models.size import BodySize

_CHECK_EVERY = 10
"""Rows between two looks at the back: few enough to rip back (common practice, no source)."""

INFO = DesignInfo(
    name="throw",
    title="Throw",
    blurb="A plain rectangle. One foundation, one row over and over, one bind-off.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=(),
    measures=(
        MeasureSpec(
            name="width",
            label="Width",
            why="From side to side; it decides how many loops you count.",
            low=10,
            high=400,
        ),
        MeasureSpec(
            name="height",
            label="Height",
            why="From the foundation to the bind-off; the tape decides it at the end.",
            low=10,
            high=400,
        ),
    ),
)


def defaults(_size: BodySize | None) -> dict[str, float]:
    """A lap throw."""
    return {"width": 100.0, "height": 130.0}


def build(plan: Plan) -> RowScript:
    """The script of a throw. Raises Refusal for one narrower than two loops."""
    cm, gauge, craft = scaled(plan), plan.gauge, plan.craft
    loops = round(cm["width"] * gauge.loops_per_cm)
    if loops < 2:
        raise Refusal(
            f"A width of {cm['width']:g} cm is only {counted(loops, craft)} at this gauge: "
            "make the throw wider."
        )
    rows = plan.rows.get("throw", max(1, round(cm["height"] * gauge.rows_per_cm)))
    b = ScriptBuilder(plan)
    tail_note = "Start with the third loop: the first 2 are the tail" if craft is Craft.LOOP else ""
    b.step(
        "throw",
        Kind.FOUNDATION,
        op("co", loops),
        *([op("tail")] if craft is Craft.LOOP else []),
        direction=Direction.LEFT_TO_RIGHT,
        note=tail_note,
    )
    for row in range(1, rows + 1):
        turned = craft is Craft.NEEDLES
        leftward = turned or row % 2 == 1
        b.step(
            "throw",
            Kind.ROW,
            op("k", loops),
            row=row,
            planned=rows,
            direction=Direction.RIGHT_TO_LEFT if leftward else Direction.LEFT_TO_RIGHT,
            side=("RS" if row % 2 else "WS") if turned else None,
        )
        if craft is Craft.LOOP and row % _CHECK_EVERY == 0 and row < rows:
            b.back_check("throw")
    b.step(
        "throw",
        Kind.MEASURE,
        target_cm=round(cm["height"], 1),
        note=f"Lay it flat and measure the height: {cm['height']:g} cm is wanted",
    )
    b.back_check("throw", "before the bind-off")
    b.step("throw", Kind.BIND_OFF, op("bo", loops - 1), op("fasten"), op("tail"))
    b.step(
        "throw",
        Kind.FINISH,
        note="Weave in the ends. Mind the scissors, and keep loose loops away from infants",
    )
    return b.finish(
        finished_cm={"width": loops / gauge.loops_per_cm, "height": rows / gauge.rows_per_cm}
    )


DESIGN = Design(INFO, defaults, build)
