"""Scripts with one thing put wrong: `python -m tests.simulation.mutants [SHARE [DESIGN…]]`.

In every step of every design two unlike stretches that follow each other are exchanged, a
decrease is moved by one loop, a round is begun a loop too early, a stretch is left out or worked
twice, a place is named wrongly. What the graph shows to be the same fabric, loop for loop and tie
for tie, is not counted (loops of the far end rest, or are taken up, whenever that is said).
SHARE, 1 at most, takes that share of them. Prints what the audit passes: what makes another fabric
that is as sound; and whether the graph finds it, by positions or because it is irregular, which
asks the audit nothing.
"""

import sys
from collections import Counter
from itertools import pairwise

from engine.designs import DESIGNS
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script.audit import audit
from engine.script.repeats import merged
from models.script import Craft, Hand, Kind
from tests.simulation.graph import Reading
from tests.simulation.regularity import irregular

GAUGES = {Craft.LOOP: "5 x 3.75", Craft.NEEDLES: "9 x 11"}


def mutants(script):
    """What was done, and the script with it."""
    places = sorted({o.at for s in script.steps for o in s.operations if o.at and o.moves})
    edges = sorted({o.at for s in script.steps for o in s.operations if o.entry.along})
    for at, step in enumerate(script.steps):
        ways = [*changed(step.operations, places, edges), *turned(step)]
        seen = {merged(step.operations)}
        for what, operations in ways:
            wrong = merged(tuple(operations))
            if wrong in seen:
                continue  # another way to the same wrong step, or to the right one
            seen.add(wrong)
            steps = list(script.steps)
            steps[at] = step.model_copy(update={"operations": tuple(operations)})
            told = f"step {step.number} ({step.part}): {what}"
            yield told, script.model_copy(update={"steps": tuple(steps)})


def changed(operations, places, edges):
    """Each way in which these operations can be put wrong."""
    out = list(operations)
    works = [i for i, o in enumerate(out) if o.takes or o.leaves or o.moves]
    for one, other in pairwise(works):
        if out[one] != out[other]:
            yield f"exchanged {told(out[one])} and {told(out[other])}", swapped(out, one, other)
    for before, at, after in zip(works, works[1:], works[2:], strict=False):
        if out[at].takes > out[at].leaves > 0 and out[before].stitch == out[after].stitch:
            for by in (1, -1):
                moved = list(out)
                moved[before], moved[after] = more(out[before], by), more(out[after], -by)
                if moved[before].times and moved[after].times:
                    yield f"moved {told(out[at])} by {by}", moved
    for at in works:
        yield f"left out {told(out[at])}", out[:at] + out[at + 1 :]
        yield f"worked {told(out[at])} twice", [*out[: at + 1], *out[at:]]
        o = out[at]
        others = edges if o.entry.along else places if o.moves else []
        for name in others:
            if o.at and name != o.at:
                named = o.model_copy(update={"at": name})
                yield f"named {name} in {told(o)}", [*out[:at], named, *out[at + 1 :]]


def turned(step):
    """A round that begins a loop too early, and so lies a loop beside what it was made for."""
    out = list(step.operations)
    works = [i for i, o in enumerate(out) if o.takes or o.leaves]
    if step.kind is not Kind.ROUND or len({out[i].stitch for i in works}) < 2:
        return
    first = out[works[0]]
    if first.takes == first.leaves == first.times:
        left = [more(first, -1)] if first.times > 1 else []
        out[works[0] : works[0] + 1] = left
        yield "turned by a loop", [*out, more(first, 1 - first.times)]


def swapped(out, one, other):
    """Two of them exchanged."""
    out = list(out)
    out[one], out[other] = out[other], out[one]
    return out


def more(operation, by):
    """So many times more."""
    return operation.model_copy(update={"times": operation.times + by})


def told(o):
    """An operation in a few words."""
    return f"{o.stitch} {o.times}" + (f" at {o.at}" if o.at else "")


FINER = {"socks": "14 x 18"}
"""Where a heel is to be turned in more than two rows."""


def passed(name, craft, hand=Hand.RIGHT, share=1.0):
    """How many were tried; what was done in those that the audit passes, and whether the graph
    finds it."""
    gauge = read_gauge(FINER.get(name, GAUGES[craft]))
    script = script_for(make_plan(name, gauge, craft=craft, hand=hand))
    whole = Reading(script)
    tried, through = 0, []
    for index, (what, broken) in enumerate(mutants(script)):
        if index % max(1, round(1 / share)):
            continue
        tried += 1
        if not audit(broken) and not same_fabric(whole, Reading(broken)):
            through.append((what, found_on_the_graph(broken)))
    return tried, through


def same_fabric(one, other):
    """Whether two readings are one fabric: every loop the same stitch, and tied to the same."""
    return (
        one.knots.beside == other.knots.beside
        and one.stitch_of == other.stitch_of
        and one.faults == other.faults
    )


def found_on_the_graph(script):
    """Whether the simulation finds it wrong, by its own code alone."""
    reading = Reading(script)
    return bool(reading.faults) or any(irregular(reading))


def main(share=1.0, *only):
    """Try them all."""
    sums = Counter()
    for name in only or DESIGNS:
        for craft in DESIGNS[name].info.crafts:
            tried, through = passed(name, craft, share=float(share))
            for what, graph in through:
                print(f"{name}, {craft.value}, {what}{', but the graph finds it' * graph}")
            sums.update(tried=tried, passed=len(through), graph=sum(graph for _, graph in through))
            print(f"{name}, {craft.value}: {tried} tried, {len(through)} passed", flush=True)
    print(f"{sums['tried']} tried, {sums['passed']} passed, {sums['graph']} of them not the graph")


if __name__ == "__main__":
    main(*sys.argv[1:])
