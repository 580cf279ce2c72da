"""A mitten with a thumb gusset; the other is the same, since the thumb lies at the side."""

from engine.base.refusal import Refusal
from engine.craft.sizes import HAND_CM
from engine.designs.design import Design, scaled, spec, told_of
from engine.designs.fabric import finish, foundation
from engine.designs.shapes import (
    cover_for,
    loops_for,
    measured,
    part_thumb,
    ribbing,
    rows_for,
    thumb_gusset,
    tip,
    tip_losses,
    tube,
    work_thumb,
)
from engine.script.builder import ScriptBuilder
from engine.script.wording import SECOND
from models.plan import DesignInfo, Plan
from models.script import Craft, Kind, RowScript

THUMB = 1 / 3
"""Stitches of the thumb, as a share of the hand's (common practice, no source)."""
_CROTCH = 0.38
"""Where the thumb parts, as a share of the hand's length from the wrist (common practice, no
source)."""

INFO = DesignInfo(
    name="mittens",
    title="Mitten",
    blurb="From the cuff up, with a gusset for the thumb and a grafted tip; make two.",
    crafts=(Craft.NEEDLES,),
    sizes=tuple(HAND_CM),
    measures=(
        spec("hand_around", "Hand around", "Around the palm, no thumb; men's are M to XL.", 10, 32),
        spec("ease", "Ease", "Wider than the hand.", -6, 20),
        spec("hand_length", "Hand length", "From the wrist to the longest fingertip.", 9, 28),
        spec("thumb", "Thumb", "From where it parts to its tip.", 2, 12),
        spec("cuff", "Cuff", "Its height, ribbed.", 2, 25),
    ),
    stitches=True,
)


def defaults(size: str) -> dict[str, float]:
    """Measurements in cm; all but the hand are common practice, no source."""
    around, length = HAND_CM[size]
    thumb = round(length * 0.32, 1)
    return {
        "hand_around": around, "ease": 1.0, "hand_length": length, "thumb": thumb, "cuff": 6.0,
    }  # fmt: skip


def build(plan: Plan) -> RowScript:
    """The mitten's script. Raises Refusal where hand or thumb are too small at this gauge."""
    cm, up = scaled(plan), plan.gauge.rows_per_cm
    around = (cm["hand_around"] + cm["ease"]) * plan.gauge.loops_per_cm
    loops = max(4, loops_for(plan, around, 4))
    thumb = 2 * round((loops * THUMB - 1) / 2) + 1
    pairs = (thumb - 1) // 2
    if loops < 16:
        raise Refusal(
            f"A hand of {cm['hand_around']:g} cm is only {loops} stitches at this gauge, too few "
            "for a thumb: give a wider hand around or work a finer gauge."
        )
    losses = tip_losses(loops)
    gusset = round(cm["hand_length"] * _CROTCH * up)
    hand_cm = cm["hand_length"] - (gusset + len(losses)) / up
    hand = rows_for(plan, "hand", hand_cm * up, least=-1)
    high = rows_for(plan, "thumb", cm["thumb"] * up - 2, least=-1)
    if hand < 1 or gusset < pairs:
        raise Refusal(
            f"A hand {cm['hand_length']:g} cm long has no room for thumb and tip at this gauge: "
            "make the hand longer, or give a narrower hand around."
        )
    if high < 1:
        raise Refusal(f"A thumb of {cm['thumb']:g} cm is too short at this gauge: make it longer.")
    cuff = rows_for(plan, "cuff", cm["cuff"] * up)
    b = ScriptBuilder(plan)
    foundation(b, "cuff", loops, in_the_round=True)
    ribbing(b, "cuff", cuff, 2, 2)
    cover = cover_for(plan, loops, rounds=True)
    thumb_gusset(b, loops, gusset, pairs, cover)
    cover = cover.over(0, loops, gusset)
    part_thumb(b, loops, thumb, hand, cover)
    tube(b, "hand", hand, open_end=True, first=2, cover=cover)
    measured(b, "hand", hand_cm, "Measure from where the thumb parts")
    b.step("hand", Kind.FIT_CHECK, note="Try it on: it should reach the nail of the little finger")
    tip(b, "tip", losses)
    work_thumb(b, thumb, high, cm["thumb"] - 2 / up)
    finish(b, "thumb tip", SECOND.format("mitten"))
    across = plan.gauge.loops_per_cm
    return b.finish(
        finished_cm={
            "hand around": loops / across,
            "hand length": (gusset + hand + len(losses)) / up,
            "thumb around": (thumb + 1) / across,
            "thumb": (high + 2) / up,
        }
    )


_TOLD = told_of(
    across={"hand around": lambda cm: cm["hand_around"] + cm["ease"]},
    up={"hand length": lambda cm: cm["hand_length"], "thumb": lambda cm: cm["thumb"]},
)
DESIGN = Design(INFO, defaults, build, told=_TOLD, usual="M")
