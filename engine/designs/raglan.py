"""A pullover from the neck down, in one piece, growing along four raglan lines."""

from engine.base.refusal import Refusal
from engine.craft.sizes import EVERYONE
from engine.designs.bodies import AROUND, BAND_CM, CUFF, RIB_CM, cuff_for, own_cuff
from engine.designs.design import Design, scaled, spec, told_of
from engine.designs.fabric import JOIN, bind_off, finish, foundation
from engine.designs.raglan_counts import counts, defaults
from engine.designs.shapes import (
    cover_for,
    measured,
    narrowing,
    part_sleeves,
    picked_up_sleeve,
    raglan_yoke,
    ribbed_cuff,
    ribbing,
    rows_for,
    tube,
    worn,
)
from engine.script.builder import ScriptBuilder
from models.plan import DesignInfo, Plan
from models.script import Craft, Kind, RowScript

INFO = DesignInfo(
    name="raglan",
    title="Raglan pullover",
    blurb="From the neck down in one piece: try it on as it grows.",
    crafts=(Craft.NEEDLES,),
    sizes=tuple(EVERYONE),
    measures=(
        *AROUND,
        spec("depth", "Depth", "From the neckband straight down to the underarm.", 8, 45),
        spec("upper_arm", "Upper arm", "Around, at its widest, ease and all.", 14, 70),
        spec("body_height", "Body height", "From the underarm to the lower edge.", 8, 90),
        spec("sleeve", "Sleeve", "From the underarm to the cuff's edge.", 5, 65),
        CUFF,
    ),
    stitches=True,
)


def build(plan: Plan) -> RowScript:
    """The pullover's script. Raises Refusal where no sound one exists."""
    cm, gauge, n = scaled(plan), plan.gauge, counts(plan)
    across, up = gauge.loops_per_cm, gauge.rows_per_cm
    rib = max(1, round(RIB_CM * plan.scale * up))
    body = rows_for(plan, "body", cm["body_height"] * up - rib, least=0)
    paced = round(cm["sleeve"] * up - rib)
    long = rows_for(plan, "left sleeve", paced)
    cuff = cuff_for(plan, cm["cuff"], own=own_cuff(plan))
    wide = n.sleeve + n.underarm
    lost = max(wide % 2, wide - cuff)
    if body < 2 or paced < max(2, lost // 2 + 1):
        short = "body height" if body < 2 else "sleeve"
        raise Refusal(f"There is no room for ribbing and shaping: make the {short} longer.")
    b = ScriptBuilder(plan)
    foundation(b, "neckband", 2 * sum(n.neck), in_the_round=True)
    ribbing(b, "neckband", max(1, round(BAND_CM * plan.scale * up)))
    around = 2 * (n.back + n.underarm)
    whole = cover_for(plan, around, rounds=True)
    sleeves = cover_for(plan, wide, rounds=True, part="sleeve")
    raglan_yoke(b, n, whole, sleeves)
    cover = whole.over(0, around, n.rounds)
    b.step("yoke", Kind.FIT_CHECK, note="Try it on: it should reach the underarms")
    part_sleeves(b, n, body, cover)
    tube(b, "body", body, first=2, open_end=True, cover=cover)
    measured(b, "body", cm["body_height"] - rib / up, "Measure from the underarm")
    ribbing(b, "hem", rib)
    bind_off(b, "hem", marker=JOIN)
    for part in ("left sleeve", "right sleeve"):
        picked_up_sleeve(
            b,
            part,
            loops=n.sleeve,
            under=n.underarm,
            rounds=long,
            changes=narrowing(paced, lost),
            length=cm["sleeve"] - rib / up,
            cover=sleeves.over(0, wide, n.rounds),
        )
        cuff_loops = b.live
        ribbed_cuff(b, part, rib)
    finish(b, "right sleeve cuff")
    script = b.finish(
        level=[("left sleeve", "right sleeve")],
        alike=[] if plan.stitch else [("left sleeve", "right sleeve")],
        finished_cm={
            "around": around / across,
            "depth": n.rounds / up,
            "upper sleeve": (wide - wide % 2) / across,
            "body height": (body + rib) / up,
            "sleeve length": (long + rib) / up,
            "cuff": cuff_loops / across,
            "neck": 2 * sum(n.neck) / across,
        },
    )
    return worn(script, plan.hand)


def _pins(script: RowScript, at: int) -> dict[str, tuple[int, ...]]:
    """The body's stitches, from which the neck's follow, once that is cast on."""
    around = next(step.loops_after for step in script.steps if step.part == "body")
    return {"foundation": (around,)} if at else {}


_TOLD = told_of(
    across={
        "around": lambda cm: cm["bust"] + cm["ease"],
        "upper sleeve": lambda cm: cm["upper_arm"],
        "cuff": lambda cm: cm["cuff"],
    },
    up={
        "depth": lambda cm: cm["depth"],
        "body height": lambda cm: cm["body_height"],
        "sleeve length": lambda cm: cm["sleeve"],
    },
)
DESIGN = Design(INFO, defaults, build, pins=_pins, told=_TOLD, usual="M")
