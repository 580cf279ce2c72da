"""Whether a fabric is regular, seen on the graph alone: nothing here asks what a script claims.

Four things that a hand sees who holds the piece up. A rib stands on the rib below and goes around
in whole ribs. Where decreases or increases run in lines, each lies on its line: it takes in the one
below, or keeps the same neighbour, and a shaping that lies one loop beside such a line has slipped
off it. Where they run in no lines they are even: as many plain loops between one and the next, give
or take one, all around. And loops that are laid on within a row lie over a gap.
"""

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from itertools import groupby, pairwise

LIFTED = {"m1", "m1l", "m1r", "yo"}
DOUBLED = {"inc", "kfb", "pfb"}
PLAIN = {"k", "p", "work", "k tbl", "p tbl"}
SIDES = "right", "left"
SEVERAL = 3
"""Shapings of one kind in a round from which on they are spread, and no pair at a place."""


@dataclass
class Shaping:
    """A place where a row narrows or grows."""

    stitch: str
    step: object
    row: int
    right: object
    """The column beside it, or none at an edge."""
    left: object
    beyond: tuple
    """The columns that lie one further, to the right and to the left."""
    at: int
    """Loops of the row to its right, but for shapings."""
    rest: int = 0
    """And to its left."""
    line: int = 0
    """What it takes in where it goes on from another; its own where it begins one."""
    role: int | None = None
    """Which of its loops that is, from the right."""
    roles: list = field(default_factory=list)
    """The role in which it is taken in by the next of its line."""

    @property
    def taken(self):
        """The roles in which it takes in and is taken in."""
        return [*([] if self.role is None else [self.role]), *self.roles]


class Columns:
    """The columns of one part, row by row, and what shapes it."""

    def __init__(self, reading, rows):
        self.reading = reading
        self.column = {}  # by loop
        self.beside = defaultdict(set)  # by column: those that lay next to it
        self.lines = {}  # by line: the shaping that made it last
        self.found = []
        self.names = 0
        self.unequal = set()  # rows that are spread as evenly as their count allows, not quite
        gaps = [between(reading, row) for row in rows]
        usual = Counter(len(one) for one in gaps if one).most_common(1)
        for index, row in enumerate(rows):
            # What brings the count to whole wedges is spread by itself.
            self.apart = bool(usual) and len(gaps[index]) != usual[0][0]
            self.lay(row, index)
            if len({*gaps[index]}) > 1:
                self.unequal.add(index)

    def new(self):
        self.names += 1
        return self.names

    def over(self, loop):
        """The columns that end below a loop, from the right."""
        below = self.reading.under.get(loop, ())
        for knot in below:
            if knot not in self.column:
                self.column[knot] = self.new()
        order = sorted(below, key=self.place)
        return [self.column[knot] for knot in order]

    def place(self, knot):
        return self.places.get(knot, knot)

    def lay(self, row, index):
        loops = row.loops
        self.places = getattr(self, "here", {})
        seen = Counter(k for loop in loops for k in self.reading.under.get(loop, ()))
        done, shaped = set(), []
        for at, loop in enumerate(loops):
            if loop in self.column:
                continue  # slipped
            below = self.reading.under.get(loop, ())
            stitch = self.reading.stitch_of.get(loop, "")
            columns = self.over(loop)
            doubled = len(below) == 1 and seen[below[0]] > 1
            if len(below) == 1 and not (doubled and below[0] in done):
                self.column[loop] = columns[0]
            else:
                self.column[loop] = self.new()
            done |= set(below)
            if self.apart:
                continue
            if len(below) > 1 or stitch in LIFTED or (doubled and stitch in DOUBLED):
                shaped.append((at, loop, stitch, columns, doubled))
        self.here = {loop: at for at, loop in enumerate(loops)}
        names = [self.column[loop] for loop in loops]
        for one, other in pairwise(names):
            self.beside[one].add(other)
            self.beside[other].add(one)
        plain = 0
        upto = []
        skip = {at for at, *_ in shaped}
        for at in range(len(loops)):
            upto.append(plain)
            plain += at not in skip
        before = None
        for at, loop, stitch, columns, doubled in shaped:
            if doubled and before == (at - 1, self.reading.under[loop]):
                before = None
                continue  # the other half of the same increase
            before = (at, self.reading.under.get(loop, ())) if doubled else None
            wide = 2 if doubled else 1
            right, left = self.neighbours(names, at, wide, row.ring)
            beyond = self.neighbours(names, at - 1, wide + 2, row.ring)
            one = Shaping(stitch, row.step, index, right, left, beyond, upto[at], plain - upto[at])
            self.follow(one, loop, columns)
            self.found.append(one)

    def neighbours(self, names, at, wide, ring):
        size = len(names)
        right = names[at - 1] if at > 0 or ring else "edge"
        left = names[(at + wide) % size] if at + wide < size or ring else "edge"
        return right, left

    def follow(self, one, loop, columns):
        """Whether it takes in an earlier shaping of its kind."""
        for role, column in enumerate(columns):
            below = self.lines.get(column) if len(columns) > 1 else None
            if below and below.stitch == one.stitch:
                one.line, one.role = below.line, role
                below.roles.append(role)
                break
        else:
            one.line = self.new()
        if len(columns) > 1:
            self.lines[self.column[loop]] = one


def irregular(reading, *, patterned=False):
    """What is not regular on a graph, a sentence each; `patterned` where a stitch pattern lies over
    it, which has ribs and shapings of its own."""
    parts = {}
    for row in reading.worked:
        if row.loops:
            parts.setdefault(row.step.part, []).append(row)
    before = None
    for every in parts.values():
        rows = [row for row in every if not row.turned]
        columns = Columns(reading, rows)
        yield from laid_on(reading, rows)
        if not patterned:
            yield from put_aside(rows, before)
        before = columns
        yield from turns(reading, every)
        yield from slips(reading, rows)
        if patterned:
            continue
        yield from ribs(reading, rows)
        yield from off_the_line(columns)[0]
        yield from ends(columns.found)
        yield from uneven(reading, rows)


# --- lines ---------------------------------------------------------------------------------------


def off_the_line(columns):
    """The shapings that lie off a line, and whether the part has lines at all.

    What keeps the lines of a stitch is what most of its shapings have in common from row to row:
    the column to the right or to the left, an edge, or the loop of the one below that they take in.
    """
    found = [one for one in columns.found if one.stitch]
    if not in_lines(found):
        return [], False
    roles, rows, far = defaultdict(Counter), defaultdict(set), defaultdict(Counter)
    often = Counter(one.row for one in found)
    for one in found:
        roles[one.line].update(one.taken)
        far[one.stitch][min(one.at, one.rest)] += 1
        for side in SIDES:
            rows[one.stitch, side, getattr(one, side)].add(one.row)
    lines = {key for key, which in rows.items() if len(which) > 1}
    unbroken = unbroken_lines(found)

    def kept(one):
        """The ways in which a shaping keeps its line."""
        for side in SIDES:
            if (one.stitch, side, getattr(one, side)) in lines:
                yield side
        if min(one.at, one.rest) == far[one.stitch].most_common(1)[0][0]:
            yield "from the edge"
        usual = roles[one.line].most_common(1)
        if one.line in unbroken and one.taken and {*one.taken} == {usual[0][0]}:
            yield "takes in"

    told = []
    for stitch in {one.stitch for one in found}:
        mine = [one for one in found if one.stitch == stitch]
        shares = Counter(way for one in mine for way in kept(one))
        ways = {way for way, share in shares.items() if share == max(shares.values())}
        for one in mine:
            lone = often[one.row] == 1 and 0 in {one.at, one.rest}
            spread = often[one.row] >= SEVERAL and near_unequal(columns, often, one.row)
            if not (ways <= {*kept(one)} or lone or spread or alone(one, ways, lines)):
                told.append(f"step {one.step.number}: {stitch} lies off its line")
    return told, True


def near_unequal(columns, often, row):
    """Whether a row, or the shaped one before or after it, is spread not quite evenly: its lines
    are not straight there."""
    shaped = sorted(often)
    at = shaped.index(row)
    return any(one in columns.unequal for one in shaped[max(0, at - 1) : at + 2])


def ends(found):
    """Where a part is shaped at both ends of its rows, no row is shaped twice at one of them; and
    where a flat part is shaped at one end, that is the same in all its rows."""
    rows = defaultdict(list)
    for one in found:
        rows[one.row].append(one)
    for many in (1, 2):
        which = {
            row: {one.at <= one.rest for one in several}
            for row, several in rows.items()
            if len(several) == many and (many == 2 or several[0].step.kind.value == "row")
        }
        usual = Counter(map(frozenset, which.values())).most_common(1)
        for row, sides in which.items():
            apart = many == 1 or len(usual[0][0]) == many
            if apart and sides != usual[0][0] and usual[0][1] * 2 > len(which):
                yield f"step {rows[row][0].step.number}: it is shaped at the other end"


def unbroken_lines(found):
    """The lines that go on: no more of a stitch than a row has of it, and those the longest."""
    kept = set()
    for stitch in {one.stitch for one in found}:
        mine = [one for one in found if one.stitch == stitch]
        at_once = max(Counter(one.row for one in mine).values())
        lines = Counter(one.line for one in mine)
        long = sorted(lines.values(), reverse=True)[at_once:]
        kept |= {line for line, rows in lines.items() if not long or rows > long[0]}
    return kept


def alone(one, ways, lines):
    """Whether it is the only one of a line of its own, across a line of another stitch."""
    for side, other, beyond in zip(SIDES, SIDES[::-1], one.beyond, strict=True):
        across = any(s != one.stitch and (s, other, beyond) in lines for s, _, _ in lines)
        if side in ways and across:
            return True
    return False


def in_lines(found):
    """Whether a part narrows or grows along lines: as often in half of its shaped rows or more.
    What is spread loses another number each time."""
    often = Counter(Counter(one.row for one in found).values())
    return bool(often) and max(often.values()) * 2 >= max(4, sum(often.values()))


# --- evenness ------------------------------------------------------------------------------------


def between(reading, row):
    """Plain loops between the decreases of a round, where it has several and all are of one kind."""
    gap, gaps, kinds = 0, [], set()
    for loop in row.loops:
        if len(reading.under.get(loop, ())) > 1:
            gaps.append(gap)
            kinds.add(reading.stitch_of[loop])
            gap = 0
        elif reading.stitch_of.get(loop) in PLAIN:
            gap += 1
        else:
            kinds.add("other")
    if not row.ring or len(gaps) < SEVERAL or len(kinds) > 1:
        return []
    return [gaps[0] + gap, *gaps[1:]]


def uneven(reading, rows):
    """Rounds whose shapings are not spread evenly."""
    for row in rows:
        gaps = between(reading, row)
        if gaps and max(gaps) - min(gaps) > 1:
            yield f"step {row.step.number}: the decreases are not even around"


# --- ribs ----------------------------------------------------------------------------------------


def face(reading, row, loop):
    """Whether a loop shows a knit or a purl on the right side; nothing for what is neither."""
    stitch = reading.stitch_of.get(loop, "")
    if stitch not in {"k", "p"}:
        return ""
    wrong = row.step.side == "WS"
    return {"k": "p", "p": "k"}[stitch] if wrong else stitch


def ribs(reading, rows):
    """Ribs that do not stand on ribs, or do not go around."""
    below, before = False, set()
    for row in rows:
        faces = ["" if loop in before else face(reading, row, loop) for loop in row.loops]
        before = set(row.loops)
        ribbed = len({*faces} - {""}) > 1
        if ribbed and "" not in faces:
            if below and any(
                reading.under[loop] and face_below(reading, row, loop) not in {"", one}
                for loop, one in zip(row.loops, faces, strict=True)
            ):
                yield f"step {row.step.number}: a rib does not stand on the rib below"
            yield from whole_ribs(row, faces)
        below = ribbed


def face_below(reading, row, loop):
    one = reading.under[loop][0]
    stitch = reading.stitch_of.get(one, "")
    if stitch not in {"k", "p"}:
        return ""
    # Flat rows of needles turn: the row below had its other side to the hand.
    wrong = row.step.side == "RS"
    return {"k": "p", "p": "k"}[stitch] if wrong and row.step.kind.value == "row" else stitch


def whole_ribs(row, faces):
    runs = [(one, len(list(run))) for one, run in groupby(faces)]
    if row.ring and len(runs) > 1 and runs[0][0] == runs[-1][0]:
        runs = [(runs[0][0], runs[0][1] + runs[-1][1]), *runs[1:-1]]
    inner = runs if row.ring else runs[1:-1]
    for one in "kp":
        if len({size for what, size in inner if what == one}) > 1:
            yield f"step {row.step.number}: the ribs are not whole"
            return


# --- turns and slips ------------------------------------------------------------------------------


def turns(reading, rows):
    """Short rows leave as many loops behind on both sides, and each is shaped as far from its
    turn."""
    turned = [row for row in rows if row.turned]
    for one, other in zip(turned[::2], turned[1::2], strict=False):
        if one.ahead != other.ahead and one.step.part == other.step.part:
            yield f"step {other.step.number}: short rows do not turn on both sides alike"
    last = []
    for row in turned:
        hand = row.loops if row.leftward else row.loops[::-1]
        shaped = [i for i, loop in enumerate(hand) if len(reading.under.get(loop, ())) > 1]
        if len(shaped) == 1:
            last.append((row, len(hand) - shaped[0]))
    usual = Counter(far for _, far in last).most_common(1)
    for row, far in last:
        if far != usual[0][0]:
            yield f"step {row.step.number}: it is not shaped beside its turn"


def slips(reading, rows):
    """Rows that slip one loop of an edge slip it at the same end of the hand's way."""
    found, before = [], set()
    for row in rows:
        hand = row.loops if row.leftward else row.loops[::-1]
        slipped = [i for i, loop in enumerate(hand) if loop in before]
        before = set(row.loops)
        if not row.ring and len(slipped) == 1 and slipped[0] in {0, len(hand) - 1}:
            found.append((row, slipped[0] == 0))
    usual = Counter(begins for _, begins in found).most_common(1)
    for row, begins in found:
        if begins != usual[0][0]:
            yield f"step {row.step.number}: the edge is slipped at the other end"


# --- gaps ----------------------------------------------------------------------------------------


def laid_on(reading, rows):
    """Loops laid on within a row lie over a gap, and gaps lie evenly around."""
    gaps_below = 0
    for row in rows:
        laid = sum(
            new for new, _ in groupby(reading.stitch_of.get(loop) == "co" for loop in row.loops)
        )
        if laid and gaps_below and laid != gaps_below:
            yield f"step {row.step.number}: loops are laid on over {laid} of {gaps_below} gaps"
        gaps_below = len({at for at, _ in row.bound}) if row.ring else 0
        if len(row.bound) > 1 and row.ring:
            places = sorted({at for at, _ in row.bound})
            around = len(row.loops)
            gaps = [b - a for a, b in pairwise(places)] + [around - places[-1] + places[0]]
            if max(gaps) - min(gaps) > 1:
                yield f"step {row.step.number}: the gaps do not lie evenly around"
        runs = [
            (new, list(run))
            for new, run in groupby(
                range(len(row.loops)), key=lambda i: reading.stitch_of.get(row.loops[i]) == "co"
            )
        ]
        for new, run in runs:
            if not new or len(run) == len(row.loops):
                continue
            right, left = run[0] - 1, run[-1] + 1
            if not row.ring and (right < 0 or left >= len(row.loops)):
                continue
            one, other = row.loops[right], row.loops[left % len(row.loops)]
            ends = reading.under[one][-1:], reading.under[other][:1]
            if all(ends) and neighbours_in(reading, ends[0][0], ends[1][0]):
                yield f"step {row.step.number}: loops are laid on where there is no gap"


def put_aside(rows, before):
    """What a round puts aside out of a part that grew along lines lies alike at both its ends."""
    if before is None or not in_lines(before.found):
        return
    sides = {
        side: {getattr(one, side) for one in before.found if getattr(one, side) != "edge"}
        for side in SIDES
    }
    for row in rows:
        for one, other, resting in row.aside:
            if not (one and other and resting):
                continue
            below = before.reading.under.get(one, ())
            ends = [*below[-1:], resting[0], resting[-1], other]
            if not row.leftward:
                ends = ends[::-1]
            names = [before.column.get(loop) for loop in ends]
            if None in names or len(names) < 4:
                continue
            right = [names[0] in sides["right"], names[0] in sides["left"]]
            right += [names[1] in sides["right"], names[1] in sides["left"]]
            left = [names[3] in sides["left"], names[3] in sides["right"]]
            left += [names[2] in sides["left"], names[2] in sides["right"]]
            if right != left:
                yield f"step {row.step.number}: what rests does not lie alike at both ends"


def neighbours_in(reading, one, other):
    """Whether two loops were made side by side in one row."""
    return any(
        {one, other} == {a, b} and not any(at == i + 1 for at, _ in row.bound)
        for row in reading.worked
        for i, (a, b) in enumerate(pairwise(row.loops))
    )
