"""What a design is to the rest: what it asks for, what it assumes, and how it is worked."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from models.plan import DesignInfo, MeasureSpec, Plan
from models.script import Craft, Hand, Kind, RowScript


def foundation_pin(script: RowScript, at: int) -> dict[str, tuple[int, ...]]:
    """The foundation's loops, once it is laid on."""
    laid = [s.loops_after for s in script.steps[:at] if s.kind is Kind.FOUNDATION]
    return {"foundation": (laid[0],)} if laid else {}


def nothing_told(_plan: Plan, _script: RowScript) -> tuple[str, ...]:
    """Nothing gives way."""
    return ()


@dataclass(frozen=True)
class Design:
    """A built-in design."""

    info: DesignInfo
    defaults: Callable[[str], dict[str, float]]
    """Measurements in cm by name, for a size of `info.sizes`; the size is empty without sizes."""
    build: Callable[[Plan], RowScript]
    """The script of a plan. Raises Refusal where none can be worked."""
    usual: str = ""
    """The size that is meant when none is said; empty for a design without sizes."""
    pins: Callable[[RowScript, int], dict[str, tuple[int, ...]]] = foundation_pin
    """What the first so many worked steps of its script have decided (`Plan.worked`)."""
    told: Callable[[Plan, RowScript], tuple[str, ...]] = nothing_told
    """What gave way so that whole loops and rows come out, and by how much: sentences."""
    by_craft: Mapping[Craft, Mapping[str, float]] = field(default_factory=dict, hash=False)
    """Measurements that one craft takes otherwise."""

    def measures(self, size: str, craft: Craft) -> dict[str, float]:
        """Measurements in cm for a size, the usual one where none is named."""
        return {**self.defaults(size or self.usual), **self.by_craft.get(craft, {})}


def spec(name: str, label: str, why: str, low: float, high: float) -> MeasureSpec:
    """Shorthand for a measurement that a design asks for; bounds in cm."""
    return MeasureSpec(name=name, label=label, why=why, low=low, high=high)


def scaled(plan: Plan) -> dict[str, float]:
    """The plan's measurements in cm at its scale (1 but for a practice piece)."""
    return {name: value * plan.scale for name, value in plan.measures.items()}


def even(value: float) -> int:
    """The nearest even whole number, at least 2."""
    return max(2, 2 * round(value / 2))


def told_of(
    across: Mapping[str, Callable[[Mapping[str, float]], float]],
    up: Mapping[str, Callable[[Mapping[str, float]], float]],
) -> Callable[[Plan, RowScript], tuple[str, ...]]:
    """How a design tells what gave way: what is asked for by finished measure, from its cm.

    `across` are measures in loops, `up` those in rows.
    """

    def told(plan: Plan, script: RowScript) -> tuple[str, ...]:
        cm, done = scaled(plan), script.finished_cm
        loop, row = 1 / plan.gauge.loops_per_cm, 1 / plan.gauge.rows_per_cm
        return tuple(
            sentence
            for asked, unit in ((across, loop), (up, row))
            for name, of in asked.items()
            for sentence in gave_way(name, of(cm), done[name], unit)
        )

    return told


def gave_way(name: str, asked: float, got: float, unit: float) -> Iterator[str]:
    """A sentence where a measure is further off than half a loop or row (`unit`); lengths in cm.

    What is no further off than that by the rounding of a float is not told.
    """
    if abs(got - asked) > unit / 2 + 1e-6:
        yield f"{name.capitalize()} comes to {got:.4g} cm instead of {asked:.4g} cm."


_SIDES = {"right": "left", "left": "right"}


def handed(hand: Hand, words: str) -> str:
    """Words of a right-handed maker's parts and edges, as they are for that hand.

    Her first panel lies at the left end of the work, which is the left front.
    """
    if hand is Hand.RIGHT:
        return words
    return re.sub(r"\b(right|left)\b", lambda side: _SIDES[side[0]], words)


def decided(plan: Plan, part: str) -> int | None:
    """Rows of a part that a tape or the maker decided; the part named as for the right hand.

    Makes that were begun before left-handed parts had their own names decided them by these.
    """
    rows = plan.row_counts
    return rows.get(handed(plan.hand, part), rows.get(part))
