"""A style becomes a design: its script from a plan, and what its worked steps have decided."""

from collections.abc import Sequence

from engine.designs.design import Design, foundation_pin
from engine.designs.openfront import armholes, body, edging
from engine.designs.openfront.counts import TAPER, counts
from engine.designs.openfront.garment import Garment
from engine.designs.openfront.style import Style
from models.plan import Plan
from models.script import Craft, Kind, RowScript, Step


def design_of(style: Style, *, usual: str, ribbed_on_needles: float) -> Design:
    """The design of a style. On needles, where a plain edge curls, it has a ribbed one, cm."""

    def build(plan: Plan) -> RowScript:
        return _build(style, plan)

    def told(plan: Plan, _script: RowScript) -> tuple[str, ...]:
        return counts(style, plan).told

    return Design(
        style.info,
        style.defaults,
        build,
        usual=usual,
        pins=pins,
        told=told,
        by_craft={Craft.NEEDLES: {"ribbed_hem": ribbed_on_needles}},
    )


def _build(style: Style, plan: Plan) -> RowScript:
    """The script. Raises Refusal where no sound one exists."""
    found = counts(style, plan)
    g = Garment.of(plan, found)
    body.work_body(g)
    for told in ("right", "left"):
        if style.sleeves:
            armholes.work_sleeve(g, told)
        else:
            armholes.work_band(g, told)
    edging.work_edging(g)
    edging.work_hem_and_ring(g, style.caution)
    level = [body.LEVEL, armholes.SLEEVES if style.sleeves else armholes.BANDS]
    if found.sleeve and found.sleeve.cuff_rounds:
        level.append(armholes.CUFFS)
    first, second = body.MIRRORED
    right, left = armholes.SLEEVES
    return g.b.finish(
        level=[tuple(g.named(part) for part in group) for group in level],
        # A stitch pattern need not be its own mirror image.
        mirrored=[] if plan.stitch else [(g.named(first), g.named(second))],
        alike=[(g.named(right), g.named(left))] if style.sleeves and not plan.stitch else [],
        finished_cm=found.finished_cm,
    )


def pins(script: RowScript, at: int) -> dict[str, tuple[int, ...]]:
    """What the first `at` steps have decided of the loops; the rest may still be planned anew."""
    worked = script.steps[:at]
    begun = {step.part for step in worked}
    found = foundation_pin(script, at)
    if any(step.kind is Kind.MARKER and step.part == "body" for step in worked):
        # The markers part the loops of the body among its panels.
        front, back = _rows(script.steps, script.level[0][0]), _rows(script.steps, "back")
        shoulder = front[-1].loops_after
        found["front"] = (front[0].loops_before,)
        found["back"] = (back[0].loops_before,)
        strips = found["foundation"][0] - back[0].loops_before - 2 * front[0].loops_before
        found["underarm"] = (strips // 2,)
        found["neck"] = (back[0].loops_before - 2 * shoulder,)
    if "edging" in begun:
        found["edging rows"] = (len(_rows(script.steps, "edging")),)
    sleeve = next((group[0] for group in script.level if group[0] in armholes.SLEEVES), "")
    if rounds := _rows(worked, sleeve):
        found[TAPER] = tuple(step.loops_before - step.loops_after for step in rounds)
    return found


def _rows(steps: Sequence[Step], part: str) -> list[Step]:
    return [step for step in steps if step.part == part and step.counts_row]
