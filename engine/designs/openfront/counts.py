"""From centimetres to loops and rows, what gave way, and the sentence that says why there is none.

A size is solved after all smaller ones, so that no measure of it goes back behind theirs: one that
has come out large by rounding holds the next one up. What a maker gave herself is the same in all.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from engine.base.refusal import Refusal
from engine.craft.pickup import straight_loops
from engine.craft.taper import tapered
from engine.designs.bodies import edge_rows
from engine.designs.design import decided, even, gave_way, scaled
from engine.designs.openfront.solve import Across, Asked, solve
from engine.designs.openfront.style import Style
from engine.designs.shapes.grading import smaller_plans
from models.plan import Plan
from models.script import Craft

_BEARABLE = 0.15, 2
"""Share of a measure, and loops, by which it may be off for the sake of whole loops: more is a
wish that contradicts the others (common practice, no source)."""
FIXED = ("foundation", "front", "back", "underarm", "neck", "edging rows")
"""Counts across the body that a plan may carry decided, each by its name."""
TAPER = "taper"
"""Loops lost in each round of the first sleeve that is worked."""


@dataclass(frozen=True)
class BodyCounts:
    """The body in loops and rows."""

    across: Across
    hem_rows: int
    """Rows of an edge that does not curl, below the body's; none in most loop yarn."""
    body_rows: int
    body_cm: float
    """Height of the body above the hem, as wanted."""
    armhole_rows: int  # Ra
    side: int
    """Loops picked up along one side of an armhole."""

    @property
    def bound_off(self) -> int:
        """K, loops bound off at each armhole; the last of them stays live."""
        return self.across.strip + 1

    @property
    def around_armhole(self) -> int:
        """Loops of the first round at an armhole: both its sides and the underarm."""
        return 2 * self.side + self.across.strip


@dataclass(frozen=True)
class SleeveCounts:
    """A sleeve in rounds."""

    losses: tuple[int, ...]
    """Loops lost in each round."""
    length_cm: float
    """As wanted, down to the cuff."""
    cuff_rounds: int = 0
    """Rounds of an edge that does not curl."""

    @property
    def rounds(self) -> int:
        """Rounds in all."""
        return len(self.losses)


@dataclass(frozen=True)
class Counts:
    """The whole garment in loops and rows."""

    body: BodyCounts
    sleeve: SleeveCounts | None
    finished_cm: dict[str, float]
    told: tuple[str, ...]
    """What gave way, a sentence each."""


def counts(style: Style, plan: Plan) -> Counts:
    """A garment's counts. Raises Refusal, naming the measurement to change."""
    smaller: Across | None = None
    reach = 0.0
    for before in _smaller(style, plan):
        try:
            found = _body(style, before, smaller)
            sleeve = _sleeve(before, found, reach) if style.sleeves else None
        except Refusal:
            continue
        smaller = found.across
        reach = _reach(before, found, sleeve) if sleeve else 0.0
    body = _body(style, plan, smaller)
    sleeve = _sleeve(plan, body, reach) if style.sleeves else None
    finished = _finished(plan, body, sleeve)
    return Counts(body, sleeve, finished, tuple(_told(style, plan, body, sleeve, finished)))


def _smaller(style: Style, plan: Plan) -> Iterator[Plan]:
    """The plan in each smaller size, from the smallest: its own measurements stay.

    None where the maker gave her own loops.
    """
    if plan.size not in style.bodies or {"front", "back"} <= plan.counts.keys():
        return
    yield from smaller_plans(plan, style.defaults)


# --- the body -----------------------------------------------------------------------------


def _body(style: Style, plan: Plan, smaller: Across | None) -> BodyCounts:
    cm, gauge = scaled(plan), plan.gauge
    asked = _asked(style, plan)
    fixed = {name: n for name in FIXED if (n := plan.count(name)) is not None}
    across = _checked(plan, asked, solve(asked, fixed, smaller), fixed)
    hem = _even_up(edge_rows(plan, "hem"))
    body_cm = cm["body_height"] - hem / gauge.rows_per_cm
    body = BodyCounts(
        across=across,
        hem_rows=hem,
        # Even, so that the yarn waits at the edge where the first front begins.
        body_rows=_even_up(plan.rows.get("body", even(body_cm * gauge.rows_per_cm))),
        body_cm=max(0.1, body_cm),
        armhole_rows=asked.armhole_rows,
        side=_side(plan, across.strip, asked.armhole_rows),
    )
    opening = body.around_armhole / gauge.loops_per_cm
    if body.side < 1 or opening < cm["upper_arm"]:
        raise Refusal(
            f"An armhole of {asked.armhole_rows} rows is {max(0.0, opening):.0f} cm around, "
            f"tighter than an upper arm of {cm['upper_arm']:g} cm: deepen the armhole."
        )
    return body


def _asked(style: Style, plan: Plan) -> Asked:
    cm, gauge = scaled(plan), plan.gauge
    return Asked(
        gauge=gauge,
        around=cm["bust"] + cm["ease"],
        overlap=cm["overlap"],
        neck=cm["neck_width"],
        underarm=cm["underarm"],
        cross_back=cm.get("cross_back", 0.0),
        ease=cm["ease"],
        armhole_rows=decided(plan, "right front")
        or max(1, round(cm["armhole_depth"] * gauge.rows_per_cm)),
        edging_rows=style.edging(gauge),
    )


def _side(plan: Plan, strip: int, armhole_rows: int) -> int:
    """Loops along one side of an armhole: half of what a maker gave, while it is as high as given.

    A fit check may have asked for a looser or a tighter sleeve.
    """
    given = plan.counts
    side = straight_loops(armhole_rows, plan.gauge)
    if "sleeve" in given and given.get("armhole rows") == armhole_rows:
        side = (given["sleeve"] - strip) // 2
    return side + given.get("armhole ease", 0)


def _even_up(rows: int) -> int:
    return rows + rows % 2


def _checked(plan: Plan, asked: Asked, across: Across | None, fixed: Mapping[str, int]) -> Across:
    """The counts that were found. Raises Refusal where there are none, or where measurements
    contradict each other by more than whole loops can make."""
    if across and fixed:
        return across
    cm, loop = scaled(plan), 1 / plan.gauge.loops_per_cm
    body = f"A bust of {cm['bust']:g} cm with {cm['ease']:g} cm of ease"
    half = asked.around / 2
    if asked.cross_back and half < asked.cross_back - 2 * loop:
        raise Refusal(
            f"{body} is narrower than twice a cross back of {cm['cross_back']:g} cm: widen the "
            "bust or the ease, or measure the cross back again."
        )
    if across is None or half <= asked.underarm + 2 * loop:
        raise Refusal(
            f"{body} leaves no room for two fronts and shoulders of two loops at this gauge: widen "
            f"the bust or the ease, narrow the underarm ({cm['underarm']:g} cm) or the back neck, "
            "or work a finer gauge."
        )
    got, (share, loops) = across.cm(plan.gauge, asked.overlap), _BEARABLE
    short = asked.neck - got["back neck"]
    if abs(short) > max(share * asked.neck, loops * loop):
        if short > 0 and across.decreases >= (asked.armhole_rows + 1) // 2:
            raise Refusal(
                f"An armhole of {cm['armhole_depth']:g} cm is {asked.armhole_rows} rows, too few "
                f"to shape a back neck of {cm['neck_width']:g} cm: deepen the armhole or narrow "
                "the back neck."
            )
        wide = "wide" if short > 0 else "narrow"
        raise Refusal(
            f"A back neck of {cm['neck_width']:g} cm is too {wide} for a back of "
            f"{got['back width']:.0f} cm at this gauge: {got['back neck']:.0f} cm can be had, so "
            "change the back neck or the bust."
        )
    off = got["around"] - asked.around
    if abs(off) > max(share * asked.around, loops * loop):
        raise Refusal(
            f"{body} comes to {got['around']:.0f} cm at best at this gauge: change the bust or "
            "the ease, or work a finer gauge."
        )
    return across


# --- the sleeve ---------------------------------------------------------------------------


def _sleeve(plan: Plan, body: BodyCounts, reach: float) -> SleeveCounts:
    """A sleeve's rounds; with half the back it reaches no less far than `reach` cm, if it can."""
    cm, gauge = scaled(plan), plan.gauge
    half_back = body.across.back / gauge.loops_per_cm / 2
    edge = edge_rows(plan, "right cuff")
    above = half_back + edge / gauge.rows_per_cm
    length = cm["back_neck_to_cuff"] - above
    least = math.ceil((reach - above) * gauge.rows_per_cm - 1e-6)
    planned = max(least, round(length * gauge.rows_per_cm))
    rounds = decided(plan, "right sleeve") or planned
    if rounds < 1:
        raise Refusal(
            f"Half a back of {half_back:.0f} cm already reaches the cuff at "
            f"{cm['back_neck_to_cuff']:g} cm: lengthen centre back to cuff."
        )
    wanted = cm["cuff"] * gauge.loops_per_cm
    # A rib of one and one closes over an even number.
    ribbed = edge and cm.get("ribbed_hem", 0.0) > 0
    cuff = max(4, even(wanted)) if ribbed else max(3, round(wanted))
    cuff = plan.counts.get("cuff", cuff)
    losses = tapered(
        max(0, body.around_armhole - cuff),
        rounds,
        worked=plan.worked.get(TAPER, ()),
        pairs=plan.craft is Craft.NEEDLES,
    )
    return SleeveCounts(losses, length, edge)


def _reach(plan: Plan, body: BodyCounts, sleeve: SleeveCounts) -> float:
    """From the middle of the back neck to the cuff, cm."""
    gauge = plan.gauge
    rounds = sleeve.rounds + sleeve.cuff_rounds
    return body.across.back / gauge.loops_per_cm / 2 + rounds / gauge.rows_per_cm


# --- what comes of it ---------------------------------------------------------------------


def _finished(plan: Plan, body: BodyCounts, sleeve: SleeveCounts | None) -> dict[str, float]:
    gauge, cm = plan.gauge, body.across.cm(plan.gauge, scaled(plan)["overlap"])
    up = gauge.rows_per_cm
    out = {
        "around": cm["around"],
        "body height": (body.hem_rows + body.body_rows) / up,
        "armhole depth": body.armhole_rows / up,
        "length": (body.hem_rows + body.body_rows + body.armhole_rows) / up,
        "back width": cm["back width"],
        "fronts": cm["fronts"],
        "back neck": cm["back neck"],
        "shoulder": cm["shoulder"],
        "underarm": cm["underarm"],
        "edging": body.across.edging_rows / up,
    }
    around = body.around_armhole
    if sleeve is None:
        return out | {"armhole around": around / gauge.loops_per_cm}
    return out | {
        "sleeve length": (sleeve.rounds + sleeve.cuff_rounds) / up,
        "centre back to cuff": _reach(plan, body, sleeve),
        "upper sleeve": around / gauge.loops_per_cm,
        "cuff": (around - sum(sleeve.losses)) / gauge.loops_per_cm,
    }


def _told(
    style: Style,
    plan: Plan,
    body: BodyCounts,
    sleeve: SleeveCounts | None,
    finished: Mapping[str, float],
) -> Iterator[str]:
    """What is further off than half a loop or half a row from what was asked."""
    cm, gauge, asked = scaled(plan), plan.gauge, _asked(style, plan)
    loop, row = 1 / gauge.loops_per_cm, 1 / gauge.rows_per_cm
    yield from gave_way("around", asked.around, finished["around"], loop)
    yield from gave_way("body height", cm["body_height"], finished["body height"], row)
    yield from gave_way("armhole depth", cm["armhole_depth"], finished["armhole depth"], row)
    yield from gave_way("back neck", asked.neck, finished["back neck"], loop)
    yield from gave_way("underarm", asked.underarm, finished["underarm"], loop)
    back, fronts = finished["back width"], finished["fronts"]
    if back < asked.back_least - loop / 2:
        yield (
            f"The back comes to {back:.1f} cm, not to the {asked.back_least:.1f} cm of the cross "
            "back with its half of the ease."
        )
    if abs(fronts - back) > loop + 0.05:
        wide = "narrower" if fronts < back else "wider"
        yield (
            f"The fronts with their edging come to {fronts:.1f} cm, {abs(fronts - back):.1f} cm "
            f"{wide} than the back."
        )
    if body.across.edging_rows < asked.edging_rows:
        yield (
            f"The edging has {body.across.edging_rows} rows instead of {asked.edging_rows}, so "
            "that the shoulders carry."
        )
    if sleeve is not None:
        reach = finished["centre back to cuff"]
        yield from gave_way("centre back to cuff", cm["back_neck_to_cuff"], reach, row)
        yield from gave_way("cuff", cm["cuff"], finished["cuff"], loop)
