"""Whether what shapes a part lies on its lines, and its rows are shaped at the same ends."""

from collections import Counter, defaultdict

from tests.simulation.columns import SEVERAL, SIDES


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
