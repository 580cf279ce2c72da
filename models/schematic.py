"""A make as a flat drawing, in centimetres: x to the right, y up, the origin at the lower left."""

from itertools import pairwise

from models.frozen import Frozen
from models.script import Direction, Kind

Span = tuple[float, float]
"""From the left to the right end, cm."""


class Band(Frozen):
    """One row or round of a panel. A round is drawn as the tube lies: half of it is seen."""

    step: int
    row: int
    loops: int
    """Loops at its end."""
    ring: bool
    base: Span
    """Its ends where it grows out of what is below."""
    top: Span
    """Its ends at its live loops."""
    y_base: float
    y_top: float
    """Below `y_base` where the panel hangs down."""
    direction: Direction | None
    from_right: bool
    """The hand starts at the right end of the drawing."""
    gap: Span | None = None
    """Of its top, what is bound off between its live loops."""

    @property
    def width(self) -> float:
        """Width of its live loops, cm."""
        return self.top[1] - self.top[0] - self._open

    @property
    def _open(self) -> float:
        return self.gap[1] - self.gap[0] if self.gap else 0.0

    def loop_at(self, loop: int | None) -> tuple[float, float]:
        """Where a loop lies, counted from 1 as the hand comes to it; the middle for None.

        A count past the end of the row stays at the end.
        """
        left, right = self.top
        y = (self.y_base + self.y_top) / 2
        if loop is None:
            return (left + right) / 2, y
        done = (min(max(loop, 1), self.loops) - 0.5) / self.loops
        if self.ring:
            # The front of the tube, then back behind it.
            done = 2 * done if done <= 0.5 else 2 - 2 * done
        along = done * self.width
        if self.gap:
            near = right - self.gap[1] if self.from_right else self.gap[0] - left
            along += self._open if along > near else 0.0
        return (right - along if self.from_right else left + along), y


class Panel(Frozen):
    """A run of rows of one part that lie on one another."""

    part: str
    bands: tuple[Band, ...]

    @property
    def ring(self) -> bool:
        """Worked in the round and drawn as a flat tube."""
        return self.bands[0].ring

    @property
    def bottom(self) -> float:
        """Lowest y, cm."""
        return min(self.bands[0].y_base, self.bands[-1].y_top)

    @property
    def height(self) -> float:
        """Height, cm."""
        return abs(self.bands[-1].y_top - self.bands[0].y_base)

    @property
    def wedged(self) -> bool:
        """Whether rows that were turned before their end leave it of uneven height."""
        spans = [(b.base, b.top) for b in self.bands]
        return any(
            base[1] - base[0] > top[1] - top[0] + 1e-3 for (_, top), (base, _) in pairwise(spans)
        )

    def height_at(self, x: float) -> float:
        """Height of the fabric in one column, cm: less than the panel's beside a wedge."""
        return sum(
            abs(band.y_top - band.y_base)
            for band in self.bands
            if (band.base[0] + band.top[0]) / 2 <= x <= (band.base[1] + band.top[1]) / 2
        )

    @property
    def left(self) -> float:
        """Lowest x, cm."""
        return min(min(band.base[0], band.top[0]) for band in self.bands)

    @property
    def right(self) -> float:
        """Highest x, cm."""
        return max(max(band.base[1], band.top[1]) for band in self.bands)

    @property
    def outline(self) -> tuple[tuple[float, float], ...]:
        """Its corners, once around."""
        ends = [end for b in self.bands for end in ((b.base, b.y_base), (b.top, b.y_top))]
        # A row begins where the one below ends, but for loops that are bound off in between.
        kept = [ends[0], *(end for before, end in pairwise(ends) if end != before)]
        rights = [(span[1], y) for span, y in kept]
        lefts = [(span[0], y) for span, y in kept]
        return (*rights, *self._notch, *reversed(lefts))

    @property
    def _notch(self) -> tuple[tuple[float, float], ...]:
        """What its last row binds off between loops that go on: an opening of that row."""
        last = self.bands[-1]
        if last.gap is None:
            return ()
        left, right = last.gap
        low, high = last.y_base, last.y_top
        return (right, high), (right, low), (left, low), (left, high)


class Edge(Frozen):
    """Where loops begin or end: laid on, picked up, bound off, chained together."""

    step: int
    part: str
    kind: Kind
    span: Span
    y: float
    loops: int


class HungMarker(Frozen):
    """A stitch marker hung in."""

    step: int
    until: int | None
    """The step that takes it out again; None when it stays."""
    x: float
    y: float
    name: str


class Drawing(Frozen):
    """The whole make, drawn from its script alone."""

    width: float
    height: float
    panels: tuple[Panel, ...]
    edges: tuple[Edge, ...]
    spots: tuple[HungMarker, ...]
