"""A garment's own measurements beside the body's."""

from models.frozen import Frozen

SEEN_CM = 0.5
"""A difference of lengths that is told, cm (common practice, no source)."""


class Line(Frozen):
    """One measurement. Lengths in cm."""

    name: str
    body: float | None = None
    """The body itself, where it is measured."""
    wanted: float | None = None
    """Body and ease, or the length asked for."""
    garment: float
    """What the whole loops and rows come to."""

    @property
    def ease(self) -> float | None:
        """Garment over body."""
        return None if self.body is None else self.garment - self.body

    @property
    def rounding(self) -> float | None:
        """Gained (or, below nothing, lost) by rounding to whole loops and rows."""
        return None if self.wanted is None else self.garment - self.wanted

    @property
    def off(self) -> bool:
        """Whether it is not what was asked for, by more than a tape laid twice may differ."""
        return self.rounding is not None and abs(self.rounding) > SEEN_CM


class SizeNear(Frozen):
    """The size that lies nearest to a garment or a body."""

    name: str
    bust: float
    off: float
    """Own bust less that size's, cm."""
