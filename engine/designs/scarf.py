"""A scarf: a long rectangle, in any stitch pattern or stripes."""

from engine.designs.design import Design, spec, told_of
from engine.designs.shapes import rectangle
from models.plan import DesignInfo, Plan
from models.script import Craft, RowScript

INFO = DesignInfo(
    name="scarf",
    title="Scarf",
    blurb="A long rectangle, plain, striped, or in any stitch pattern.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=(),
    measures=(
        spec("width", "Width", "From side to side; it decides how many loops you count.", 5, 100),
        spec("length", "Length", "From end to end; the tape decides it as you work.", 30, 400),
    ),
    stitches=True,
    stripes=True,
)


def defaults(_size: str) -> dict[str, float]:
    """A scarf that goes round the neck once and hangs to the waist (common practice, no source)."""
    return {"width": 24.0, "length": 170.0}


def build(plan: Plan) -> RowScript:
    """The script of a scarf. Raises Refusal for one narrower than two loops, or its pattern."""
    return rectangle(plan, "scarf", long="length")


_TOLD = told_of(across={"width": lambda cm: cm["width"]}, up={"length": lambda cm: cm["length"]})
DESIGN = Design(INFO, defaults, build, told=_TOLD)
