"""Shapes whose counts follow from a few numbers: slopes, crowns of hats, round yokes."""

import math

from engine.base.refusal import Refusal
from engine.craft.spacing import over_rows
from models.gauge import Gauge
from models.sums import Crown, Taper, Yoke, YokeRound

WEDGES = range(7, 11)
"""Wedges of a crown (common practice, no source)."""
SPOKES = (5, 10)
"""Fewest and most loops lost in a round of a flat crown, which are also those left at its top
(common practice, no source)."""
MOST = 20_000
"""Loops or rows beyond which a number is a slip of the keyboard."""

CUFF, SLEEVE, JOINED, NECK = 0.20, 0.33, 1.33, 0.40
"""Shares of the body's loops; `JOINED`: the first round of the yoke (Country Wool, "Betsi's
Raglan Sweater", after the well-known percentage system of the seamless sweater)."""
NARROWED = ((1 / 2, 3 / 4), (3 / 4, 2 / 3), (1.0, 3 / 5))
"""By what part of a yoke's depth it is narrowed, and to what share of its loops (from memory)."""
DEPTH = 0.25
"""A yoke's depth as a share of the body's width around (from memory)."""
ROUNDS = 32
"""Rounds of a yoke where no gauge tells its depth: any number of which quarters can be told."""


def taper(loops: int, rows: int, *, each: int = 1, every: int = 1) -> Taper:
    """`loops` gained or lost over `rows`, `each` at a time, on rows that are multiples of `every`.

    Raises Refusal where the loops do not come in such steps, or the rows do not hold them.
    """
    _bounded(loops, rows)
    if loops % each:
        raise Refusal(
            f"{loops} loops do not come in steps of {each}: shape {loops - 1} or {loops + 1}, or "
            "one at a time."
        )
    return Taper(loops=loops, each=each, rows=rows, gaps=over_rows(rows, loops // each, every))


def crown(loops: int, wedges: int | None = None, *, quick: bool = False) -> Crown:
    """A crown of equal wedges, each narrowed by one loop in a shaped round, down to one each.

    Every other round is plain until half the loops are left, then none is; `quick`: none at all
    (common practice, no source). Without `wedges` 8 where the loops allow it, else the first of 7
    to 10 that does. Raises Refusal where they do not come in such wedges.
    """
    _bounded(loops)
    fitting = [n for n in WEDGES if loops % n == 0 and loops // n > 1]
    if wedges is None:
        if not fitting:
            near = min(
                (n * round(loops / n) for n in WEDGES if round(loops / n) > 1),
                key=lambda count: abs(count - loops),
                default=2 * WEDGES[0],
            )
            raise Refusal(
                f"{loops} loops do not come in {WEDGES[0]} to {WEDGES[-1]} equal wedges: have "
                f"{near} before the crown, or say how many wedges."
            )
        wedges = fitting[0] if 8 not in fitting else 8
    if wedges < 3 or loops < 2 * wedges:
        raise Refusal(f"A crown has three wedges or more, of two loops or more, not {wedges}.")
    if loops % wedges:
        below, above = loops - loops % wedges, loops - loops % wedges + wedges
        raise Refusal(
            f"{loops} loops do not come in {wedges} equal wedges: have {below} or {above} before "
            "the crown."
        )
    live, rounds = loops, []
    while live > wedges:
        live -= wedges
        rounds.append(live)
        if not quick and live > loops / 2:
            rounds.append(live)
    return Crown(loops=loops, wedges=wedges, rounds=tuple(rounds))


def flat_crown(loops: int, gauge: Gauge) -> tuple[int, ...]:
    """Loops lost in each round of a crown that lies flat on the head; 0 in a plain one.

    A flat circle grows by 2π times its radius, so a round that lies 1/R further in has 2π·L/R loops
    fewer (plane geometry; L and R are loops and rows per cm). Where that is too few to divide by,
    decreasing and plain rounds take turns and each decreasing round loses twice as many. The first
    one takes off what is left over, so that the others divide evenly. Empty for too few loops.
    """
    fewest, most = SPOKES
    flat = 2 * math.pi * gauge.loops_per_row
    every = 1 if flat >= fewest else 2
    spokes = min(most, max(fewest, round(flat * every)))
    if loops < 2 * spokes:
        spokes = fewest
    if loops < 2 * spokes:
        return ()
    over = loops % spokes
    losses = [*([over] if over else []), *[spokes] * (loops // spokes - 1)]
    plain = [0] * (every - 1)
    taken = tuple(lost for loss in losses for lost in (loss, *plain))
    return taken[: len(taken) - len(plain)]


def yoke(body: int, gauge: Gauge | None = None) -> Yoke:
    """A round yoke over a body of so many loops, by the percentage system.

    With a gauge its depth in cm and rounds. Raises Refusal for a body too small to have one.
    """
    _bounded(body)
    cuff, sleeve = round(body * CUFF), 2 * round(body * SLEEVE / 2)
    underarm = round((body + 2 * sleeve - body * JOINED) / 4)
    joined = body + 2 * sleeve - 4 * underarm
    depth = DEPTH * body / gauge.loops_per_cm if gauge else None
    rounds = round(depth * gauge.rows_per_cm) if gauge and depth is not None else ROUNDS
    if cuff < 4 or underarm < 1 or rounds < 4:
        raise Refusal(f"{body} loops are too few for a body with sleeves and a yoke.")
    live, narrowing = joined, []
    for part, share in NARROWED:
        after = round(live * share)
        if part == NARROWED[-1][0]:
            after = round(body * NECK)
        narrowing.append(YokeRound(round=round(part * rounds), before=live, after=after))
        live = after
    return Yoke(
        body=body,
        cuff=cuff,
        sleeve=sleeve,
        underarm=underarm,
        joined=joined,
        narrowing=tuple(narrowing),
        rounds=rounds,
        depth_cm=depth,
    )


def _bounded(*numbers: int) -> None:
    for number in numbers:
        if not 1 <= number <= MOST:
            raise Refusal(f"{number} is no number of loops or rows: give 1 to {MOST}.")
