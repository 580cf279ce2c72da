"""Plans of every design, size, gauge and ease, for property tests."""

from hypothesis import strategies as st

from engine.designs import DESIGNS
from engine.plan.planning import make_plan
from models.gauge import Gauge
from models.script import Craft, Hand

GAUGES = {
    Craft.LOOP: st.builds(
        Gauge,
        loops_per_10cm=st.floats(3, 12).map(lambda x: round(x, 2)),
        rows_per_10cm=st.floats(2.5, 12).map(lambda x: round(x, 2)),
    ),
    Craft.NEEDLES: st.builds(
        Gauge,
        loops_per_10cm=st.floats(6, 26).map(lambda x: round(x, 2)),
        rows_per_10cm=st.floats(8, 34).map(lambda x: round(x, 2)),
    ),
}


EACH = [(name, craft) for name, chosen in DESIGNS.items() for craft in chosen.info.crafts]
"""Every design in every craft that it is worked in."""
COMMON = {Craft.LOOP: "5 x 3.75", Craft.NEEDLES: "14 x 20"}


LAID = ("moss", "basket", "chevron", "rib-2x2")
"""Stitch patterns that some plans have laid over them, in either craft, shaping or not."""


COARSE = {
    craft: st.builds(
        Gauge,
        loops_per_10cm=st.floats(low, 2.2 * low).map(lambda x: round(x, 2)),
        rows_per_10cm=st.floats(0.8 * low, 3 * low).map(lambda x: round(x, 2)),
    )
    for craft, low in ((Craft.LOOP, 2.5), (Craft.NEEDLES, 4.5))
}
"""So few loops that a share of them over several stretches may be none."""


@st.composite
def plans(draw, names=tuple(DESIGNS), *, coarse=False):
    """A plan as a maker might ask for it; some have no sound script. `coarse` ones have few loops:
    a thick yarn, mostly in half size, and more measures of their own."""
    name = draw(st.sampled_from(names))
    info = DESIGNS[name].info
    craft = draw(st.sampled_from(info.crafts))
    gauge = draw((COARSE if coarse else GAUGES)[craft])
    given_ = {}
    for spec in info.measures:
        if spec.name == "ease":
            given_["ease"] = draw(st.sampled_from([-4.0, 0.0, 3.8, 7.6, 12.7, 15.2]))
        elif draw(st.integers(0, 3 if coarse else 9)) == 0:
            given_[spec.name] = round(draw(st.floats(spec.low, spec.high)), 1)
    laid = info.stitches and draw(st.integers(0, 3)) == 0
    return make_plan(
        name,
        gauge,
        stitch=draw(st.sampled_from(LAID)) if laid else "",
        size=draw(st.sampled_from(info.sizes)) if info.sizes else "",
        given=given_,
        craft=craft,
        hand=draw(st.sampled_from(Hand)),
        scale=draw(st.sampled_from([1.0, 0.5, 0.5] if coarse else [1.0, 1.0, 1.0, 0.5])),
    )
