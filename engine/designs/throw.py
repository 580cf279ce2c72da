"""A throw: a rectangle, so that a beginner has something tonight."""

from engine.designs.design import Design, spec, told_of
from engine.designs.shapes import rectangle
from models.plan import DesignInfo, Plan
from models.script import Craft, RowScript

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
    stitches=True,
    stripes=True,
)


def defaults(_size: str) -> dict[str, float]:
    """A lap throw."""
    return {"width": 100.0, "height": 130.0}


def build(plan: Plan) -> RowScript:
    """The script of a throw. Raises Refusal for one narrower than two loops."""
    return rectangle(plan, "throw")


_TOLD = told_of(across={"width": lambda cm: cm["width"]}, up={"height": lambda cm: cm["height"]})
DESIGN = Design(INFO, defaults, build, told=_TOLD)
