"""The hand on its way through one step: what lies ahead of it, what it has made of what."""

from collections import deque
from collections.abc import Iterable, Sequence
from itertools import pairwise

from engine.script.fabric import Fabric, Pulls, Stand, Unworkable, leftward, rightward_seen
from engine.script.laying import Fate, Item, WorkedStep, laid
from engine.script.resting import pair, taken
from engine.script.rim import ELSEWHERE, Live, Node, Run, Strands, around, link, split, split_first
from models.script import LOOP_KINDS, Direction, Kind, Operation, Step
from models.stitch import Role, Stitch

_REACH = 6
"""Loops made after a slipped one over which it can still be passed (common practice, no source)."""


class HandAtWork:
    """One step as it is worked."""

    def __init__(self, fabric: Fabric, step: Step) -> None:
        self.fabric, self.step = fabric, step
        self.leftward = leftward(step, fabric.hand)
        self.rightward_seen = rightward_seen(step, fabric.hand)
        self.turns = any(o.entry.role is Role.TURN for o in step.operations)
        nodes = fabric.nodes
        self.ring = len(nodes) == 1 and nodes[0].next is nodes[0]
        self.stood = fabric.stand if step.counts_row else None
        self.items: list[Item] = []
        self.behind: list[Item] = []
        self.ahead: deque[tuple[Live, Run]] = deque()
        self.slipped: list[int] = []
        self.picked: list[Item] = []
        self.fastened = False
        """The yarn went through a single loop and holds it: no chain goes on from there."""
        self.new: set[Live] = set()
        self.pulls: list[Pulls] = []
        self.origin: int | None = None
        """In a turned round, the loop behind the place where the rounds begin."""
        self.beyond: int | None = None
        """Items made before the hand came to that place."""
        if self.stood is not None and self.stood.leftward is self.leftward:
            raise Unworkable("it goes on the way the row before it went, which was turned")
        self._begin()
        self.whole = step.counts_row and not self.turns and self.stood is None
        """A row from end to end: all that it passes stands one row higher, at one height."""
        self.level: int | None = None
        """The height of the row, once it is begun."""

    # --- what is ahead --------------------------------------------------------------------

    def _begin(self) -> None:
        step, fabric = self.step, self.fabric
        loops = self._in_order(fabric.nodes)
        if self.stood is not None:
            right = self.stood.right
            passed = right if self.leftward else fabric.count - right
            for node, run in loops:
                if passed >= len(run.ids):
                    self._put(self.behind, Fate.LIVE, node, run)
                    passed -= len(run.ids)
                elif passed:
                    self._put(self.behind, Fate.LIVE, node, run.cut(0, passed))
                    self.ahead.append((node, run.cut(passed)))
                    passed = 0
                else:
                    self.ahead.append((node, run))
        elif step.kind in {Kind.PICK_UP, Kind.FOUNDATION} and not self._works_live():
            # The hand stands where the last row ended, and goes on from there.
            if fabric.at_left is not None and fabric.nodes:
                self.leftward = fabric.at_left
                loops = self._in_order(fabric.nodes)
            for node, run in loops:
                self._put(self.behind, Fate.LIVE, node, run)
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
        """Work one operation. Raises Unworkable."""
        if operation.times < 1:
            raise Unworkable(f"{operation.entry.name} cannot be worked {operation.times} times")
        if operation.entry.role is Role.REGROUP:
            self._regroup(operation)
            return
        if self.level is None:
            # Nothing more goes to rest before the row is worked.
            self.level = self._highest(run for _, run in self.ahead)
        match operation.entry.role:
            case Role.TURN:
                self._turn(operation)
            case Role.BEGIN:
                self._new(operation)
            case Role.END:
                self._end(operation)
            case Role.YARN_END | Role.MARKER | Role.COLOUR:
                pass
            case _ if operation.entry.leaves < 0:
                self._pass_over(operation)
            case _:
                self._stitch(operation)

    def _stitch(self, operation: Operation) -> None:
        entry, fabric = operation.entry, self.fabric
        pieces = self._take(operation.takes, entry)
        self.fastened = False
        used = tuple(run.ids for _, run in pieces)
        self._check(operation, used)
        if entry.role is Role.SLIP:
            for node, run in pieces:
                self._pass(run)
                self._live(node, Run(run.ids, self.step.part, self._above(run)))
                self.slipped.extend(run.ids)
            if entry.doubles:
                fabric.doubled.update(loop for ids in used for loop in ids)
            self.pulls.append(Pulls(operation, used, used, self.rightward_seen))
            return
        new = self._make(operation.leaves)
        if not pieces:
            self._live(self._here(), Run(new, self.step.part, self.level or 0))
        done = taken = 0
        for node, run in pieces:
            self._pass(run)
            taken += len(run.ids)
            upto = -(-taken // entry.takes) * entry.leaves
            if upto > done:
                self._live(node, Run(new[done:upto], self.step.part, self._above(run)))
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
                item.runs = [kept for run in item.runs for kept in run.without(gone)]
        used = tuple(range(loop, loop + 1) for loop in passed)
        self.pulls.append(Pulls(operation, used, (), self.rightward_seen))

    def _new(self, operation: Operation) -> None:
        """Loops that come from no loop: they lie where the hand stands, after what it holds."""
        while self.step.kind not in {Kind.ROW, Kind.ROUND} and self.ahead:
            self._live(*self.ahead.popleft())
        self.fastened = False
        new = self._make(operation.leaves)
        node = Live(self.step.part, [])
        self.new.add(node)
        level = self.level or 0
        if not self.step.counts_row:
            beside = self._highest(run for item in self.behind for run in item.runs)
            level = ELSEWHERE if operation.entry.along else beside
        self._live(node, Run(new, self.step.part, level))
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
        if operation.stitch == "fasten" and not self.ahead:
            self._reach_back()
        pieces = self._take(operation.takes, operation.entry)
        if operation.stitch == "bo" and self.fastened:
            raise Unworkable("the chain is fastened before its last loop")
        self.fastened = operation.stitch == "fasten" and not gathers
        for node, run in pieces:
            self._pass(run)
            joined = node in self.fabric.seams and operation.stitch != "bo"
            self._put(self.items, Fate.GONE if joined or gathers else Fate.TOP, node, run)
        used = tuple(run.ids for _, run in pieces)
        self.pulls.append(Pulls(operation, used, (), self.rightward_seen))

    def _reach_back(self) -> None:
        """The loop that is fastened may be the one made last, when nothing else is left."""
        if self.items and self.items[-1].what is Fate.LIVE:
            item = self.items.pop()
            self.ahead.extend((item.node, run) for run in item.runs)

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
        if there < count and self.picked and self.step.direction is Direction.AROUND:
            self._come_around(count - there)
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
                pieces.append((node, run.cut(0, left)))
                self.ahead[0] = (node, run.cut(left))
                left = 0
        if entry.takes > 1 and len(pieces) > 1:
            self._side_by_side(pieces, entry)
        return pieces

    def _come_around(self, count: int) -> None:
        """Past the last of what was picked up lie the first loops of the step: "k9" to the
        middle of a heel, where the rounds begin from then on.
        """
        first = self.items[0]
        if first.what is not Fate.LIVE or first.node in self.new or first.count <= count:
            return
        node = first.node
        if node.count != first.count:
            return
        near = split_first(node, count) if self.leftward else split(node, node.count - count)
        runs: list[Run] = []
        for run in first.runs:
            here = min(count, len(run.ids))
            if here:
                self.ahead.append((near, run.cut(0, here)))
            if here < len(run.ids):
                runs.append(run.cut(here))
            count -= here
        first.runs = runs

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

    def _highest(self, runs: Iterable[Run]) -> int:
        """The height at which a row over these runs stands."""
        return max((run.level for run in runs), default=0) + self.whole

    def _above(self, run: Run) -> int:
        """The height of what is made of a run; a turned row adds none."""
        return (self.level or 0) if self.whole else run.level

    def _make(self, count: int) -> range:
        first = self.fabric.made
        self.fabric.made += count
        return range(first, first + count)

    def _live(self, node: Live, run: Run) -> None:
        self._put(self.items, Fate.LIVE, node, run)

    def _put(self, items: list[Item], what: Fate, node: Live, run: Run) -> None:
        begins = items is self.items and len(items) == self.beyond
        if begins or not items or items[-1].what is not what or items[-1].node is not node:
            items.append(Item(what, node))
        runs = items[-1].runs
        if runs and (joined := runs[-1].with_next(run)):
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
            if item.what is Fate.LIVE:
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
                    self._put(self.items, Fate.REST, node, run)
                for item in self.items[item_from:]:
                    item.at = operation.at
            case "resume":
                pieces = self._from_rest(operation.at, operation.times)
                taken_up = self.fabric.taken_up.setdefault(operation.at, set())
                taken_up.update(loop for _, run in pieces for loop in run.ids)
                self.ahead.extend(pieces)
                if self.level is not None:
                    self.level = max(self.level, self._highest(run for _, run in pieces))
            case _:
                seam = pair(self.fabric, operation, self.step.part)
                self.ahead.extend((seam, run) for run in seam.runs)

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
                    self.ahead.append((node, run.cut(0, over)))
                    run = run.cut(over)
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
        nodes = taken(self.fabric, name, count, from_left=not self.leftward)
        return self._in_order(nodes)

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
            self._put(after, Fate.LIVE, *self.ahead.popleft())
        if self.beyond is not None:
            # What was made beyond the beginning of the round lies at the row's other end.
            order = [*here[self.beyond :], *after, *here[: self.beyond]]
            passed = here[self.beyond :]
        else:
            order = [*self.behind, *here, *after]
            passed = [*self.behind, *here]
        stands = sum(item.count for item in passed if item.what is Fate.LIVE)
        row = WorkedStep(
            fabric,
            step,
            leftward=self.leftward,
            turned_before=self.stood is not None,
            turns=self.turns,
            ring=self.ring,
            new=frozenset(self.new),
            picked=tuple(self.picked),
        )
        laid(row, order)
        self._stop(stands)

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
