"""The design of a plan whose pattern is written: its text decides everything."""

from engine.designs.design import Design
from models.plan import WRITTEN, DesignInfo, Plan
from models.script import Craft, RowScript

INFO = DesignInfo(
    name=WRITTEN,
    title="Written pattern",
    blurb="Worked as its text says, in the sizes that the text has.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=(),
    measures=(),
)


def defaults(_size: str) -> dict[str, float]:
    """A written pattern asks for no measurements."""
    return {}


def build(plan: Plan) -> RowScript:
    """The script of the text. Raises Refusal with the first fault where it cannot be worked."""
    from engine.pattern.make import script_of  # reading is slow to load, and few makes are written

    return script_of(plan)


DESIGN = Design(INFO, defaults, build)
