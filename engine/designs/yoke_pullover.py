"""A seamless pullover with a round yoke, from the bottom up, by the percentage system.

All follows from the body's stitches: a fifth of them at the cuff, a third at the top of a sleeve,
four tenths at the neck (`engine.craft.shaping` has the sources). The underarms are grafted.
"""

from engine.base.refusal import Refusal
from engine.craft.shaping import yoke as proportions
from engine.craft.sizes import EVERYONE
from engine.designs.bodies import AROUND, BAND_CM, RIB_CM, body_defaults, cuff_for
from engine.designs.design import Design, scaled, spec, told_of
from engine.designs.fabric import JOIN, bind_off, finish, foundation
from engine.designs.shapes import (
    SLEEVES,
    cover_for,
    graft_pair,
    lay_aside,
    loops_for,
    measured,
    ribbing,
    round_yoke,
    rows_for,
    tube,
    waiting_sleeve,
    worn,
)
from engine.script.builder import ScriptBuilder
from models.plan import DesignInfo, Plan
from models.script import Craft, RowScript

INFO = DesignInfo(
    name="yoke-pullover",
    title="Round-yoke pullover",
    blurb="Seamless from the bottom up: a body and two sleeves joined in a yoke.",
    crafts=(Craft.NEEDLES,),
    sizes=tuple(EVERYONE),
    measures=(
        *AROUND,
        spec("body_height", "Body height", "From the lower edge to the underarm.", 10, 90),
        spec("sleeve", "Sleeve", "From the cuff to the underarm.", 8, 65),
    ),
    stitches=True,
)


def defaults(size: str) -> dict[str, float]:
    """Measurements in cm; the body reaches 8 cm below the waist (common practice, no source)."""
    of = EVERYONE[size]
    return {**body_defaults(size, usual=8), "sleeve": of.sleeve_to_underarm}


def build(plan: Plan) -> RowScript:
    """The pullover's script. Raises Refusal where it is too small or too short at this gauge."""
    cm, gauge = scaled(plan), plan.gauge
    up = gauge.rows_per_cm
    body = loops_for(plan, (cm["bust"] + cm["ease"]) * gauge.loops_per_cm, 2)
    try:
        n = proportions(body, gauge)
    except Refusal:
        raise Refusal(
            f"A bust of {cm['bust']:g} cm is only {body} stitches at this gauge, too few for a "
            "yoke: give a larger bust or ease, or work a finer gauge."
        ) from None
    rib = max(1, round(RIB_CM * plan.scale * up))
    paced = round(cm["sleeve"] * up - rib)
    sleeve = rows_for(plan, SLEEVES[0], paced)
    high = rows_for(plan, "body", cm["body_height"] * up - rib, least=0)
    cuff = min(cuff_for(plan, n.cuff / gauge.loops_per_cm, own=False), n.sleeve)
    if high < 1 or paced - paced // 10 < (n.sleeve - cuff) // 2:
        what = "body" if high < 1 else "sleeve"
        raise Refusal(
            f"The {what} is too short at this gauge for its ribbing and shaping: make the "
            f"{'body height' if high < 1 else 'sleeve'} longer."
        )
    b = ScriptBuilder(plan)
    foundation(b, "body hem", body, in_the_round=True)
    ribbing(b, "body hem", rib)
    tube(b, "body", high, cover=cover_for(plan, body, rounds=True), open_end=True)
    measured(b, "body", cm["body_height"] - rib / up, "Measure from the end of the ribbing")
    front = (body - 2 * n.underarm) // 2
    waits = {"left underarm": n.underarm, "back": body - 2 * n.underarm - front}
    waits |= {"right underarm": n.underarm, "front": front}
    lay_aside(b, "body", waits, note="All of it waits for the yoke")
    for part in SLEEVES:
        waiting_sleeve(
            b, part, n, cuff=cuff, rib=rib, rounds=sleeve, paced=paced, length=cm["sleeve"]
        )
    neck = round_yoke(b, n, front)
    band = max(1, round(BAND_CM * plan.scale * up))
    ribbing(b, "neckband", band)
    bind_off(b, "neckband", note="Bind off loosely, so that it goes over the head", marker=JOIN)
    for side in ("right", "left"):
        part = f"{side} underarm"
        graft_pair(b, part, n.underarm, f"{side} sleeve underarm", part)
    finish(b, "left underarm")
    across = gauge.loops_per_cm
    script = b.finish(
        level=[SLEEVES],
        alike=[] if plan.stitch else [SLEEVES],
        finished_cm={
            "around": body / across,
            "body height": (rib + high) / up,
            "sleeve length": (rib + sleeve) / up,
            "upper sleeve": n.sleeve / across,
            "wrist": cuff / across,
            "yoke depth": n.rounds / up,
            "neck": neck / across,
        },
    )
    return worn(script, plan.hand)


_TOLD = told_of(
    across={"around": lambda cm: cm["bust"] + cm["ease"]},
    up={"body height": lambda cm: cm["body_height"], "sleeve length": lambda cm: cm["sleeve"]},
)
DESIGN = Design(INFO, defaults, build, told=_TOLD, usual="M")
