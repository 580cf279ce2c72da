"""The design of a plan whose pattern is written: its text decides everything."""

from engine.designs.design import Design
from engine.pattern.make import DESIGN as NAME
from engine.pattern.make import script_of
from models.plan import DesignInfo
from models.script import Craft

INFO = DesignInfo(
    name=NAME,
    title="Written pattern",
    blurb="Worked as its text says, in the sizes that the text has.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=(),
    measures=(),
)


def defaults(_size: str) -> dict[str, float]:
    """A written pattern asks for no measurements."""
    return {}


DESIGN = Design(INFO, defaults, script_of)
