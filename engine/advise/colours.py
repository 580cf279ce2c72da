"""Yarn by colour, and the stripes that the balls in the house give."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby

from engine.advise.yarn import purchase
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.craft.stripes import Stripe, colour_name
from engine.script.yarns import by_colour, worked_by_yarn
from models.frozen import Frozen
from models.script import Craft, Kind, RowScript, Step

_END = 2
"""Loops of one yarn's end."""
_REPEATS = 8
_HARDLY_LESS = 0.95


class BallUse(Frozen):
    """A ball that is begun, or taken up again after its end was cut."""

    colour: str
    ball: int
    """Of its colour, from 1."""
    again: bool
    step: int
    part: str
    row: int | None


def ball_order(script: RowScript, ball_loops: int) -> tuple[BallUse, ...]:
    """Which ball of which colour is joined when; empty for a script of one colour.

    Whoever joins a colour takes the fullest of its begun balls that reaches for the stretch, else a
    new one. A ball that does not reach for a stretch of one colour is changed where that begins.
    Raises Refusal for a ball that does not reach for the longest stretch.
    """
    idle: dict[str, list[_Ball]] = {}
    begun: dict[str, int] = {}
    at_work: dict[str, _Ball] = {}
    found: list[BallUse] = []
    stretches = _stretches(script)
    if stretches and ball_loops < max(need for *_, need in stretches) + 2 * _END:
        longest = max(need for *_, need in stretches)
        raise Refusal(
            f"A ball of {ball_loops} loops does not reach for a stretch of {longest}: make the "
            "piece or its blocks narrower, or take larger balls."
        )
    for step, yarn, joined, cut, need in stretches:
        colour, ball = colour_name(yarn), at_work.pop(yarn, None)
        if ball is None or joined or ball.left < need + _END:
            fitting = [one for one in idle.get(colour, []) if one.left >= need + 2 * _END]
            again = bool(fitting) and ball is None
            if again:
                ball = max(fitting, key=lambda one: one.left)
                idle[colour].remove(ball)
            else:
                begun[colour] = begun.get(colour, 0) + 1
                ball = _Ball(begun[colour], ball_loops)
            ball.left -= _END
            found.append(
                BallUse(
                    colour=colour,
                    ball=ball.number,
                    again=again,
                    step=step.number,
                    part=step.part,
                    row=step.row,
                )
            )
        ball.left -= need
        if cut:
            ball.left -= _END
            idle.setdefault(colour, []).append(ball)
        else:
            at_work[yarn] = ball
    return tuple(found)


@dataclass
class _Ball:
    number: int
    left: int


def _stretches(script: RowScript) -> list[tuple[Step, str, bool, bool, int]]:
    """Step, yarn, whether it is joined and whether it is cut there, and its loops beside its ends:
    for every yarn of every step, in their order."""
    found: list[tuple[Step, str, bool, bool, int]] = []
    for step, yarn, one in worked_by_yarn(script):
        laid = one.stitch == "tail" and step.kind is Kind.FOUNDATION
        joins, cuts = one.stitch == "join" or laid, one.stitch == "tail" and not laid
        need = 0 if joins or cuts else one.yarn(script.craft)
        last = found[-1] if found else None
        if last and last[0] is step and last[1] == yarn:
            found[-1] = (step, yarn, last[2] or joins, last[3] or cuts, last[4] + need)
        else:
            found.append((step, yarn, joins, cuts, need))
    return found


def order_lines(script: RowScript, ball_loops: int, reserve: float) -> tuple[str, ...]:
    """The balls of each colour, a sentence each: how many to buy, and where each is begun.

    `reserve` is a share bought on top. Raises Refusal as `ball_order` does.
    """
    begun: dict[str, list[BallUse]] = {}
    for use in ball_order(script, ball_loops):
        if not use.again:
            begun.setdefault(use.colour, []).append(use)
    wanted = by_colour(script)
    return tuple(
        f"Buy {some(max(len(uses), purchase(wanted[colour], ball_loops, reserve).balls), 'ball')} "
        f"of {colour}, {wanted[colour]} loops and {reserve:.0%} in reserve. Begun: {_places(uses)}."
        for colour, uses in begun.items()
    )


def _places(uses: list[BallUse]) -> str:
    """`foundation (2 balls); throw, rows 15, 27`, in the order of the work."""
    found: list[str] = []
    for (part, laid), those in groupby(uses, key=lambda use: (use.part, use.row is None)):
        counts = Counter(use.row for use in those)
        rows = [f"{row}" if n == 1 else f"{row} ({n} balls)" for row, n in counts.items()]
        if laid:
            many = counts[None]
            found.append(f"{part}, at its beginning" + (f" ({many} balls)" if many > 1 else ""))
        else:
            found.append(f"{part}, row{'s' if len(rows) > 1 else ''} {', '.join(rows)}")
    return "; ".join(found)


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
