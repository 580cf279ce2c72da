"""A triangular shawl, from its point up: it grows at both ends until it is as high as you like.

The pace follows from the measurements, never from the number of rows, so that working on makes
the shawl higher and wider and changes nothing below.
"""

from engine.base.refusal import Refusal
from engine.designs.design import Design, scaled, spec, told_of
from engine.designs.fabric import bind_off, finish, foundation, look
from engine.designs.shapes import Cover, cover_for, flat_row, panel, stitch_of
from engine.script.builder import ScriptBuilder, op
from models.plan import DesignInfo, Plan
from models.script import Craft, Kind, RowScript

_POINT = 3
"""Loops of the foundation: the point of the triangle."""
_FASTEST = 2
"""Increases at one end of one row: more would pucker (common practice, no source)."""
_BORDER_ROWS = 2  # common practice, no source

INFO = DesignInfo(
    name="shawl",
    title="Shawl",
    blurb="A triangle from the point up, growing at both ends, with a plain upper border.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=(),
    measures=(
        spec("width", "Width", "Along the upper edge, from tip to tip.", 20, 300),
        spec("height", "Height", "From the point to the upper edge; the tape decides it.", 10, 200),
    ),
    stitches=True,
)


def defaults(_size: str) -> dict[str, float]:
    """A shawl for the shoulders."""
    return {"width": 150.0, "height": 70.0}


def _due(row: int, pairs: int, rows: int) -> int:
    """Pairs of increases that fall in a row when spread evenly over `rows`, and on beyond them."""
    return row * pairs // rows - (row - 1) * pairs // rows


def _cover(plan: Plan, pairs: int) -> Cover:
    """The stitch pattern over the shawl's widest row, its middle where the point is.

    Two repeats more or less on either side move nothing, so that a higher shawl changes no row.
    """
    if not plan.stitch:
        return Cover(None)
    step = 2 * stitch_of(plan).multiple
    wide = _POINT + step * -(-4 * pairs // step)
    return cover_for(plan, wide).over((wide - _POINT) // 2, _POINT, 0)


def build(plan: Plan) -> RowScript:
    """The shawl's script. Raises Refusal for one too small, or too wide for its height."""
    cm, gauge, craft = scaled(plan), plan.gauge, plan.craft
    border = max(1, plan.row_counts.get("upper border", _BORDER_ROWS))
    growing_cm = cm["height"] - border / gauge.rows_per_cm
    pace_rows = round(growing_cm * gauge.rows_per_cm)
    pairs = (round(cm["width"] * gauge.loops_per_cm) - _POINT) // 2
    if pace_rows < 1 or pairs < 1:
        raise Refusal(
            f"A shawl of {cm['width']:g} by {cm['height']:g} cm is smaller than its point and "
            "border at this gauge: make it wider and higher, or work a finer gauge."
        )
    if pairs > _FASTEST * pace_rows:
        raise Refusal(
            f"A width of {cm['width']:g} cm over a height of {cm['height']:g} cm wants more than "
            f"{_FASTEST} increases at each end of a row: make the shawl higher or narrower."
        )
    rows = max(1, plan.row_counts.get("shawl", pace_rows))
    increase = "kfb" if craft is Craft.NEEDLES else "inc"
    b = ScriptBuilder(plan)
    foundation(b, "shawl", _POINT)
    cover, waiting = _cover(plan, pairs), 0
    for row in range(1, rows + 1):
        waiting += _due(row, pairs, pace_rows)
        # The first rows are too narrow for two increases at each end; they follow later.
        grown = min(waiting, _FASTEST, b.live // 2)
        waiting -= grown
        flat_row(
            b,
            "shawl",
            row,
            op(increase, grown),
            op("k", b.live - 2 * grown),
            op(increase, grown),
            planned=rows,
            cover=cover,
        )
        look(b, "shawl", row, rows)
    b.step(
        "shawl",
        Kind.MEASURE,
        target_cm=round(growing_cm, 1),
        note=f"Lay it flat and measure from the point straight up: {growing_cm:.1f} cm is wanted "
        "before the border",
    )
    b.back_check("shawl", "before the border")
    b.step("shawl", Kind.FIT_CHECK, note="Lay it round the shoulders: the tips reach the front")
    panel(b, "upper border", border, after=rows)
    width = b.live / gauge.loops_per_cm
    bind_off(b, "upper border", note="Bind off loosely, so that the upper edge can stretch")
    finish(b, "upper border")
    high = (rows + border) / gauge.rows_per_cm
    return b.finish(
        regular=[] if plan.stitch else ["shawl"],
        finished_cm={"width": width, "height": high},
    )


_TOLD = told_of(across={"width": lambda cm: cm["width"]}, up={"height": lambda cm: cm["height"]})
DESIGN = Design(INFO, defaults, build, told=_TOLD)
