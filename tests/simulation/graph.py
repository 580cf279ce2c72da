"""The fabric as a graph: every loop a knot, joined to what it is pulled through and to its
neighbours on the yarn. A second reading of a script, which shares nothing with the engine's.

The engine knows what lies side by side from the rims of the fabric. Here nothing is known of rims:
two loops lie side by side where a finger that goes along the yarn and through the loops needs few
steps from one to the other. What is picked up is hung to the loops of the edge that its words mean:
of all the ends of rows, foundations and bound-off loops of the parts named, the ones that begin
nearest to where the hand has come.
"""

import re
from collections import deque
from itertools import pairwise

NEAR = 3
"""Steps between two loops that can be worked as one: neighbours on the yarn, or over the loops
below them where one of them waited."""
HOP = 2
"""Steps from the last loop picked up to the next, over a corner of the fabric; as many more as
rows have been passed over between one loop and the next, where an edge has more rows than loops."""
TAKES = {
    "k": 1, "p": 1, "work": 1, "k tbl": 1, "p tbl": 1, "dec": 2, "k2tog": 2, "p2tog": 2, "ssk": 2,
    "ssp": 2, "k3tog": 3, "sssk": 3, "inc": 1, "kfb": 1, "pfb": 1, "yo": 0, "m1": 0, "m1l": 0,
    "m1r": 0, "co": 0, "pick up": 0, "bo": 1, "seam": 1, "3nbo": 2, "graft": 2, "fasten": 1,
}  # fmt: skip
LEAVES = {"inc": 2, "kfb": 2, "pfb": 2, "bo": 0, "seam": 0, "3nbo": 0, "graft": 0, "fasten": 0}
SLIPS = {"sl", "sl kwise", "sl pwise", "sl wyif", "sl wyib", "mds"}
TURNS = {"turn", "w&t"}
NEVER = {"tail", "join", "pm", "sm", "rm", "colour"}


class Fault(Exception):
    """Something the hands cannot do."""


class Knots:
    """The graph."""

    def __init__(self):
        self.beside = []

    def new(self):
        self.beside.append(set())
        return len(self.beside) - 1

    def tie(self, one, other):
        if one is not None and other is not None and one != other:
            self.beside[one].add(other)
            self.beside[other].add(one)

    def far(self, one, other, most):
        """Steps between two knots; more than `most` where it is further."""
        seen, edge = {one}, deque([(one, 0)])
        while edge:
            knot, steps = edge.popleft()
            if knot == other:
                return steps
            if steps < most:
                for near in self.beside[knot] - seen:
                    seen.add(near)
                    edge.append((near, steps + 1))
        return most + 1


class Reading:
    """Works a script on the graph. `faults` are the places where loops are too far apart."""

    def __init__(self, script):
        self.script = script
        self.knots = Knots()
        self.live = []  # right to left, as a right-handed maker's first row begins
        self.rests = {}
        self.edges = {}  # by part and side: the knots in order
        self.feet = {}  # by part and side: the end of the pick-up on which its rows stand
        self.stand = None  # loops at the right of a hand that turned
        self.ended_left = True
        self.named = {}  # loops that were taken up, by their resting place
        self.passed_over = 0  # rows between two loops picked up, at most
        self.faults = []
        for step in script.steps:
            try:
                self.step(step)
            except Fault as fault:
                self.faults.append(f"step {step.number}: {fault}")
                break

    # --- one step ------------------------------------------------------------------------------

    def step(self, step):
        """Work the operations in order. Raises Fault where the loops are not there."""
        if not step.operations:
            return
        self.begin(step)
        row = step.kind.value in {"row", "round"}
        for o in step.operations:
            self.work(step, o)
        if row and self.ahead and not self.turned:
            raise Fault(f"{len(self.ahead)} unworked")
        order = [*self.behind, *self.made, *self.ahead]
        passed = len(self.behind) + len(self.made)
        self.live = order if self.way else order[::-1]
        self.stand = passed if self.way else len(order) - passed
        if not self.turned:
            self.stand = None
        self.ended_left = self.way
        if row:
            self.row_done(step)
        elif step.kind.value == "pick up" and self.live:
            self.feet[step.part, "right"] = self.live[0]
            self.feet[step.part, "left"] = self.live[-1]

    def begin(self, step):
        """What is ahead of the hand, and which way it goes."""
        self.way = self.leftward(step)
        order = list(self.live) if self.way else self.live[::-1]
        self.behind, self.ahead, self.made, self.slipped = [], deque(order), [], []
        self.yarn = self.hung = None
        self.unknown = False  # whether the hand is at an edge that no words name
        self.turned = self.bound = False
        if self.stand is not None and step.kind.value in {"row", "round"}:
            passed = self.stand if self.way else len(order) - self.stand
            self.behind = [self.ahead.popleft() for _ in range(passed)]
        begins = step.kind.value in {"pick up", "foundation"} and all(
            TAKES.get(o.stitch, 1) == 0 or o.stitch in NEVER or o.moves for o in step.operations
        )
        if begins and order:
            self.way = self.ended_left
            self.behind, self.ahead = list(self.live) if self.way else self.live[::-1], deque()
            self.yarn = self.hung = self.behind[-1]

    def work(self, step, o):
        """One operation."""
        if o.stitch in {"rest", "rest next", "resume", "pair"}:
            self.move(o)
        elif o.stitch in TURNS:
            self.turned = True
            # Beside the turn there is a hole, and the next loop is still the next.
            self.knots.tie(self.made[-1], self.ahead[0])
        elif o.stitch == "psso":
            for _ in range(o.times):
                over = self.slipped.pop()
                self.near(over, self.made[-1], "passes over")
                self.made.remove(over)
        elif o.stitch in SLIPS:
            for _ in range(o.times):
                self.slipped.append(self.ahead.popleft())
                self.lay(self.slipped[-1])
        elif o.stitch in {"pick up", "free"}:
            while self.ahead and step.kind.value not in {"row", "round"}:
                self.yarn = self.hung = self.ahead.popleft()
                self.made.append(self.yarn)
            if step.kind.value == "round" and self.made:
                self.hung = min(self.knots.beside[self.made[-1]])
            if self.hung is None and self.made and not self.unknown:
                # From a loop just made: it hangs where the one below it did.
                self.hung = min(self.knots.beside[self.made[-1]])
            new = [self.pulled(()) for _ in range(o.times)]
            self.hung = self.hang(step, o.at, new, self.hung)
            for loop in new:
                self.lay(loop)
        elif o.stitch not in NEVER:
            for _ in range(o.times):
                self.stitch(step, o)

    def move(self, o):
        """To a resting place, or from one."""
        if o.stitch == "rest":
            if len(self.ahead) < o.times and self.behind:
                self.ahead.extendleft(self.behind[::-1])
                self.behind, self.yarn, self.hung = [], None, None
            if len(self.ahead) < o.times:
                raise Fault("too few to rest")
            self.put(o.at, [self.ahead.pop() for _ in range(o.times)])
        elif o.stitch == "rest next":
            self.put(o.at, [self.ahead.popleft() for _ in range(o.times)][::-1])
        elif o.stitch == "resume":
            self.ahead.extend(self.taken(o.at, o.times, self.way))
        else:
            one, other = o.at.split("|")
            fronts = self.taken(one, o.times, False)
            for front, back in zip(fronts, self.taken(other, o.times, True), strict=True):
                self.knots.tie(front, back)
                self.ahead += [front, back]

    def stitch(self, step, o):
        """One stitch, once."""
        takes, leaves = TAKES[o.stitch], LEAVES.get(o.stitch, 1)
        if len(self.ahead) < takes:
            raise Fault(f"{o.stitch} needs {takes}, {len(self.ahead)} are there")
        used = [self.ahead.popleft() for _ in range(takes)]
        for one, other in pairwise(used):
            self.near(one, other, o.stitch)
        if o.at and takes > 1 and not any(loop in self.named.get(o.at, ()) for loop in used):
            self.faults.append(f"step {step.number}: not the loop from {o.at}")
        if leaves == 0:
            # A chain ties each loop to the next; the last one is tied to what follows.
            self.bound = True
            for loop in used:
                self.knots.tie(self.yarn, loop)
                self.yarn = loop
                if o.stitch == "bo":
                    self.edge(step.part, "bound", loop)
            if self.ahead:
                self.knots.tie(self.yarn, self.ahead[0])
        for _ in range(leaves):
            new = self.pulled(used)
            self.lay(new)
            if o.stitch == "co":
                self.edge(step.part, "foundation", new)

    def lay(self, loop):
        """The yarn goes on to this loop."""
        self.knots.tie(self.yarn, loop)
        self.made.append(loop)
        self.yarn = loop

    def row_done(self, step):
        """Where the row ends, and what it closes."""
        if not self.made:
            return
        if step.kind.value == "row":
            right, left = self.made[0], self.made[-1]
            if not self.way:
                right, left = left, right
            self.edge(step.part, "right", right)
            self.edge(step.part, "left", left)
        elif not self.turned:
            self.knots.tie(self.made[0], self.made[-1])

    def pulled(self, used):
        new = self.knots.new()
        for loop in used:
            self.knots.tie(new, loop)
        return new

    def near(self, one, other, what):
        if self.pieces_meet(one, other):
            return
        if self.knots.far(one, other, NEAR) > NEAR:
            self.faults.append(f"{what}: loops that lie apart")

    def pieces_meet(self, one, other):
        """Two pieces that nothing ties yet may be joined by working a loop of each as one."""
        return self.knots.far(one, other, 10**9) == 10**9 + 1

    def leftward(self, step):
        if step.side is not None:
            return step.side == "RS"
        back = "left to right" if self.script.hand.value == "right" else "right to left"
        return step.direction is None or step.direction.value != back

    # --- resting places --------------------------------------------------------------------------

    def put(self, name, moved):
        """`moved` from the far end on, as the hand left them."""
        rest = self.rests.setdefault(name, [])
        self.rests[name] = moved[::-1] + rest if self.way else rest + moved

    def taken(self, name, count, from_right):
        rest = self.rests.get(name, [])
        if len(rest) < count:
            raise Fault(f"{len(rest)} rest at {name}")
        if from_right:
            got, self.rests[name] = rest[:count], rest[count:]
        else:
            got, self.rests[name] = rest[::-1][:count], rest[: len(rest) - count]
        self.named = {**self.named, name: {*self.named.get(name, ()), *got}}
        return got

    # --- edges -----------------------------------------------------------------------------------

    def edge(self, part, which, knot):
        self.edges.setdefault((part, which), []).append(knot)

    def hang(self, step, words, new, hung):
        """Tie loops to the edge that is meant; the last knot that they hang from."""
        strands = self.meant(words, hung)
        if strands is None:
            self.unknown = True
            return None
        self.passed_over = max(self.passed_over, (len(strands) - 1) // len(new))
        hop = HOP + self.passed_over
        for index, loop in enumerate(new):
            self.knots.tie(loop, strands[(2 * index + 1) * len(strands) // (2 * len(new))])
        told = re.search("^the (right|left|bound-off) edge|^the foundation|, ", words)
        # Within a round the hand comes over the loop beside the gap.
        hop += step.kind.value == "round"
        if told and hung is not None and self.knots.far(hung, strands[0], hop) > hop:
            self.faults.append(f"step {step.number}: {words!r} does not begin where the hand is")
        return strands[-1]

    def runs(self, strands):
        """Loops laid on in several places, as under both arms, place by place."""
        found = []
        for knot in strands:
            if found and knot in self.knots.beside[found[-1][-1]]:
                found[-1].append(knot)
            else:
                found.append([knot])
        return found

    def meant(self, words, hung):
        # Of "the left armhole, back" the end says which edge of the hole.
        told = words.rpartition(", ")[2]
        whole = set(re.findall(r"[a-z]+", words))
        said = set(re.findall(r"[a-z]+", told)) - {"the", "of", "and", "to", "its", "edge"}
        exact = re.fullmatch(r"the (right|left) edge of the (.+?)(?:, rows (\d+) to (\d+))?", words)
        rows = slice(int(exact[3]) - 1, int(exact[4])) if exact and exact[3] else slice(None)
        best = []
        for (part, which), strands in self.edges.items():
            names = set(part.split())
            if exact:
                ends = {"right": exact[1] == "right", "left": exact[1] == "left"}
                mirror = self.script.hand.value == "left"
                fits = part == exact[2] and which in ends and ends[which] is not mirror
                score = 9 if fits else 0
            elif "foundation" in said or "bound" in said or "underarm" in said:
                kind = "foundation" if "foundation" in said else "bound"
                score = (which == kind) * (1 + len(names & whole))
            else:
                shared = names & said
                score = 5 * len(shared) + len(names & whole) if shared - {"right", "left"} else 0
            found = strands[rows]
            if exact and not exact[3] and (part, which) in self.feet:
                found = [self.feet[part, which], *found]  # its first row stands on a pick-up
            for run in self.runs(found) if score and which == "foundation" else [found]:
                if score and run:
                    best += [(score, run), (score, run[::-1])]
        if not best:
            return None
        if hung is None:
            highest = max(score for score, _ in best)
            return next(strands for score, strands in best if score == highest)
        most = HOP + 1 + self.passed_over
        return min(best, key=lambda b: (self.knots.far(hung, b[1][0], most), -b[0]))[1]
