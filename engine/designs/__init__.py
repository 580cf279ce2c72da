"""The built-in designs: centimetres in, a row script out.

`shapes` and `openfront` are what they are put together from, `fabric` begins and ends them. Door:
`DESIGNS`, all by their names.
"""

from engine.base.refusal import Refusal
from engine.designs import (
    blanket,
    cap,
    cardigan,
    child_cardigan,
    cowl,
    hat,
    hooded_scarf,
    mittens,
    petbed,
    pillow,
    practice,
    pullover,
    raglan,
    scarf,
    shawl,
    socks,
    throw,
    tote,
    vest,
    written,
    yoke_pullover,
)
from engine.designs.design import Design

PRACTICE = "practice"
"""The design that teaches the words."""
DESIGNS: dict[str, Design] = {
    module.DESIGN.info.name: module.DESIGN
    for module in (
        cardigan,
        vest,
        child_cardigan,
        pullover,
        raglan,
        yoke_pullover,
        cap,
        cowl,
        scarf,
        hooded_scarf,
        shawl,
        throw,
        blanket,
        pillow,
        tote,
        petbed,
        hat,
        mittens,
        socks,
        practice,
    )
}


def design(name: str) -> Design:
    """The design of that name. Raises Refusal for another."""
    if name == written.INFO.name:
        return written.DESIGN
    try:
        return DESIGNS[name]
    except KeyError:
        raise Refusal(
            f"There is no design {name!r}; the designs are {', '.join(DESIGNS)}."
        ) from None
