"""A seamless pullover with a round yoke, from the bottom up, by the percentage system.

All follows from the body's stitches: a fifth of them at the cuff, a third at the top of a sleeve,
four tenths at the neck (`engine.craft.shaping` has the sources). The underarms are grafted.
"""

from engine.base.refusal import Refusal
from engine.craft.shaping import yoke as proportions
from engine.craft.sizes import EASE_CM, EVERYONE
from engine.craft.spacing import over_rows
from engine.designs.design import Design, even, scaled, spec, told_of
from engine.designs.fabric import bind_off, finish, foundation
from engine.designs.shapes import (
    a_round,
    cloth_for,
    graft_pair,
    grow,
    loops_for,
    measured,
    ribbing,
    rows_for,
    spread,
    taken_out,
    tube,
    worn,
)
from engine.script.builder import ScriptBuilder, op
from models.plan import DesignInfo, Plan
from models.script import Craft, Kind, RowScript
from models.sums import Yoke

_RIB_CM = 5.0  # common practice, no source
_BAND_CM = 2.5  # common practice, no source
SLEEVES = ("left sleeve", "right sleeve")

INFO = DesignInfo(
    name="yoke-pullover",
    title="Round-yoke pullover",
    blurb="Seamless from the bottom up: a body and two sleeves joined in a yoke.",
    crafts=(Craft.NEEDLES,),
    sizes=tuple(EVERYONE),
    measures=(
        spec("bust", "Bust or chest", "Around the fullest part.", 40, 180),
        spec("ease", "Ease", "Wider than the body.", -10, 40),
        spec("body_height", "Body height", "From the lower edge to the underarm.", 10, 90),
        spec("sleeve", "Sleeve", "From the cuff to the underarm.", 8, 65),
    ),
    stitches=True,
)


def defaults(size: str) -> dict[str, float]:
    """Measurements in cm; the body reaches 8 cm below the waist (common practice, no source)."""
    of = EVERYONE[size]
    high = round(of.back_waist_length - of.armhole_depth + 8, 1)
    return {
        "bust": of.bust,
        "ease": EASE_CM["classic"],
        "body_height": high,
        "sleeve": of.sleeve_to_underarm,
    }


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
    rib = max(1, round(_RIB_CM * plan.scale * up))
    paced = round(cm["sleeve"] * up - rib)
    sleeve = rows_for(plan, SLEEVES[0], paced)
    high = rows_for(plan, "body", cm["body_height"] * up - rib, least=0)
    cuff = min(even(n.cuff), n.sleeve)
    if high < 1 or paced - paced // 10 < (n.sleeve - cuff) // 2:
        what = "body" if high < 1 else "sleeve"
        raise Refusal(
            f"The {what} is too short at this gauge for its ribbing and shaping: make the "
            f"{'body height' if high < 1 else 'sleeve'} longer."
        )
    b = ScriptBuilder(plan)
    foundation(b, "body hem", body, in_the_round=True)
    ribbing(b, "body hem", rib)
    tube(b, "body", high, cloth=cloth_for(plan, body, rounds=True), open_end=True)
    measured(b, "body", cm["body_height"], "Measure from the lower edge")
    front = (body - 2 * n.underarm) // 2
    waits = {"left underarm": n.underarm, "back": body - 2 * n.underarm - front}
    b.step("body", Kind.MARKER, *taken_out(b), op("tail"), note="All of it waits for the yoke")
    for name, count in (waits | {"right underarm": n.underarm, "front": front}).items():
        b.step("body", Kind.MARKER, op("rest", count, name))
    for part in SLEEVES:
        _sleeve(b, part, n, cuff=cuff, rib=rib, rounds=sleeve, paced=paced, length=cm["sleeve"])
    neck = _yoke(b, n, front)
    band = max(1, round(_BAND_CM * plan.scale * up))
    ribbing(b, "neckband", band)
    bind_off(b, "neckband", note="Loosely, so that it goes over the head")
    for side in ("right", "left"):
        part = f"{side} underarm"
        graft_pair(b, part, n.underarm, f"{side} sleeve underarm", part)
    finish(b, "left underarm")
    across = gauge.loops_per_cm
    script = b.finish(
        level=[SLEEVES],
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


def _sleeve(
    b: ScriptBuilder,
    part: str,
    n: Yoke,
    *,
    cuff: int,
    rib: int,
    rounds: int,
    paced: int,
    length: float,
) -> None:
    """From the cuff to the underarm, growing at its beginning; its loops wait."""
    foundation(b, f"{part} cuff", cuff, in_the_round=True)
    ribbing(b, f"{part} cuff", rib)
    pairs = (n.sleeve - cuff) // 2
    gaps = over_rows(paced - paced // 10, pairs) if pairs else ()
    if sum(gaps) > rounds:
        raise Refusal(
            f"A sleeve of {rounds} rounds has not grown to the yoke's width: work {sum(gaps)} or "
            "more, or make the sleeve longer."
        )
    grow(b, part, rounds, gaps, open_end=part == SLEEVES[0])
    if part == SLEEVES[0]:
        measured(b, part, length, "Measure from the cuff's edge")
    b.step(part, Kind.MARKER, *taken_out(b), op("tail"), op("rest", n.underarm, f"{part} underarm"))
    b.step(part, Kind.MARKER, op("rest", n.sleeve - n.underarm, part))


def _yoke(b: ScriptBuilder, n: Yoke, front: int) -> int:
    """Join everything, narrow it three times, and give the neck's loops."""
    kept = n.sleeve - n.underarm
    back = n.joined - 2 * kept - front
    joined = [
        op("resume", front, "front"),
        op("resume", kept, "right sleeve"),
        op("resume", back, "back"),
        op("resume", kept, "left sleeve"),
        op("join"),
    ]
    said = "Front, right sleeve, back, left sleeve: all on one needle, the underarms wait"
    narrowed = {one.round: one.before - one.after for one in n.narrowing}
    last = n.narrowing[-1]
    narrowed[last.round] = last.before - last.after + last.after % 2
    for row in range(1, n.rounds + 1):
        on, live = (joined, n.joined) if row == 1 else ([], b.live)
        worked = spread(b, narrowed[row]) if row in narrowed else [op("k", live)]
        a_round(b, "yoke", row, *on, *worked, rows=n.rounds, note=said if row == 1 else "")
    b.step("yoke", Kind.FIT_CHECK, note="Try it on: the neck must go over the head")
    return b.live


_TOLD = told_of(
    across={"around": lambda cm: cm["bust"] + cm["ease"]},
    up={"body height": lambda cm: cm["body_height"], "sleeve length": lambda cm: cm["sleeve"]},
)
DESIGN = Design(INFO, defaults, build, told=_TOLD, usual="M")
