"""Whether a fabric is regular, seen on the graph alone: nothing here asks what a script claims.

Four things that a hand sees who holds the piece up. A rib stands on the rib below and goes around
in whole ribs. Where decreases or increases run in lines, each lies on its line: it takes in the one
below, or keeps the same neighbour, and a shaping that lies one loop beside such a line has slipped
off it. Where they run in no lines they are even: as many plain loops between one and the next, give
or take one, all around. And loops that are laid on within a row lie over a gap.
"""

from collections import Counter
from itertools import groupby, pairwise

from tests.simulation.columns import SIDES, Columns, between
from tests.simulation.lines import ends, in_lines, off_the_line


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
        yield from slips(reading, every)
        if patterned:
            continue
        yield from ribs(reading, rows)
        yield from off_the_line(columns)[0]
        yield from ends(columns.found)
        yield from uneven(reading, rows)


# --- evenness ------------------------------------------------------------------------------------


def uneven(reading, rows):
    """Rounds whose shapings are not spread evenly."""
    for row in rows:
        gaps = between(reading, row)
        spread = any(sorted(gaps)[:-1])  # or else all lie together, on both sides of a marker
        if spread and max(gaps) - min(gaps) > 1:
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
    last, before = [], set()
    for row in turned:
        hand = row.loops if row.leftward else row.loops[::-1]
        made = [(i, loop) for i, loop in enumerate(hand) if loop not in before]
        shaped = [i for i, loop in made if len(reading.under.get(loop, ())) > 1]
        before = set(hand)
        if len(shaped) == 1:
            last.append((row, len(hand) - shaped[0]))
    usual = Counter(far for _, far in last).most_common(1)
    for row, far in last:
        if far != usual[0][0]:
            yield f"step {row.step.number}: it is not shaped beside its turn"
    for row in rows[2:] if turned else ():
        for loop in row.loops:
            below = {*reading.under.get(loop, ())}
            if len(below) > 1 and not any(hole <= below for hole in reading.holes):
                yield f"step {row.step.number}: it does not close the hole that a turn left"


def slips(reading, rows):
    """Rows that slip one loop slip it at the same end of the hand's way, if most slip it there."""
    at = reading.worked.index(rows[0])
    found, before = [], {*reading.worked[at - 1].loops} if at else set()
    for row in rows:
        hand = row.loops if row.leftward else row.loops[::-1]
        slipped = [i for i, loop in enumerate(hand) if loop in before]
        before = set(row.loops)
        if not row.ring and len(slipped) == 1:
            place = {0: "beginning", len(hand) - 1: "end"}.get(slipped[0], "midst")
            found.append((row, place))
    often = Counter(place for _, place in found)
    usual = max(("beginning", "end", "midst"), key=lambda place: often[place])
    for row, place in found:
        if place != usual != "midst":
            yield f"step {row.step.number}: it slips at its {place}"


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
