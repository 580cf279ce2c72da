"""Every design in every size at every gauge: `python -m tests.designs.sweep [SHARE [NAME…]]`.

Builds and proves each script and asks what a grader asks (`shapes`). SHARE, 1 at most, takes that
share of the gauges; 2/5 is the second of five parts that together are the whole. Tells how far it
is after each gauge, and ends with 1 where anything is wrong. Where a yarn is too thick for a shape
the refusal is right as long as it says what to change; how many there were is told by design. NAME
is a design, or `laid`: then a stitch pattern lies over each, another one at every gauge.
"""

import re
import sys
from collections import Counter
from itertools import cycle, product

from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.plan.planning import make_plan, script_for
from engine.stitches import NAMES, stitch_pattern
from models.gauge import Gauge
from models.script import Craft
from tests.designs.shapes import backward, faults

LOOPS = (4, 4.5, 5, 6, 7.5, 8, 10, 12, 14, 16, 18, 20, 22, 24, 28, 32)
"""Loops per 10 cm, from jumbo loop yarn to lace."""
RATIOS = (0.75, 0.9, 1.0, 1.125, 1.25, 1.375)
"""Rows for a loop's width: 4 x 3 is the lowest, 32 x 44 the highest."""
WAY_OUT = re.compile(r": (make|give|take|work|ask|use|choose|leave|shorten|lengthen)\b")
"""What a refusal says to do."""
INTENTS = (0.0, 3.8, 12.7, 15.2)
"""Ease other than the usual, in cm."""


def gauges(share="1"):
    """The gauges of a sweep, in an order that spreads a share of them."""
    every = [
        Gauge(loops_per_10cm=a, rows_per_10cm=round(a * r, 2)) for a, r in product(LOOPS, RATIOS)
    ]
    part, _, parts = str(share).partition("/")
    if parts:
        return every[int(part) - 1 :: int(parts)]
    return every[:: max(1, round(1 / float(share)))]


def swept(name, craft, gauge, ease=None, stitch=""):
    """A design's scripts by size, and what is wrong with them; refused sizes are left out."""
    info = DESIGNS[name].info
    given = {} if ease is None else {"ease": ease}
    scripts, found = [], []
    for size in info.sizes or ("",):
        plan = make_plan(name, gauge, size=size, craft=craft, given=given, stitch=stitch)
        try:
            script = script_for(plan)
        except Refusal as refusal:
            if not WAY_OUT.search(str(refusal)):
                found.append((size, f"refused without a way out: {refusal}"))
            continue
        scripts.append(script)
        found += [(size, fault) for fault in faults(plan, script)]  # it is audited already
    found += [("", fault) for fault in backward(scripts)]
    return scripts, found


def main(share="1", *only):
    """Sweep, and print what is wrong."""
    made, wrong, refused = 0, Counter(), Counter()
    laid, only = "laid" in only, [name for name in only if name != "laid"]
    turns = {c: cycle([n for n in NAMES if c in stitch_pattern(n).crafts]) for c in Craft}
    every = gauges(share)
    for index, gauge in enumerate(every, 1):
        at = f"{gauge.loops_per_10cm:g} x {gauge.rows_per_10cm:g}"
        for name, design in DESIGNS.items():
            if only and name not in only:
                continue
            if laid and not design.info.stitches:
                continue
            for craft in design.info.crafts:
                stitch = next(turns[craft]) if laid else ""
                eases = (None, *INTENTS) if name == "cardigan" and not laid else (None,)
                for ease in eases:
                    scripts, found = swept(name, craft, gauge, ease, stitch)
                    made += len(scripts)
                    refused[name] += len(design.info.sizes or ("",)) - len(scripts)
                    for size, fault in found:
                        wrong[fault.split(" of ")[0].split(" is ")[0]] += 1
                        told = f"{name} {size} {craft.value} {at} ease {ease} {stitch}"
                        print(f"{told}: {fault}", flush=True)
        print(f"{index} of {len(every)}: {at}, {made} scripts so far", file=sys.stderr, flush=True)
    for name, times in (+refused).items():
        print(f"{name}: {times} refused, with what to change")
    print(f"{made} scripts, {sum(wrong.values())} faults")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
