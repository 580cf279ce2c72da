"""The garment in work: its plan, its counts, the script so far, and what every part needs."""

from dataclasses import dataclass

from engine.craft.pickup import rhythm
from engine.designs.design import scaled
from engine.designs.openfront.counts import BodyCounts
from engine.script.builder import ScriptBuilder, op
from models.plan import Plan
from models.script import Craft, Operation

SPARE = "left armhole spare"
"""The loop that a chained shoulder leaves over; the left armhole takes it up."""


@dataclass
class Garment:
    """Handed from part to part in the order of the work."""

    plan: Plan
    n: BodyCounts
    b: ScriptBuilder

    @classmethod
    def of(cls, plan: Plan, n: BodyCounts) -> "Garment":
        """A garment not yet begun."""
        return cls(plan, n, ScriptBuilder(plan))

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

    def lean(self, *, left: bool) -> Operation:
        """One decrease: on needles it leans, in loop yarn one loop lies on its neighbour."""
        if not self.needles:
            return op("dec")
        return op("ssk" if left else "k2tog")

    def finished_cm(self) -> dict[str, float]:
        """What the counts of the body come to, in cm."""
        n, gauge = self.n, self.plan.gauge
        across, up = gauge.loops_per_cm, gauge.rows_per_cm
        return {
            "around": n.foundation / across + 2 * n.edging_rows / up - self.cm["overlap"],
            "body height": n.body_rows / up,
            "armhole depth": n.armhole_rows / up,
            "back width": n.back / across,
            "back neck": n.neck / across,
        }


def per(loops: int, rows: int) -> str:
    """A pick-up in words: how many in all and in which rhythm."""
    picked, of = rhythm(loops, rows)
    every = "every row" if of == 1 else f"every {of} rows"
    return f"{loops} over {rows} rows, {picked} from {every}"
