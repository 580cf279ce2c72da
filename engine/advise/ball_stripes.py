"""Stripes that the balls in the house give."""

from collections.abc import Mapping
from itertools import pairwise

from engine.advise.colours import END, stretches
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.craft.stripes import Stripe
from engine.plan.planning import script_for
from models.frozen import Frozen
from models.plan import Plan

_REPEATS = 8
_HARDLY_LESS = 0.95
MOST = 200
"""Balls of a colour."""
_HIGHEST = 9999
"""Rows of a stripe."""


class Frame(Frozen):
    """What a piece takes beside its stripes, in loops of yarn."""

    width: int
    """A row, and the foundation."""
    after: tuple[int, ...]
    """Each stretch after the last row, in its colour: a bind-off, an edge, a hood; with the ends in
    between."""


def frame_of(plan: Plan) -> Frame:
    """What the plan's piece takes beside its stripes. Raises Refusal where it has no script."""
    script = script_for(plan.model_copy(update={"stripes": "one 1, other 1"}))
    rows = [step for step in script.steps if step.counts_row]
    last = max(row.number for before, row in pairwise(rows) if row.colour != before.colour)
    after = [
        need + END * (joined + cut)
        for step, _, joined, cut, need in stretches(script)
        if step.number > last
    ]
    if after:
        after[-1] -= END  # the last end of all is counted with its colour
    return Frame(width=script.steps[0].loops_after, after=tuple(filter(None, after)))


class BallStripes(Frozen):
    """Stripes that the balls in the house give, joined at the ends of rows alone."""

    stripes: tuple[Stripe, ...]
    """What comes in turn."""
    repeats: int
    left: dict[str, int]
    """Loops left over of each colour, the ends of balls that were too short for a row as well."""

    @property
    def rows(self) -> int:
        """Rows in all."""
        return self.repeats * sum(one.rows for one in self.stripes)

    @property
    def said(self) -> str:
        """As the maker writes it: `cream 8, sand 4`."""
        return ", ".join(f"{one.colour} {one.rows}" for one in self.stripes)


def from_balls(
    frame: Frame, balls: Mapping[str, int], ball_loops: int, repeats: int | None = None
) -> BallStripes:
    """Stripes in a piece that use up so many balls of each colour, in that order.

    Every ball gives whole rows: where it does not reach for one more the next is joined at the end
    of the row. The foundation is the first colour's; what comes after the rows is the last one's.
    Without `repeats` the most, up to eight, that leave stripes of two rows or more and cost
    hardly any height. Raises Refusal where a ball does not reach for a row.
    """
    if not balls or min(balls.values()) < 1:
        raise Refusal("Say how many balls there are of each colour: 'cream 3, sand 2'.")
    if max(balls.values()) > MOST:
        raise Refusal(f"More than {MOST} balls of a colour cannot be: give 1 to {MOST}.")
    longest = max(frame.width, *frame.after, 0)
    if ball_loops < longest + 2 * END:
        raise Refusal(
            f"A ball of {ball_loops} loops does not reach for a row of {longest}: make it "
            "narrower, or join within the row."
        )
    if repeats is not None:
        return _fitted(frame, balls, ball_loops, repeats)
    found = []
    for count in range(1, _REPEATS + 1):
        try:
            found.append(_fitted(frame, balls, ball_loops, count))
        except Refusal:
            break
    if not found:
        return _fitted(frame, balls, ball_loops, 1)
    high = max(one.rows for one in found)
    good = [one for one in found if one.rows >= _HARDLY_LESS * high]
    wide = [one for one in good if min(s.rows for s in one.stripes) >= 2]
    return (wide or good)[-1]


def _fitted(frame: Frame, balls: Mapping[str, int], ball_loops: int, repeats: int) -> BallStripes:
    """The highest stripes for so many repeats."""
    per_ball = (ball_loops - 2 * END) // frame.width
    rows = {
        colour: min(_HIGHEST, max(1, count * per_ball // repeats))
        for colour, count in balls.items()
    }
    while True:
        left, short = _used(frame, balls, ball_loops, rows=rows, repeats=repeats)
        if short is None:
            stripes = tuple(Stripe(colour=colour, rows=rows[colour]) for colour in balls)
            return BallStripes(stripes=stripes, repeats=repeats, left=left)
        if rows[short] == 1:
            raise Refusal(
                f"{some(balls[short], 'ball')} of {short} will not reach for "
                f"{some(repeats, 'stripe')} of {frame.width} loops and what comes beside: ask for "
                "fewer repeats, or make it narrower."
            )
        rows[short] -= 1


def _used(
    frame: Frame,
    balls: Mapping[str, int],
    ball_loops: int,
    *,
    rows: Mapping[str, int],
    repeats: int,
) -> tuple[dict[str, int], str | None]:
    """Row by row: what is left of each colour, or which one does not reach."""
    more = dict(balls)
    on_ball, waste = dict.fromkeys(balls, 0), dict.fromkeys(balls, 0)
    first, last = next(iter(balls)), list(balls)[-1]
    for turn in range(repeats):
        for colour, count in rows.items():
            needs = [frame.width] * count
            if turn == 0 and colour == first:
                needs.insert(0, frame.width)
            if turn == repeats - 1 and colour == last:
                needs += frame.after
            begun = False
            for need in needs:
                start = 0 if begun else END
                if on_ball[colour] < start + need + END:
                    if not more[colour]:
                        return {}, colour
                    waste[colour] += on_ball[colour] - (END if begun else 0)
                    more[colour] -= 1
                    on_ball[colour], start = ball_loops, END
                on_ball[colour] -= start + need
                begun = True
            on_ball[colour] -= END
    return {c: on_ball[c] + waste[c] + more[c] * ball_loops for c in balls}, None
