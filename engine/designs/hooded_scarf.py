"""A hooded scarf: a scarf, and a hood picked up along the middle of its edge."""

from engine.base.refusal import Refusal
from engine.craft.pickup import edge_words, straight_loops
from engine.designs.design import Design, scaled, spec, told_of
from engine.designs.fabric import bind_off, finish, foundation
from engine.designs.shapes import (
    PULL,
    Colours,
    close_flat,
    cover_for,
    loops_for,
    measured,
    panel,
    rows_for,
)
from engine.script.builder import ScriptBuilder, op
from engine.script.edges import side_words
from engine.script.wording import counted
from models.plan import DesignInfo, Plan
from models.script import Craft, Direction, Kind, RowScript

INFO = DesignInfo(
    name="hooded-scarf",
    title="Hooded scarf",
    blurb="A scarf with a hood on the middle of its edge, closed at the top by a chain.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=(),
    measures=(
        spec("width", "Width", "Of the scarf, from side to side.", 8, 60),
        spec("length", "Length", "Of the scarf, from end to end.", 80, 300),
        spec("around", "Around the face", "From shoulder over the head to shoulder.", 40, 90),
        spec("depth", "Depth", "Of the hood, from the face to the back of the head.", 15, 40),
    ),
    stitches=True,
    stripes=True,
)


def defaults(_size: str) -> dict[str, float]:
    """A hood for a grown-up (common practice, no source)."""
    return {"width": 22.0, "length": 170.0, "around": 66.0, "depth": 25.0}


def build(plan: Plan) -> RowScript:
    """The script. Raises Refusal where the hood does not fit on the scarf."""
    cm, gauge = scaled(plan), plan.gauge
    loops = loops_for(plan, cm["width"] * gauge.loops_per_cm)
    if loops < 2:
        raise Refusal(
            f"A width of {cm['width']:g} cm is only {counted(loops, plan.craft)} at this gauge: "
            "make the scarf wider."
        )
    rows = rows_for(plan, "scarf", cm["length"] * gauge.rows_per_cm)
    # The hood stands on twice its depth of the scarf's edge, and is as high as half its face.
    over = round(2 * cm["depth"] * gauge.rows_per_cm)
    half = straight_loops(over, gauge) // 2
    high = rows_for(plan, "hood", cm["around"] / 2 * gauge.rows_per_cm)
    if half < 3:
        raise Refusal(
            f"A hood {cm['depth']:g} cm deep is only {counted(half, plan.craft)} at this gauge: "
            "make the hood deeper, or work a finer gauge."
        )
    if over > rows:
        raise Refusal(
            f"A hood {cm['depth']:g} cm deep stands on {2 * cm['depth']:g} cm of the scarf's edge, "
            f"and that is {cm['length']:g} cm: make the scarf longer, or the hood less deep."
        )
    first = (rows - over) // 2 + 1
    b = ScriptBuilder(plan)
    colours = Colours(b, loops)
    foundation(b, "scarf", loops, laid=colours.foundation())
    panel(b, "scarf", rows, cover=cover_for(plan, loops), colours=colours)
    colours.last("scarf", rows)
    b.back_check("scarf", "before it is bound off")
    bind_off(b, "scarf")
    where = side_words("scarf", "right", (first, first + over - 1))
    b.step(
        "hood",
        Kind.PICK_UP,
        op("join"),
        op("pick up", 2 * half, where),
        direction=Direction.RIGHT_TO_LEFT,
        side="RS" if plan.craft is Craft.NEEDLES else None,
        note=f"Fold the scarf end to end to find the middle of its long edge. The right side "
        f"towards you, from row {first} to row {first + over - 1}, {edge_words(2 * half, over)}",
    )
    hood = cover_for(plan, 2 * half, part="hood").over(0, 2 * half, 1)
    panel(b, "hood", high, after=1, open_end=True, cover=hood)
    measured(b, "hood", cm["around"] / 2, "Measure the hood from the scarf up")
    b.back_check("hood", "before it is closed")
    note = f"Fold it, right sides together. {PULL[plan.craft]}"
    close_flat(b, "hood", half, "one half of the hood", "the other half", note=note)
    finish(b, "hood", "A scarf can catch: none for small children at play")
    return b.finish(
        finished_cm={
            "width": loops / gauge.loops_per_cm,
            "length": rows / gauge.rows_per_cm,
            "hood depth": half / gauge.loops_per_cm,
            "around the face": 2 * high / gauge.rows_per_cm,
        }
    )


_TOLD = told_of(
    across={"width": lambda cm: cm["width"], "hood depth": lambda cm: cm["depth"]},
    up={"length": lambda cm: cm["length"], "around the face": lambda cm: cm["around"]},
)
DESIGN = Design(INFO, defaults, build, told=_TOLD)
