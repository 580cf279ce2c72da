"""A pet's bed: a flat base, and a wall picked up all around it."""

from engine.base.refusal import Refusal
from engine.craft.pickup import edge_words, straight_loops
from engine.designs.cautions import CHEWED
from engine.designs.design import Design, handed, scaled, spec, told_of
from engine.designs.fabric import bind_off, finish, foundation, rounds_begin
from engine.designs.shapes import cover_for, loops_for, measured, panel, rows_for, tube
from engine.script.builder import ScriptBuilder, op
from engine.script.edges import side_words
from engine.script.wording import counted
from models.plan import DesignInfo, Plan
from models.script import Craft, Direction, Kind, RowScript

INFO = DesignInfo(
    name="petbed",
    title="Pet's bed",
    blurb="A flat base with a wall all around it, which is folded in or filled.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=(),
    measures=(
        spec("width", "Width", "As wide as the animal lies curled up, and a hand more.", 25, 120),
        spec("depth", "Depth", "Of the base, the other way.", 25, 120),
        spec("wall", "Wall", "Its height; twice as much where it is folded in.", 5, 60),
    ),
    stitches=True,
)


def defaults(_size: str) -> dict[str, float]:
    """A bed for a cat or a small dog (common practice, no source)."""
    return {"width": 45.0, "depth": 45.0, "wall": 24.0}


def build(plan: Plan) -> RowScript:
    """The bed's script. Raises Refusal for a base of fewer than three loops."""
    cm, gauge = scaled(plan), plan.gauge
    loops = loops_for(plan, cm["width"] * gauge.loops_per_cm)
    if loops < 3:
        raise Refusal(
            f"A width of {cm['width']:g} cm is only {counted(loops, plan.craft)} at this gauge: "
            "make the bed wider."
        )
    # An odd number of rows ends at the left, where the pick-up goes on around the corner.
    rows = plan.row_counts.get("base", 2 * round((cm["depth"] * gauge.rows_per_cm - 1) / 2) + 1)
    rows = max(1, rows) + (rows % 2 == 0)
    up = max(1, straight_loops(rows, gauge))
    walls = rows_for(plan, "wall", cm["wall"] * gauge.rows_per_cm)
    b = ScriptBuilder(plan)
    foundation(b, "base", loops)
    panel(b, "base", rows, cover=cover_for(plan, loops, part="base"))
    b.back_check("base", "before the wall")
    left, right = handed(plan.hand, "left"), handed(plan.hand, "right")
    b.step(
        "wall",
        Kind.PICK_UP,
        op("pick up", up, side_words("base", "left")),
        op("pick up", loops, "the foundation of the base"),
        op("pick up", up, side_words("base", "right")),
        direction=Direction.AROUND,
        note=f"From where the yarn hangs down the {left} edge, {edge_words(up, rows)}; one for one "
        f"along the foundation; up the {right} edge the same in reverse",
    )
    rounds_begin(b, "wall", "the corner")
    over = cover_for(plan, b.live, rounds=True, part="wall")
    tube(b, "wall", walls, open_end=True, cover=over)
    measured(b, "wall", cm["wall"], "Measure the wall from the base up")
    b.back_check("wall", "before it is bound off")
    bind_off(b, "wall", marker="the corner")
    finish(b, "wall", CHEWED)
    return b.finish(
        finished_cm={
            "width": loops / gauge.loops_per_cm,
            "depth": rows / gauge.rows_per_cm,
            "wall": walls / gauge.rows_per_cm,
        }
    )


_TOLD = told_of(
    across={"width": lambda cm: cm["width"]},
    up={"depth": lambda cm: cm["depth"], "wall": lambda cm: cm["wall"]},
)
DESIGN = Design(INFO, defaults, build, told=_TOLD)
