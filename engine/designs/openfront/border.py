"""An edge that does not curl, where the maker wants one: ribbed or garter, at hem and cuffs."""

from engine.designs.fabric import alternating, way
from engine.designs.openfront.garment import Garment
from engine.script.builder import op
from models.script import Operation


def edge_row(g: Garment, row: int, loops: int) -> list[Operation]:
    """One row of the hem: knit and purl columns, or rows of knit and of purl in turn."""
    travel = way(g.craft, row)
    if g.ribbed:
        knit, purl = ("p", "k") if travel.wrong_side else ("k", "p")
        return alternating(knit, purl, loops, backwards=row % 2 == 0)
    return [op("k" if g.needles or row % 2 else "p", loops)]


def edge_round(g: Garment, row: int, loops: int) -> list[Operation]:
    """One round of a cuff."""
    if g.ribbed:
        return alternating("k", "p", loops)
    return [op("p" if row % 2 else "k", loops)]
