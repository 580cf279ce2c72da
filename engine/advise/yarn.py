"""The yarn: exact loops, balls to buy, and where each ball runs out.

Counted, not estimated: a script says how many loops of yarn every step pulls in, its own ends
included. A new ball costs two loops where the old one ends and two where the new one begins
(common practice, no source). So n balls of b loops reach for n·b − 4·(n − 1) loops of script.
"""

import math
from collections.abc import Iterator, Mapping, Sequence

from engine.base.refusal import Refusal
from models.script import RowScript, Step
from models.state import MakeState
from models.swatch import Swatch
from models.yarn import Joining, Purchase, RunOut, YarnForecast

END = 2
"""Loops of one yarn's end."""
BELIEVED = 0.25
"""Balls of a yarn differ from what is said of them by no more than this share (common practice,
no source)."""
RESERVE = 0.1
"""Share bought on top (common practice, no source)."""


def per_part(script: RowScript) -> dict[str, int]:
    """Loops of yarn by part, in the order of the work; parts that use none are left out."""
    found: dict[str, int] = {}
    for part, _, loops in _pulled(script):
        found[part] = found.get(part, 0) + loops
    return found


def per_colour(
    script: RowScript, colours: Mapping[str, str], usual: str = "main"
) -> dict[str, int]:
    """Loops of yarn by colour, given the colour of some parts; the others take the usual one.

    Where the colour changes and the script itself neither cuts nor joins, two ends are added: one
    to the colour that stops, one to the colour that begins. Raises Refusal for an unknown part.
    """
    if unknown := set(colours) - set(script.parts):
        raise Refusal(
            f"There is no part {min(unknown)!r}; the parts are {', '.join(script.parts)}."
        )
    found: dict[str, int] = {}

    def add(colour: str, loops: int) -> None:
        found[colour] = found.get(colour, 0) + loops

    hanging = ""
    """The colour whose yarn hangs at the work."""
    for part, stitch, loops in _pulled(script):
        colour = colours.get(part, usual)
        if stitch != "tail" and hanging and colour != hanging:
            add(hanging, END)
            add(colour, 0 if stitch == "join" else END)
        add(colour, loops)
        hanging = "" if stitch == "tail" else colour
    return found


def _pulled(script: RowScript) -> Iterator[tuple[str, str, int]]:
    """Part, stitch and loops of yarn of each operation that takes any.

    A tail that is cut before a step's own yarn comes in belongs to the part before.
    """
    part = ""
    for step in script.steps:
        for operation in step.operations:
            loops = operation.yarn(script.craft)
            if loops and not (operation.stitch == "tail" and part):
                part = step.part
            if loops:
                yield part or step.part, operation.stitch, loops


def balls_for(loops: int, ball_loops: int) -> int:
    """Balls that reach for `loops`, every join's ends counted.

    Raises Refusal for a ball that is no more than its own ends.
    """
    _check_ball(ball_loops)
    return max(1, math.ceil((loops - 2 * END) / (ball_loops - 2 * END)))


def _check_ball(ball_loops: int) -> None:
    if ball_loops <= 2 * END:
        raise Refusal(
            f"A ball of {ball_loops} loops is no more than its own ends: give the loops per ball."
        )


def purchase(loops: int, ball_loops: int, reserve: float = RESERVE) -> Purchase:
    """Balls to buy by loops per ball, with a share of reserve. Raises Refusal for bad numbers."""
    _check_reserve(reserve)
    balls = balls_for(math.ceil(loops * (1 + reserve)), ball_loops)
    return Purchase(
        loops=loops,
        balls=balls,
        reserve=reserve,
        left_over=balls * ball_loops - 2 * END * (balls - 1) - loops,
    )


def purchase_by_weight(
    loops: int, grams_per_loop: float, grams_per_ball: float, reserve: float = RESERVE
) -> Purchase:
    """Balls to buy by weight: what one loop weighs, and what a ball does, both in grams.

    Raises Refusal for weights that are none.
    """
    _check_reserve(reserve)
    if not (grams_per_loop > 0 and grams_per_ball > 0):
        raise Refusal("Weights are more than nothing: weigh the swatch and the ball in grams.")
    bought = purchase(loops, math.floor(grams_per_ball / grams_per_loop), reserve)
    return bought.model_copy(update={"grams": loops * grams_per_loop})


def _check_reserve(reserve: float) -> None:
    if not 0 <= reserve <= 1:
        raise Refusal(f"A reserve of {reserve:.0%} is out of bounds: give 0 to 100 %.")


def grams_per_loop(swatch: Swatch) -> float:
    """What one loop weighs, from a weighed swatch of loops × rows. Raises Refusal if unweighed."""
    if swatch.grams is None:
        raise Refusal(
            "The swatch was not weighed: give its grams, as in '8 x 7 over 15 x 18 cm, 84 g'."
        )
    return swatch.grams / swatch.worked_loops


def left_by_weight(grams: float, ball_grams: float, ball_loops: int) -> int:
    """Loops left on a ball that weighs `grams` on a kitchen scale, to the nearest loop.

    `ball_grams` and `ball_loops` are a whole ball's. Raises Refusal for weights that cannot be.
    """
    if not 0 <= grams <= ball_grams or ball_grams <= 0:
        raise Refusal(
            f"A ball of {ball_grams:g} g cannot weigh {grams:g} g: weigh it without its band."
        )
    return round(ball_loops * grams / ball_grams)


def length_per_loop(swatch: Swatch, ball_length: float, ball_grams: float) -> float:
    """Length of yarn in one stitch, in the unit of `ball_length`, from a weighed swatch."""
    return grams_per_loop(swatch) * ball_length / ball_grams


def joined(state: MakeState, said: int | None = None) -> Joining:
    """What a new ball joined at this moment means, and how many loops to reckon with in it.

    `said` is how many the maker says are in it. Otherwise it is taken to hold what the last one
    did: as planned if that ended about where it was foreseen, else what it turned out to hold.
    A ball that ended more than a step early was smaller; one that outlasted its count was larger.
    One further off than `BELIEVED` was not used up but laid aside, and tells nothing.
    """
    size, need = state.ball_size, state.step.yarn_loops if state.step else 0
    left = state.ball_left
    if size is None or left is None:
        return Joining(loops=said, pulled=0, held=None)
    gives = min(need, max(0, left - END))
    before = state.script.steps[state.at - 1].yarn_loops if state.at else 0
    runs_out_here = left - END < need
    as_foreseen = runs_out_here and left - END >= -max(before, 1)
    held: int | None = state.ball_used + END
    if as_foreseen or abs(state.ball_used + END - size) > BELIEVED * size:
        held = None
    ahead = _run(state.script.steps[state.at :], left, size, state.balls)[0]
    at_start = not ahead or ahead[0].join_at_start
    return Joining(
        loops=said if said is not None else held or size,
        pulled=gives if runs_out_here and as_foreseen and not at_start else 0,
        held=held,
    )


def forecast(state: MakeState, *, at_ends: bool = False) -> YarnForecast:
    """Where in which row each ball will run out from here, and how to join the next.

    With `at_ends` the next ball is joined where a row begins wherever a ball is long enough for
    that, whatever it costs.

    Joining where a row begins is neater and wastes the ball's last loops; so it is advised as
    long as it costs no ball more than carrying on into the row would (common practice, no
    source). A foundation or pick-up longer than a ball can only be carried on.
    """
    steps = () if state.done else state.script.steps[state.at :]
    bare = YarnForecast(
        to_come=sum(step.yarn_loops for step in steps), ball=state.balls, ball_left=state.ball_left
    )
    several = len({step.colour for step in state.script.steps if step.colour}) > 1
    if state.ball_left is None or state.ball_size is None or several:
        return bare  # each of several colours has balls of its own (`engine.advise.colours`)
    _check_ball(state.ball_size)
    found, rest = _run(steps, state.ball_left, state.ball_size, state.balls, at_ends=at_ends)
    return bare.model_copy(update={"run_outs": tuple(found), "left_over": rest})


def _run(
    steps: Sequence[Step],
    left: int,
    size: int,
    ball: int,
    *,
    neat: bool = True,
    at_ends: bool = False,
) -> tuple[list[RunOut], int]:
    """Balls that run out over these steps, and what is left of the last one.

    With `neat` the next ball is joined where the row begins as long as that costs no ball more,
    with `at_ends` even then.
    """
    found: list[RunOut] = []
    to_come = sum(step.yarn_loops for step in steps)
    for step in steps:
        need = step.yarn_loops
        to_come -= need
        # As long as yarn is wanted later the ball's last two loops are kept for its end.
        keep = END if to_come else 0
        while need and left < need + keep:
            gives = max(0, left - END)
            untouched = need == step.yarn_loops
            waits = neat and untouched and need + keep <= size - END
            same = _more(to_come + need, size) == _more(to_come + need - gives, size)
            waits = waits and (same or at_ends)
            found.append(
                RunOut(
                    ball=ball,
                    step=step.number,
                    part=step.part,
                    row=step.row,
                    loop=gives + step.yarn_loops - need,
                    of=step.yarn_loops,
                    join_at_start=untouched and (waits or gives == 0),
                )
            )
            need -= 0 if waits else gives
            left, ball = size - END, ball + 1
        left -= need
    return found, left


def _more(loops: int, size: int) -> int:
    """Balls still wanted for `loops` after one that is just joined."""
    return max(0, math.ceil((loops - (size - END)) / (size - 2 * END)))
