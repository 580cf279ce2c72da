"""The gauge from swatches, or from the work itself, and how far it can be trusted.

A count over a swatch is sure to half a loop. Over n loops that is a share of 1/(2n), and the
same share of the whole width; several swatches err independently, so their shares add as the
root of a sum of squares.
"""

import math
import re
from collections.abc import Sequence

from engine.base.numbers import BY, LOOPS, MIXED, ROWS, UNIT, UNITS, number, plain
from engine.base.refusal import Refusal
from engine.craft.sizes import HALF_SIZE_CM
from models.gauge import Gauge
from models.swatch import GaugeReading, Swatch

SMALLEST_CM = 10.0
"""A swatch is measured over 4 in or 10 cm. Source: Craft Yarn Council, Standard Yarn Weight
System: gauge is given over 4 inches (from memory)."""
TELLING_SPREAD = 0.1
"""Swatches further apart than this share want another one (common practice, no source)."""

_SWATCH = re.compile(
    rf"(?P<loops>{MIXED}) ?(?:{LOOPS})? ?{BY} ?(?P<rows>{MIXED}) ?(?:{ROWS})? ?(?:/|over|in|per) ?"
    rf"(?P<width>{MIXED}) ?(?P<first>{UNIT})? ?{BY} ?(?P<height>{MIXED}) ?(?P<unit>{UNIT})?"
    rf"(?: ?,? ?(?P<grams>{MIXED}) ?g)?"
)


def read_swatch(said: str, unit: str = "cm") -> Swatch:
    """Loops × rows over width × height, as in `8 x 7 over 15.5 x 18 cm` or with `, 84 g`.

    `unit` is meant where none is written. Raises Refusal for anything else.
    """
    match = _SWATCH.fullmatch(plain(said) or "")
    try:
        if not match:
            raise ValueError
        per_height = match["unit"] or match["first"] or unit
        per_width = match["first"] or per_height
        return Swatch(
            loops=number(match["loops"]),
            rows=number(match["rows"]),
            width_cm=number(match["width"]) * UNITS[per_width],
            height_cm=number(match["height"]) * UNITS[per_height],
            grams=number(match["grams"]) if match["grams"] else None,
        )
    except ValueError:
        raise Refusal(
            f"The swatch {said!r} is not understood: write loops x rows over width x height, as "
            "in '8 x 7 over 15.5 x 18 cm'."
        ) from None


def reading(swatches: Sequence[Swatch], across_cm: float | None = None) -> GaugeReading:
    """The gauge of all swatches together, each weighing as much as its own size.

    `across_cm` is the width that the gauge will be used for; with it the warnings say what the
    swatch's error means there. Raises Refusal for no swatch, or for a gauge out of bounds.
    """
    if not swatches:
        raise Refusal("A gauge wants at least one swatch.")
    loops, width = sum(s.loops for s in swatches), sum(s.width_cm for s in swatches)
    rows, height = sum(s.rows for s in swatches), sum(s.height_cm for s in swatches)
    try:
        gauge = Gauge(loops_per_10cm=10 * loops / width, rows_per_10cm=10 * rows / height)
    except ValueError:
        raise Refusal(
            f"{10 * loops / width:.1f} loops and {10 * rows / height:.1f} rows per 10 cm is no "
            "gauge of yarn: count and measure the swatch again."
        ) from None
    across = [10 * s.loops / s.width_cm for s in swatches]
    up = [10 * s.rows / s.height_cm for s in swatches]
    found = GaugeReading(
        gauge=gauge,
        swatches=len(swatches),
        spread_loops=max(across) - min(across),
        spread_rows=max(up) - min(up),
        miscount=math.sqrt(len(swatches)) / (2 * loops),
        miscount_rows=math.sqrt(len(swatches)) / (2 * rows),
    )
    return found.model_copy(update={"warnings": tuple(_warnings(found, swatches, across_cm))})


def _warnings(
    found: GaugeReading, swatches: Sequence[Swatch], across_cm: float | None
) -> list[str]:
    said = []
    narrow, low = min(s.width_cm for s in swatches), min(s.height_cm for s in swatches)
    if min(narrow, low) < SMALLEST_CM:
        said.append(
            f"The swatch is only {narrow:.1f} by {low:.1f} cm: measure over at least "
            f"{SMALLEST_CM:g} cm each way, away from the edges."
        )
    if across_cm and found.miscount * across_cm > HALF_SIZE_CM:
        enough = math.ceil(across_cm / (2 * HALF_SIZE_CM))
        said.append(
            f"Half a loop miscounted changes {across_cm:.0f} cm by "
            f"{found.miscount * across_cm:.1f} cm, more than half a size: count over at least "
            f"{enough} loops."
        )
    for spread, of, what in (
        (found.spread_loops, found.gauge.loops_per_10cm, "loops"),
        (found.spread_rows, found.gauge.rows_per_10cm, "rows"),
    ):
        if spread > TELLING_SPREAD * of:
            said.append(
                f"The swatches differ by {spread:.1f} {what} per 10 cm: make another and see "
                "which one it follows."
            )
    return said


def from_work(rows: int, cm: float) -> float:
    """The working row gauge, rows per 10 cm: `rows` worked rows measure `cm`.

    Raises Refusal where nothing is worked or measured.
    """
    if rows < 1 or not cm > 0:
        raise Refusal("A gauge from the work wants at least one row and what the tape says.")
    return 10 * rows / cm
