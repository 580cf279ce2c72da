"""Yarn by colour, and the order of its balls."""

from collections import Counter
from dataclasses import dataclass
from itertools import groupby

from engine.advise.yarn import purchase
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.craft.stripes import colour_name
from engine.script.yarns import by_colour, worked_by_yarn
from models.frozen import Frozen
from models.script import Kind, RowScript, Step

END = 2
"""Loops of one yarn's end."""


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
    each = stretches(script)
    if each and ball_loops < max(need for *_, need in each) + 2 * END:
        longest = max(need for *_, need in each)
        raise Refusal(
            f"A ball of {ball_loops} loops does not reach for a stretch of {longest}: make the "
            "piece or its blocks narrower, or take larger balls."
        )
    for step, yarn, joined, cut, need in each:
        colour, ball = colour_name(yarn), at_work.pop(yarn, None)
        if ball is None or joined or ball.left < need + END:
            fitting = [one for one in idle.get(colour, []) if one.left >= need + 2 * END]
            again = bool(fitting) and ball is None
            if again:
                ball = max(fitting, key=lambda one: one.left)
                idle[colour].remove(ball)
            else:
                begun[colour] = begun.get(colour, 0) + 1
                ball = _Ball(begun[colour], ball_loops)
            ball.left -= END
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
            ball.left -= END
            idle.setdefault(colour, []).append(ball)
        else:
            at_work[yarn] = ball
    return tuple(found)


@dataclass
class _Ball:
    number: int
    left: int


def stretches(script: RowScript) -> list[tuple[Step, str, bool, bool, int]]:
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
