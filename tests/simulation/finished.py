"""What a fabric measures when it is done, off the graph alone: loops and rows are counted on it and
nothing is asked of what a script says of itself."""

from collections import defaultdict
from itertools import pairwise

SLEEVE = "right sleeve"


def finished(reading, overlap=0.0):
    """A garment's measures in cm by their names: of one that opens at the front, or a pullover."""
    gauge = reading.script.gauge
    loop, row = 1 / gauge.loops_per_cm, 1 / gauge.rows_per_cm
    rows = defaultdict(list)
    for one in reading.worked:
        rows[one.step.part].append(one)
    found = {}
    back = len(rows["back"][0].loops)
    found["back width"] = found["back"] = back * loop
    found["armhole depth"] = len(rows["back"]) * row
    if "edging" in rows:
        edging = len(rows["edging"]) * row
        # Bound off between the shoulders, and not chained: the neck, which the edging narrows.
        chained = sum(
            len(knots)
            for (part, which), knots in reading.edges.items()
            if which == "bound" and part == "shoulders and neck"
        )
        found["back neck"] = chained * loop - 2 * edging
        around = len(rows["body"][-1].loops) * loop + 2 * edging - overlap
        front = sum(len(reading.under[loop]) for loop in rows["right front"][0].loops)
        found["fronts"] = 2 * (front * loop + edging) - overlap
        found["around"] = around
    else:
        found["around"] = len(rows["body"][-1].loops) * loop
    if SLEEVE in rows:
        rounds = rows[SLEEVE]
        found["cuff"] = len(rounds[-1].loops) * loop
        narrows = [len(b.loops) < len(a.loops) for a, b in pairwise(rounds)]
        last = max((i for i, does in enumerate(narrows, 2) if does), default=0)
        found["tapered"] = last / len(rounds)
    return found


def judged(found, cm, gauge, told=""):
    """What a grader says of the measures of a garment for which `cm` was asked, a sentence each;
    `told` is what a maker was told that gave way."""
    loop, told = 1 / gauge.loops_per_cm, told.lower()
    if found["back"] < cm.get("cross_back", 0.0) - loop / 2 - 0.06:
        yield "the back is narrower than the body's"
    uneven = abs(found.get("fronts", found["back"]) - found["back"]) > loop + 0.11
    if uneven and "fronts" not in told:
        yield "the fronts are not as wide as the back"
    neck = "back neck" in found and abs(found["back neck"] - cm["neck_width"]) > loop / 2 + 0.11
    if neck and "back neck" not in told:
        yield "the neck between its edgings is not as asked"
    if "cuff" in found and abs(found["cuff"] - cm["cuff"]) > loop / 2 + 0.11 and "cuff" not in told:
        yield "the cuff is not as asked"
    if found.get("tapered", 1.0) and found.get("tapered", 1.0) < 0.7:
        yield "the taper ends before the wrist"


def ends(reading):
    """Ends of yarn that hang from the fabric."""
    steps = reading.script.steps
    return sum(o.times for s in steps for o in s.operations if o.stitch in {"tail", "join"})
