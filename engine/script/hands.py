"""Works a step on the fabric, stitch by stitch, in the direction of the hand.

The operations come in their order. What lies ahead of the hand is taken, what it makes lies behind
it; `rest` puts aside what the hand will not reach, the far end of the row, and `rest next` the
loops that come next. Loops taken up lie at the far end of what is ahead. Once the step is done the
rim is laid anew: bound-off loops become an edge, rows end in edges, loops that the yarn passes
without working them keep a rim of their own.
"""

from collections import deque

from engine.script.fabric import Fabric, Pulls, Unworkable, leftward, rightward_seen
from engine.script.hand import HandAtWork
from engine.script.laying import row_ends
from engine.script.rim import Run, join
from models.script import Kind, Operation, Step
from models.stitch import Role, Stitch

_STRAIGHT = {Role.WORKED, Role.DECREASE, Role.INCREASE, Role.CROSS}
"""What makes new loops of those that come next, and of no others."""
_NO_LOOPS = {Role.YARN_END, Role.MARKER, Role.COLOUR}


def work(fabric: Fabric, step: Step) -> list[Pulls]:
    """Work a step on the fabric; its pulls in the order of the hand. Raises Unworkable."""
    if step.counts_row:
        fabric.rows[step.part] = fabric.rows.get(step.part, 0) + 1
    fabric.parts.add(step.part)
    if not step.operations:
        if step.counts_row and fabric.nodes:
            raise Unworkable(f"{fabric.count} loops of the row are left unworked")
        return []
    if step.counts_row and (pulls := _straight_up(fabric, step)) is not None:
        return pulls
    hand = HandAtWork(fabric, step)
    for operation in step.operations:
        hand.work(operation)
    hand.done()
    return hand.pulls


def _straight_up(fabric: Fabric, step: Step) -> list[Pulls] | None:
    """Work a row that makes new loops of every loop of one stretch, as most rows do.

    None, with nothing done, for any other: the long way would come to the same.
    """
    if fabric.stand is not None or len(fabric.nodes) != 1:
        return None
    worked: list[tuple[Operation, Stitch]] = []
    takes = leaves = 0
    for operation in step.operations:
        entry = operation.entry
        if entry.role in _NO_LOOPS:
            continue
        if entry.role not in _STRAIGHT or entry.needs or operation.at or entry.leaves < 0:
            return None
        worked.append((operation, entry))
        takes += entry.takes * operation.times
        leaves += entry.leaves * operation.times
    node = fabric.nodes[0]
    if takes != node.count or not leaves:
        return None
    to_left, seen = leftward(step, fabric.hand), rightward_seen(step, fabric.hand)
    level = max(run.level for run in node.runs) + 1
    new = range(fabric.made, fabric.made + leaves)
    fabric.made += leaves
    runs = deque(node.runs if to_left else [run.reversed() for run in reversed(node.runs)])
    pulls: list[Pulls] = []
    done = 0
    for operation, entry in worked:
        used: list[range] = []
        left = entry.takes * operation.times
        while left:
            run = runs.popleft()
            if len(run.ids) > left:
                runs.appendleft(run.cut(left))
                run = run.cut(0, left)
            used.append(run.ids)
            left -= len(run.ids)
        made = new[done : done + entry.leaves * operation.times]
        done += len(made)
        pulls.append(Pulls(operation, tuple(used), (made,), seen))
    ids = new if to_left else new[::-1]
    node.runs = [Run(ids, step.part, level)]
    if step.kind is Kind.ROUND:
        join(node, node)
    else:
        row_ends(fabric, node, step.part, first=True)
        row_ends(fabric, node, step.part, first=False)
    fabric.at_left = None if node.next is node else to_left
    return pulls
