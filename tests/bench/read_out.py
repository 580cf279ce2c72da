"""What is read out, and what is said into it: in simulation and through a real stream."""

from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script import wording

WORDS = (
    "row done", "take back", "dropped loop", "loop repaired", "where am i", "say again",
    "new ball", "take a break", "two more rows", "rip back three rows", "stop listening",
    "show the piece", "it fits", "too tight", "further", "be quiet", "dropped loop at twelve",
    "measured thirty one and a half",
)  # fmt: skip


def sentences():
    """What a cardigan's rows read out as, in full."""
    plan = make_plan("cardigan", read_gauge("5 x 3.75"), size="M")
    script = script_for(plan)
    return [wording.text(step, plan.craft) for step in script.steps]
