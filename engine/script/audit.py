"""Proves a script by working it, loop by loop.

The audit believes nothing a step says of itself. It works the operations on the fabric in the
direction of the hand, and compares what is there with what the step declares. A script is sound
when

1. every operation finds the loops it takes, and every live loop of a row is worked or rested, or
   left behind by a turn;
2. what a step says of loops before, after and held is what is there, and its yarn adds up;
3. loops that are chained together come from panels of the same height, a front with the back;
4. loops that are worked as one lie side by side, what is picked up lies along the edge that is
   named and beside what comes before it, and nothing live is passed by;
5. parts that close together are level, mirrored parts mirror, like parts are alike and regular
   ones regular, row by row;
6. a yarn of another colour is taken up where it hangs, and none works that was cut;
7. at the end nothing is live and nothing is held, so each loop was used exactly once.
"""

import re
from collections.abc import Callable, Iterable
from functools import cache

from engine.script.fabric import Fabric, Unworkable
from engine.script.hands import work
from engine.script.regular import irregular, mirrors, worked
from engine.script.yarns import Yarns
from models.script import Craft, Kind, Operation, RowScript, Step
from models.stitch import STITCHES, Role

FAULTS_AT_MOST = 20
_SIDES = re.compile(r"\b(left|right) ")


def _heights(script: RowScript) -> dict[str, int]:
    rows: dict[str, int] = {}
    for step in script.steps:
        if step.counts_row:
            rows[step.part] = rows.get(step.part, 0) + 1
    return rows


def _rows_of(script: RowScript, part: str) -> list[Step]:
    return [step for step in script.steps if step.part == part and step.counts_row]


def _claims(script: RowScript) -> Iterable[str]:
    heights = _heights(script)
    for group in script.level:
        if len({heights.get(part, 0) for part in group}) > 1:
            told = ", ".join(f"{part} {heights.get(part, 0)}" for part in group)
            yield f"these parts close together and must have the same number of rows: {told}."
    for one, other in script.mirrored:
        yield from _compared(script, one, other, "mirror", mirrors)
    for one, other in script.alike:
        yield from _compared(script, one, other, "like", _alike)
        if _picked_up(script, one) != _picked_up(script, other):
            yield f"the {other} is not picked up as the {one}, its like, is."
    for part in script.regular:
        row = next(irregular(_rows_of(script, part)), None)
        if row:
            yield f"row {row.row} of the {part} is not regular."


def _compared(
    script: RowScript, one: str, other: str, told: str, fits: Callable[[Step, Step], bool]
) -> Iterable[str]:
    """The first row of two parts that does not fit its fellow."""
    ours, theirs = _rows_of(script, one), _rows_of(script, other)
    if len(ours) != len(theirs):
        yield f"the {other} has {len(theirs)} rows and the {one}, its {told}, has {len(ours)}."
    for a, b in zip(ours, theirs, strict=False):
        if not fits(a, b):
            does = "does not mirror" if told == "mirror" else "is not worked as in"
            yield f"row {b.row} of the {other} {does} the {one}."
            break


def _alike(one: Step, other: Step) -> bool:
    named = any(o.at and o.entry.role is Role.DECREASE for s in (one, other) for o in s.operations)
    return named or worked(one) == worked(other)


def _picked_up(script: RowScript, part: str) -> dict[str, list[int]]:
    """How many loops a part picks up along each edge, whether at the left or the right."""
    found: dict[str, list[int]] = {}
    for step in script.steps:
        if step.part == part and step.kind is Kind.PICK_UP:
            for o in step.operations:
                if o.entry.along:
                    found.setdefault(_SIDES.sub("", o.at), []).append(o.times)
    return found


def audit(script: RowScript) -> list[str]:
    """Every fault found, each a sentence that names the step; empty for a sound script."""
    faults: list[str] = []
    fabric, yarns = Fabric(script.hand), Yarns()

    def fault(step: Step, what: str) -> None:
        row = f", row {step.row}" if step.row else ""
        faults.append(f"step {step.number} ({step.part}{row}): {what}.")

    live = held = 0
    each_yarn = _on_needles if script.craft is Craft.NEEDLES else _in_loops
    for index, step in enumerate(script.steps, 1):
        if step.number != index:
            fault(step, f"it is numbered {step.number} and comes as {index}")
        try:
            pulls = work(fabric, step)
        except Unworkable as problem:
            fault(step, str(problem))
            break
        if yarns.looks_at(step):
            for what in yarns.follow(step, pulls):
                fault(step, what)
        if step.counts_row and step.row != fabric.rows[step.part]:
            fault(step, f"row {fabric.rows[step.part]} of its part is called {step.row}")
        before = live + held
        live, held = fabric.count, fabric.held
        before -= held
        if before != step.loops_before or live != step.loops_after or held != step.held:
            fault(
                step,
                f"it says {step.loops_before} loops before, {step.loops_after} after and "
                f"{step.held} held; there are {before}, {live} and {held}",
            )
        yarn = 0
        for operation in step.operations:
            yarn += each_yarn(operation.stitch) * operation.times
        if yarn != step.yarn_loops:
            fault(step, f"it says {step.yarn_loops} loops of yarn; its stitches use {yarn}")
        if len(faults) >= FAULTS_AT_MOST:
            return faults
    else:
        if not script.steps or script.steps[-1].kind is not Kind.FINISH:
            faults.append("the script does not end with a finish.")
        if fabric.count or fabric.held:
            faults.append(
                f"at the end {fabric.count} loops are still in work and {fabric.held} rest; "
                "nothing may be left."
            )
    faults.extend(_claims(script))
    return faults


@cache
def _on_needles(stitch: str) -> int:
    """Loops that a stitch pulls in each time, on needles."""
    return Operation(stitch=stitch, times=1).yarn(Craft.NEEDLES)


@cache
def _in_loops(stitch: str) -> int:
    """Loops that a working row pulls in: as many as it makes, but for slips and ends."""
    entry = STITCHES[stitch]
    match entry.role:
        case Role.YARN_END:
            return 2
        case Role.SLIP:
            return 0
        case _:
            return max(0, entry.leaves)
