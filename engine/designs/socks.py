"""A sock from the cuff down: heel flap, a heel turned by short rows, gusset, and a grafted toe.

The second sock is the same; `spokenrow` begins it as a make of its own.
"""

from engine.base.refusal import Refusal
from engine.craft.sizes import FOOT_CM
from engine.designs.design import Design, scaled, spec, told_of
from engine.designs.fabric import finish, foundation
from engine.designs.shapes import (
    Heel,
    cover_for,
    loops_for,
    measured,
    ribbing,
    rows_for,
    tip,
    tip_losses,
    tube,
    work_foot,
    work_gusset,
    work_heel,
)
from engine.script.builder import ScriptBuilder
from engine.script.wording import SECOND
from models.plan import DesignInfo, Plan
from models.script import Craft, Kind, RowScript

SNUG = 0.9
"""Loops of a sock as a share of those around the foot (stitchwhisperdesigns.com, "Sock Math",
2022: less 10 %, to a multiple of 4)."""

INFO = DesignInfo(
    name="socks",
    title="Sock",
    blurb="From the cuff down, with heel flap, turned heel, gusset and a grafted toe; make two.",
    crafts=(Craft.NEEDLES,),
    sizes=tuple(FOOT_CM),
    measures=(
        spec("foot_around", "Foot around", "At its ball; men's are L and XL.", 12, 36),
        spec("foot_length", "Foot length", "From the heel to the longest toe.", 10, 34),
        spec("leg", "Leg", "From the upper edge to where the heel begins.", 4, 50),
        spec("cuff", "Cuff", "Of the leg, so much is ribbed.", 1, 30),
    ),
    stitches=True,
)


def defaults(size: str) -> dict[str, float]:
    """Measurements in cm; leg and cuff are common practice, no source."""
    around, length = FOOT_CM[size]
    leg = round(length * 0.75, 1)
    return {"foot_around": around, "foot_length": length, "leg": leg, "cuff": 4.0}


def build(plan: Plan) -> RowScript:
    """The sock's script. Raises Refusal where the foot is too small at this gauge, or too short."""
    cm, gauge = scaled(plan), plan.gauge
    up = gauge.rows_per_cm
    wanted = loops_for(plan, cm["foot_around"] * gauge.loops_per_cm * SNUG, 4)
    n = Heel(max(4, wanted))
    if n.beyond < 0 or n.loops < 20:
        raise Refusal(
            f"A foot of {cm['foot_around']:g} cm is only {n.loops} stitches at this gauge, too few "
            "for a heel: give a wider foot around or work a finer gauge."
        )
    toe = tip_losses(n.loops)
    cuff = rows_for(plan, "cuff", cm["cuff"] * up)
    if cm["leg"] <= cm["cuff"]:
        raise Refusal(
            f"A leg of {cm['leg']:g} cm is no longer than its cuff of {cm['cuff']:g} cm: make the "
            "leg longer or the cuff narrower."
        )
    leg = rows_for(plan, "leg", cm["leg"] * up - cuff)
    turns = n.beyond + 2
    gusset = 2 * (n.turned + 2 * n.gusset - n.heel) // 2
    foot_cm = cm["foot_length"] - (turns + len(toe)) / up
    foot = rows_for(plan, "foot", foot_cm * up - gusset, least=-1)
    if foot < 1:
        raise Refusal(
            f"A foot {cm['foot_length']:g} cm long is taken up by heel, gusset and toe at this "
            "gauge: make the foot longer, or give a narrower foot around."
        )
    b = ScriptBuilder(plan)
    foundation(b, "cuff", n.loops, in_the_round=True)
    ribbing(b, "cuff", cuff, 2, 2)
    cover = cover_for(plan, n.loops, rounds=True)
    tube(b, "leg", leg, open_end=True, cover=cover)
    # The tape lies along the part's own rows: its rows over its cm are her gauge.
    measured(b, "leg", cm["leg"] - cuff / up, "Measure from the end of the ribbing")
    b.back_check("leg", "before the heel")
    work_heel(b, n)
    instep = n.loops - n.heel
    work_gusset(b, n, gusset, cover.over(n.heel, instep, leg))
    work_foot(b, n, foot, cover.over(n.heel, instep, leg + gusset))
    how = "Measure from where the gusset ends, without pulling"
    measured(b, "foot", foot_cm - gusset / up, how)
    b.step("foot", Kind.FIT_CHECK, note="Try it on: it should reach the root of the little toe")
    tip(b, "toe", toe)
    finish(b, "toe", SECOND.format("sock"))
    return b.finish(
        finished_cm={
            "foot around": n.loops / gauge.loops_per_cm,
            "foot length": (turns + gusset + foot + len(toe)) / up,
            "leg": (cuff + leg) / up,
        }
    )


_TOLD = told_of(
    across={"foot around": lambda cm: cm["foot_around"] * SNUG},
    up={"foot length": lambda cm: cm["foot_length"], "leg": lambda cm: cm["leg"]},
)
DESIGN = Design(INFO, defaults, build, told=_TOLD, usual="M")
