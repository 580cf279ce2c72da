"""The built-in designs, by name."""

from engine.designs import cardigan, throw
from engine.designs.design import Design
from engine.refusal import Refusal

DESIGNS: dict[str, Design] = {d.info.name: d for d in (cardigan.DESIGN, throw.DESIGN)}


def design(name: str) -> Design:
    """The design of that name. Raises Refusal for another."""
    try:
        return DESIGNS[name]
    except KeyError:
        raise Refusal(
            f"There is no design {name!r}; the designs are {', '.join(DESIGNS)}."
        ) from None
