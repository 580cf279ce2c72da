"""From what the maker says to a plan, and from a plan to a proven script."""

import math
import re
from functools import lru_cache

from engine.base.numbers import (
    BY,
    CM_PER_INCH,
    LOOPS,
    MIXED,
    ROWS,
    UNIT,
    UNITS,
    number,
    plain,
    span,
)
from engine.base.refusal import Refusal
from engine.craft.sizes import named_size
from engine.craft.stripes import read_stripes
from engine.designs import DESIGNS, design
from engine.designs.design import Design
from engine.plan import written
from engine.script.audit import audit
from engine.script.lots import reaches, taking_turns
from engine.stitches import read_stitch, stitch_pattern
from models.gauge import Gauge
from models.plan import Begun, DesignInfo, MeasureSpec, Plan
from models.script import Craft, Hand, RowScript

_GAUGE = re.compile(
    rf"(?P<loops>{MIXED}) ?(?:{LOOPS}|(?P<wide>{UNIT}))? ?{BY} ?"
    rf"(?P<rows>{MIXED}) ?(?:{ROWS}|(?P<high>{UNIT}))?"
    rf"(?: ?(?:/|per|over|in|to|=) ?(?P<over>{MIXED}) ?(?P<unit>{UNIT})?)?"
)
_USUAL_CM = 10
_SWATCH_CM = {1.0: 10.0, CM_PER_INCH: 4 * CM_PER_INCH}
"""Over what a gauge is counted, by the unit that stands behind it alone."""
DEFAULT_GAUGE = "5 x 3.75"
"""A jumbo loop yarn worked by hand: 5 loops and 3.75 rows per 10 cm."""
NEEDLES_GAUGE = "20 x 28"
"""A yarn of middle weight on needles, where a design is for needles alone."""
STEPS_AT_MOST = 20_000
"""A script longer than this is a slip of the keyboard, not a garment."""
LOOPS_AT_MOST = 2_500_000
"""Likewise, counted in loops over all rows: a bedspread in fine yarn has a million."""
MOST_IN_A_BALL = 100_000
"""Of the finest yarn a ball has some ten thousand stitches."""


def read_gauge(said: str) -> Gauge:
    """Loops × rows per 10 cm, or per another length: `5 x 3.75`, `20 x 26 / 4in`.

    `5 x 3.75 cm` is over 10 cm and `5 x 3.75 in` over 4 in, the lengths of a swatch (Craft Yarn
    Council, from memory); `2" x 1.5"`, a unit at both, is how wide and how high one loop is.
    `gauge_told` says how it was understood. Raises Refusal for anything else.
    """
    match = _GAUGE.fullmatch(plain(said) or "")
    try:
        if not match:
            raise ValueError
        wide, high = match["wide"], match["high"]
        if (wide and not high) or (high and match["over"]):
            raise ValueError
        if wide and high:
            return Gauge(
                loops_per_10cm=10 / (number(match["loops"]) * UNITS[wide]),
                rows_per_10cm=10 / (number(match["rows"]) * UNITS[high]),
            )
        over = number(match["over"] or "10")
        if high:
            over = _SWATCH_CM[UNITS[high]]
        elif match["unit"]:
            over *= UNITS[match["unit"]]
        elif over != _USUAL_CM:
            raise ValueError  # 4 of what?
        return Gauge(
            loops_per_10cm=number(match["loops"]) * 10 / over,
            rows_per_10cm=number(match["rows"]) * 10 / over,
        )
    except (ValueError, LookupError, ZeroDivisionError):
        raise Refusal(
            f"The gauge {said!r} is not understood: write loops x rows per 10 cm, as in "
            "'5 x 3.75', or say over what, as in '20 x 26 / 4in'."
        ) from None


def gauge_told(said: str, gauge: Gauge) -> str:
    """How a gauge was understood, where it was not typed as loops and rows alone; else empty."""
    if re.fullmatch(rf"{MIXED} ?{BY} ?{MIXED}", plain(said) or ""):
        return ""
    return f"{gauge.loops_per_10cm:.3g} loops and {gauge.rows_per_10cm:.3g} rows in 10 cm"


def within(spec: MeasureSpec, value: float) -> float:
    """A measurement, cm, that is within its bounds. Raises Refusal for any other."""
    if not (math.isfinite(value) and spec.low <= value <= spec.high):
        raise Refusal(
            f"{spec.label} of {value:g} cm is out of bounds: give {span(spec.low, spec.high)}."
        )
    return value


def usual_gauge(name: str) -> str:
    """The gauge that stands there before the maker gives hers. Raises Refusal for no design."""
    loop_yarn = Craft.LOOP in design(name).info.crafts
    return DEFAULT_GAUGE if loop_yarn else NEEDLES_GAUGE


def make_plan(
    name: str,
    gauge: Gauge,
    *,
    size: str = "",
    given: dict[str, float] | None = None,
    craft: Craft | None = None,
    hand: Hand = Hand.RIGHT,
    ball_loops: int | None = None,
    scale: float = 1.0,
    title: str = "",
    stitch: str = "",
    stitch_text: str = "",
    stripes: str = "",
    lots: tuple[int, int] | None = None,
) -> Plan:
    """A plan with every measurement filled in: those given, the rest from the size.

    `given` holds cm by measurement name; `stitch` names a stitch pattern to lay over it, one of
    those that there are or, with `stitch_text`, her own; `stripes` has colours and their rows,
    `cream 8, sand 4`, `lots` the balls of two dye lots that take turns. Raises Refusal, naming
    what is out of bounds.
    """
    chosen = design(name)
    info = chosen.info
    craft = craft or info.crafts[0]
    if craft not in info.crafts:
        raise Refusal(
            f"The {name} is worked in {' or '.join(info.crafts)}, not with {craft.value}."
        )
    if size and not info.sizes:
        raise Refusal(f"The {name} has no sizes; give its measurements instead.")
    size = _sized(size, info) if size else ""
    measures = chosen.measures(size, craft)
    specs = {spec.name: spec for spec in info.measures}
    for key, value in (given or {}).items():
        if key not in specs:
            raise Refusal(f"The {name} has no measurement {key!r}; it has {', '.join(specs)}.")
        within(specs[key], value)
        measures[key] = value
    if stitch and not info.stitches:
        raise Refusal(f"Over the {name} no stitch pattern is laid: leave it out.")
    if stripes:
        takes_stripes(info)
    read_stripes(stripes)
    if stitch_text:
        read_stitch(stitch, stitch_text)
    if not 0 < scale <= 1:
        raise Refusal(f"A scale of {scale:g} is not possible: give more than 0 and at most 1.")
    if ball_loops is not None and not 1 <= ball_loops <= MOST_IN_A_BALL:
        raise Refusal(
            f"A ball holds 1 to {MOST_IN_A_BALL} loops: give the loops per ball as a whole number."
        )
    plan = Plan(
        design=name,
        title=title or info.title,
        size=size or ("" if given else chosen.usual),
        craft=craft,
        hand=hand,
        gauge=gauge,
        measures=measures,
        ball_loops=ball_loops,
        scale=scale,
        stitch=stitch_pattern(stitch, craft).name if stitch and not stitch_text else stitch,
        stitch_text=stitch_text,
        stripes=stripes,
    )
    return in_lots(plan, lots) if lots else plan


def read_lots(text: str) -> tuple[int, int]:
    """The balls of two dye lots: `7 3`, `7 and 3`, `7, 3`. Raises Refusal for anything else."""
    said = re.split(r"[\s,;+/&]+|\band\b", text.strip().casefold())
    counts = [word for word in said if word]
    if len(counts) != 2 or not all(re.fullmatch("[0-9]{1,4}", word) for word in counts):
        raise Refusal(f"“{text.strip()}” is no two dye lots: give the balls of both, as in 7 3.")
    return int(counts[0]), int(counts[1])


def in_lots(plan: Plan, lots: tuple[int, int]) -> Plan:
    """The plan with so many balls of two dye lots that take turns. Raises Refusal where they
    cannot."""
    if min(lots) < 1:
        raise Refusal("A dye lot has at least one ball: give the balls of both, as in 7 3.")
    if plan.ball_loops is None:
        raise Refusal("Two dye lots want the loops in a ball: give them with --ball.")
    if plan.stripes:
        raise Refusal("Two dye lots take turns in work of one colour; this is in several.")
    return plan.model_copy(update={"lots": lots})


def _sized(size: str, info: DesignInfo) -> str:
    """The size that is meant. Raises Refusal for another, and says which of them are men's where
    one of those was asked for and they have no table of their own."""
    try:
        return named_size(size, info.sizes)
    except Refusal as refusal:
        if not size.strip().casefold().startswith("men"):
            raise
        told = [f" {spec.label}: {spec.why}" for spec in info.measures if "men's" in spec.why]
        raise Refusal(f"{refusal}{''.join(told)}") from None


def takes_stripes(info: DesignInfo) -> None:
    """Raises Refusal for a design that is worked in one colour."""
    if not info.stripes:
        striped = ", ".join(d.info.name for d in DESIGNS.values() if d.info.stripes)
        raise Refusal(f"The {info.name} is of one colour; stripes and blocks are for {striped}.")


def begun(plan: Plan) -> Begun:
    """How a make of this plan begins now. Raises Refusal where the plan has no sound script."""
    script = script_for(plan)
    return Begun(plan=plan, script=written.write(script, written.edition_of(script)))


def script_for(plan: Plan) -> RowScript:
    """The plan's script, proven by the audit. Raises Refusal where none is sound.

    The last few are kept: taking back folds a journal anew, and it asks for the same plans.
    """
    return _proven(plan.model_dump_json(), design(plan.design))


def gave_way(plan: Plan, script: RowScript) -> tuple[str, ...]:
    """What gave way in a plan's script so that whole loops and rows come out: sentences."""
    return design(plan.design).told(plan, script)


@lru_cache(maxsize=16)
def _proven(plan_json: str, chosen: Design) -> RowScript:
    plan = Plan.model_validate_json(plan_json)
    try:
        script = chosen.build(plan)
        if plan.lots and plan.ball_loops:
            script = taking_turns(script, reaches(plan.lots[1], plan.ball_loops))
    except Refusal:
        raise
    except (LookupError, ArithmeticError, ValueError) as error:
        # A plan that came in a file, or from an older version whose design asked for less.
        raise Refusal(
            f"This plan of a {plan.design} cannot be worked out ({error}): one of its "
            "measurements, rows or counts is missing or makes no sense."
        ) from error
    if len(script.steps) > STEPS_AT_MOST:
        raise Refusal(
            f"This comes to {len(script.steps)} steps, more than {STEPS_AT_MOST}: check the gauge "
            "and the measurements."
        )
    loops = sum(step.loops_after for step in script.steps)
    if loops > LOOPS_AT_MOST:
        raise Refusal(
            f"This comes to {loops} loops, more than {LOOPS_AT_MOST}: check the gauge and the "
            "measurements."
        )
    faults = audit(script)
    if faults:
        raise Refusal(f"This cannot be worked, row by row: {faults[0]}")
    return script
