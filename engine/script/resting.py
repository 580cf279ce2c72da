"""Takes loops from their resting places, and lays two stretches of them against each other."""

from collections.abc import Sequence

from engine.script.fabric import Fabric, Unworkable
from engine.script.rim import ELSEWHERE, Live, Run, link, split
from models.script import Operation


def taken(
    fabric: Fabric, name: str, count: int, *, from_left: bool, what: str = "taking up"
) -> list[Live]:
    """So many loops from one end of a resting place, right to left."""
    nodes = fabric.rests.get(name)
    if nodes is None:
        raise Unworkable(f"nothing rests at {name!r}")
    there = sum(node.count for node in nodes)
    if there < count:
        raise Unworkable(f"{what} {name} needs {count} loops, {there} are there")
    taken: list[Live] = []
    while count:
        node = nodes[-1 if from_left else 0]
        if node.count > count:
            rest = split(node, node.count - count if from_left else count)
            if from_left:
                taken.insert(0, rest)
            else:
                nodes[0] = rest
                taken.append(node)
            break
        count -= node.count
        taken.insert(0 if from_left else len(taken), nodes.pop(-1 if from_left else 0))
    return taken


def pair(fabric: Fabric, operation: Operation, part: str) -> Live:
    """Lay a front against a back; the loops lie in turn, and are closed in that order.

    Raises Unworkable where there are too few of them, or where they are not of one height.
    """
    front_name, _, back_name = operation.at.partition("|")
    fronts = taken(fabric, front_name, operation.times, from_left=True, what="pairing")
    backs = taken(fabric, back_name, operation.times, from_left=False, what="pairing")
    # Right sides together: the front lies mirrored on the back, its far end first.
    front = [
        (loop, run) for node in reversed(fronts) for run in reversed(node.runs)
        for loop in reversed(run.ids)
    ]  # fmt: skip
    back = [(loop, run) for node in backs for run in node.runs for loop in run.ids]
    # Two rims that meet here, as under an arm, may come from different heights.
    meet = fronts[-1].next is backs[0] or fronts[0].prev is backs[-1]
    runs: list[Run] = []
    for (one, of_front), (other, of_back) in zip(front, back, strict=True):
        told = max(of_front.level, of_back.level) < ELSEWHERE and not meet
        if told and of_front.level != of_back.level:
            raise Unworkable(
                f"{front_name} is {of_front.level} rows high and {back_name} is {of_back.level}"
            )
        runs.append(Run(range(one, one + 1), of_front.part, of_front.level))
        runs.append(Run(range(other, other + 1), of_back.part, of_back.level))
    seam = Live(part, runs)
    _glue(fronts, backs, seam)
    fabric.seams.add(seam)
    return seam


def _glue(fronts: Sequence[Live], backs: Sequence[Live], seam: Live) -> None:
    """Lay two stretches of live loops against each other; they become one that is to be closed."""
    before, after = fronts[0].prev, fronts[-1].next
    begins, ends = backs[0].prev, backs[-1].next
    if after is not backs[0]:
        link(begins, after)
    if before is backs[-1]:
        link(seam, seam)
    else:
        link(before, seam)
        link(seam, ends)
    for node in (*fronts, *backs):
        node.gone = True
