"""Sleeves that wait, and the round yoke that joins them to the body."""

from engine.base.refusal import Refusal
from engine.craft.spacing import over_rows
from engine.designs.fabric import JOIN, foundation, rounds_begin
from engine.designs.shapes.closing import spread
from engine.designs.shapes.cover import cover_for
from engine.designs.shapes.parts import measured, ribbing
from engine.designs.shapes.rows import a_round, taken_out
from engine.designs.shapes.sleeves import as_long, grow
from engine.script.builder import ScriptBuilder, op
from models.script import Direction, Kind
from models.sums import Yoke

SLEEVES = ("left sleeve", "right sleeve")
"""In the order of the work; the second is as long as the first."""


def waiting_sleeve(
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
    cover = cover_for(b.plan, n.sleeve, rounds=True, part="sleeve").over(pairs, cuff, 0)
    grow(b, part, rounds, gaps, open_end=part == SLEEVES[0], cover=cover)
    if part == SLEEVES[0]:
        measured(b, part, length - rib / b.plan.gauge.rows_per_cm, "Measure from the cuff's end")
    else:
        as_long(b, part, rounds, rib)
    # Its rounds begin at the lowest point: half of the underarm lies on either side of it.
    under, half = f"{part} underarm", n.underarm // 2
    first = [*taken_out(b), op("tail"), op("rest", n.underarm - half, under)]
    said = "Of the underarm first what comes after the beginning of the rounds"
    # Seen from the left the far end is where the rounds begin.
    b.step(part, Kind.MARKER, *first, direction=Direction.LEFT_TO_RIGHT, note=said)
    b.step(part, Kind.MARKER, op("rest", half, under), note="Then what comes before it")
    b.step(part, Kind.MARKER, op("rest", n.sleeve - n.underarm, part))


def round_yoke(b: ScriptBuilder, n: Yoke, front: int) -> int:
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
    b.regular.append("yoke")
    narrowed = {one.round: one.before - one.after for one in n.narrowing}
    last = n.narrowing[-1]
    narrowed[last.round] = last.before - last.after + last.after % 2
    for row in range(1, n.rounds + 1):
        on, live = (joined, n.joined) if row == 1 else ([], b.live)
        worked = spread(b, narrowed[row]) if row in narrowed else [op("k", live)]
        a_round(b, "yoke", row, *on, *worked, rows=n.rounds, note=said if row == 1 else "")
        if row == 1:
            rounds_begin(b, "yoke", JOIN)
    b.step("yoke", Kind.FIT_CHECK, note="Try it on: the neck must go over the head")
    return b.live
