"""A baby blanket: for the pram and the floor under a watchful eye, never for the cot."""

from engine.designs.cautions import SAFE_SLEEP
from engine.designs.design import Design, spec, told_of
from engine.designs.shapes import rectangle
from models.plan import DesignInfo, Plan
from models.script import Craft, RowScript

INFO = DesignInfo(
    name="blanket",
    title="Baby blanket",
    blurb="A small rectangle for pram and floor, under your eye; never in the cot.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=(),
    measures=(
        spec("width", "Width", "From side to side; it decides how many loops you count.", 40, 120),
        spec("height", "Height", "From end to end; the tape decides it as you work.", 40, 140),
    ),
    stitches=True,
    stripes=True,
)


def defaults(_size: str) -> dict[str, float]:
    """A blanket for a pram (common practice, no source)."""
    return {"width": 75.0, "height": 90.0}


def build(plan: Plan) -> RowScript:
    """The script of a baby blanket. Raises Refusal where its stitch pattern finds no room."""
    return rectangle(plan, "blanket", caution=SAFE_SLEEP)


_TOLD = told_of(across={"width": lambda cm: cm["width"]}, up={"height": lambda cm: cm["height"]})
DESIGN = Design(INFO, defaults, build, told=_TOLD)
