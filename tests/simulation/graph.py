"""The fabric as a graph: every loop a knot, joined to what it is pulled through and to its
neighbours on the yarn. A second reading of a script, which shares nothing with the engine's.

The engine knows what lies side by side from the rims of the fabric. Here nothing is known of rims:
two loops lie side by side where a finger that goes along the yarn and through the loops needs few
steps from one to the other. What is picked up is hung to the loops of the edge that its words mean:
of all the ends of rows, foundations and bound-off loops of the parts named, the ones that begin
nearest to where the hand has come. The hand goes around the fabric one way only: up a right edge,
along a bound-off one as it goes along a row, down a left edge, and back along a foundation. What is
picked up in a ring ends where it began.
"""

import re
from collections import deque
from dataclasses import dataclass
from itertools import pairwise

from tests.simulation.knots import Knots

NEAR = 3
"""Steps between two loops that can be worked as one: neighbours on the yarn, or over the loops
below them where one of them waited."""
HOP = 2
"""Steps from the last loop picked up to the next, over a corner of the fabric; as many more as
rows have been passed over between one loop and the next, where an edge has more rows than loops."""
PASSED_OVER = 2
"""Rows between two loops picked up, at most, unless a row is much lower than a loop is wide; as
one loop stands for up to one and a half, more is another edge."""
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


@dataclass(frozen=True)
class Worked:
    """A row or round as it lies, its loops from right to left."""

    step: object
    loops: tuple
    ring: bool
    turned: bool
    leftward: bool
    ahead: int
    """Loops that a turn left behind."""
    bound: tuple
    """Where loops were bound off within it: how many loops lie to the right of them, and they."""
    aside: tuple
    """What was put aside in the midst of it, in the hand's order: the loop made before it, the one
    found after it, and what rests."""


class Reading:
    """Works a script on the graph. `faults` are the places where loops are too far apart."""

    def __init__(self, script):
        self.script = script
        self.knots = Knots()
        self.live = []  # right to left, as a right-handed maker's first row begins
        self.rests = {}
        self.edges = {}  # by part and side: the knots in order
        self.laid = {}  # of each of them: whether the hand went to the left
        self.feet = {}  # by part and side: the end of the pick-up on which its rows stand
        self.stand = None  # loops at the right of a hand that turned
        self.ended_left = True
        self.named = {}  # loops that were taken up, by their resting place
        self.passed_over = 0  # rows between two loops picked up, at most
        self.covered = set()  # knots of edges from which loops were picked up
        self.in_hand, self.there = "", set()  # the yarn taken up last, and those that hang
        self.markers = {}  # how many hang at each place
        self.under = {}  # by knot: those that it is pulled through
        self.stitch_of = {}  # by knot: what it was worked as; nothing for a certain loop's decrease
        self.holes = []  # where rows turned: the last loop worked and the first that was left
        self.worked = []  # the rows and rounds, in order
        self.faults = []
        for step in script.steps:
            try:
                self.step(step)
            except Fault as fault:
                self.faults.append(f"step {step.number}: {fault}")
                break
        else:
            if self.live or any(self.rests.values()):
                self.faults.append("at the end loops are live or rest")
        left = [name for name, count in self.markers.items() if count]
        self.faults += [f"the marker {name} is never taken out" for name in left]

    # --- one step ------------------------------------------------------------------------------

    def step(self, step):
        """Work the operations in order. Raises Fault where the loops are not there."""
        self.beside_the_loops(step)
        if not step.operations:
            if step.kind.value in {"row", "round"} and self.live:
                raise Fault(f"{len(self.live)} unworked")
            return
        if step.direction is None and all(o.stitch in NEVER for o in step.operations):
            return  # the hand stays where it is
        self.begin(step)
        row = step.kind.value in {"row", "round"}
        for o in step.operations:
            self.work(step, o)
        self.close(step)
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
            self.worked.append(self.as_it_lies(step))
        elif step.kind.value == "pick up" and self.live:
            self.feet[step.part, "right"] = self.live[0]
            self.feet[step.part, "left"] = self.live[-1]

    def begin(self, step):
        """What is ahead of the hand, and which way it goes."""
        self.way = self.leftward(step)
        order = self.found = list(self.live) if self.way else self.live[::-1]
        self.behind, self.ahead, self.made, self.slipped = [], deque(order), [], []
        self.yarn = self.hung = None
        self.began = None  # where a ring that is picked up begins
        self.unknown = False  # whether the hand is at an edge that no words name
        self.turned = self.bound = False
        self.gaps, self.aside = [], []
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

    def beside_the_loops(self, step):
        """Yarn and markers: what is cut was there, what is taken out was placed."""
        chained, fastened = "", False
        for o in step.operations:
            if fastened and o.stitch in {"seam", "bo", "3nbo"}:
                self.faults.append(f"step {step.number}: it is fastened before it is chained")
            fastened |= o.stitch == "fasten"
            if o.stitch == "colour":
                self.in_hand = o.at
            elif o.stitch in {"tail", "join"} and step.kind.value != "foundation":
                if (self.in_hand in self.there) is (o.stitch == "join"):
                    self.faults.append(f"step {step.number}: {o.stitch} where it cannot be")
                (self.there.add if o.stitch == "join" else self.there.discard)(self.in_hand)
            elif o.stitch in {"pm", "rm"}:
                change = o.times if o.stitch == "pm" else -o.times
                self.markers[o.at] = self.markers.get(o.at, 0) + change
                if self.markers[o.at] < 0:
                    self.faults.append(f"step {step.number}: no marker at {o.at}")
            elif o.stitch in {"k", "p", "co", "dec", "pick up", "3nbo"}:
                if step.kind.value == "foundation":
                    self.there.add(self.in_hand)
                if self.in_hand not in self.there:
                    self.faults.append(f"step {step.number}: {o.stitch} without yarn")
            if not (o.moves or o.stitch in NEVER):
                chained = o.stitch if o.stitch in {"seam", "bo"} else ""
        if chained and not step.loops_after and (chained == "seam" or not step.held):
            self.faults.append(f"step {step.number}: the last loop of the chain is not fastened")

    def close(self, step):
        """The yarn hangs at the loop that a chain leaves, and a ring that was picked up along named
        edges ends where it began."""
        if self.bound and self.made and not self.ahead and self.yarn != self.made[-1]:
            self.faults.append(f"step {step.number}: the yarn is not at the loop that is left")
        if self.began is None or self.hung is None or step.direction.value != "around":
            return
        # A ring that begins with a stitch begins a loop above the edge, a round at a gap as well.
        most = HOP + self.passed_over + self.above + (step.kind.value == "round")
        ends = self.ahead[-1] if self.ahead else self.hung
        if self.knots.far(ends, self.began, most) > most:
            self.faults.append(f"step {step.number}: the ring does not end where it began")

    def work(self, step, o):
        """One operation."""
        if o.stitch in {"rest", "rest next", "resume", "pair"}:
            self.move(o)
        elif o.stitch in TURNS:
            self.turned = True
            if not (self.made and self.ahead):
                raise Fault("a turn where nothing is left")
            # Beside the turn there is a hole, and the next loop is still the next.
            self.knots.tie(self.made[-1], self.ahead[0])
            self.holes.append({self.made[-1], self.ahead[0]})
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
            if len(self.ahead) < o.times:
                raise Fault("too few to rest")
            moved = [self.ahead.popleft() for _ in range(o.times)]
            ends = self.made[-1:], list(self.ahead)[:1]
            self.aside.append((*(end[0] if end else None for end in ends), tuple(moved)))
            self.put(o.at, moved[::-1])
        elif o.stitch == "resume":
            self.ahead.extend(self.taken(o.at, o.times, self.way))
        else:
            one, _, other = o.at.partition("|")
            fronts = self.taken(one, o.times, False)
            for front, back in zip(fronts, self.taken(other, o.times, True), strict=True):
                self.knots.tie(front, back)
                self.ahead += [front, back]

    def stitch(self, step, o):
        """One stitch, once."""
        takes, leaves = TAKES[o.stitch], LEAVES.get(o.stitch, 1)
        if o.stitch == "fasten" and not self.ahead and self.made:
            self.ahead.append(self.made.pop())  # the loop made last is the one to fasten
            self.near(self.yarn, self.ahead[0], "fasten")
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
            if o.stitch == "bo":
                self.gaps.append((len(self.made), used))
            if self.yarn is not None:
                self.near(self.yarn, used[0], o.stitch)  # the yarn hangs at the loop before
            for loop in used:
                self.knots.tie(self.yarn, loop)
                self.yarn = loop
                if o.stitch == "bo":
                    self.edge(step.part, "bound", loop)
            if self.ahead:
                self.knots.tie(self.yarn, self.ahead[0])
        for _ in range(leaves):
            new = self.pulled(used)
            self.stitch_of[new] = "" if o.at and takes > 1 else o.stitch
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
            if self.found:
                self.knots.tie(self.found[0], self.found[-1])  # the round closed these as well

    def pulled(self, used):
        new = self.knots.new()
        self.under[new] = tuple(used)
        for loop in used:
            self.knots.tie(new, loop)
        return new

    def as_it_lies(self, step):
        """The row just worked, from right to left whichever way the hand went."""
        loops, count = tuple(self.made), len(self.made)
        bound = [(at, tuple(used)) for at, used in self.gaps]
        if not self.way:
            loops = loops[::-1]
            bound = [(count - at, used) for at, used in bound[::-1]]
        ring = step.kind.value == "round" and not self.turned
        return Worked(
            step=step,
            loops=loops,
            ring=ring,
            turned=self.turned,
            leftward=self.way,
            ahead=len(self.ahead),
            bound=tuple(bound),
            aside=tuple(self.aside),
        )

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
        """Note a knot of an edge, and which way the hand went as it laid it down."""
        self.edges.setdefault((part, which), []).append(knot)
        self.laid[knot] = self.way

    def hang(self, step, words, new, hung):
        """Tie loops to the edge that is meant; the last knot that they hang from."""
        found = self.meant(words, hung)
        if found is None:
            if re.match("the (right|left) edge of ", words):
                self.faults.append(f"step {step.number}: there is no {words!r}")
            self.unknown, self.began = True, None
            return None
        which, strands = found
        if which in {"bound", "foundation"} and len(new) < len(strands):
            # One for one: the last of them, where the hand begins, or else the first.
            strands = strands[-len(new) :] if hung is None else strands[: len(new)]
        if self.began is None and not self.unknown:
            self.began = next(iter((*self.behind, *self.made)), strands[0])
            self.above = bool(self.made)
        passed_over = (len(strands) - 1) // len(new)
        gauge = self.script.gauge
        if passed_over > max(PASSED_OVER, 1.5 * gauge.rows_per_10cm / gauge.loops_per_10cm):
            self.faults.append(f"step {step.number}: {len(new)} along {len(strands)} of {words!r}")
        self.passed_over = max(self.passed_over, passed_over)
        if len(self.covered & {*strands}) > len(strands) / 2:
            self.faults.append(f"step {step.number}: {words!r} was picked up before")
        self.covered |= {*strands}
        hop = HOP + self.passed_over
        for index, loop in enumerate(new):
            self.knots.tie(loop, strands[(2 * index + 1) * len(strands) // (2 * len(new))])
        if "armhole, " in words and self.from_hole(words, strands) > HOP + self.passed_over:
            self.faults.append(f"step {step.number}: {words!r} does not lie at that hole")
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
        exact = re.fullmatch(
            r"the (right|left) edge of the (.+?)(?:, rows? (\d+)(?: to (\d+))?)?", words
        )
        chain = re.fullmatch(r"the (foundation|bound-off edge) of the (.+)", words)
        rows = (
            slice(int(exact[3]) - 1, int(exact[4] or exact[3]))
            if exact and exact[3]
            else slice(None)
        )
        best = []
        for (part, which), strands in self.edges.items():
            names = set(part.split())
            if exact:
                ends = {"right": exact[1] == "right", "left": exact[1] == "left"}
                mirror = self.script.hand.value == "left"
                fits = part == exact[2] and which in ends and ends[which] is not mirror
                score = 9 if fits else 0
            elif chain:
                which_is = "foundation" if chain[1] == "foundation" else "bound"
                score = 9 * (which == which_is and part == chain[2])
            elif "foundation" in said or "bound" in said or "underarm" in said:
                kind = "foundation" if "foundation" in said else "bound"
                score = (which == kind) * (1 + len(names & whole))
            else:
                shared = names & said
                score = 5 * len(shared) + len(names & whole) if shared - {"right", "left"} else 0
            found = strands[rows]
            if exact and not exact[3] and (part, which) in self.feet:
                found = [self.feet[part, which], *found]  # its first row stands on a pick-up
            pieces = [found] if which in {"right", "left"} else self.runs(found)
            best += [(score, which, self.walked(which, run)) for run in pieces if score and run]
        if not best:
            return None
        if hung is None:
            highest = max(score for score, _, _ in best)
            likely = [(which, run) for score, which, run in best if score == highest]
            if self.ahead:  # a round that begins with it: what lies before the loops that come
                return min(likely, key=lambda b: self.knots.far(b[1][-1], self.ahead[0], 9))
            return min(likely, key=lambda b: self.from_hole(words, b[1]))
        most = HOP + 1 + self.passed_over
        return min(best, key=lambda b: (self.knots.far(hung, b[2][0], most), -b[0]))[1:]

    def walked(self, which, run):
        """The knots of an edge in the order in which the hand comes past them."""
        ascending = which == "right"
        if which in {"bound", "foundation"}:
            ascending = self.laid[run[0]] is (which == "bound")
        return run if ascending is self.way else run[::-1]

    def from_hole(self, words, run):
        """Steps from an edge to the loops bound off for the hole that the words name."""
        hole = [
            knot
            for (part, which), knots in self.edges.items()
            if which == "bound" and f"{part}, " in words
            for knot in knots
        ]
        return min(
            (self.knots.far(end, k, 9) for k in hole for end in (run[0], run[-1])), default=0
        )
