"""Scripts to draw: every built-in design, right- and left-handed, coarse and fine."""

from engine.designs import DESIGNS
from engine.plan.planning import make_plan, read_gauge, script_for, usual_gauge
from models.script import Craft, Hand, RowScript

COARSE, FINE = "5 x 3.75", "20 x 28"
NAMES = tuple(DESIGNS)


def script(
    name: str, gauge: str = COARSE, hand: Hand = Hand.RIGHT, size: str = "", **cm: float
) -> RowScript:
    if gauge == COARSE:
        gauge = usual_gauge(name)
    return script_for(make_plan(name, read_gauge(gauge), size=size, hand=hand, given=cm))


def needles(name: str, gauge: str = FINE) -> RowScript:
    return script_for(make_plan(name, read_gauge(gauge), craft=Craft.NEEDLES))
