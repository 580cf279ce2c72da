"""Yarn by colour, where a script has several."""

from models.script import RowScript

_END = 2
"""Loops of one yarn's end."""


def by_colour(script: RowScript) -> dict[str, int]:
    """Loops of yarn by colour, in the order in which they are first wanted; empty for one colour.

    Where a step changes colour, the end that it cuts is still the old one's.
    """
    found: dict[str, int] = {}
    before = ""
    for step in script.steps:
        if not step.colour:
            continue
        cut = 0
        if before and before != step.colour:
            cut = _END * sum(o.times for o in step.operations if o.stitch == "tail")
            found[before] += cut
        found[step.colour] = found.get(step.colour, 0) + step.yarn_loops - cut
        before = step.colour
    return found
