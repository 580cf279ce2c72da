"""What picking up along an edge comes to."""

from models.frozen import Frozen


class PickUp(Frozen):
    """Exactly `loops` loops along `rows` rows: `times` repeats, then the rest."""

    loops: int
    rows: int
    repeat: tuple[int, int]
    """Loops from rows: (4, 3) is four loops from three rows."""
    times: int
    rest: tuple[int, int]
    """Loops from rows after the last repeat."""
    error: float
    """Loops by which the rhythm alone, kept up over the whole edge, would miss; plus is too many.
    """
    extras: tuple[int, ...]
    """Rows, counted from the edge's beginning, that take two loops, or none."""
    adds: bool
    """The extras take two loops; otherwise they take none."""


class Armhole(Frozen):
    """Loops round an armhole, from its lowest point."""

    underarm: int
    front: PickUp
    back: PickUp

    @property
    def loops(self) -> int:
        """Loops of the first round."""
        return self.underarm + self.front.loops + self.back.loops
