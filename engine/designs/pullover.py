"""A pullover with straight armholes: a tube, front and back apart, sleeves picked up, a neckband.

The tube's loops under the arms wait for the sleeves. The front's middle is bound off for the neck,
both sides narrow to the shoulders, and these are chained to the back.
"""

from engine.craft.sizes import EVERYONE
from engine.designs.bodies import AROUND, CUFF, CUFFS, EDGES, RIB_CM
from engine.designs.design import Design, scaled, spec, told_of
from engine.designs.fabric import LOWEST, bind_off, finish, foundation
from engine.designs.pullover_counts import counts, defaults, lengths
from engine.designs.shapes import (
    SIDES,
    SLEEVES,
    armhole_sleeve,
    cover_for,
    edged,
    front_with_neck,
    join_shoulders,
    measured,
    narrowing,
    neckband,
    panel,
    part_at_armholes,
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
        *EDGES,
    ),
    stitches=True,
)


def build(plan: Plan) -> RowScript:
    """The pullover's script. Raises Refusal where no sound one exists."""
    cm, gauge, n = scaled(plan), plan.gauge, counts(plan)
    across, up = gauge.loops_per_cm, gauge.rows_per_cm
    e, ribbed = lengths(plan, n), cm.get("ribbed_hem", 0.0) > 0
    b = ScriptBuilder(plan)
    foundation(b, "hem" if e.hem else "body", 2 * (n.back + n.under), in_the_round=True)
    edged(b, "hem", e.hem, ribbed=ribbed)
    cover = cover_for(plan, 2 * (n.back + n.under), rounds=True)
    tube(b, "body", e.body, open_end=True, cover=cover)
    begins = "the end of the hem" if e.hem else "the lower edge"
    measured(b, "body", cm["body_height"] - e.hem / up, f"Measure from {begins}")
    b.back_check("body", "before front and back part")
    part_at_armholes(b, n)
    panel(b, "back", n.rows, sleek=True, cover=cover.over(0, n.back, e.body))
    b.step("back", Kind.MARKER, op("tail"), op("rest", n.back, "back"))
    front_with_neck(b, n, cover.over(n.back + n.under, n.back, e.body))
    join_shoulders(b, n)
    neckband(b, n)
    for part in SLEEVES:
        armhole_sleeve(b, part, n, side=e.side, rounds=e.sleeve, changes=narrowing(e.paced, e.lost))
        if part == "left sleeve":
            measured(b, part, cm["sleeve"] - e.planned_wrist / up, "Measure from the armhole")
        cuff_loops, end = b.live, f"{part} cuff" if e.wrist else part
        edged(b, end, e.wrist, ribbed=ribbed)
        bind_off(b, end, note="Bind off loosely, so that the hand passes", marker=LOWEST)
    finish(b, "right sleeve cuff" if e.wrist else "right sleeve")
    script = b.finish(
        level=[SLEEVES, *([CUFFS] if e.wrist else [])],
        mirrored=[] if plan.stitch else [SIDES],
        alike=[] if plan.stitch else [SLEEVES],
        finished_cm={
            "around": 2 * (n.back + n.under) / across,
            "body height": (e.body + e.hem) / up,
            "armhole depth": n.rows / up,
            "back": n.back / across,
            "neck width": n.neck / across,
            "upper sleeve": (e.top - e.top % 2) / across,
            "sleeve length": (e.sleeve + e.wrist) / up,
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
DESIGN = Design(
    INFO,
    defaults,
    build,
    told=_TOLD,
    usual="M",
    by_craft={Craft.NEEDLES: {"ribbed_hem": RIB_CM}},
)
