"""A pullover with straight armholes: a tube, front and back apart, sleeves picked up, a neckband.

The tube's loops under the arms wait for the sleeves. The front's middle is bound off for the neck,
both sides narrow to the shoulders, and these are chained to the back.
"""

from engine.base.refusal import Refusal
from engine.craft.pickup import straight_loops
from engine.craft.sizes import EVERYONE
from engine.designs.bodies import AROUND, CUFF, cuff_for, own_cuff
from engine.designs.design import Design, scaled, spec, told_of
from engine.designs.fabric import LOWEST, bind_off, finish, foundation
from engine.designs.pullover_counts import AT_ONCE, counts, defaults
from engine.designs.shapes import (
    SIDES,
    SLEEVES,
    armhole_sleeve,
    cover_for,
    front_with_neck,
    join_shoulders,
    measured,
    narrowing,
    neckband,
    panel,
    part_at_armholes,
    rows_for,
    tube,
    worn,
)
from engine.script.builder import ScriptBuilder, op
from models.plan import DesignInfo, Plan
from models.script import Craft, Kind, RowScript

INFO = DesignInfo(
    name="pullover",
    title="Pullover",
    blurb="A tube to the armholes, front and back apart, sleeves picked up, a round neck.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=tuple(EVERYONE),
    measures=(
        *AROUND,
        spec("body_height", "Body height", "From the lower edge to the underarm.", 8, 90),
        spec("armhole_depth", "Armhole depth", "From the underarm straight up.", 8, 40),
        spec("underarm", "Underarm", "Loops under an arm that wait for the sleeve.", 2, 20),
        spec("neck_width", "Neck width", "Between the shoulders.", 8, 35),
        spec("neck_depth", "Neck depth", "From the shoulders down at the front.", 3, 20),
        spec("sleeve", "Sleeve", "From the armhole's edge to the wrist.", 5, 65),
        CUFF,
    ),
    stitches=True,
)


def build(plan: Plan) -> RowScript:
    """The pullover's script. Raises Refusal where no sound one exists."""
    cm, gauge, n = scaled(plan), plan.gauge, counts(plan)
    across, up = gauge.loops_per_cm, gauge.rows_per_cm
    body = rows_for(plan, "body", cm["body_height"] * up)
    body += body % 2 if plan.stitch else 0  # its rows go on above, where row 1 is on the right side
    side = straight_loops(n.rows, gauge)
    top = 2 * side + n.under
    cuff = cuff_for(plan, cm["cuff"], own=own_cuff(plan))
    lost = max(top % 2, top - cuff)
    paced = max(2, round(cm["sleeve"] * up))
    sleeve = rows_for(plan, "left sleeve", paced)
    if -(-lost // 2 // (paced - 1)) > AT_ONCE:
        raise Refusal(
            f"A sleeve {cm['sleeve']:g} cm long has no room to narrow from {top} to {cuff}: make "
            "the sleeve longer or the cuff wider."
        )
    b = ScriptBuilder(plan)
    foundation(b, "body", 2 * (n.back + n.under), in_the_round=True)
    cover = cover_for(plan, 2 * (n.back + n.under), rounds=True)
    tube(b, "body", body, open_end=True, cover=cover)
    measured(b, "body", cm["body_height"], "Measure from the lower edge")
    b.back_check("body", "before front and back part")
    part_at_armholes(b, n)
    panel(b, "back", n.rows, sleek=True, cover=cover.over(0, n.back, body))
    b.step("back", Kind.MARKER, op("tail"), op("rest", n.back, "back"))
    front_with_neck(b, n, cover.over(n.back + n.under, n.back, body))
    join_shoulders(b, n)
    neckband(b, n)
    for part in SLEEVES:
        armhole_sleeve(b, part, n, side=side, rounds=sleeve, changes=narrowing(paced, lost))
        if part == "left sleeve":
            measured(b, part, cm["sleeve"], "Measure from the armhole")
        cuff_loops = b.live
        bind_off(b, part, note="Bind off loosely, so that the hand passes", marker=LOWEST)
    finish(b, "right sleeve")
    script = b.finish(
        level=[SLEEVES],
        mirrored=[] if plan.stitch else [SIDES],
        alike=[] if plan.stitch else [SLEEVES],
        finished_cm={
            "around": 2 * (n.back + n.under) / across,
            "body height": body / up,
            "armhole depth": n.rows / up,
            "back": n.back / across,
            "neck width": n.neck / across,
            "upper sleeve": (top - top % 2) / across,
            "sleeve length": sleeve / up,
            "cuff": cuff_loops / across,
        },
    )
    return worn(script, plan.hand)


_TOLD = told_of(
    across={
        "around": lambda cm: cm["bust"] + cm["ease"],
        "neck width": lambda cm: cm["neck_width"],
        "cuff": lambda cm: cm["cuff"],
    },
    up={
        "body height": lambda cm: cm["body_height"],
        "armhole depth": lambda cm: cm["armhole_depth"],
        "sleeve length": lambda cm: cm["sleeve"],
    },
)
DESIGN = Design(INFO, defaults, build, told=_TOLD, usual="M")
