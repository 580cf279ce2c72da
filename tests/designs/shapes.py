"""What a grader asks of finished measures, said once more and apart from the designs.

`faults` looks at one script beside the plan it comes from, `backward` at a design's sizes in order.
"""

from itertools import pairwise

from engine.craft.sizes import EVERYONE, table_of
from engine.plan.planning import gave_way
from models.script import Kind

ASKED = {
    "around": lambda cm: cm["around"] if "around" in cm else _body(cm) + cm["ease"],
    "body height": lambda cm: cm["body_height"],
    "armhole depth": lambda cm: cm["armhole_depth"],
    "back neck": lambda cm: cm["neck_width"],
    "underarm": lambda cm: cm["underarm"],
    "centre back to cuff": lambda cm: cm["back_neck_to_cuff"],
    "cuff": lambda cm: cm["cuff"],
    "width": lambda cm: cm["width"],
    "height": lambda cm: cm["height"],
}
UP = {"body height", "armhole depth", "centre back to cuff", "height"}
"""Measures in rows; the others are in loops."""
SWINGS = {"sleeve length", "edging"}
"""A sleeve's length is what half the back leaves of centre back to cuff, which is what is asked;
an edging is narrower where a small size could not carry it."""


def _body(cm):
    return cm.get("bust", cm.get("head"))


def faults(plan, script):
    """What is wrong with the finished measures, a sentence each."""
    cm = {name: value * plan.scale for name, value in plan.measures.items()}
    loop, row = 1 / plan.gauge.loops_per_cm, 1 / plan.gauge.rows_per_cm
    done, told = script.finished_cm, " ".join(gave_way(plan, script)).lower()
    for name, asked in ASKED.items():
        if name not in done or not cm:  # the practice piece asks for nothing
            continue
        unit = row if name in UP else loop
        if abs(done[name] - asked(cm)) > unit / 2 + 0.11 and name not in told:
            yield f"{name} is {done[name]} cm for {asked(cm):.1f} asked, and nobody says so"
    if "back width" not in done:
        return
    body = EVERYONE.get(plan.size) if plan.scale == 1 else None
    if done["back width"] < cm["cross_back"] - loop / 2 - 0.06:
        yield f"the back of {done['back width']} cm is narrower than the body's"
    if done["back width"] < cm["cross_back"] + cm["ease"] / 2 - loop / 2 and "back" not in told:
        yield "the back lacks its ease, and nobody says so"
    if abs(done["fronts"] - done["back width"]) > loop + 0.11 and "fronts" not in told:
        yield "the fronts are not as wide as the back, and nobody says so"
    if not 0 < done["back neck"] <= done["back width"]:
        yield "the neck is wider than the back, or closed"
    fronts = [s for s in script.steps if s.part == "right front" and s.counts_row]
    if fronts and fronts[-1].loops_after < 2 and "shoulder" not in told:
        yield "a shoulder hangs on one loop"
    if body:
        depth = done["armhole depth"]
        if not body.armhole_depth - row / 2 - 0.06 <= depth <= body.armhole_depth + 4.06 + row / 2:
            yield f"an armhole of {depth} cm is none for a body's {body.armhole_depth} cm"
        if done.get("cuff", 99) < max(body.wrist, body.hand) - 0.06:
            yield f"a cuff of {done['cuff']} cm lets no hand through"
        if done.get("upper sleeve", 99) < body.upper_arm + 3:
            yield "no arm goes into the sleeve"
    if "cuff" in done:
        rounds = [s for s in script.steps if s.part == "right sleeve" and s.kind is Kind.ROUND]
        last = max((s.row for s in rounds if s.loops_after < s.loops_before), default=0)
        if last and len(rounds) - last > len(rounds) / 4 + 2:
            yield f"the taper ends in round {last} of {len(rounds)}"


def backward(scripts):
    """Measures that a larger size has smaller, of a design's scripts by size in order."""
    names = {name for script in scripts for name in script.finished_cm} - SWINGS
    for name in sorted(names):
        for one, other in pairwise(scripts):
            if table_of(one.size) != table_of(other.size):
                continue  # the women's largest, then the children's smallest
            if other.finished_cm[name] < one.finished_cm[name] - 0.06:
                yield (
                    f"{name} goes back from {one.finished_cm[name]} cm in {one.size} to "
                    f"{other.finished_cm[name]} cm in {other.size}"
                )
