"""Yarn by colour, and the stripes that the balls in the house give."""

from collections.abc import Mapping

from engine.base.refusal import Refusal
from engine.craft.stripes import Stripe
from models.frozen import Frozen
from models.script import Craft, RowScript

_END = 2
"""Loops of one yarn's end."""
_REPEATS = 8
_HARDLY_LESS = 0.95


def by_colour(script: RowScript) -> dict[str, int]:
    """Loops of yarn by colour, in the order in which they are first wanted; empty for one colour.

    Where a step changes colour, the end that it cuts is still the old one's.
    """
    found: dict[str, int] = {}
    before = ""
    for step in script.steps:
        if not step.colour:
            continue
        cut = 0
        if before and before != step.colour:
            cut = _END * sum(o.times for o in step.operations if o.stitch == "tail")
            found[before] += cut
        found[step.colour] = found.get(step.colour, 0) + step.yarn_loops - cut
        before = step.colour
    return found


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
    width: int, balls: Mapping[str, int], ball_loops: int, craft: Craft, repeats: int | None = None
) -> BallStripes:
    """Stripes over `width` loops that use up so many balls of each colour, in that order.

    Every ball gives whole rows: where it does not reach for one more the next is joined at the end
    of the row. The foundation is the first colour's; a bind-off takes yarn on needles, the last
    one's. Without `repeats` the most, up to eight, that leave stripes of two rows or more and cost
    hardly any height. Raises Refusal where a ball does not reach for a row.
    """
    if not balls or min(balls.values()) < 1:
        raise Refusal("Say how many balls there are of each colour: 'cream 3, sand 2'.")
    if ball_loops < width + 2 * _END:
        raise Refusal(
            f"A ball of {ball_loops} loops does not reach for a row of {width}: make it narrower, "
            "or join within the row."
        )
    if repeats is not None:
        return _fitted(width, balls, ball_loops, craft, repeats)
    found = []
    for count in range(1, _REPEATS + 1):
        try:
            found.append(_fitted(width, balls, ball_loops, craft, count))
        except Refusal:
            break
    if not found:
        return _fitted(width, balls, ball_loops, craft, 1)
    high = max(one.rows for one in found)
    good = [one for one in found if one.rows >= _HARDLY_LESS * high]
    wide = [one for one in good if min(s.rows for s in one.stripes) >= 2]
    return (wide or good)[-1]


def _fitted(
    width: int, balls: Mapping[str, int], ball_loops: int, craft: Craft, repeats: int
) -> BallStripes:
    """The highest stripes for so many repeats."""
    per_ball = (ball_loops - 2 * _END) // width
    rows = {colour: max(1, count * per_ball // repeats) for colour, count in balls.items()}
    while True:
        left, short = _used(width, balls, ball_loops, craft, rows=rows, repeats=repeats)
        if short is None:
            stripes = tuple(Stripe(colour=colour, rows=rows[colour]) for colour in balls)
            return BallStripes(stripes=stripes, repeats=repeats, left=left)
        if rows[short] == 1:
            raise Refusal(
                f"{balls[short]} of {short} does not reach for {repeats} stripes of {width} loops: "
                "ask for fewer, or make it narrower."
            )
        rows[short] -= 1


def _used(
    width: int,
    balls: Mapping[str, int],
    ball_loops: int,
    craft: Craft,
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
            needs = [width] * count
            if turn == 0 and colour == first:
                needs.insert(0, width)
            if craft is Craft.NEEDLES and turn == repeats - 1 and colour == last:
                needs.append(width)
            begun = False
            for need in needs:
                start = 0 if begun else _END
                if on_ball[colour] < start + need + _END:
                    if not more[colour]:
                        return {}, colour
                    waste[colour] += on_ball[colour] - (_END if begun else 0)
                    more[colour] -= 1
                    on_ball[colour], start = ball_loops, _END
                on_ball[colour] -= start + need
                begun = True
            on_ball[colour] -= _END
    return {c: on_ball[c] + waste[c] + more[c] * ball_loops for c in balls}, None
