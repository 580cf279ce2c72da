"""Works a step on the fabric, stitch by stitch, in the direction of the hand.

The operations come in their order. What lies ahead of the hand is taken, what it makes lies behind
it; `rest` puts aside what the hand will not reach, the far end of the row, and `rest next` the
loops that come next. Loops taken up lie at the far end of what is ahead. Once the step is done the
rim is laid anew: bound-off loops become an edge, rows end in edges, loops that the yarn passes
without working them keep a rim of their own.
"""

from collections import deque
from collections.abc import Sequence
from enum import Enum, auto
from itertools import pairwise

from engine.script import edges
from engine.script.fabric import Fabric, Pulls, Stand, Unworkable, leftward, rightward_seen
from engine.script.rim import (
    Live,
    Node,
    Run,
    Side,
    Strands,
    absorb,
    around,
    insert,
    join,
    link,
    remove,
    split,
    split_first,
)
from models.script import LOOP_KINDS, Direction, Kind, Operation, Step
from models.stitch import Role, Stitch

_REACH = 6
"""Loops made after a slipped one over which it can still be passed (common practice, no source)."""


class _What(Enum):
    """What has become of a stretch of loops."""

    LIVE = auto()
    TOP = auto()
    REST = auto()
    GONE = auto()


class Item:
    """A stretch of loops with one fate, in the order of the hand."""

    __slots__ = ("at", "node", "runs", "what")

    def __init__(self, what: _What, node: Live, at: str = "") -> None:
        self.what = what
        self.node = node
        """Where the loops came from; new loops have a node of their own."""
        self.at = at
        """A resting place, or the edge along which they were picked up."""
        self.runs: list[Run] = []

    @property
    def count(self) -> int:
        """Loops."""
        return sum(len(run.ids) for run in self.runs)


class _Hand:
    """One step as it is worked."""

    def __init__(self, fabric: Fabric, step: Step) -> None:
        self.fabric, self.step = fabric, step
        self.leftward = leftward(step, fabric.hand)
        self.rightward_seen = rightward_seen(step, fabric.hand)
        self.level = fabric.rows.get(step.part, 0)
        self.turns = any(o.entry.role is Role.TURN for o in step.operations)
        nodes = fabric.nodes
        self.ring = len(nodes) == 1 and nodes[0].next is nodes[0]
        self.stood = fabric.stand if step.counts_row else None
        self.items: list[Item] = []
        self.behind: list[Item] = []
        self.ahead: deque[tuple[Live, Run]] = deque()
        self.slipped: list[int] = []
        self.picked: list[Item] = []
        self.new: set[Live] = set()
        self.pulls: list[Pulls] = []
        self.origin: int | None = None
        """In a turned round, the loop behind the place where the rounds begin."""
        self.beyond: int | None = None
        """Items made before the hand came to that place."""
        if self.stood is not None and self.stood.leftward is self.leftward:
            raise Unworkable("it goes on the way the row before it went, which was turned")
        self._begin()

    # --- what is ahead --------------------------------------------------------------------

    def _begin(self) -> None:
        step, fabric = self.step, self.fabric
        loops = self._in_order(fabric.nodes)
        if self.stood is not None:
            right = self.stood.right
            passed = right if self.leftward else fabric.count - right
            for node, run in loops:
                if passed >= len(run.ids):
                    self._put(self.behind, _What.LIVE, node, run)
                    passed -= len(run.ids)
                elif passed:
                    self._put(self.behind, _What.LIVE, node, _part(run, 0, passed))
                    self.ahead.append((node, _part(run, passed)))
                    passed = 0
                else:
                    self.ahead.append((node, run))
        elif step.kind in {Kind.PICK_UP, Kind.FOUNDATION} and not self._works_live():
            # The hand stands where the last row ended, and goes on from there.
            if fabric.at_left is not None and fabric.nodes:
                self.leftward = fabric.at_left
                loops = self._in_order(fabric.nodes)
            for node, run in loops:
                self._put(self.behind, _What.LIVE, node, run)
        else:
            self.ahead.extend(loops)

    def _in_order(self, nodes: Sequence[Live]) -> list[tuple[Live, Run]]:
        if self.leftward:
            return [(node, run) for node in nodes for run in node.runs]
        return [(node, run.reversed()) for node in reversed(nodes) for run in reversed(node.runs)]

    def _works_live(self) -> bool:
        moved = sum(o.moves for o in self.step.operations if o.moves > 0)
        return sum(o.takes for o in self.step.operations) > moved

    # --- one operation --------------------------------------------------------------------

    def work(self, operation: Operation) -> None:
        match operation.entry.role:
            case Role.REGROUP:
                self._regroup(operation)
            case Role.TURN:
                self._turn(operation)
            case Role.BEGIN:
                self._new(operation)
            case Role.END:
                self._end(operation)
            case Role.YARN_END | Role.MARKER:
                pass
            case _ if operation.entry.leaves < 0:
                self._pass_over(operation)
            case _:
                self._stitch(operation)

    def _stitch(self, operation: Operation) -> None:
        entry, fabric = operation.entry, self.fabric
        pieces = self._take(operation.takes, entry)
        used = tuple(run.ids for _, run in pieces)
        self._check(operation, used)
        if entry.role is Role.SLIP:
            for node, run in pieces:
                self._pass(run)
                self._live(node, Run(run.ids, self.step.part, self.level))
                self.slipped.extend(run.ids)
            if entry.doubles:
                fabric.doubled.update(loop for ids in used for loop in ids)
            self.pulls.append(Pulls(operation, used, used, self.rightward_seen))
            return
        new = self._make(operation.leaves)
        if not pieces:
            self._live(self._here(), Run(new, self.step.part, self.level))
        done = taken = 0
        for node, run in pieces:
            self._pass(run)
            taken += len(run.ids)
            upto = -(-taken // entry.takes) * entry.leaves
            if upto > done:
                self._live(node, Run(new[done:upto], self.step.part, self.level))
                done = upto
        self.pulls.append(Pulls(operation, used, (new,), self.rightward_seen))

    def _check(self, operation: Operation, used: Sequence[range]) -> None:
        """What the stitch asks of the loops that it takes is there."""
        entry, at = operation.entry, operation.at
        if at and entry.role is Role.DECREASE:
            waiting = self.fabric.taken_up.get(at, set())
            if waiting.isdisjoint(loop for ids in used for loop in ids):
                raise Unworkable(f"{entry.name}: the loop from {at} does not lie there")
        for needed, there in (("wrap", self.fabric.wrapped), ("double", self.fabric.doubled)):
            if entry.needs == needed:
                if any(loop not in there for ids in used for loop in ids):
                    raise Unworkable(f"there is no {needed} where it says {entry.name}")
                there.difference_update(loop for ids in used for loop in ids)

    def _pass_over(self, operation: Operation) -> None:
        count = -operation.leaves
        passed = self.slipped[len(self.slipped) - count :] if count <= len(self.slipped) else []
        over = 0
        for item in reversed(self.items):
            for run in reversed(item.runs):
                if passed and passed[-1] in run.ids:
                    break
                over += len(run.ids)
            else:
                continue
            break
        if not passed or not 0 < over <= _REACH:
            raise Unworkable(f"{operation.entry.name}: no loop was slipped just before")
        del self.slipped[len(self.slipped) - count :]
        gone = set(passed)
        for item in self.items:
            if any(loop in run.ids for loop in passed for run in item.runs):
                item.runs = [kept for run in item.runs for kept in _without(run, gone)]
        used = tuple(range(loop, loop + 1) for loop in passed)
        self.pulls.append(Pulls(operation, used, (), self.rightward_seen))

    def _new(self, operation: Operation) -> None:
        """Loops that come from no loop: they lie where the hand stands, after what it holds."""
        while self.step.kind not in {Kind.ROW, Kind.ROUND} and self.ahead:
            self._live(*self.ahead.popleft())
        new = self._make(operation.leaves)
        node = Live(self.step.part, [])
        self.new.add(node)
        self._live(node, Run(new, self.step.part, self.level))
        if operation.entry.along:
            item = self.items[-1]
            item.at = operation.at
            self.picked.append(item)
            self.fabric.sources.append((new, operation.at))
        else:
            strands = Strands(self.step.part, operation.leaves, foundation=True)
            link(node, strands)
            link(strands, node)
            self.fabric.edges.append(strands)
        self.pulls.append(Pulls(operation, (), (new,), self.rightward_seen))

    def _end(self, operation: Operation) -> None:
        gathers = operation.stitch == "fasten" and operation.times > 1
        pieces = self._take(operation.takes, operation.entry)
        for node, run in pieces:
            self._pass(run)
            joined = node in self.fabric.seams and operation.stitch != "bo"
            self._put(self.items, _What.GONE if joined or gathers else _What.TOP, node, run)
        used = tuple(run.ids for _, run in pieces)
        self.pulls.append(Pulls(operation, used, (), self.rightward_seen))

    def _turn(self, operation: Operation) -> None:
        if operation.entry.wraps:
            ahead = self.ahead[0][1] if self.ahead else None
            if ahead is None and self.ring and self.behind:
                ahead = self.behind[0].runs[0]
            if ahead is None:
                raise Unworkable(f"{operation.entry.name}: there is no loop ahead to wrap")
            self.fabric.wrapped.add(ahead.ids[0])
        self.pulls.append(Pulls(operation, (), (), self.rightward_seen))

    # --- taking and laying down -----------------------------------------------------------

    def _take(self, count: int, entry: Stitch) -> list[tuple[Live, Run]]:
        there = sum(len(run.ids) for _, run in self.ahead)
        if there < count and self.ring and self.turns and self.origin is None and self.behind:
            # Over the beginning of the round: what lies behind comes again from the other side.
            back = [(item.node, run) for item in self.behind for run in item.runs]
            self.origin = back[0][1].ids[0]
            self.ahead.extend(back)
            self.behind = []
            there = sum(len(run.ids) for _, run in self.ahead)
        if there < count:
            raise Unworkable(f"{entry.name} needs {count} loops, {there} are there")
        pieces: list[tuple[Live, Run]] = []
        left = count
        while left:
            node, run = self.ahead[0]
            if len(run.ids) <= left:
                self.ahead.popleft()
                pieces.append((node, run))
                left -= len(run.ids)
            else:
                pieces.append((node, _part(run, 0, left)))
                self.ahead[0] = (node, _part(run, left))
                left = 0
        if entry.takes > 1 and len(pieces) > 1:
            self._side_by_side(pieces, entry)
        return pieces

    def _side_by_side(self, pieces: Sequence[tuple[Live, Run]], entry: Stitch) -> None:
        """Loops that are worked as one lie beside each other, or are of two pieces joined here."""
        taken = 0
        for (one, run), (other, _) in pairwise(pieces):
            taken += len(run.ids)
            if taken % entry.takes == 0 or one is other or self._beside(one, other):
                continue
            if any(node is other for node in around(one)):
                raise Unworkable(
                    f"{entry.name} would work loops as one that do not lie side by side"
                )

    def _beside(self, one: Node, other: Node) -> bool:
        return one.next is other if self.leftward else other.next is one

    def _make(self, count: int) -> range:
        first = self.fabric.made
        self.fabric.made += count
        return range(first, first + count)

    def _live(self, node: Live, run: Run) -> None:
        self._put(self.items, _What.LIVE, node, run)

    def _put(self, items: list[Item], what: _What, node: Live, run: Run) -> None:
        begins = items is self.items and len(items) == self.beyond
        if begins or not items or items[-1].what is not what or items[-1].node is not node:
            items.append(Item(what, node))
        runs = items[-1].runs
        if runs and (joined := _one(runs[-1], run)):
            runs[-1] = joined
        else:
            runs.append(run)

    def _pass(self, run: Run) -> None:
        """See whether the hand comes to where the rounds begin."""
        if self.origin is not None and run.ids[0] == self.origin:
            self.beyond = len(self.items)

    def _here(self) -> Live:
        """The node at which the hand stands."""
        for item in reversed(self.items):
            if item.what is _What.LIVE:
                return item.node
        if self.ahead:
            return self.ahead[0][0]
        if self.behind:
            return self.behind[-1].node
        node = Live(self.step.part, [])
        self.new.add(node)
        return node

    # --- resting places -------------------------------------------------------------------

    def _regroup(self, operation: Operation) -> None:
        match operation.stitch:
            case "rest":
                self._rest_far(operation)
            case "rest next":
                item_from = len(self.items)
                for node, run in self._take(operation.times, operation.entry):
                    self._put(self.items, _What.REST, node, run)
                for item in self.items[item_from:]:
                    item.at = operation.at
            case "resume":
                pieces = self._from_rest(operation.at, operation.times)
                taken_up = self.fabric.taken_up.setdefault(operation.at, set())
                taken_up.update(loop for _, run in pieces for loop in run.ids)
                self.ahead.extend(pieces)
            case _:
                self._pair(operation)

    def _rest_far(self, operation: Operation) -> None:
        left = operation.times
        there = sum(len(run.ids) for _, run in self.ahead)
        # After a pick-up or a cast-on nothing is ahead: what was made goes to rest.
        if there < left and self.behind and not self.items:
            self.ahead.extendleft(
                [(item.node, run) for item in self.behind for run in item.runs][::-1]
            )
            self.behind = []
            there = sum(len(run.ids) for _, run in self.ahead)
        if there < left:
            raise Unworkable(f"resting needs {left} loops, {there} are there")
        moved: list[Live] = []
        while left:
            node = self.ahead[-1][0]
            count = 0
            while self.ahead and self.ahead[-1][0] is node and count < left:
                run = self.ahead.pop()[1]
                if count + len(run.ids) > left:
                    over = count + len(run.ids) - left
                    self.ahead.append((node, _part(run, 0, over)))
                    run = _part(run, over)
                count += len(run.ids)
            left -= count
            if count == node.count:
                moved.append(node)
            elif self.leftward:
                moved.append(split(node, node.count - count))
            else:
                moved.append(split_first(node, count))
        # From the far end on, each nearer one before it.
        self.fabric.put_aside(operation.at, moved[::-1], leftward=self.leftward)

    def _from_rest(self, name: str, count: int) -> list[tuple[Live, Run]]:
        """Loops from a resting place in the order of the hand, from the end that it comes to."""
        nodes = _taken(self.fabric, name, count, from_left=not self.leftward)
        return self._in_order(nodes)

    def _pair(self, operation: Operation) -> None:
        front_name, _, back_name = operation.at.partition("|")
        fronts = _taken(self.fabric, front_name, operation.times, from_left=True, what="pairing")
        backs = _taken(self.fabric, back_name, operation.times, from_left=False, what="pairing")
        # Right sides together: the front lies mirrored on the back, its far end first.
        front = [
            (loop, run) for node in reversed(fronts) for run in reversed(node.runs)
            for loop in reversed(run.ids)
        ]  # fmt: skip
        back = [(loop, run) for node in backs for run in node.runs for loop in run.ids]
        runs: list[Run] = []
        for (one, of_front), (other, of_back) in zip(front, back, strict=True):
            if of_front.level != of_back.level:
                raise Unworkable(
                    f"{front_name} is {of_front.level} rows high and {back_name} is {of_back.level}"
                )
            runs.append(Run(range(one, one + 1), of_front.part, of_front.level))
            runs.append(Run(range(other, other + 1), of_back.part, of_back.level))
        seam = Live(self.step.part, runs)
        _glue(fronts, backs, seam)
        self.fabric.seams.add(seam)
        self.ahead.extend((seam, run) for run in runs)

    # --- the step is done -----------------------------------------------------------------

    def done(self) -> None:
        """Lay the rim anew. Raises Unworkable where the loops do not lie as the step has them."""
        step, fabric = self.step, self.fabric
        left = sum(len(run.ids) for _, run in self.ahead)
        if step.counts_row and left and not self.turns:
            raise Unworkable(f"{left} loops of the row are left unworked")
        here = self.items
        after: list[Item] = []
        while self.ahead:
            self._put(after, _What.LIVE, *self.ahead.popleft())
        if self.beyond is not None:
            # What was made beyond the beginning of the round lies at the row's other end.
            order = [*here[self.beyond :], *after, *here[: self.beyond]]
            passed = here[self.beyond :]
        else:
            order = [*self.behind, *here, *after]
            passed = [*self.behind, *here]
        stands = sum(item.count for item in passed if item.what is _What.LIVE)
        if not self.leftward:
            order.reverse()
            for item in order:
                item.runs = [run.reversed() for run in reversed(item.runs)]
        self._lay(order)
        row = [item for item in order if item.what in {_What.LIVE, _What.TOP}]
        if self.picked:
            self._find_edges(row)
        self._join(row)
        fabric.nodes = _merged([item.node for item in row if item.what is _What.LIVE])
        self._stop(stands)

    def _lay(self, order: Sequence[Item]) -> None:
        """Put the stretches that a node has become where the node lay."""
        by_node: dict[Live, list[Item]] = {}
        for item in order:
            by_node.setdefault(item.node, []).append(item)
        resting: list[Item] = []
        closed: list[Strands] = []
        for node, items in by_node.items():
            chain_of: list[Node] = []
            for item in items:
                if item.what is _What.GONE or not item.runs:
                    continue
                if item.what is _What.TOP:
                    strands = Strands(self.step.part, item.count, foundation=False)
                    self.fabric.edges.append(strands)
                    closed.append(strands)
                    chain_of.append(strands)
                    continue
                kept = node if node not in chain_of else Live(node.part, [])
                kept.runs, item.node = item.runs, kept
                chain_of.append(kept)
            if chain_of != [node]:
                _splice(node, chain_of)
            resting += [item for item in items if item.what is _What.REST]
        for edge in closed:
            absorb(edge)
        names = dict.fromkeys(item.at for item in resting)
        for name in names:
            nodes = [item.node for item in resting if item.at == name]
            self.fabric.put_aside(
                name, nodes if self.leftward else nodes[::-1], leftward=self.leftward
            )

    def _find_edges(self, row: Sequence[Item]) -> None:
        """Lay what was picked up where its edge lay."""
        places = [
            edges.Place(item.node, item.at if item in self.picked else None, item.node in self.new)
            for item in (row if self.leftward else reversed(row))
            if item.what is _What.LIVE and item.runs
        ]
        ring = self.step.direction is Direction.AROUND
        edges.lay(self.fabric, places, leftward=self.leftward, ring=ring)

    def _join(self, row: Sequence[Item]) -> None:
        """The yarn runs from loop to loop: neighbours of a row lie side by side from now on."""
        step = self.step
        live = [item for item in row if item.what is _What.LIVE and item.runs]
        if not live:
            return
        groups: list[list[Live]] = [[]]
        for item in row:
            if item.what is _What.TOP:
                groups.append([])
            elif item.runs:
                groups[-1].append(item.node)
        groups = [group for group in groups if group]
        for group in groups:
            for one, other in pairwise(group):
                if one.next is other:
                    continue
                fresh = one in self.new or other in self.new
                if step.counts_row or fresh:
                    join(one, other)
        if step.kind is Kind.ROUND and not self.turns:
            first, last = row[0], row[-1]
            if first.what is _What.LIVE and last.what is _What.LIVE:
                join(last.node, first.node)
        elif step.kind is Kind.ROW:
            self._sides(groups)

    def _sides(self, groups: Sequence[Sequence[Live]]) -> None:
        """The ends of a flat row are edges, but where it was turned on the way."""
        if self.ring and (self.turns or self.stood is not None):
            return
        at_right, at_left = (
            (self.stood is None, not self.turns)
            if self.leftward
            else (not self.turns, self.stood is None)
        )
        for index, group in enumerate(groups):
            if index or at_right:
                self._side(group[0], first=True)
            if index < len(groups) - 1 or at_left:
                self._side(group[-1], first=False)

    def _side(self, node: Live, *, first: bool) -> None:
        part, row = self.step.part, self.level
        beside = node.prev if first else node.next
        if isinstance(beside, Side) and (beside.part, beside.first) == (part, first):
            beside.rows.insert(len(beside.rows) if first else 0, row)
            return
        side = Side(part, first, [row])
        insert(node.prev if first else node, side)
        self.fabric.edges.append(side)

    def _stop(self, stands: int) -> None:
        """Where the hand is afterwards."""
        fabric, step = self.fabric, self.step
        if self.turns:
            right = stands if self.leftward else fabric.count - stands
            fabric.stand = Stand(right, self.leftward)
            fabric.at_left = None
        elif self.pulls:
            fabric.stand = None
            ring = len(fabric.nodes) == 1 and fabric.nodes[0].next is fabric.nodes[0]
            fabric.at_left = None if ring or step.kind not in LOOP_KINDS else self.leftward


def work(fabric: Fabric, step: Step) -> list[Pulls]:
    """Work a step on the fabric; its pulls in the order of the hand. Raises Unworkable."""
    if step.counts_row:
        fabric.rows[step.part] = fabric.rows.get(step.part, 0) + 1
    if not step.operations:
        if step.counts_row and fabric.nodes:
            raise Unworkable(f"{fabric.count} loops of the row are left unworked")
        return []
    hand = _Hand(fabric, step)
    for operation in step.operations:
        hand.work(operation)
    hand.done()
    return hand.pulls


def _part(run: Run, first: int, last: int | None = None) -> Run:
    return run._replace(ids=run.ids[first:last])


def _one(run: Run, other: Run) -> Run | None:
    """Two runs as one, where the second goes on with what the first began."""
    (ids, part, level), (more, part_of, level_of) = run, other
    goes_on = ids.stop == more.start and ids.step == more.step
    if not goes_on or part != part_of or level != level_of:
        return None
    return Run(range(ids.start, more.stop, ids.step), part, level)


def _without(run: Run, gone: set[int]) -> list[Run]:
    """A run without some of its loops."""
    out: list[Run] = []
    start = 0
    for index, loop in enumerate(run.ids):
        if loop in gone:
            if index > start:
                out.append(_part(run, start, index))
            start = index + 1
    if start < len(run.ids):
        out.append(_part(run, start))
    return out


def _taken(
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


def _splice(node: Live, chain_of: Sequence[Node]) -> None:
    """Put other nodes where a node lay; it may be one of them."""
    if not chain_of:
        remove(node)
        return
    before, after = node.prev, node.next
    alone = before is node
    for one, other in pairwise(chain_of):
        link(one, other)
    first, last = chain_of[0], chain_of[-1]
    if alone:
        link(last, first)
    else:
        link(before, first)
        link(last, after)


def _merged(nodes: Sequence[Live]) -> list[Live]:
    """Neighbours on the rim become one stretch."""
    out: list[Live] = []
    for node in nodes:
        if not node.runs:
            continue
        if out and out[-1].next is node and out[-1] is not node:
            last = out[-1]
            last.runs = last.runs + node.runs
            if node.next is last:
                link(last, last)
            else:
                link(last, node.next)
            node.gone = True
        else:
            out.append(node)
    return out
