"""The pullover's loops and rows from centimetres, graded over its sizes."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from engine.base.refusal import Refusal
from engine.craft.pickup import straight_loops
from engine.craft.sizes import EASE_CM, EVERYONE
from engine.designs.bodies import (
    CUFFS,
    body_defaults,
    cross_back_loops,
    cuff_default,
    cuff_for,
    edge_rows,
    own_cuff,
)
from engine.designs.design import scaled
from engine.designs.shapes import Neck, loops_for, never_less, rows_for
from models.plan import Plan

_LEAST = 4
"""Loops of both shoulders together (common practice, no source)."""

_WIDE = 100
AT_ONCE = 2
"""Pairs that a round of a sleeve may lose (common practice, no source)."""


def defaults(size: str) -> dict[str, float]:
    """Measurements in cm; all but the body's are common practice, no source."""
    of = EVERYONE[size]
    back = (of.bust + EASE_CM["classic"]) / 2 - 5.0
    return {
        **body_defaults(size, usual=6),
        "armhole_depth": round(of.armhole_depth + 3, 1),
        "underarm": 5.0,
        "neck_width": round(min(19.0, back * 0.42), 1),
        "neck_depth": round(of.armhole_depth * 0.4, 1),
        "sleeve": round(of.back_neck_to_cuff - back / 2, 1),
        "cuff": cuff_default(size),
        "ribbed_hem": 0.0,
        "garter_hem": 0.0,
    }


def counts(plan: Plan) -> Neck:
    """Loops and rows from centimetres. Raises Refusal, naming the measurement to change."""
    cm, gauge = scaled(plan), plan.gauge
    across, up = gauge.loops_per_cm, gauge.rows_per_cm
    found = never_less(plan, defaults, _tried, lambda n: (n[0], n[1], n[2] // 2))
    if found is None:
        back = _around(plan) // 2 - max(2, round(cm["underarm"] * across))
        raise Refusal(
            f"A neck of {cm['neck_width']:g} cm in a back of {back / across:.1f} cm leaves no "
            "shoulders: make the neck narrower, or the bust or ease larger."
        )
    back, neck, under = found
    rows = rows_for(plan, "back", cm["armhole_depth"] * up)
    deep = max(2, round(cm["neck_depth"] * up))
    # The row that parts the front's neck goes to the left, as odd ones do.
    before = rows - deep - (rows - deep + 1) % 2
    if before < 1:
        raise Refusal(
            f"A neck {cm['neck_depth']:g} cm deep does not fit in an armhole of "
            f"{cm['armhole_depth']:g} cm: make the armhole deeper or the neck shallower."
        )
    narrowed = min((rows - before) // 2, max(1, neck // 4), (neck - 1) // 2)
    return Neck(back, under, rows, before, neck, narrowed)


@dataclass(frozen=True)
class Lengths:
    """Rows of body and sleeves, and what a sleeve narrows by."""

    hem: int
    """Rounds of the edge that does not curl; none where none is asked."""
    body: int
    """Rounds above it."""
    side: int
    """Loops picked up along one side of an armhole."""
    top: int
    """Loops that a sleeve begins with."""
    lost: int
    paced: int
    """Rounds that its taper is spread over."""
    sleeve: int
    """Its rounds, decided or planned."""
    wrist: int
    """Rounds of the cuff's edge."""
    planned_wrist: int
    """The same as first planned: a sleeve that is worked does not move with its cuff."""


def lengths(plan: Plan, n: Neck) -> Lengths:
    """Rows from centimetres. Raises Refusal, naming the measurement to change."""
    cm, up = scaled(plan), plan.gauge.rows_per_cm
    hem, wrist, planned = edge_rows(plan, "hem"), edge_rows(plan, CUFFS[0]), edge_rows(plan)
    body = rows_for(plan, "body", cm["body_height"] * up - hem, least=0)
    body += body % 2 if plan.stitch else 0  # its rows go on above, where row 1 is on the right side
    side = straight_loops(n.rows, plan.gauge)
    top = 2 * side + n.under
    cuff = cuff_for(plan, cm["cuff"], own=own_cuff(plan))
    lost = max(top % 2, top - cuff)
    paced = round(cm["sleeve"] * up) - planned
    if body < 1 or (wrist and paced < 2):
        short = "body height" if body < 1 else "sleeve"
        raise Refusal(f"There is no room for the edge: make the {short} longer, or the edge lower.")
    paced = max(2, paced)
    if -(-lost // 2 // (paced - 1)) > AT_ONCE:
        raise Refusal(
            f"A sleeve {cm['sleeve']:g} cm long has no room to narrow from {top} to {cuff}: make "
            "the sleeve longer or the cuff wider."
        )
    sleeve = rows_for(plan, "left sleeve", paced)
    return Lengths(hem, body, side, top, lost, paced, sleeve, wrist, planned)


def _around(plan: Plan) -> int:
    cm = scaled(plan)
    return loops_for(plan, (cm["bust"] + cm["ease"]) * plan.gauge.loops_per_cm, 2)


def _tried(plan: Plan) -> Iterator[tuple[float, tuple[int, int, int]]]:
    """Backs, necks and underarms near what is asked, by how far they are from it.

    Back and neck are both even or both odd; an odd underarm is what makes them so, and its sleeve
    loses the odd loop at once. An underarm's loop weighs half as much as one of the neck (common
    practice, no source).
    """
    cm, across = scaled(plan), plan.gauge.loops_per_cm
    wide = cross_back_loops(plan)
    half, under, wanted = _around(plan) // 2, cm["underarm"] * across, cm["neck_width"] * across
    least = max(2, 2 * math.floor(under / 2))
    # Of two as near the wider strip goes first; a narrower one is there for the back's sake.
    fewer = [strip for strip in (least - 1, least - 2) if strip >= 2]
    for strip in (*range(least, least + 4), *fewer):
        back = half - strip
        for neck in range(max(2, math.floor(wanted) - 1), math.ceil(wanted) + 3):
            if (back - neck) % 2 == 0 and back - neck >= _LEAST:
                # A back is as wide as the body's, within half a loop, before all else.
                off = (neck - wanted) ** 2 + (strip - under) ** 2 / 2
                yield off + _WIDE * max(0.0, wide - 0.5 - back), (back, neck, strip)
