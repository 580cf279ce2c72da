"""A child's cardigan: the cardigan in children's sizes, with a narrow edging."""

from engine.craft.sizes import CHILD_SIZES
from engine.designs.cardigan import work
from engine.designs.design import Design
from engine.designs.openfront.measures import (
    BODY_MEASURES,
    SLEEVE_MEASURES,
    body_defaults,
    sleeve_defaults,
)
from models.plan import DesignInfo, Plan
from models.script import Craft, RowScript

_EDGING_ROWS = 1
"""In a thick yarn three rows on either side would leave a small body no fronts (common practice,
no source)."""

INFO = DesignInfo(
    name="child-cardigan",
    title="Child's cardigan",
    blurb="The cardigan in children's sizes, 2 to 16, with a narrow edging. Not for infants.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=tuple(CHILD_SIZES),
    measures=BODY_MEASURES + SLEEVE_MEASURES,
)


def defaults(size: str) -> dict[str, float]:
    """Measurements in cm for a child's size, with room to grow (common practice, no source)."""
    of = CHILD_SIZES[size]
    return body_defaults(of, ease=10.0, below_waist=6, underarm=4.0, deeper=2.5) | sleeve_defaults(
        of
    )


def build(plan: Plan) -> RowScript:
    """The script. Raises Refusal where no sound one exists."""
    return work(
        plan,
        _EDGING_ROWS,
        caution="Small fingers catch in loose loops and long ends: pull every end firm, add no "
        "cords at the neck, and follow the safety advice for children's clothing where you live",
    )


DESIGN = Design(INFO, defaults, build, usual="6")
