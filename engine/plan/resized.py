"""A written pattern at another gauge: one that a design wrote is worked out anew by the design.

Any other has its numbers scaled (`engine.pattern.resize`). Whether a design wrote it is not taken
on trust: the design must write the same text again, to the letter, at the pattern's own gauge.
"""

from collections.abc import Callable
from functools import partial

from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.pattern.make import craft_of, gauge_of
from engine.pattern.resize import outcomes, resize
from engine.pattern.text.read import read
from engine.pattern.write import write
from engine.plan.planning import make_plan, script_for
from models.gauge import Gauge
from models.pattern import NumberChange, Resize
from models.script import Craft, Hand


def resized(text: str, gauge: Gauge) -> Resize:
    """What comes out at `gauge`, and the pattern for it. Raises Refusal where there is none."""
    pattern = read(text)
    own, heading = gauge_of(pattern), pattern.headings.get("design")
    name = heading.text if heading else ""
    if own is None or name not in DESIGNS:
        return resize(text, gauge)
    sizes, craft = pattern.sizes, craft_of(pattern)
    usual = partial(written, name, own, sizes, craft)
    hand = next((hand for hand in Hand if _same(text, partial(usual, hand))), None)
    if hand is None:
        return _scaled(text, gauge, name)
    line = pattern.headings["gauge"].spot
    said = text.split("\n")[line.line - 1].partition(":")[2].strip()
    now = f"{gauge.loops_per_10cm:g} x {gauge.rows_per_10cm:g}"
    why = f"the {name} is worked out anew for it"
    changes = (NumberChange(line=line.line, column=line.column, was=said, now=now, why=why),)
    if gauge == own:
        return Resize(outcomes=outcomes(text, gauge), changes=(), text=text)
    return Resize(
        outcomes=outcomes(text, gauge),
        changes=changes,
        text=written(name, gauge, sizes, craft, hand),
    )


def _same(text: str, usual: Callable[[], str]) -> bool:
    """Whether the design writes just this."""
    try:
        return usual().strip() == text.strip()
    except Refusal:
        return False


def _scaled(text: str, gauge: Gauge, name: str) -> Resize:
    """A design's text that is not just what it writes by its table: its numbers scaled."""
    try:
        return resize(text, gauge)
    except Refusal:
        raise Refusal(
            f"This {name} was written with measures or choices of its own, which its text does "
            "not tell, or was changed by hand, and with other numbers it does not come out: write "
            f"the {name} anew at your gauge, with the same measures and choices. With --keep you "
            "see what its counts come to at your gauge."
        ) from None


def written(
    name: str,
    gauge: Gauge,
    sizes: tuple[str, ...],
    craft: Craft,
    hand: Hand = Hand.RIGHT,
) -> str:
    """What a design writes for sizes of its table. Raises Refusal for others."""
    named = () if sizes == ("one size",) else sizes
    plans = [make_plan(name, gauge, size=s, craft=craft, hand=hand) for s in named or ("",)]
    return write([script_for(plan) for plan in plans])
