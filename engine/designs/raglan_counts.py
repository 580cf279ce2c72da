"""The raglan pullover's stitches and rounds from centimetres, graded over its sizes."""

from collections.abc import Iterator
from itertools import product

from engine.base.refusal import Refusal
from engine.craft.sizes import EVERYONE
from engine.designs.bodies import body_defaults, cuff_default
from engine.designs.design import even, scaled
from engine.designs.shapes import Raglan, loops_for, never_less
from models.plan import Plan

UNDERARM = 1 / 6
"""Laid on under an arm, as a share of the back (carol-myknittingpage, "To convert to raglan",
2005)."""
_NECK = 1 / 3
"""The neck at the back as a share of it (textbook quoted at zanotowane.pl/713/7882)."""


def defaults(size: str) -> dict[str, float]:
    """Measurements in cm; all but the body's are common practice, no source."""
    of = EVERYONE[size]
    return {
        **body_defaults(size, usual=8),
        "depth": round(of.armhole_depth + 3, 1),
        "upper_arm": round(of.upper_arm + 5, 1),
        "sleeve": of.sleeve_to_underarm,
        "cuff": cuff_default(size),
    }


def counts(plan: Plan) -> Raglan:
    """Stitches and rounds from centimetres. Raises Refusal, naming the measurement to change."""
    cm = scaled(plan)
    found = never_less(
        plan, defaults, _tried, lambda n: ((n.sleeve + n.underarm) // 2, sum(n.neck))
    )
    if found is None:
        raise Refusal(
            "At this gauge body or sleeve have too few stitches for raglan lines: give a larger "
            "bust or upper arm, or work a finer gauge."
        )
    if max(found.body_grows, found.sleeve_grows) > found.rounds:
        raise Refusal(
            f"A depth of {cm['depth']:g} cm is {found.rounds} rounds at this gauge, and the raglan "
            f"lines grow {max(found.body_grows, found.sleeve_grows)} times: make the depth larger."
        )
    return found


def _tried(plan: Plan) -> Iterator[tuple[float, Raglan]]:
    """Counts near what is asked, by how far they are from it, each loop of each weighing alike."""
    cm, gauge = scaled(plan), plan.gauge
    half = loops_for(plan, (cm["bust"] + cm["ease"]) * gauge.loops_per_cm, 2) // 2
    rounds = max(1, round(cm["depth"] * gauge.rows_per_cm))
    upper = even(cm["upper_arm"] * gauge.loops_per_cm)
    for underarm, wide in product(_about(half * UNDERARM), (upper, upper + 1, upper + 2)):
        back, sleeve = half - underarm, wide - underarm
        if back < 8 or sleeve < 4:
            continue
        share = back * _NECK
        for neck, top in product(_about(share), _about(max(2.0, share / 3))):
            if (back - neck) % 2 == 0 and (sleeve - top) % 2 == 0 and top <= sleeve:
                off = (underarm - half * UNDERARM, wide - upper, neck - share, top - share / 3)
                grows = (back - neck) // 2, (sleeve - top) // 2
                yield sum(x * x for x in off), Raglan(back, underarm, sleeve, rounds, *grows)


def _about(value: float) -> range:
    return range(max(2, round(value) - 1), max(2, round(value)) + 3)
