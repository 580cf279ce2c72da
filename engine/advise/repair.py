"""What a dropped loop costs: ripping back to it, working its column up again, or tying it down.

A column is followed loop by loop through the script, on the fabric that the audit works. Above a
loop of a row lies the loop that was pulled through it, and so on until a decrease or a bind-off
takes the column in. As long as the column's top is live, the loop can be hooked up from below;
ripping back always helps and costs what is ripped; tying it down leaves a small scar.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from engine.advise import pace
from engine.advise.replan import landing
from engine.script import places
from engine.script.fabric import Fabric, Loop, Pulls
from engine.script.hands import work
from models.advice import Cost, Mending, Repair
from models.script import Kind, RowScript, Step
from models.state import MakeState, Mark

RIP, UP, TIE = "rip back", "work up", "tie down"
RUNG = 2.0
"""Hooking up one rung takes as long as working this many loops (common practice, no source)."""
TYING = 5.0
"""Tying a loop down takes as long as working this many loops (common practice, no source)."""


@dataclass
class Column:
    """What lies above one loop."""

    above: list[int] = field(default_factory=list)
    """Numbers of the steps that made a loop of it, bottom up."""
    ends: int | None = None
    """Number of the step that takes it in; None where it stays live to the end."""


def columns(script: RowScript, number: int) -> list[Column]:
    """The columns above the loops of step `number`, in the order in which the hand makes them."""
    found: list[Column] = []
    tops: dict[Loop, Column] = {}
    fabric = Fabric(script.hand)
    for step in script.steps:
        pulls = work(fabric, step)
        if step.number == number:
            for loop in (loop for one in pulls for made in one.made for loop in made):
                found.append(Column())
                tops[loop] = found[-1]
        elif step.number > number and tops:
            _grow(tops, step.number, pulls)
    return found


def _grow(tops: dict[Loop, Column], number: int, row: Sequence[Pulls]) -> None:
    """Follow the columns through a row: a loop pulled through is a rung, a slipped one none."""
    for one in row:
        for _, used, made in one.each():
            for loop in used:
                column = tops.get(loop)
                if column is None or made == used:
                    continue
                del tops[loop]
                if len(used) == len(made) == 1:
                    column.above.append(number)
                    tops[made[0]] = column
                else:
                    column.ends = number


def advise(state: MakeState, mark: Mark) -> Repair:
    """Every way to mend a marked loop here and now, with its cost and its last safe moment.

    Where the mark names no loop, the column that closes first speaks for the row. Costs are in
    loops and in seconds at the maker's own pace.
    """
    steps = state.script.steps
    step = steps[mark.step - 1]
    above = columns(state.script, mark.step)
    if mark.loop is not None:
        above = above[mark.loop - 1 : mark.loop] or above
    closing = [column.ends for column in above if column.ends is not None]
    last = min(closing, default=None)
    worked = state.at
    rungs = max((sum(n <= worked for n in column.above) for column in above), default=0)
    ways = (
        _rip(state, mark),
        _up(state, step, rungs, last if above else mark.step),
        _tie(state),
    )
    return Repair(
        mark=mark.number,
        place=places.mark_place(mark, state.plan.craft),
        ways=ways,
        best=_best(state, mark, ways),
        landing=landing(state, mark.step, places.start_of(step)) if mark.step <= worked else None,
    )


def _rip(state: MakeState, mark: Mark) -> Mending:
    speed = pace.seconds_per_loop(state)
    ripped = state.script.steps[mark.step - 1 : max(state.at, mark.step)]
    loops = sum(pace.handled(step) for step in ripped)
    cut = next(
        (
            step.number
            for step in state.script.steps[mark.step - 1 :]
            if any(operation.stitch == "tail" for operation in step.operations)
            and step.kind is not Kind.FOUNDATION
        ),
        None,
    )
    closes = ""
    if cut is not None:
        where = places.part_place(state.script.steps[cut - 1])
        closes = f"The yarn is cut at {where}: ripping back past that costs a new join"
    return Mending(
        name=RIP,
        possible=True,
        cost=Cost(
            rows=sum(bool(pace.handled(step)) for step in ripped),
            loops=loops,
            seconds=loops * (1 + pace.RIPPING) * speed,
        ),
        closes=closes,
    )


def _up(state: MakeState, step: Step, rungs: int, last: int | None) -> Mending:
    cost = Cost(loops=rungs, seconds=max(1, rungs) * RUNG * pace.seconds_per_loop(state))
    if last is None:
        return Mending(name=UP, possible=True, cost=cost)
    closing = state.script.steps[last - 1]
    where = places.part_place(closing)
    if last <= state.at:
        return Mending(
            name=UP,
            possible=False,
            why_not=f"The column was taken in at {where}",
            cost=cost,
            last_safe=last,
        )
    return Mending(
        name=UP,
        possible=True,
        cost=cost,
        last_safe=last,
        closes=f"{where[:1].upper()}{where[1:]} takes the column in: after it, rip back or tie "
        "down",
    )


def _tie(state: MakeState) -> Mending:
    return Mending(
        name=TIE,
        possible=True,
        cost=Cost(loops=1, seconds=TYING * pace.seconds_per_loop(state)),
        closes="Once tied, the column cannot be worked up any more",
    )


def _best(state: MakeState, mark: Mark, ways: tuple[Mending, ...]) -> str:
    """The quickest way without a trace; tying down where only a long ripping is left.

    Long is past the end of the part in which the loop was dropped (common practice, no source).
    """
    here = state.step.part if state.step else ""
    rip, up, _ = ways
    if up.possible:
        return min((up, rip), key=lambda way: way.cost.seconds).name
    return RIP if mark.part == here else TIE
