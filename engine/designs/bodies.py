"""What pullovers ask of a body alike, and what they take where nothing is said."""

import math

from engine.craft.sizes import EASE_CM, EVERYONE, below_waist, table_of
from engine.designs.design import decided, even, scaled, spec
from models.plan import Plan

AROUND = (
    spec("bust", "Bust or chest", "Around the fullest part.", 40, 180),
    spec("ease", "Ease", "Wider than the body.", -10, 40),
)
RIB_CM, BAND_CM = 5.0, 2.5
"""Ribbing at hem and cuffs, and of a neckband (common practice, no source)."""
EDGES = (
    spec("ribbed_hem", "Ribbed edge", "Height of a ribbed hem and cuffs; 0 for none.", 0, 20),
    spec(
        "garter_hem",
        "Garter edge",
        "Height of a hem and cuffs of knit and purl rows in turn; 0 for none.",
        0,
        20,
    ),
)
"""Edges that do not curl."""
CUFFS = "left sleeve cuff", "right sleeve cuff"
"""The parts at the ends of sleeves that have an edge."""
CUFF = spec("cuff", "Cuff", "Around the wrist; the hand must pass.", 10, 50)


def body_defaults(size: str, usual: float) -> dict[str, float]:
    """Bust, ease and height to the underarm, in cm; no size is lower than the one before it.

    How far below the waist it reaches, `usual`, is common practice, no source.
    """
    heights, below = [], below_waist(size, usual)
    for name, of in table_of(size).items():
        heights.append(of.back_waist_length - of.armhole_depth + below)
        if name == size:
            break
    high = round(max(heights), 1)
    return {"bust": EVERYONE[size].bust, "ease": EASE_CM["classic"], "body_height": high}


def cuff_default(size: str) -> float:
    """A cuff that the hand goes through, cm."""
    of = EVERYONE[size]
    return round(max(of.wrist + 3, of.hand), 1)


def cuff_for(plan: Plan, cm: float, *, own: bool) -> int:
    """Loops of a cuff `cm` around: even, as near as can be.

    One that is not the maker's `own` lets the hand of its size through, however few loops that are.
    """
    across = plan.gauge.loops_per_cm
    loops, of = max(4, even(cm * across)), EVERYONE.get(plan.size)
    if own or of is None:
        return loops
    return max(loops, 2 * math.ceil(max(of.wrist, of.hand) * plan.scale * across / 2))


def own_cuff(plan: Plan) -> bool:
    """Whether the maker asked for a cuff of her own."""
    return plan.size not in EVERYONE or plan.measures["cuff"] != cuff_default(plan.size)


def cross_back_loops(plan: Plan) -> float:
    """Loops across the back of the size's body, where it is that body: its bust is the plan's."""
    of = EVERYONE.get(plan.size)
    if of is None or plan.measures["bust"] != of.bust:
        return 0.0
    return of.cross_back * plan.scale * plan.gauge.loops_per_cm


def edge_rows(plan: Plan, part: str = "") -> int:
    """Rows of an edge that does not curl, decided or by its height; none where none is asked, and
    one at least where one is. Without a part: by its height, whatever was decided of one since."""
    cm = scaled(plan)
    high = cm.get("ribbed_hem", 0.0) or cm.get("garter_hem", 0.0)
    return decided(plan, part) or (max(1, round(high * plan.gauge.rows_per_cm)) if high else 0)
