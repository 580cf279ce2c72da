"""At which end of a row an edge lies that a pattern calls by name."""

from models.script import Direction


def edge_of(part: str, edge: str, *, facing: str | None, going: Direction | None) -> str:
    """`beginning` or `end`: where the neck edge, say, of a part lies in a row.

    As worn and seen from its right side, a right front has its neck edge at the right, where a
    row on the right side begins, and its armhole at the left; a left front the other way. The
    shoulders of a back lie the other way round. Where the part does not say, the neck edge is
    taken to be where a right-side row begins.
    """
    name = part.lower()
    at_right = "left" not in name
    if "back" in name:
        at_right = not at_right
    if edge.startswith(("armhole", "side", "outer", "outside")):
        at_right = not at_right
    back = facing == "WS" or going is Direction.LEFT_TO_RIGHT
    return "end" if at_right is back else "beginning"
