"""The garment in work: its plan, its counts, the script so far, and what every part needs."""

from dataclasses import dataclass

from engine.designs.design import handed, scaled
from engine.designs.openfront.counts import BodyCounts, Counts, SleeveCounts
from engine.designs.openfront.solve import Across
from engine.designs.shapes import Cover, cover_for
from engine.script.builder import ScriptBuilder, op
from models.plan import Plan
from models.script import Craft, Operation


@dataclass
class Garment:
    """Handed from part to part in the order of the work."""

    plan: Plan
    counts: Counts
    b: ScriptBuilder

    @classmethod
    def of(cls, plan: Plan, counts: Counts) -> "Garment":
        """A garment not yet begun."""
        return cls(plan, counts, ScriptBuilder(plan))

    def over(self, right: int, loops: int, after: int) -> Cover:
        """What lies over so many of the body's loops, from its right as seen; `after` rows."""
        return cover_for(self.plan, self.across.foundation).over(right, loops, after)

    @property
    def n(self) -> BodyCounts:
        """The body's counts."""
        return self.counts.body

    @property
    def across(self) -> Across:
        """Loops across the body."""
        return self.counts.body.across

    @property
    def sleeve(self) -> SleeveCounts:
        """A sleeve's counts. Raises ValueError for a garment without."""
        if self.counts.sleeve is None:
            raise ValueError("this garment has no sleeves")
        return self.counts.sleeve

    @property
    def cm(self) -> dict[str, float]:
        """Measurements in cm at the plan's scale."""
        return scaled(self.plan)

    @property
    def craft(self) -> Craft:
        """Loop yarn or needles."""
        return self.plan.craft

    @property
    def needles(self) -> bool:
        """Whether it is worked on needles: turned rows, and a bind-off needs yarn."""
        return self.plan.craft is Craft.NEEDLES

    @property
    def ribbed(self) -> bool:
        """Whether hem and cuffs, where there are any, are ribbed and not garter."""
        return self.cm.get("ribbed_hem", 0.0) > 0

    def named(self, words: str) -> str:
        """A part, an edge or a direction, told as for the right hand, in this maker's words."""
        return handed(self.plan.hand, words)

    @property
    def shoulder_loop(self) -> str:
        """Where the loop that a chained shoulder leaves over waits for its armhole."""
        return self.named("left shoulder loop")

    def lean(self, *, left: bool) -> Operation:
        """One decrease: on needles it leans, in loop yarn one loop lies on its neighbour."""
        if not self.needles:
            return op("dec")
        return op("ssk" if left else "k2tog")
