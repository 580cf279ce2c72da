"""The demo make: a cardigan part-way, in a scenario of our own.

Oda minds the lock on a canal and knits between boats. Her cardigan is for the cold mornings on
the gate; the body is done, the right front begun, and one loop she dropped when a barge hooted
is mended. All of it is invented.
"""

from collections.abc import Iterator

from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from models.command import Action, Command
from models.plan import Plan
from models.script import Kind

NAME = "lock-keepers-cardigan"
RECORDED_IN = "en"
"""The language of the recorded voice that can move it."""
_BEGAN = 1_790_000_000.0
_SECONDS_PER_LOOP = 4.0


def demo_plan() -> Plan:
    """A small size at a jumbo gauge."""
    return make_plan(
        "cardigan",
        read_gauge("5 x 3.75"),
        size="S",
        ball_loops=260,
        title="Lock keeper's cardigan",
    )


def demo_making() -> Making:
    """The demo make at the third row of the right front, its journal kept in memory only."""
    making = Making(demo_plan())
    now = _BEGAN
    for command in _evenings(making):
        step = making.state.step
        loops = step.loops_after if step and step.yarn_loops else 5
        now += _SECONDS_PER_LOOP * loops if command.action is Action.ADVANCE else 5.0
        making.do(command, now)
    return making


def _evenings(making: Making) -> Iterator[Command]:
    """What she said, until two rows of the right front are done."""
    advance = Command(action=Action.ADVANCE)

    def rows(count: int) -> Iterator[Command]:
        for _ in range(count):
            step = making.state.step
            fitting = step is not None and step.kind is Kind.FIT_CHECK
            yield Command(action=Action.FITS) if fitting else advance

    yield from rows(5)
    yield Command(action=Action.DROPPED, value=12)
    yield Command(action=Action.REPAIRED)
    yield from rows(2)
    yield Command(action=Action.NOTE, text="Two barges through the lock; row counted twice.")
    while making.state.step and making.state.step.kind is not Kind.MEASURE:
        if making.state.ball_left is not None and making.state.ball_left < 45:
            yield Command(action=Action.NEW_BALL)
        yield advance
    target = making.state.step.target_cm if making.state.step else None
    yield Command(action=Action.MEASURED, value=target)
    yield from rows(3)
    yield from rows(2)
