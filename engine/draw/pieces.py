"""Pieces of a drawing in their own coordinates, before they are put on the sheet.

Within a piece, `u` runs in cm along the live loops, from the end where a right-handed maker's
first row starts; a right-handed drawing has that end at the right.
"""

from dataclasses import dataclass, field

from models.schematic import Span
from models.script import Step


@dataclass(frozen=True, eq=False, slots=True)
class RowAt:
    """A row where it lies in its piece."""

    step: Step
    loops: int
    ring: bool
    base: Span
    top: Span
    y_base: float
    y_top: float
    gap: Span | None = None


@dataclass(eq=False)
class Piece:
    """Panels that hang together."""

    part: str
    hangs: bool = False
    told: tuple[str, ...] = ()
    """The edges it is picked up along, as the script names them."""
    rows: list[RowAt] = field(default_factory=list)
    edges: list[tuple[Step, Span, float, int]] = field(default_factory=list)
    spots: list[tuple[Step, float, float, str]] = field(default_factory=list)

    @property
    def span(self) -> Span:
        """From its least to its greatest `u`."""
        spans = {s for row in self.rows for s in (row.base, row.top)}
        spans |= {span for _, span, _, _ in self.edges}
        return min(s[0] for s in spans), max(s[1] for s in spans)

    @property
    def top(self) -> float:
        """Its greatest y."""
        return max([row.y_top for row in self.rows] + [edge[2] for edge in self.edges])
