"""A pullover from the neck down, in one piece, growing along four raglan lines."""

from dataclasses import dataclass

from engine.base.refusal import Refusal
from engine.craft.sizes import EASE_CM, EVERYONE
from engine.craft.spacing import over_rows
from engine.designs.design import Design, even, scaled, spec, told_of
from engine.designs.fabric import JOIN, bind_off, finish, foundation
from engine.designs.shapes import (
    a_round,
    loops_for,
    measured,
    narrowing,
    picked_up_sleeve,
    ribbing,
    rows_for,
    tube,
    worn,
)
from engine.script.builder import ScriptBuilder, op
from models.plan import DesignInfo, Plan
from models.script import Craft, Kind, Operation, RowScript

UNDERARM = 1 / 6
"""Laid on under an arm, as a share of the back (carol-myknittingpage, "To convert to raglan",
2005)."""
_NECK = 1 / 3
"""The neck at the back as a share of it (textbook quoted at zanotowane.pl/713/7882)."""
_RIB_CM, _BAND_CM = 5.0, 2.5  # common practice, no source

INFO = DesignInfo(
    name="raglan",
    title="Raglan pullover",
    blurb="From the neck down in one piece: try it on as it grows.",
    crafts=(Craft.NEEDLES,),
    sizes=tuple(EVERYONE),
    measures=(
        spec("bust", "Bust or chest", "Around the fullest part.", 40, 180),
        spec("ease", "Ease", "Wider than the body.", -10, 40),
        spec("depth", "Depth", "From the neckband straight down to the underarm.", 8, 45),
        spec("upper_arm", "Upper arm", "Around, at its widest, ease and all.", 14, 70),
        spec("body_height", "Body height", "From the underarm to the lower edge.", 8, 90),
        spec("sleeve", "Sleeve", "From the underarm to the cuff's edge.", 5, 65),
        spec("cuff", "Cuff", "Around the wrist; the hand must pass.", 10, 50),
    ),
)


def defaults(size: str) -> dict[str, float]:
    """Measurements in cm; all but the body's are common practice, no source."""
    of = EVERYONE[size]
    return {
        "bust": of.bust,
        "ease": EASE_CM["classic"],
        "depth": round(of.armhole_depth + 3, 1),
        "upper_arm": round(of.upper_arm + 5, 1),
        "body_height": round(of.back_waist_length - of.armhole_depth + 8, 1),
        "sleeve": of.sleeve_to_underarm,
        "cuff": round(max(of.wrist + 3, of.hand), 1),
    }


@dataclass(frozen=True)
class Counts:
    """The pullover in stitches and rounds."""

    back: int
    underarm: int
    sleeve: int
    rounds: int
    body_grows: int
    """Times that back and front each grow by two."""
    sleeve_grows: int

    @property
    def neck(self) -> tuple[int, int]:
        """Stitches of the back and of a sleeve at the neck."""
        return self.back - 2 * self.body_grows, self.sleeve - 2 * self.sleeve_grows


def counts(plan: Plan) -> Counts:
    """Stitches and rounds from centimetres. Raises Refusal, naming the measurement to change."""
    cm, gauge = scaled(plan), plan.gauge
    around = loops_for(plan, (cm["bust"] + cm["ease"]) * gauge.loops_per_cm, 2)
    underarm = even(around / 2 * UNDERARM)
    back = around // 2 - underarm
    sleeve = even(cm["upper_arm"] * gauge.loops_per_cm) - underarm
    rounds = max(1, round(cm["depth"] * gauge.rows_per_cm))
    body_grows = round(back * (1 - _NECK) / 2)
    sleeve_grows = (sleeve - max(2, round(back * _NECK / 3))) // 2
    if back < 8 or sleeve < 4:
        raise Refusal(
            "At this gauge body or sleeve have too few stitches for raglan lines: give a larger "
            "bust or upper arm, or work a finer gauge."
        )
    if max(body_grows, sleeve_grows) > rounds:
        raise Refusal(
            f"A depth of {cm['depth']:g} cm is {rounds} rounds at this gauge, and the raglan lines "
            f"grow {max(body_grows, sleeve_grows)} times: make the depth larger."
        )
    return Counts(back, underarm, sleeve, rounds, body_grows, max(0, sleeve_grows))


def build(plan: Plan) -> RowScript:
    """The pullover's script. Raises Refusal where no sound one exists."""
    cm, gauge, n = scaled(plan), plan.gauge, counts(plan)
    up = gauge.rows_per_cm
    neck, top = n.neck
    rib = max(1, round(_RIB_CM * plan.scale * up))
    body = rows_for(plan, "body", cm["body_height"] * up - rib, least=0)
    paced = round(cm["sleeve"] * up - rib)
    long = rows_for(plan, "left sleeve", paced)
    cuff = even(cm["cuff"] * gauge.loops_per_cm)
    lost = max(0, n.sleeve + n.underarm - cuff) // 2
    if body < 2 or paced < max(2, lost + 1):
        what = "body height" if body < 2 else "sleeve"
        raise Refusal(f"There is no room for ribbing and shaping: make the {what} longer.")
    b = ScriptBuilder(plan)
    foundation(b, "neckband", 2 * (neck + top), in_the_round=True)
    ribbing(b, "neckband", max(1, round(_BAND_CM * plan.scale * up)))
    _yoke(b, n)
    b.step("yoke", Kind.FIT_CHECK, note="Try it on: it should reach the underarms")
    _part(b, n, body)
    tube(b, "body", body, first=2, open_end=True)
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
        )
        cuff_loops = b.live
        ribbing(b, f"{part} cuff", rib)
        bind_off(b, f"{part} cuff", note="Loosely")
    finish(b, "right sleeve cuff")
    across = gauge.loops_per_cm
    script = b.finish(
        level=[("left sleeve", "right sleeve")],
        finished_cm={
            "around": 2 * (n.back + n.underarm) / across,
            "depth": n.rounds / up,
            "upper sleeve": (n.sleeve + n.underarm) / across,
            "body height": (body + rib) / up,
            "sleeve length": (long + rib) / up,
            "cuff": cuff_loops / across,
            "neck": 2 * (neck + top) / across,
        },
    )
    return worn(script, plan.hand)


def _yoke(b: ScriptBuilder, n: Counts) -> None:
    """Back, left sleeve, front, right sleeve: each grows at both its ends."""
    ends = (
        {sum(found[: i + 1]) for i in range(len(found))}
        for found in (over_rows(n.rounds, g) if g else () for g in (n.body_grows, n.sleeve_grows))
    )
    body_rows, sleeve_rows = ends
    back, sleeve = n.neck
    for row in range(1, n.rounds + 1):
        worked: list[Operation] = []
        for wide, grows in ((back, row in body_rows), (sleeve, row in sleeve_rows)) * 2:
            inner = [op("k"), op("m1l"), op("k", wide - 2), op("m1r"), op("k")]
            worked += inner if grows else [op("k", wide)]
        back += 2 * (row in body_rows)
        sleeve += 2 * (row in sleeve_rows)
        said = "Four raglan lines: before and after each sleeve" if row == 1 else ""
        a_round(b, "yoke", row, *worked, rows=n.rounds, note=said)


def _pins(script: RowScript, at: int) -> dict[str, tuple[int, ...]]:
    """The body's stitches, from which the neck's follow, once that is cast on."""
    around = next(step.loops_after for step in script.steps if step.part == "body")
    return {"foundation": (around,)} if at else {}


def _part(b: ScriptBuilder, n: Counts, rounds: int) -> None:
    """The body's first round: the sleeves are laid aside, the underarms cast on."""
    worked = []
    for side in ("left", "right"):
        worked += [op("k", n.back), op("rest next", n.sleeve, f"{side} sleeve")]
        worked += [op("co", n.underarm)]
    said = "The sleeves wait; under each arm cast on over the gap"
    a_round(b, "body", 1, *worked, planned=rounds, note=said)


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
