"""A cap in the round, from the brim up, closed by a crown that lies flat on the head."""

from engine.base.refusal import Refusal
from engine.craft.shaping import flat_crown
from engine.craft.sizes import HEAD_CM
from engine.designs.design import Design, even, scaled, spec, told_of
from engine.designs.fabric import finish, foundation
from engine.designs.shapes import (
    cover_for,
    crown,
    draw_together,
    measured,
    ribbing,
    rows_for,
    tube,
)
from engine.script.builder import ScriptBuilder
from engine.script.wording import counted, loop_word
from models.plan import DesignInfo, Plan
from models.script import Craft, Kind, RowScript

INFO = DesignInfo(
    name="cap",
    title="Cap",
    blurb="In the round from a ribbed brim up, closed by crown decreases.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=tuple(HEAD_CM),
    measures=(
        spec("head", "Head", "Around, just above the ears; men's are M to XL.", 30, 75),
        spec("ease", "Ease", "Wider than the head; less than nothing makes it hold.", -12, 20),
        spec("height", "Height", "From the edge over the crown to its middle.", 10, 45),
        spec("brim", "Brim", "Height of the ribbed brim; 0 for none.", 0, 20),
    ),
    stitches=True,
)


def defaults(size: str) -> dict[str, float]:
    """Measurements in cm; all but the head are common practice, no source."""
    head = HEAD_CM[size]
    return {"head": head, "ease": -3.0, "height": round(head * 0.42, 1), "brim": 4.0}


def build(plan: Plan) -> RowScript:
    """The cap's script. Raises Refusal where no sound one exists."""
    cm, gauge = scaled(plan), plan.gauge
    around, up = max(0.0, cm["head"] + cm["ease"]), gauge.rows_per_cm
    loops = plan.count("foundation") or even(around * gauge.loops_per_cm)
    losses = flat_crown(loops, gauge)
    if not losses:
        raise Refusal(
            f"A head of {cm['head']:g} cm with {cm['ease']:g} cm of ease is only "
            f"{counted(loops, plan.craft)} at this gauge, too few for a crown: give a larger head "
            "or ease, or work a finer gauge."
        )
    brim = rows_for(plan, "brim", cm["brim"] * up, least=0)
    wanted = cm["height"] - (brim + len(losses)) / up
    rounds = rows_for(plan, "cap", wanted * up, least=-1)
    if rounds < 1:
        raise Refusal(
            f"A height of {cm['height']:g} cm is taken up by the brim ({brim} rounds) and the "
            f"crown ({len(losses)} rounds): make the cap higher or the brim narrower."
        )
    b = ScriptBuilder(plan)
    foundation(b, "brim" if brim else "cap", loops, in_the_round=True)
    ribbing(b, "brim", brim)
    if brim:
        b.back_check("brim")
    tube(b, "cap", rounds, open_end=True, cover=cover_for(plan, loops, rounds=True))
    begin, work = "brim" if brim else "foundation", loop_word(plan.craft)
    measured(b, "cap", wanted, f"Before the crown, measure from the {begin} to the {work} in work")
    b.back_check("cap", "before the crown")
    said = "Try it on: it holds without pressing, and the crown still has to be added"
    b.step("cap", Kind.FIT_CHECK, note=said)
    crown(b, "crown", losses)
    b.back_check("crown", "before it is closed")
    draw_together(b, "crown")
    finish(b, "crown")
    return b.finish(
        finished_cm={
            "around": loops / gauge.loops_per_cm,
            "height": (brim + rounds + len(losses)) / up,
        }
    )


_TOLD = told_of(
    across={"around": lambda cm: cm["head"] + cm["ease"]}, up={"height": lambda cm: cm["height"]}
)
DESIGN = Design(INFO, defaults, build, told=_TOLD, usual="M")
